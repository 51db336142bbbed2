//! The numbers that describe a foot, as a surgeon names them.

use std::ops::RangeInclusive;

use plumbray_anatomy::Side;
use serde::{Deserialize, Serialize};

/// A foot by the numbers that a surgeon uses. All angles are between the bones' own axes in three
/// dimensions, seen from straight above (projected onto the floor), unless said otherwise; a film
/// shows them a little differently, because its tube is tilted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FootParameters {
    /// Which foot.
    pub side: Side,
    /// Hallux valgus angle in degrees: from the first metatarsal's axis to the proximal phalanx's,
    /// positive when the toe points laterally.
    pub hallux_valgus_angle: f64,
    /// 1–2 intermetatarsal angle in degrees, positive when the first metatarsal points medially of
    /// the second.
    pub intermetatarsal_angle_1_2: f64,
    /// Distal metatarsal articular angle in degrees, in the plane of the bone's own width and
    /// length: the tilt of the line through the two ends of the head's joint surface, positive when
    /// the surface faces laterally.
    pub distal_metatarsal_articular_angle: f64,
    /// Hallux interphalangeal angle in degrees, positive when the distal phalanx points laterally.
    pub hallux_interphalangeal_angle: f64,
    /// Where the tibial sesamoid lies across the first metatarsal's axis: the share of its width
    /// that lies lateral to the axis, 0 just medial, 0.5 bisected, 1 just lateral; beyond 0 and 1 it
    /// lies clear of the axis by that share of its width.
    pub sesamoid_displacement: f64,
    /// Lengths of the five metatarsals from the centre of the base to the tip, in mm.
    pub metatarsal_lengths_mm: [f64; 5],
    /// First metatarsal inclination to the floor in degrees, which sets the height of the arch.
    pub first_metatarsal_inclination: f64,
    /// Talo–first metatarsal angle in degrees, as seen from the side; negative with its apex
    /// plantar.
    pub talo_first_metatarsal_angle: f64,
    /// Calcaneal inclination to the floor in degrees.
    pub calcaneal_inclination: f64,
}

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

/// The lengths of the metatarsals of a healthy adult foot in mm.
///
/// Within the ranges of the literature (M1 56.4 ± 4.4 mm in men, Patil et al., J Clin Diagn Res
/// 2017;11(9):AC05–AC09; 65.4 ± 5.3 mm, J Foot Ankle Surg 2005;44:184–189); the lesser ones from
/// memory.
const USUAL_LENGTHS_MM: [f64; 5] = [66.5, 71.0, 67.5, 65.0, 61.5];

impl Default for FootParameters {
    /// A right foot within normal limits.
    fn default() -> Self {
        Self {
            side: Side::Right,
            hallux_valgus_angle: 10.0,
            intermetatarsal_angle_1_2: 8.0,
            distal_metatarsal_articular_angle: 5.0,
            hallux_interphalangeal_angle: 8.0,
            sesamoid_displacement: 0.15,
            metatarsal_lengths_mm: USUAL_LENGTHS_MM,
            first_metatarsal_inclination: 21.0,
            talo_first_metatarsal_angle: -2.0,
            calcaneal_inclination: 21.0,
        }
    }
}

impl FootParameters {
    /// Whether such a foot can be built.
    ///
    /// # Errors
    /// [`ParameterError`] names the first parameter that is not a number or lies outside the range
    /// in which the bones keep clear of one another.
    pub fn validate(&self) -> Result<(), ParameterError> {
        let angles = [
            (
                "hallux_valgus_angle",
                self.hallux_valgus_angle,
                -15.0..=50.0,
            ),
            (
                "intermetatarsal_angle_1_2",
                self.intermetatarsal_angle_1_2,
                2.0..=22.0,
            ),
            (
                "distal_metatarsal_articular_angle",
                self.distal_metatarsal_articular_angle,
                -10.0..=25.0,
            ),
            (
                "hallux_interphalangeal_angle",
                self.hallux_interphalangeal_angle,
                -10.0..=25.0,
            ),
            (
                "sesamoid_displacement",
                self.sesamoid_displacement,
                -0.5..=1.5,
            ),
            (
                "first_metatarsal_inclination",
                self.first_metatarsal_inclination,
                16.0..=27.0,
            ),
            (
                "talo_first_metatarsal_angle",
                self.talo_first_metatarsal_angle,
                -15.0..=10.0,
            ),
            (
                "calcaneal_inclination",
                self.calcaneal_inclination,
                12.0..=30.0,
            ),
        ];
        for (parameter, value, range) in angles {
            check(parameter, value, &range)?;
        }
        for (length, usual) in self.metatarsal_lengths_mm.into_iter().zip(USUAL_LENGTHS_MM) {
            check(
                "metatarsal_lengths_mm",
                length,
                &(0.8 * usual..=1.2 * usual),
            )?;
        }
        Ok(())
    }
}

fn check(
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_foot_can_be_built() {
        assert_eq!(FootParameters::default().validate(), Ok(()), "default");
    }

    #[test]
    fn a_parameter_outside_its_range_or_not_a_number_is_named_with_the_range() {
        for angle in [51.0, -16.0, f64::NAN, f64::INFINITY] {
            let error = FootParameters {
                hallux_valgus_angle: angle,
                ..FootParameters::default()
            }
            .validate()
            .expect_err("out of range");
            let message = error.to_string();
            assert!(
                message.contains("hallux_valgus_angle") && message.contains("-15 to 50"),
                "{message}"
            );
        }
    }

    #[test]
    fn a_metatarsal_of_impossible_length_is_refused() {
        let mut parameters = FootParameters::default();
        parameters.metatarsal_lengths_mm[2] = 0.0;
        assert!(parameters.validate().is_err(), "no length");
    }
}
