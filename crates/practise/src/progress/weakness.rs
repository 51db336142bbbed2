//! Which points cost a resident most.

use std::collections::BTreeMap;

use super::Progress;
use crate::lesson::PlacedThing;

/// Weaknesses are those of the latest attempts, so that what was learned stops counting. Ours.
const LATEST: usize = 10;

/// What one thing that a resident places costs, and how far off it lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weakness {
    /// What is placed.
    pub thing: PlacedThing,
    /// In how many of the latest attempts it was placed.
    pub attempts: usize,
    /// The mean of the squared distance over the squared distance that is expected of a careful hand: 1 for such a
    /// hand.
    pub relative_square: f64,
    /// The mean over those attempts of what it cost in the judged angles, in degrees, as
    /// [`Lesson::cost_degrees`](crate::Lesson::cost_degrees) gives it.
    pub cost_degrees: f64,
}

impl Progress {
    /// What each thing cost in the latest ten attempts, the costliest first; of things that cost the same, the one
    /// that lay farthest off for a careful hand.
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
        weaknesses.sort_by(|one, other| {
            let by_cost = other.cost_degrees.total_cmp(&one.cost_degrees);
            by_cost.then(other.relative_square.total_cmp(&one.relative_square))
        });
        weaknesses
    }

    /// The thing that costs most; nothing before the first attempt, and where nothing cost an angle anything.
    #[must_use]
    pub fn weakest(&self) -> Option<Weakness> {
        let costliest = self.weaknesses().into_iter().next();
        costliest.filter(|weakness| weakness.cost_degrees > 0.0)
    }
}
