//! Finds edges, shafts, circles and ellipses in a film near where a person pointed, with a stated spread.
#![deny(missing_docs)]

mod articular_end;
mod bone_end;
mod bone_shape;
mod circle;
mod cortex_edge;
mod edge;
mod ellipse;
mod error;
mod guided;
mod hand;
mod line_fit;
mod outline;
mod patch;
mod path;
mod point;
mod polar;
mod raster;
mod round;
mod sesamoid;
mod shaft;
mod smooth;
mod strip;
mod stroke;

pub use articular_end::snap_articular_end;
pub use circle::Circle;
pub use ellipse::Ellipse;
pub use error::TraceError;
pub use guided::refine_cortices;
pub use hand::{Hand, SPREAD_MM as HAND_SPREAD_MM};
pub use point::{MOST_SNAP_REACH_PX, Snap, SnapKind, snap_point};
pub use round::{CircleFit, fit_head_circle, fit_round_object};
pub use sesamoid::{EllipseFit, fit_sesamoid};
pub use shaft::{BoneTrace, TraceDoubt, trace_long_bone};
pub use stroke::Stroke;
