//! Which points a resident places worst.

use std::collections::BTreeMap;

use super::Progress;
use crate::lesson::PlacedThing;

/// Weaknesses are those of the latest attempts, so that what was learned stops counting. Ours.
const LATEST: usize = 10;

/// How far off a resident places one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weakness {
    /// What is placed.
    pub thing: PlacedThing,
    /// In how many of the latest attempts it was placed.
    pub attempts: usize,
    /// The mean of the squared distance over the squared distance that is expected of a careful hand: 1 for such a
    /// hand.
    pub relative_square: f64,
    /// The mean of what it cost in the errors of all angles, in degrees.
    pub cost_degrees: f64,
}

impl Progress {
    /// How far off each thing was placed in the latest ten attempts, the weakest first.
    #[must_use]
    pub fn weaknesses(&self) -> Vec<Weakness> {
        let mut sums: BTreeMap<PlacedThing, (usize, f64, f64)> = BTreeMap::new();
        let latest = self.attempts.iter().rev().take(LATEST);
        for past in latest.flat_map(|attempt| &attempt.things) {
            let sum = sums.entry(past.thing).or_default();
            sum.0 += 1;
            sum.1 += past.relative.powi(2);
            sum.2 += past.cost_degrees;
        }
        let mut weaknesses: Vec<Weakness> = sums
            .into_iter()
            .map(|(thing, (attempts, squares, cost))| {
                #[expect(clippy::cast_precision_loss, reason = "at most ten attempts")]
                let count = attempts as f64;
                Weakness {
                    thing,
                    attempts,
                    relative_square: squares / count,
                    cost_degrees: cost / count,
                }
            })
            .collect();
        weaknesses.sort_by(|one, other| other.relative_square.total_cmp(&one.relative_square));
        weaknesses
    }

    /// The weakest thing that costs an angle anything; nothing before the first attempt.
    #[must_use]
    pub fn weakest(&self) -> Option<Weakness> {
        let weaknesses = self.weaknesses();
        let costly = weaknesses
            .iter()
            .find(|weakness| weakness.cost_degrees > 0.0);
        costly.or(weaknesses.first()).copied()
    }
}
