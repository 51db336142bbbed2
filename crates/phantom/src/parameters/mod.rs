//! The numbers that describe a foot, as a surgeon names them.

mod random;
mod range;

use plumbray_anatomy::Side;
use serde::{Deserialize, Serialize};

use crate::operation::Operation;

pub use range::ParameterError;
pub(crate) use range::check;

/// A foot by the numbers that a surgeon uses. All angles are between the bones' own axes in three
/// dimensions, seen from straight above (projected onto the floor), unless said otherwise; a film
/// shows them a little differently, because its tube is tilted.
///
/// The angles hold for the foot before its operation, if it has one; what they are afterwards follows
/// from the operation and is told by [`Foot::corrected_angles`](crate::Foot::corrected_angles).
///
/// Written as RON or JSON, a field that is left out has the value of [`FootParameters::default`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FootParameters {
    /// Which foot.
    pub side: Side,
    /// Hallux valgus angle in degrees: from the first metatarsal's axis to the proximal phalanx's,
    /// positive when the toe points laterally.
    pub hallux_valgus_angle: f64,
    /// 1–2 intermetatarsal angle in degrees, positive when the first metatarsal points medially of
    /// the second.
    pub intermetatarsal_angle_1_2: f64,
    /// Pronation of the first ray in degrees: the turn of the first metatarsal about its own axis,
    /// positive when its dorsum turns medially. Its sesamoids and the great toe turn along; its axis
    /// stays where it is.
    pub first_ray_pronation: f64,
    /// Distal metatarsal articular angle in degrees, in the plane of the bone's own width and
    /// length: the tilt of the line through the two ends of the head's joint surface, positive when
    /// the surface faces laterally.
    pub distal_metatarsal_articular_angle: f64,
    /// Hallux interphalangeal angle in degrees, positive when the distal phalanx points laterally.
    pub hallux_interphalangeal_angle: f64,
    /// Metatarsus adductus angle in degrees: from the long axis of the lesser tarsus to the second
    /// metatarsal's axis, positive when the metatarsals point medially. The five metatarsals turn
    /// together against the tarsus, at the level of the tarsometatarsal joints and about the base of
    /// the second, so that the angles between them stay as asked.
    pub metatarsus_adductus_angle: f64,
    /// Where the tibial sesamoid lies across the first metatarsal's axis, seen from straight above:
    /// the share of its width that lies lateral to the axis, 0 just medial, 0.5 bisected, 1 just
    /// lateral; beyond 0 and 1 it lies clear of the axis by that share of its width.
    pub sesamoid_displacement: f64,
    /// How far the medial eminence of the first metatarsal head stands out beyond a healthy head's
    /// outline, in mm.
    pub medial_eminence_mm: f64,
    /// The share of the first metatarsophalangeal joint's cartilage that is lost, from 0 to 0.9: the
    /// gap on the film narrows by it.
    pub joint_narrowing: f64,
    /// Lengths of the five metatarsals from the centre of the base to the tip, in mm.
    pub metatarsal_lengths_mm: [f64; 5],
    /// First metatarsal inclination to the floor in degrees, which sets the height of the arch.
    pub first_metatarsal_inclination: f64,
    /// By how many mm the first metatarsal lies higher against the second than it usually does,
    /// negative when it lies lower. Its inclination stays as asked.
    pub first_ray_elevation_mm: f64,
    /// Talo–first metatarsal angle in degrees, as seen from the side; negative with its apex
    /// plantar.
    pub talo_first_metatarsal_angle: f64,
    /// Calcaneal inclination to the floor in degrees.
    pub calcaneal_inclination: f64,
    /// Bone mineral as a share of a healthy adult's: less thins the cortex and the trabeculae.
    pub bone_density: f64,
    /// Which individual: the small differences of shape and texture that no parameter names follow
    /// from it, and no angle or length does.
    pub individual: u64,
    /// The operation that the foot has had, if any.
    pub operation: Option<Operation>,
}

/// The lengths of the metatarsals of a healthy adult foot in mm.
///
/// Within the ranges of the literature (M1 56.4 ± 4.4 mm in men, Patil et al., J Clin Diagn Res
/// 2017;11(9):AC05–AC09; 65.4 ± 5.3 mm, J Foot Ankle Surg 2005;44:184–189); the lesser ones from
/// memory.
const USUAL_LENGTHS_MM: [f64; 5] = [66.5, 71.0, 67.5, 65.0, 61.5];

/// The metatarsus adductus angle of a usual foot in degrees (from memory: up to about 15 is normal).
pub(crate) const USUAL_METATARSUS_ADDUCTUS: f64 = 14.0;

