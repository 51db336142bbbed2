//! Finds edges, shafts, circles and ellipses in a film near where a person pointed, with a stated spread.
#![deny(missing_docs)]

mod bone_end;
mod bone_shape;
mod cortex_edge;
mod edge;
mod error;
mod line_fit;
mod outline;
mod path;
mod raster;
mod shaft;
mod smooth;
mod strip;
mod stroke;

pub use error::TraceError;
pub use shaft::{BoneTrace, TraceDoubt, trace_long_bone};
pub use stroke::Stroke;
