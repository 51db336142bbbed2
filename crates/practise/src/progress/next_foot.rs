//! Which foot to practise next.
//!
//! 1. **A missed foot comes back** after 1 other attempt; when it is then hit, once more after 3, 7 and 16 others
//!    ([`INTERVALS`]), and a new miss begins anew. Of several that are due, the one on which the weakest point cost
//!    most.
//! 2. Otherwise **a new foot** with a film for the weakest point: an easy one to begin with, one grade harder after
//!    three hits in a row, of the same grade as the last one otherwise; where there is none, of the nearest grade.
//! 3. Otherwise, of the feet that are known, the one on which the weakest point cost most, but not the last one again.
//!
//! The weakest point is the one that costs most degrees of the judged angles ([`Progress::weakest`]).
//!
//! Equal ones are drawn by the seed. That gaps which grow are better than massed practice is common teaching; the
//! numbers are ours.

use plumbray_anatomy::View;
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore as _, SeedableRng as _},
};

use super::{PastAttempt, Progress};
use crate::{
    lesson::PlacedThing,
    set::{DifficultyGrade, PracticeFoot, PracticeSet},
};

/// After how many other attempts a missed foot comes back: first, and after each hit in a row.
pub const INTERVALS: [usize; 4] = [1, 3, 7, 16];

/// So many hits in a row lead to a harder foot.
const HITS_TO_HARDER: usize = 3;

/// The foot to practise next.
#[derive(Clone, Debug, PartialEq)]
pub struct NextFoot {
    /// Its name in the set.
    pub foot: String,
    /// Why this one.
    pub why: Why,
}

/// Why a foot was chosen.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// It is the first of all.
    Begin {
        /// Its difficulty.
        grade: DifficultyGrade,
    },
    /// It was missed and comes back.
    ComesBack {
        /// How many other attempts lie between.
        after: usize,
        /// The weakest thing, where it was placed on this foot.
        weakest: Option<PlacedThing>,
    },
    /// It is new.
    New {
        /// Its difficulty.
        grade: DifficultyGrade,
        /// The weakest thing.
        weakest: Option<PlacedThing>,
    },
    /// Nothing is due and nothing is new.
    Again {
        /// The weakest thing, and what it cost at the last attempt at this foot, in degrees.
        weakest: Option<(PlacedThing, f64)>,
    },
}

impl Why {
    /// In one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let quoted = |thing: &PlacedThing| format!("“{}”", thing.name());
        match self {
            Self::Begin { grade } => {
                format!("Chosen as the foot to begin with: it is {}.", grade.name())
            }
            Self::ComesBack { after, weakest } => {
                let since = match after {
                    1 => "handed in another one since".to_owned(),
                    others => format!("handed in {others} others since"),
                };
                let missed = format!("you missed this foot and have {since}");
                match weakest {
                    Some(thing) => format!(
                        "Chosen because {missed}, and {} costs you most.",
                        quoted(thing)
                    ),
                    None => format!("Chosen because {missed}."),
                }
            }
            Self::New { grade, weakest } => match weakest {
                Some(thing) => format!(
                    "Chosen because {} costs you most, and this {} foot is new to you.",
                    quoted(thing),
                    grade.name()
                ),
                None => format!("Chosen because this {} foot is new to you.", grade.name()),
            },
            Self::Again { weakest } => match weakest {
                Some((thing, degrees)) => format!(
                    "Chosen because {} costs you most: {degrees:.1}° of the judged angles on this foot.",
                    quoted(thing)
                ),
                None => "Chosen because you practised it longest ago.".to_owned(),
            },
        }
    }
}

/// The foot to practise next in a set; nothing where the set has no foot. The same set, progress and seed give the same
/// foot.
#[must_use]
pub fn next_foot(set: &PracticeSet, progress: &Progress, seed: u64) -> Option<NextFoot> {
    let attempts: Vec<&PastAttempt> = progress
        .attempts
        .iter()
        .filter(|attempt| attempt.set == set.name && set.foot(&attempt.foot).is_some())
        .collect();
    let mut source = ChaCha8Rng::seed_from_u64(seed);
    source.set_stream(attempts.len() as u64);
    let mut choice = Choice {
        set,
        weakest: progress.weakest().map(|weakness| weakness.thing),
        attempts,
        source,
    };
    choice
        .that_comes_back()
        .or_else(|| choice.that_is_new())
        .or_else(|| choice.again())
}

struct Choice<'a> {
    set: &'a PracticeSet,
    weakest: Option<PlacedThing>,
    attempts: Vec<&'a PastAttempt>,
    source: ChaCha8Rng,
}

impl<'a> Choice<'a> {
    /// How many attempts at other feet came after the last one at this foot; nothing before the first.
    fn others_since(&self, foot: &PracticeFoot) -> Option<usize> {
        let is_of_foot = |attempt: &&PastAttempt| attempt.foot == foot.identifier;
        self.attempts.iter().rev().position(is_of_foot)
    }