impl Default for FootParameters {
    /// A right foot within normal limits.
    fn default() -> Self {
        Self {
            side: Side::Right,
            hallux_valgus_angle: 10.0,
            intermetatarsal_angle_1_2: 8.0,
            first_ray_pronation: 0.0,
            distal_metatarsal_articular_angle: 5.0,
            hallux_interphalangeal_angle: 8.0,
            metatarsus_adductus_angle: USUAL_METATARSUS_ADDUCTUS,
            sesamoid_displacement: 0.15,
            medial_eminence_mm: 0.0,
            joint_narrowing: 0.0,
            metatarsal_lengths_mm: USUAL_LENGTHS_MM,
            first_metatarsal_inclination: 21.0,
            first_ray_elevation_mm: 0.0,
            talo_first_metatarsal_angle: -2.0,
            calcaneal_inclination: 21.0,
            bone_density: 1.0,
            individual: 1,
            operation: None,
        }
    }
}

/// A parameter that is a single number: its field's name, its lowest and its highest value, and how
/// to read it.
type Limit = (&'static str, f64, f64, fn(&FootParameters) -> f64);

/// The ranges within which the bones keep clear of one another.
const LIMITS: [Limit; 14] = [
    ("hallux_valgus_angle", -15.0, 50.0, |foot| {
        foot.hallux_valgus_angle
    }),
    ("intermetatarsal_angle_1_2", 2.0, 22.0, |foot| {
        foot.intermetatarsal_angle_1_2
    }),
    ("first_ray_pronation", -10.0, 30.0, |foot| {
        foot.first_ray_pronation
    }),
    ("distal_metatarsal_articular_angle", -10.0, 25.0, |foot| {
        foot.distal_metatarsal_articular_angle
    }),
    ("hallux_interphalangeal_angle", -10.0, 25.0, |foot| {
        foot.hallux_interphalangeal_angle
    }),
    ("metatarsus_adductus_angle", 6.0, 32.0, |foot| {
        foot.metatarsus_adductus_angle
    }),
    ("sesamoid_displacement", -0.5, 1.5, |foot| {
        foot.sesamoid_displacement
    }),
    ("medial_eminence_mm", 0.0, 6.0, |foot| {
        foot.medial_eminence_mm
    }),
    ("joint_narrowing", 0.0, 0.9, |foot| foot.joint_narrowing),
    ("first_metatarsal_inclination", 16.0, 27.0, |foot| {
        foot.first_metatarsal_inclination
    }),
    ("first_ray_elevation_mm", -3.0, 6.0, |foot| {
        foot.first_ray_elevation_mm
    }),
    ("talo_first_metatarsal_angle", -15.0, 10.0, |foot| {
        foot.talo_first_metatarsal_angle
    }),
    ("calcaneal_inclination", 12.0, 30.0, |foot| {
        foot.calcaneal_inclination
    }),
    ("bone_density", 0.5, 1.2, |foot| foot.bone_density),
];

/// By which shares of its usual length a metatarsal can be shorter or longer.
const LENGTH_SHARES: [f64; 2] = [0.8, 1.2];

impl FootParameters {
    /// Whether such a foot can be built.
    ///
    /// # Errors
    /// [`ParameterError`] names the first parameter that is not a number or lies outside the range
    /// in which the bones keep clear of one another.
    pub fn validate(&self) -> Result<(), ParameterError> {
        for (parameter, lowest, highest, value) in LIMITS {
            check(parameter, value(self), &(lowest..=highest))?;
        }
        for (length, usual) in self.metatarsal_lengths_mm.into_iter().zip(USUAL_LENGTHS_MM) {
            let [shortest, longest] = LENGTH_SHARES.map(|share| share * usual);
            check("metatarsal_lengths_mm", length, &(shortest..=longest))?;
        }
        self.operation.as_ref().map_or(Ok(()), Operation::validate)
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

    #[test]
    fn a_file_names_only_what_differs_from_the_usual_foot() {
        let read: FootParameters =
            ron::from_str("(side: left, first_ray_pronation: 12.0, operation: Some(()))")
                .expect("readable");
        let expected = FootParameters {
            side: Side::Left,
            first_ray_pronation: 12.0,
            operation: Some(Operation::default()),
            ..FootParameters::default()
        };
        assert_eq!(read, expected, "the rest is usual");
    }

    #[test]
    fn a_misspelt_parameter_is_refused() {
        let read = ron::from_str::<FootParameters>("(halux_valgus_angle: 12.0)");
        assert!(read.is_err(), "{read:?}");
    }
}
