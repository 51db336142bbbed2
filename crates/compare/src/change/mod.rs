//! What became of one number between two visits.

mod film_to_film;

use plumbray_measure::{AxisConvention, Measurement, Outcome, Reading, TWO_SIDED_95, Unit};

use crate::estimate::Estimate;

pub use film_to_film::film_to_film_sd;

/// Said of what is no more than the error of measuring.
pub(crate) const WITHIN_ERROR: &str = "within measurement error";

/// What became of one number between two visits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Later minus earlier, in the unit of the measurement, with its standard deviation; of a position or a
    /// grade the difference of the classes, without one.
    pub difference: f64,
    /// Standard deviation of the difference: of both tracings and of two films of an unchanged foot.
    pub sd: Option<f64>,
    /// The smallest change that is more than that error in 95 %.
    pub smallest_detectable: Option<f64>,
    /// Whether it is more than that.
    pub is_real: bool,
    /// Whether both numbers were read on the very same film: the difference is then of reading, and never real.
    pub is_of_reading: bool,
}

/// Said of what was read twice on one film.
pub(crate) const OF_READING: &str = "the same film: a difference of reading";

impl Change {
    /// A difference with the standard deviation of its error: real where it is more than that error in 95 %.
    pub(crate) fn judged(difference: f64, sd: f64) -> Self {
        let smallest = TWO_SIDED_95 * sd;
        Self {
            difference,
            sd: Some(sd),
            smallest_detectable: Some(smallest),
            is_real: difference.abs() > smallest,
            is_of_reading: false,
        }
    }

    /// The same where both numbers were read on the very same film: the foot cannot have changed.
    #[must_use]
    pub const fn on_the_same_film(self) -> Self {
        Self {
            is_real: false,
            is_of_reading: true,
            ..self
        }
    }

    /// What it is, in a few words.
    #[must_use]
    pub const fn verdict(&self) -> &'static str {
        match (self.is_real, self.sd) {
            _ if self.is_of_reading => OF_READING,
            (true, _) => "real change",
            (false, None) if self.difference.abs() < 0.5 => "same",
            (false, _) => WITHIN_ERROR,
        }
    }

    /// The 95 % interval of the difference.
    #[must_use]
    pub fn interval(&self) -> Option<(f64, f64)> {
        let estimate = Estimate {
            value: self.difference,
            sd: self.sd?,
        };
        Some(estimate.interval())
    }
}

/// Why two numbers are not subtracted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoChange {
    /// One of them is not there.
    #[error("{why}")]
    Missing {
        /// What it lacks.
        why: String,
    },
    /// They go by different axes, so that their difference is between drawings.
    #[error(
        "by {} at one visit and by {} at the other; numbers by different axes are not subtracted",
        earlier.name(), later.name()
    )]
    OtherAxes {
        /// At the earlier visit.
        earlier: AxisConvention,
        /// At the later one.
        later: AxisConvention,
    },
    /// The foot bore weight on one film and none on the other, which alone changes the numbers.
    #[error(
        "the foot bore weight at one visit and none at the other, which alone changes the number; not subtracted"
    )]
    OtherStance,
    /// Their millimetres come from different calibrations.
    #[error("millimetres {earlier} at one visit and {later} at the other are not subtracted")]
    OtherCalibration {
        /// At the earlier visit.
        earlier: String,
        /// At the later one.
        later: String,
    },
}

/// What became of one number between two visits.
///
/// ```text
/// sd = √(sd₁² + sd₂² + 2·f²),   smallest detectable change = 1.96 · sd
/// ```
///
/// with the standard deviations of both tracings and f that of one film of a foot that has not changed
/// ([`film_to_film_sd`]). A position or a grade has changed where the share that it follows from has, and the
/// class is another one: `share` is then the change of that share.
///
/// # Errors
/// Where one of the numbers is not there, or they must not be subtracted.
pub fn change(
    measurement: Measurement,
    earlier: &Outcome,
    later: &Outcome,
    share: Option<&Change>,
) -> Result<Change, NoChange> {
    let (one, other) = both(earlier, later)?;
    comparable(one, other)?;
    let difference = other.value - one.value;
    if matches!(measurement.unit(), Unit::Position | Unit::Grade) {
        return Ok(Change {
            difference,
            sd: None,
            smallest_detectable: None,
            is_real: difference.abs() > 0.5 && share.is_some_and(|share| share.is_real),
            is_of_reading: false,
        });
    }
    let film = film_to_film_sd(measurement, one.value);
    let variance = one.sd.powi(2) + other.sd.powi(2) + 2.0 * film.powi(2);
    Ok(Change::judged(difference, variance.sqrt()))
}

