//! Random numbers that depend on nothing but the seed and the row.

use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};

use crate::normal_distribution::normal_pair;

/// The random numbers of one row of a film. Each row has its own stream, so that it does not matter
/// which thread computes it, nor when.
#[derive(Clone, Debug)]
pub(super) struct RowNoise(ChaCha8Rng);

impl RowNoise {
    /// The stream of a row.
    pub(super) fn new(seed: u64, row: usize) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(row as u64);
        Self(generator)
    }

    /// Two independent numbers of the standard normal distribution.
    pub(super) fn pair(&mut self) -> [f64; 2] {
        let mut uniform = || (f64::from(self.0.next_u32()) + 0.5) / 4_294_967_296.0;
        normal_pair(1.0, [uniform(), uniform()])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_numbers_are_standard_normal_and_independent() {
        let mut noise = RowNoise::new(5, 3);
        let pairs: Vec<[f64; 2]> = (0..40_000).map(|_| noise.pair()).collect();
        let mean_of =
            |function: fn(&[f64; 2]) -> f64| pairs.iter().map(function).sum::<f64>() / 40_000.0;
        for (name, value, expected) in [
            ("mean", mean_of(|pair| pair[0]), 0.0),
            ("mean of the second", mean_of(|pair| pair[1]), 0.0),
            ("variance", mean_of(|pair| pair[0] * pair[0]), 1.0),
            ("covariance", mean_of(|pair| pair[0] * pair[1]), 0.0),
            ("fourth moment", mean_of(|pair| pair[1].powi(4)) / 3.0, 1.0),
        ] {
            assert!((value - expected).abs() < 0.03, "{name}: {value}");
        }
    }

    #[test]
    fn rows_and_seeds_have_streams_of_their_own() {
        let first = |seed, row| RowNoise::new(seed, row).pair().map(f64::to_bits);
        assert!(first(1, 0) == first(1, 0), "the same");
        assert!(first(1, 0) != first(1, 1), "another row");
        assert!(first(1, 0) != first(2, 0), "another seed");
    }
}
