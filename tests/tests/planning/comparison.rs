//! Keeps count of what was compared, and of what disagrees.

use serde_json::Value;

/// How far two computations may lie apart, relative to their size above 1: degrees, per cent, pixel widths and
/// millimetres alike.
const TOLERANCE: f64 = 1e-7;

/// What was compared so far.
#[derive(Default)]
pub(crate) struct Comparison {
    /// Numbers that were found on both sides.
    pub(crate) numbers: usize,
    disagreements: Vec<String>,
}

impl Comparison {
    /// A number of the program and the same from outside.
    pub(crate) fn number(&mut self, what: &str, inside: f64, outside: &Value) {
        self.numbers += 1;
        // What is missing or not a number on either side agrees with nothing.
        let agrees = outside
            .as_f64()
            .is_some_and(|outside| (inside - outside).abs() <= TOLERANCE * outside.abs().max(1.0));
        if !agrees {
            self.disagreements
                .push(format!("{what}: program {inside}, outside {outside}"));
        }
    }

    /// Fails the test when anything disagreed.
    pub(crate) fn assert_agreement(&self, about: &str) {
        let first: Vec<&str> = self
            .disagreements
            .iter()
            .take(40)
            .map(String::as_str)
            .collect();
        assert!(
            first.is_empty(),
            "{about}: {} of {} disagree:\n{}",
            self.disagreements.len(),
            self.numbers,
            first.join("\n")
        );
    }
}
