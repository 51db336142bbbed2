//! How well bones are found on films of known truth: from rough strokes, without a click, and on films
//! that were changed on their way.

mod affine;
mod change;
mod errors_table;
mod examination;
mod frame;
mod judged;
mod marks;
mod spots;
mod truth;

pub use affine::{Affine, mirrored, scaled, turned};
pub use change::Change;
pub use errors_table::write_errors;
pub use examination::{
    CHANGES_PER_FILM, FilmOutcome, RealOutcome, Seen, TracingPlan, examine_all, examine_real,
};
pub use judged::{Judged, NumberError, NumberRead, Traced};
pub use spots::{Flag, Margin, Offset, Spot, SpotError, is_of_first_ray};
pub use truth::{AXES, KnownFilm, Truth, axes, readings};
