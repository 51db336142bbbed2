//! The feet that are measured: random ones, from normal to severe.

use anyhow::Result;
use plumbray_phantom::{Foot, FootParameters};

use crate::chance::Chance;

/// The stream of the feet among the streams of a seed.
const FEET: u64 = 1 << 32;

/// The parameters of the random foot with this number.
#[must_use]
pub fn random_parameters(seed: u64, number: u64) -> FootParameters {
    FootParameters::random(Chance::new(seed, FEET + number).seed())
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
    use plumbray_anatomy::Side;

    use super::*;

    #[test]
    fn every_random_foot_can_be_built_and_both_sides_occur() {
        let mut left = 0;
        for number in 0..300 {
            let parameters = random_parameters(11, number);
            assert_eq!(parameters.validate(), Ok(()), "foot {number}");
            left += usize::from(parameters.side == Side::Left);
        }
        assert!((100..200).contains(&left), "{left} left feet of 300");
    }

    #[test]
    fn neighbouring_seeds_share_no_feet() {
        let feet = |seed| -> Vec<FootParameters> {
            (0..20)
                .map(|number| random_parameters(seed, number))
                .collect()
        };
        assert_eq!(feet(3), feet(3), "the same seed");
        assert!(
            feet(3).iter().all(|foot| !feet(4).contains(foot)),
            "another seed"
        );
    }
}
