//! Small charts as SVG, readable in light and dark and without colour.

mod axis;
mod chart;

pub use axis::Axis;
pub use chart::{Chart, Mark, Series};
