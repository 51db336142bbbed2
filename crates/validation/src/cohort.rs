//! The feet that are measured: random ones, from normal to severe.

use anyhow::Result;
use plumbray_anatomy::Side;
use plumbray_phantom::{Foot, FootParameters};

use crate::chance::Chance;

/// The stream of the feet's shapes among the streams of a seed.
const SHAPES: u64 = 1 << 32;

/// The parameters of the random foot with this number: any hallux valgus angle from −4° to 46° is as
/// likely, and what goes along with it in patients follows it with scatter of its own.
#[must_use]
pub fn random_parameters(seed: u64, number: u64) -> FootParameters {
    let mut chance = Chance::new(seed, SHAPES + number);
    let toe = chance.between(-4.0, 46.0);
    let mut about =
        |mean: f64, sd: f64, low: f64, high: f64| (mean + chance.normal(sd)).clamp(low, high);
    let size = about(1.0, 0.05, 0.88, 1.12);
    let usual = FootParameters::default();
    FootParameters {
        side: if number.is_multiple_of(2) {
            Side::Right
        } else {
            Side::Left
        },
        hallux_valgus_angle: toe,
        intermetatarsal_angle_1_2: about(6.0 + 0.24 * toe, 1.8, 3.0, 21.0),
        distal_metatarsal_articular_angle: about(4.0 + 0.2 * toe, 3.0, -6.0, 23.0),
        hallux_interphalangeal_angle: about(9.0, 4.0, -4.0, 22.0),
        sesamoid_displacement: about(0.05 + 0.024 * toe, 0.15, -0.3, 1.35),
        metatarsal_lengths_mm: usual
            .metatarsal_lengths_mm
            .map(|length| length * size * about(1.0, 0.015, 0.95, 1.05)),
        first_metatarsal_inclination: about(21.0, 2.0, 16.5, 26.5),
        talo_first_metatarsal_angle: about(-3.0, 4.0, -14.0, 9.0),
        calcaneal_inclination: about(21.0, 3.0, 13.0, 29.0),
    }
}

/// The random foot with this number.
///
/// # Errors
/// When such a foot cannot be built.
pub fn random_foot(seed: u64, number: u64) -> Result<Foot> {
    Ok(Foot::new(random_parameters(seed, number))?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_random_foot_can_be_built_and_both_sides_occur() {
        let mut sides = [0, 0];
        for number in 0..300 {
            let parameters = random_parameters(11, number);
            assert_eq!(parameters.validate(), Ok(()), "foot {number}");
            sides[parameters.side as usize] += 1;
        }
        assert_eq!(sides, [150, 150], "left and right");
    }

    #[test]
    fn a_number_gives_the_same_foot_whatever_was_made_before() {
        assert_eq!(random_parameters(3, 17), random_parameters(3, 17), "again");
        assert_ne!(
            random_parameters(3, 17),
            random_parameters(4, 17),
            "another seed"
        );
    }
}
