//! How well one reader repeats himself, as he was found to: beside what is published of others.

use crate::{catalogue::Measurement, convention::AxisConvention};

/// The standard deviation of one reader's readings of one film, for some measurements.
///
/// It is found from films that the reader read more than once (`docs/agreement.md`, within-subject standard
/// deviation). It says how far a reading scatters that is made anew, so that a worksheet whose choices hold it has
/// intervals
///
/// ```text
/// value ± 1.96 · √(sd² + sw²)
/// ```
///
/// with sd from the spread of the tracing at hand and sw from here. What blurs the film blurs both, in part, so that
/// such an interval is rather too wide than too narrow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnSpread {
    kept: [Option<OwnDeviation>; Measurement::ALL.len()],
}

/// The standard deviation for one measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnDeviation {
    /// In the unit of the measurement; finite and not negative.
    pub sd: f64,
    /// The axes by which it was found, where any axis is laid. By other axes it is not known.
    pub convention: Option<AxisConvention>,
}

impl OwnSpread {
    /// Nothing is known of the reader.
    pub const NONE: Self = Self {
        kept: [None; Measurement::ALL.len()],
    };

    /// The same with the deviation for one measurement, in place of one that was known before.
    ///
    /// Nothing where it is no number from 0 upward, or the measurement is a position or a grade: the mean of grades is
    /// no grade, so they have no standard deviation.
    #[must_use]
    pub fn with(mut self, measurement: Measurement, deviation: OwnDeviation) -> Option<Self> {
        let is_possible = deviation.sd.is_finite() && deviation.sd >= 0.0;
        if !is_possible || !measurement.unit().is_number() {
            return None;
        }
        *self.kept.get_mut(measurement as usize)? = Some(deviation);
        Some(self)
    }

    /// What is known of a measurement, by whichever axes.
    #[must_use]
    pub fn deviation(&self, measurement: Measurement) -> Option<OwnDeviation> {
        self.kept.get(measurement as usize).copied().flatten()
    }

    /// The standard deviation of a measurement by these axes, in its unit; nothing where it was found by others.
    #[must_use]
    pub fn sd(&self, measurement: Measurement, convention: Option<AxisConvention>) -> Option<f64> {
        let known = self.deviation(measurement)?;
        (known.convention == convention).then_some(known.sd)
    }

    /// Whether nothing is known.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.kept.iter().all(Option::is_none)
    }

    /// The measurements of which something is known, in the order of [`Measurement::ALL`].
    #[must_use]
    pub fn measurements(&self) -> Vec<Measurement> {
        let all = Measurement::ALL.into_iter();
        all.filter(|measurement| self.deviation(*measurement).is_some())
            .collect()
    }
}

impl Default for OwnSpread {
    fn default() -> Self {
        Self::NONE
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BY: Option<AxisConvention> = Some(AxisConvention::HeadBase);

    #[test]
    fn what_was_found_by_some_axes_says_nothing_of_others() {
        let own = OwnSpread::NONE
            .with(
                Measurement::HalluxValgusAngle,
                OwnDeviation {
                    sd: 1.3,
                    convention: BY,
                },
            )
            .expect("possible");
        let found = own.sd(Measurement::HalluxValgusAngle, BY);
        assert_eq!(found, Some(1.3), "by its own axes");
        let other = Some(AxisConvention::MidDiaphysealQuarters);
        let found = own.sd(Measurement::HalluxValgusAngle, other);
        assert_eq!(found, None, "by others");
        let found = own.sd(Measurement::IntermetatarsalAngle12, BY);
        assert_eq!(found, None, "of another measurement");
        assert_eq!(
            own.measurements(),
            [Measurement::HalluxValgusAngle],
            "what is known"
        );
    }

    #[test]
    fn what_is_no_spread_is_not_taken() {
        for sd in [-0.1, f64::NAN, f64::INFINITY] {
            let deviation = OwnDeviation { sd, convention: BY };
            let taken = OwnSpread::NONE.with(Measurement::HalluxValgusAngle, deviation);
            assert_eq!(taken, None, "{sd}");
        }
        let deviation = OwnDeviation {
            sd: 0.4,
            convention: None,
        };
        let taken = OwnSpread::NONE.with(Measurement::TibialSesamoidGrade, deviation);
        assert_eq!(taken, None, "a grade has none");
        assert!(OwnSpread::default().is_empty(), "nothing by itself");
    }

    #[test]
    fn every_measurement_has_a_place_of_its_own() {
        let mut own = OwnSpread::NONE;
        let mut kept = Vec::new();
        for (measurement, sd) in Measurement::ALL.into_iter().zip((1..).map(f64::from)) {
            let deviation = OwnDeviation {
                sd,
                convention: None,
            };
            if let Some(with) = own.with(measurement, deviation) {
                own = with;
                kept.push((measurement, sd));
            }
        }
        for (measurement, sd) in kept {
            assert_eq!(own.sd(measurement, None), Some(sd), "{measurement:?}");
        }
    }
}
