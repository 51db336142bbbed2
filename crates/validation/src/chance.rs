//! Seeded chance: the same seed gives the same numbers on every machine.

use plumbray_phantom::normal_pair;
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};

/// A stream of random numbers.
#[derive(Clone, Debug)]
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream with this number among those of a seed. Streams are independent of each other.
    #[must_use]
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(stream);
        Self(generator)
    }

    /// A number between 0 and 1, neither of them included.
    fn share(&mut self) -> f64 {
        (f64::from(self.0.next_u32()) + 0.5) / 4_294_967_296.0
    }

    /// A seed for another source of chance.
    pub fn seed(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number between two others, each as likely.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A normally distributed number with mean 0.
    pub fn normal(&mut self, sd: f64) -> f64 {
        let [number, _] = normal_pair(sd, [self.share(), self.share()]);
        number
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::statistics::{mean, share_within, standard_deviation};

    #[test]
    fn normal_numbers_have_their_mean_their_spread_and_their_tails() {
        let mut chance = Chance::new(7, 0);
        let values: Vec<f64> = (0..20_000).map(|_| chance.normal(2.0)).collect();
        assert_close(mean(&values).unwrap_or(f64::NAN), 0.0, 0.05, "mean");
        let sd = standard_deviation(&values).unwrap_or(f64::NAN);
        assert_close(sd, 2.0, 0.04, "standard deviation");
        let within = share_within(&values, 2.0 * 1.96).unwrap_or(f64::NAN);
        assert_close(within, 0.95, 0.006, "share within 1.96 standard deviations");
    }

    #[test]
    fn a_stream_repeats_and_differs_from_its_neighbour() {
        let numbers = |stream| {
            let mut chance = Chance::new(1, stream);
            [chance.seed(), chance.seed()]
        };
        assert_eq!(numbers(3), numbers(3), "the same stream");
        assert_ne!(numbers(3), numbers(4), "another stream");
    }
}
