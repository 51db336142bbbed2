//! Which values a parameter can have.

use std::ops::RangeInclusive;

/// A parameter that no simulated foot can have.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "a simulated foot cannot have a {parameter} of {value}; choose a value from {lowest} to {highest}"
)]
pub struct ParameterError {
    /// The parameter, by its field name.
    pub parameter: &'static str,
    /// The value that was given.
    pub value: f64,
    /// The lowest possible value.
    pub lowest: f64,
    /// The highest possible value.
    pub highest: f64,
}

/// Whether a parameter lies in its range; what is not a number never does.
pub(crate) fn check(
    parameter: &'static str,
    value: f64,
    range: &RangeInclusive<f64>,
) -> Result<(), ParameterError> {
    if range.contains(&value) {
        Ok(())
    } else {
        Err(ParameterError {
            parameter,
            value,
            lowest: *range.start(),
            highest: *range.end(),
        })
    }
}
