//! Intraclass correlation: which part of the spread of readings comes from the targets.

mod coefficient;
mod mean_squares;
mod measurement_error;
mod wording;

pub use coefficient::{Coefficient, Form, Unit};
pub use mean_squares::MeanSquares;
pub use measurement_error::{MeasurementError, smallest_detectable_change};
pub use wording::{Reliability, ReliabilityRange};