/// A reading with what one film of an unchanged foot adds to its spread.
#[must_use]
pub fn on_one_film(measurement: Measurement, reading: &Reading) -> Estimate {
    let film = film_to_film_sd(measurement, reading.value);
    Estimate {
        value: reading.value,
        sd: reading.sd.hypot(film),
    }
}

fn both<'o>(
    earlier: &'o Outcome,
    later: &'o Outcome,
) -> Result<(&'o Reading, &'o Reading), NoChange> {
    let missing = |outcome: &Outcome| NoChange::Missing {
        why: outcome.why_not().unwrap_or_default(),
    };
    let one = earlier.reading().ok_or_else(|| missing(earlier))?;
    let other = later.reading().ok_or_else(|| missing(later))?;
    Ok((one, other))
}

fn comparable(one: &Reading, other: &Reading) -> Result<(), NoChange> {
    if let (Some(earlier), Some(later)) = (one.convention, other.convention)
        && earlier != later
    {
        return Err(NoChange::OtherAxes { earlier, later });
    }
    match (&one.calibration_name, &other.calibration_name) {
        (Some(earlier), Some(later)) if earlier != later => Err(NoChange::OtherCalibration {
            earlier: earlier.clone(),
            later: later.clone(),
        }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use plumbray_measure::Construction;

    use super::*;

    fn outcome(value: f64, sd: f64, convention: AxisConvention) -> Outcome {
        Outcome::Value(Box::new(Reading {
            value,
            sd,
            own_sd: None,
            interval: (value - TWO_SIDED_95 * sd, value + TWO_SIDED_95 * sd),
            convention: Some(convention),
            calibration_name: None,
            influences: Vec::new(),
            sensitivities: Vec::new(),
            construction: Construction::default(),
            classes: Vec::new(),
            remarks: Vec::new(),
        }))
    }

    const ANGLE: Measurement = Measurement::HalluxValgusAngle;

    #[test]
    fn a_change_is_real_from_beyond_the_error_of_both_films() {
        let by = AxisConvention::HeadBase;
        let film = film_to_film_sd(ANGLE, 10.0);
        let sd = (0.3_f64.powi(2) + 0.4_f64.powi(2) + 2.0 * film * film).sqrt();
        for (step, is_real) in [(0.99, false), (1.01, true), (-1.01, true)] {
            let later = outcome(10.0 + step * TWO_SIDED_95 * sd, 0.4, by);
            let change = change(ANGLE, &outcome(10.0, 0.3, by), &later, None).expect("comparable");
            assert_close(change.sd.expect("a number"), sd, 1e-12, "spread");
            assert_eq!(change.is_real, is_real, "{step} of the smallest change");
        }
    }

    #[test]
    fn numbers_by_different_axes_are_never_subtracted() {
        let [one, other] = [
            AxisConvention::HeadBase,
            AxisConvention::MidDiaphysealQuarters,
        ]
        .map(|by| outcome(20.0, 0.1, by));
        let refused = change(ANGLE, &one, &other, None).expect_err("two conventions");
        assert!(refused.to_string().contains("not subtracted"), "{refused}");
    }

    #[test]
    fn a_grade_changes_only_with_its_share() {
        let by = AxisConvention::HeadBase;
        let (one, other) = (outcome(2.0, 3.0, by), outcome(1.0, 3.0, by));
        let share = |is_real| Change {
            difference: -30.0,
            sd: Some(4.0),
            smallest_detectable: Some(8.0),
            is_real,
            is_of_reading: false,
        };
        for is_real in [true, false] {
            let found = change(
                Measurement::TibialSesamoidGrade,
                &one,
                &other,
                Some(&share(is_real)),
            );
            assert_eq!(found.expect("grades").is_real, is_real, "as the share");
        }
    }
}
