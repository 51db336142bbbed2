//! Screws and wires: what they cross, how much bone holds them, how long they are.

mod course;
mod length;
mod segment;
mod suggestion;

pub(crate) use course::courses;
pub use course::{Cortex, Crossing, ScrewCourse};
pub use length::ScrewLength;
pub use suggestion::suggest_pair;
