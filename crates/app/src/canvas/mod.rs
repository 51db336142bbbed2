//! The film on the screen: transform, drawing at full depth, handles and magnifier.

mod transform;

pub use transform::{FilmExtent, LARGEST_ZOOM, Orientation, Placement, ScreenFromFilm};
