//! The value of every measurement: what a perfect reader would read on the film, and beside it what
//! the foot itself has.

use std::collections::BTreeMap;

use plumbray_anatomy::{Calibration, FilmTracing, LongBone, Proportions, View};
use plumbray_measure::{
    AxisConvention, Choices, Foot as MeasuredFoot, Measurement, TracedFilm, all_conventions,
    measure,
};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::{
    bones::bone::BoneName,
    foot::Foot,
    truth::{in_space::in_space, parts::parts, rounding::rounded},
};

/// Digits after the point of every value, whatever its unit.
const DIGITS: i32 = 7;

/// What a measurement truly is, in its own unit (degrees, mm, per cent, or none of a ratio, position
/// or grade).
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasurementTruth {
    /// In the foot itself, independent of any film; nothing where the measurement has a meaning on a
    /// film only. `docs/simulated-feet.md` defines each.
    pub in_space: Option<f64>,
    /// What the engine measures on the true tracing of this film by the default convention of the
    /// visit; nothing where it refuses.
    pub projected: Option<f64>,
    /// The same by every axis convention that can change it and is not refused; empty where no axis
    /// takes part.
    #[serde(with = "by_convention")]
    pub by_convention: BTreeMap<AxisConvention, f64>,
}

/// Every measurement of a view that the true tracing of its film or the foot itself gives.
pub(crate) fn measurement_truths(
    view: View,
    foot: &Foot,
    tracing: &FilmTracing,
    calibration: &Calibration,
) -> BTreeMap<Measurement, MeasurementTruth> {
    let film = TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration: Some(calibration),
    };
    let measured = MeasuredFoot {
        ap: (view == View::Ap).then_some(film),
        lateral: (view == View::Lateral).then_some(film),
        operated: parts(foot, BoneName::Long(LongBone::M1)).len() > 1,
    };
    let choices = Choices::default();
    let value = |outcome: &plumbray_measure::Outcome| {
        outcome
            .reading()
            .map(|reading| rounded(reading.value, DIGITS))
    };
    Measurement::ALL
        .into_iter()
        .filter(|measurement| measurement.view() == view)
        .map(|measurement| {
            let truth = MeasurementTruth {
                in_space: in_space(foot, measurement).map(|value| rounded(value, DIGITS)),
                projected: value(&measure(&measured, &choices, measurement)),
                by_convention: all_conventions(&measured, &choices, measurement)
                    .into_iter()
                    .filter_map(|(convention, outcome)| Some((convention, value(&outcome)?)))
                    .collect(),
            };
            (measurement, truth)
        })
        .filter(|(_, truth)| truth.in_space.is_some() || truth.projected.is_some())
        .collect()
}

/// A measurement in a file: its identifier and its unit, `hallux_valgus_angle_degrees`.
fn name_with_unit(measurement: Measurement) -> String {
    format!(
        "{}_{}",
        measurement.identifier(),
        measurement.unit().identifier()
    )
}

/// A map by measurement as a file has it: by name with unit, in the order of the worksheet.
pub(crate) mod by_measurement {
    use super::{
        BTreeMap, Deserialize, Deserializer, Measurement, MeasurementTruth, Serializer,
        name_with_unit,
    };
    use serde::de::Error as _;

    type Truths = BTreeMap<Measurement, MeasurementTruth>;

    pub(crate) fn serialize<S: Serializer>(
        truths: &Truths,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_map(
            truths
                .iter()
                .map(|(measurement, truth)| (name_with_unit(*measurement), truth)),
        )
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Truths, D::Error> {
        BTreeMap::<String, MeasurementTruth>::deserialize(deserializer)?
            .into_iter()
            .map(|(name, truth)| {
                Measurement::ALL
                    .into_iter()
                    .find(|measurement| name_with_unit(*measurement) == name)
                    .map(|measurement| (measurement, truth))
                    .ok_or_else(|| {
                        D::Error::custom(format!("“{name}” is no measurement with its unit"))
                    })
            })
            .collect()
    }
}

/// A map by axis convention as a file has it: by identifier.
mod by_convention {
    use super::{AxisConvention, BTreeMap, Deserialize, Deserializer, Serializer};
    use serde::de::Error as _;

    type Values = BTreeMap<AxisConvention, f64>;

    pub(super) fn serialize<S: Serializer>(
        values: &Values,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_map(
            values
                .iter()
                .map(|(convention, value)| (convention.identifier(), value)),
        )
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Values, D::Error> {
        BTreeMap::<String, f64>::deserialize(deserializer)?
            .into_iter()
            .map(|(name, value)| {
                AxisConvention::from_identifier(&name)
                    .map(|convention| (convention, value))
                    .ok_or_else(|| D::Error::custom(format!("“{name}” is no axis convention")))
            })
            .collect()
    }
}