    /// Whether a foot that was missed is due to come back.
    fn is_due(&self, foot: &PracticeFoot) -> bool {
        let own = || {
            self.attempts
                .iter()
                .rev()
                .filter(|attempt| attempt.foot == foot.identifier)
        };
        let hits_since_miss = own().position(|attempt| attempt.missed);
        let interval = hits_since_miss.and_then(|hits| INTERVALS.get(hits));
        interval
            .zip(self.others_since(foot))
            .is_some_and(|(interval, others)| others >= *interval)
    }

    /// What the weakest thing cost at the last attempt at this foot, in degrees.
    fn weakest_on(&self, foot: &PracticeFoot) -> Option<(PlacedThing, f64)> {
        let thing = self.weakest?;
        let last = self
            .attempts
            .iter()
            .rev()
            .find(|attempt| attempt.foot == foot.identifier)?;
        Some((thing, last.thing(thing)?.cost_degrees))
    }

    fn that_comes_back(&mut self) -> Option<NextFoot> {
        let due = self.set.feet.iter().filter(|foot| self.is_due(foot));
        let foot = self.costliest(due.collect())?;
        Some(NextFoot {
            foot: foot.identifier.clone(),
            why: Why::ComesBack {
                after: self.others_since(foot).unwrap_or(0),
                weakest: self.weakest_on(foot).map(|(thing, _)| thing),
            },
        })
    }

    fn that_is_new(&mut self) -> Option<NextFoot> {
        let grade = self.wanted_grade();
        let view = self.weakest.map(PlacedThing::view);
        let lacks = |foot: &PracticeFoot, view: View| foot.film(view).is_none();
        let away = |foot: &PracticeFoot| {
            let steps = (foot.difficulty.grade as usize).abs_diff(grade as usize);
            // A foot that cannot train the weakest point stands behind all others.
            (view.is_some_and(|view| lacks(foot, view)), steps)
        };
        let new: Vec<&PracticeFoot> = self
            .set
            .feet
            .iter()
            .filter(|foot| self.others_since(foot).is_none())
            .collect();
        let nearest = new.iter().map(|foot| away(foot)).min()?;
        let equal: Vec<&PracticeFoot> = new
            .into_iter()
            .filter(|foot| away(foot) == nearest)
            .collect();
        let foot = self.drawn(&equal)?;
        let grade = foot.difficulty.grade;
        let why = if self.attempts.is_empty() && self.weakest.is_none() {
            Why::Begin { grade }
        } else {
            Why::New {
                grade,
                weakest: self.weakest.filter(|thing| !lacks(foot, thing.view())),
            }
        };
        Some(NextFoot {
            foot: foot.identifier.clone(),
            why,
        })
    }

    fn again(&mut self) -> Option<NextFoot> {
        let others: Vec<&PracticeFoot> = self
            .set
            .feet
            .iter()
            .filter(|foot| self.others_since(foot) != Some(0) || self.set.feet.len() == 1)
            .collect();
        let foot = self.costliest(others)?;
        Some(NextFoot {
            foot: foot.identifier.clone(),
            why: Why::Again {
                weakest: self.weakest_on(foot),
            },
        })
    }

    /// The foot on which the weakest thing cost most; of feet without it the one practised longest ago.
    fn costliest(&mut self, feet: Vec<&'a PracticeFoot>) -> Option<&'a PracticeFoot> {
        let rank = |foot: &PracticeFoot| {
            let cost = self.weakest_on(foot).map_or(-1.0, |(_, degrees)| degrees);
            (cost, self.others_since(foot).unwrap_or(usize::MAX))
        };
        let ranked = |one: &(f64, usize), other: &(f64, usize)| {
            one.0.total_cmp(&other.0).then(one.1.cmp(&other.1))
        };
        let best = feet.iter().map(|foot| rank(foot)).max_by(ranked)?;
        let equal: Vec<&PracticeFoot> = feet
            .into_iter()
            .filter(|foot| ranked(&rank(foot), &best).is_eq())
            .collect();
        self.drawn(&equal)
    }

    /// The difficulty that is due: easy to begin with, harder after some hits in a row.
    fn wanted_grade(&self) -> DifficultyGrade {
        let Some(last) = self.attempts.last() else {
            return DifficultyGrade::Easy;
        };
        let grade = self
            .set
            .foot(&last.foot)
            .map_or(DifficultyGrade::Easy, |foot| foot.difficulty.grade);
        let hits = self
            .attempts
            .iter()
            .rev()
            .take_while(|attempt| !attempt.missed);
        match (hits.count() >= HITS_TO_HARDER, grade) {
            (true, DifficultyGrade::Easy) => DifficultyGrade::Medium,
            (true, DifficultyGrade::Medium | DifficultyGrade::Hard) => DifficultyGrade::Hard,
            (false, grade) => grade,
        }
    }

    fn drawn(&mut self, feet: &[&'a PracticeFoot]) -> Option<&'a PracticeFoot> {
        if feet.is_empty() {
            return None;
        }
        let number = usize::try_from(self.source.next_u32()).unwrap_or(0);
        feet.get(number % feet.len()).copied()
    }
}
