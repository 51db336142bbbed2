//! Keeps count of what was compared, and of what disagrees.

use plumbray_measure::{Measurement, Outcome, Unit};
use serde_json::Value;

/// How far two computations of the same value may lie apart: degrees, per cent, positions and grades
/// by themselves, lengths and their ratios relative to their size.
pub(crate) const VALUE_TOLERANCE: f64 = 1e-9;

/// What was compared so far.
#[derive(Default)]
pub(crate) struct Comparison {
    /// Numbers that were found on both sides.
    pub(crate) numbers: usize,
    /// States without a number, and words.
    pub(crate) words: usize,
    disagreements: Vec<String>,
}

impl Comparison {
    /// A number of the engine and the same from outside.
    pub(crate) fn number(&mut self, what: &str, engine: f64, outside: &Value, tolerance: f64) {
        self.numbers += 1;
        // What is missing or not a number on either side agrees with nothing.
        let agrees = outside
            .as_f64()
            .is_some_and(|outside| (engine - outside).abs() <= tolerance);
        if !agrees {
            self.disagreements
                .push(format!("{what}: engine {engine}, outside {outside}"));
        }
    }

    /// Numbers of the engine and the same from outside, one by one.
    pub(crate) fn numbers(&mut self, what: &str, engine: &[f64], outside: &Value, tolerance: f64) {
        let expected = outside.as_array().map_or(0, Vec::len);
        self.word(
            what,
            &format!("{} numbers", engine.len()),
            &format!("{expected} numbers").into(),
        );
        for (index, engine) in engine.iter().enumerate() {
            self.number(what, *engine, &outside[index], tolerance);
        }
    }

    /// A word of the engine and the same from outside.
    pub(crate) fn word(&mut self, what: &str, engine: &str, outside: &Value) {
        self.words += 1;
        if outside != engine {
            self.disagreements
                .push(format!("{what}: engine {engine}, outside {outside}"));
        }
    }

    /// A value, or the state without one.
    pub(crate) fn outcome(
        &mut self,
        what: &str,
        measurement: Measurement,
        engine: &Outcome,
        outside: &Value,
    ) {
        match engine {
            Outcome::Value(reading) if outside["value"].is_number() => {
                let size = match measurement.unit() {
                    Unit::Millimetres | Unit::Ratio => reading.value.abs(),
                    Unit::Degrees | Unit::PerCent | Unit::Position | Unit::Grade => 1.0,
                };
                let tolerance = VALUE_TOLERANCE * size;
                self.number(what, reading.value, &outside["value"], tolerance);
            }
            Outcome::Value(reading) => {
                self.word(
                    what,
                    &format!("value {}", reading.value),
                    &outside["status"],
                );
            }
            without => self.word(
                &format!("{what} ({})", without.why_not().unwrap_or_default()),
                without.status(),
                &outside["status"],
            ),
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
            self.numbers + self.words,
            first.join("\n")
        );
    }
}
