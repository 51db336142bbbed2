//! The film on the screen: transform, drawing at full depth, handles and magnifier.
//!
//! [`ScreenFromFilm`] says where everything lies; [`FilmPainter`] draws the film itself by the graphics
//! processor, or by the processor where that is not possible.

mod file_graphics;
mod film_cpu;
mod film_gl;
mod film_painter;
mod film_uniforms;
mod look;
mod magnifier;
mod moved_pieces;
mod pieces_cpu;
mod sampling;
mod transform;

pub use file_graphics::{FileGraphics, GraphicsPainter};
pub use film_painter::{DrawnBy, FilmPainter};
pub use look::FilmLook;
pub use magnifier::{MAGNIFICATION, Magnifier};
pub use plumbray_anatomy::FilmStep;
pub use transform::{FilmExtent, LARGEST_ZOOM, Orientation, Placement, ScreenFromFilm};
