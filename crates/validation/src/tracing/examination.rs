//! Every film is looked at without a click and read by rough readers.

use std::path::Path;

use anyhow::Result;
use plumbray_anatomy::View;
use plumbray_phantom::{Exposure, Foot, SimulatedFilm, SimulationError, render_ap, render_lateral};
use plumbray_proposal::{Hints, Proposal, Sight};
use rayon::prelude::*;

use super::{
    change::Change,
    judged::{Judged, Traced},
    truth::KnownFilm,
};
use crate::{
    accuracy::simulated, chance::Chance, cohort::random_foot, quality::Quality,
    reader::rough_hints, real_film::real_films,
};

/// How much is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracingPlan {
    /// Seed of feet, films, readers and changes.
    pub seed: u64,
    /// How many feet.
    pub feet: usize,
    /// How many rough readers read each film as it is.
    pub readers: usize,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
}

/// How many changes each good AP film undergoes, one at a time; they take turns.
pub const CHANGES_PER_FILM: usize = 3;

/// How many readers read a changed film.
const READERS_OF_CHANGED: usize = 2;

/// Streams of chance among those of a seed.
const HANDS: u64 = 3 << 32;
const CHANGES: u64 = 4 << 32;

/// What was seen on a film without a click.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// No foot, or nothing that can be proposed.
    Nothing,
    /// A foot.
    Foot {
        /// Whether exactly one foot was proposed, as every film of these shows.
        is_only_one: bool,
        /// Whether the view is right.
        view_is_right: bool,
        /// Whether the side is right; of an AP film only.
        side_is_right: bool,
        /// The proposal beside the truth.
        judged: Judged,
    },
}

/// What came of one film.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmOutcome {
    /// The number of the foot.
    pub film: usize,
    /// AP or lateral.
    pub view: View,
    /// How good the film is.
    pub quality: Quality,
    /// What was done to it.
    pub change: Option<Change>,
    /// What was seen on it without a click.
    pub seen: Seen,
    /// What each rough reader's hints led to.
    pub readers: Vec<Judged>,
}

impl FilmOutcome {
    /// Whether a reader is asked to look: no foot was found, or a landmark of the first ray is doubted or
    /// left to the reader.
    #[must_use]
    pub const fn is_flagged(&self) -> bool {
        self.seen.is_flagged()
    }

    /// Whether it is a good film as it was made.
    #[must_use]
    pub fn is_good(&self) -> bool {
        self.quality == Quality::Good && self.change.is_none()
    }
}

impl Seen {
    /// See [`FilmOutcome::is_flagged`].
    #[must_use]
    pub const fn is_flagged(&self) -> bool {
        match self {
            Self::Nothing => true,
            Self::Foot { judged, .. } => judged.first_ray_is_flagged,
        }
    }

    /// The proposal beside the truth, if there is one.
    #[must_use]
    pub const fn judged(&self) -> Option<&Judged> {
        match self {
            Self::Nothing => None,
            Self::Foot { judged, .. } => Some(judged),
        }
    }
}

/// Examines every film. A film on which the phantom finds no outline has no truth and is left out.
///
/// # Errors
/// When a foot, a film or a changed copy cannot be made.
pub fn examine_all(plan: &TracingPlan) -> Result<Vec<FilmOutcome>> {
    let films: Vec<Vec<FilmOutcome>> = (0..plan.feet)
        .into_par_iter()
        .map(|number| FootOfPlan { plan, number }.examine())
        .collect::<Result<_>>()?;
    Ok(films.into_iter().flatten().collect())
}

struct FootOfPlan<'a> {
    plan: &'a TracingPlan,
    number: usize,
}

impl FootOfPlan<'_> {
    fn examine(&self) -> Result<Vec<FilmOutcome>> {
        let foot = random_foot(self.plan.seed, self.number as u64)?;
        let mut outcomes = Vec::new();
        if let Some(ap) = self.film(&foot, View::Ap)? {
            outcomes.push(self.outcome(&ap, None));
            if self.quality() == Quality::Good {
                for change in self.changes() {
                    outcomes.push(self.outcome(&self.changed(&ap, change)?, Some(change)));
                }
            }
        }
        if let Some(lateral) = self.film(&foot, View::Lateral)? {
            outcomes.push(self.outcome(&lateral, None));
        }
        Ok(outcomes)
    }

    const fn quality(&self) -> Quality {
        Quality::of_film(self.number)
    }

    fn film(&self, foot: &Foot, view: View) -> Result<Option<KnownFilm>> {
        let exposure = self.quality().exposure(Exposure {
            pixel_mm: self.plan.pixel_mm,
            seed: self.plan.seed.wrapping_add(self.number as u64),
            ..Exposure::default()
        });
        let render: fn(&Foot, &Exposure) -> Result<SimulatedFilm, SimulationError> = match view {
            View::Ap => render_ap,
            View::Lateral => render_lateral,
        };
        let Some(film) = simulated(render(foot, &exposure))? else {
            return Ok(None);
        };
        let hints = (0..self.plan.readers)
            .map(|reader| {
                let stream = (self.number as u64 * 64 + reader as u64) * 2 + view as u64;
                let mut chance = Chance::new(self.plan.seed, HANDS + stream);
                Ok(rough_hints(&film.truth, &mut chance)?.hints)
            })
            .collect::<Result<Vec<Hints>>>()?;
        Ok(Some(KnownFilm::simulated(&film, self.quality(), hints)?))
    }

    /// The changes whose turn it is: of films with even numbers, every second one is good.
    fn changes(&self) -> impl Iterator<Item = Change> + use<> {
        let first = self.number / 2 * CHANGES_PER_FILM;
        (first..first + CHANGES_PER_FILM).map(|turn| Change::ALL[turn % Change::ALL.len()])
    }

    fn changed(&self, film: &KnownFilm, change: Change) -> Result<KnownFilm> {
        let stream = self.number as u64 * 64 + change as u64;
        let mut changed =
            change.applied(film, &mut Chance::new(self.plan.seed, CHANGES + stream))?;
        changed.hints.truncate(READERS_OF_CHANGED);
        Ok(changed)
    }

    fn outcome(&self, film: &KnownFilm, change: Option<Change>) -> FilmOutcome {
        let (seen, readers) = examined(film);
        FilmOutcome {
            film: self.number,
            view: film.truth.view,
            quality: self.quality(),
            change,
            seen,
            readers,
        }
    }
}

/// What is seen on a film without a click, and what each reader's hints lead to.
fn examined(film: &KnownFilm) -> (Seen, Vec<Judged>) {
    let (truth, grey) = (&film.truth, film.grey());
    let sight = Sight::of(&grey).ok();
    let proposals = sight
        .as_ref()
        .map_or_else(Vec::new, |sight| sight.proposals(&grey));
    let readers = film
        .hints
        .iter()
        .map(|hints| Traced::from_hints(&grey, sight.as_ref(), truth.view, hints))
        .map(|traced| Judged::new(truth, &traced))
        .collect();
    (seen(film, proposals), readers)
}

/// The first proposal beside the truth: whoever proposes two feet where there is one is wrong anyway.
fn seen(film: &KnownFilm, proposals: Vec<Proposal>) -> Seen {
    let (truth, is_only_one) = (&film.truth, proposals.len() == 1);
    let Some(proposal) = proposals.into_iter().next() else {
        return Seen::Nothing;
    };
    Seen::Foot {
        is_only_one,
        view_is_right: proposal.view == truth.view,
        side_is_right: proposal.side == Some(truth.side),
        judged: Judged::new(truth, &proposal.into()),
    }
}

/// What came of one film of real bones.
#[derive(Clone, Debug, PartialEq)]
pub struct RealOutcome {
    /// The film.
    pub name: String,
    /// What was seen on it without a click.
    pub seen: Seen,
    /// What each rough reader's hints led to.
    pub readers: Vec<Judged>,
}

/// Examines a folder of films of real bones.
///
/// # Errors
/// When the folder or a film in it cannot be read; the message names it.
pub fn examine_real(folder: &Path) -> Result<Vec<RealOutcome>> {
    real_films(folder)?
        .map(|film| {
            let film = film?;
            let name = film.name.clone();
            let (seen, readers) = examined(&KnownFilm::real(film)?);
            Ok(RealOutcome {
                name,
                seen,
                readers,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Side};
    use plumbray_proposal::Doubt;

    use super::*;
    use crate::tracing::{Traced, Truth};

    fn film() -> KnownFilm {
        KnownFilm {
            width: 1,
            height: 1,
            samples: vec![0],
            bone_is_bright: true,
            truth: Truth::of_tracing(View::Ap, Side::Left, 0.2, FilmTracing::default()),
            hints: Vec::new(),
        }
    }

    fn proposal(view: View, side: Option<Side>) -> Proposal {
        Proposal {
            view,
            side,
            tracing: FilmTracing::default(),
            doubts: BTreeMap::new(),
            left_to_reader: BTreeMap::new(),
        }
    }

    fn verdicts(proposals: Vec<Proposal>) -> Option<[bool; 3]> {
        match seen(&film(), proposals) {
            Seen::Nothing => None,
            Seen::Foot {
                is_only_one,
                view_is_right,
                side_is_right,
                ..
            } => Some([is_only_one, view_is_right, side_is_right]),
        }
    }

    #[test]
    fn one_foot_with_its_view_and_side_is_right_and_anything_else_is_told() {
        let right = proposal(View::Ap, Some(Side::Left));
        for (proposals, expected) in [
            (Vec::new(), None),
            (vec![right.clone()], Some([true; 3])),
            (vec![right.clone(), right], Some([false, true, true])),
            (
                vec![proposal(View::Lateral, None)],
                Some([true, false, false]),
            ),
            (
                vec![proposal(View::Ap, Some(Side::Right))],
                Some([true, true, false]),
            ),
        ] {
            assert_eq!(verdicts(proposals.clone()), expected, "{proposals:?}");
        }
    }

    #[test]
    fn a_film_is_flagged_by_its_first_ray_only() {
        let flagged = |landmark| {
            let mut proposal = proposal(View::Ap, Some(Side::Left));
            proposal.doubts.insert(landmark, Doubt::Faint);
            seen(&film(), vec![proposal]).is_flagged()
        };
        assert!(flagged(Landmark::Tip(LongBone::M1)), "first metatarsal");
        assert!(flagged(Landmark::HeadEdge), "its head");
        assert!(!flagged(Landmark::Tip(LongBone::M3)), "third metatarsal");
        assert!(Seen::Nothing.is_flagged(), "no foot");
    }

    #[test]
    fn what_the_plain_search_does_not_find_is_flagged() {
        let film = KnownFilm {
            width: 64,
            height: 64,
            samples: vec![500; 64 * 64],
            ..film()
        };
        let at = |x, y| plumbray_anatomy::FilmPoint::new(x, y);
        let bone = LongBone::M1;
        let hints = Hints {
            points: [
                (Landmark::ShaftStart(bone), at(20.0, 50.0)),
                (Landmark::ShaftEnd(bone), at(20.0, 10.0)),
                (Landmark::HeadCentre, at(20.0, 12.0)),
            ]
            .into(),
        };
        let traced = Traced::from_hints(&film.grey(), None, View::Ap, &hints);
        let flagged: Vec<Landmark> = traced.flags.keys().copied().collect();
        let expected = [
            Landmark::ShaftStart(bone),
            Landmark::ShaftEnd(bone),
            Landmark::BaseCentre(bone),
            Landmark::Tip(bone),
            Landmark::HeadCentre,
        ];
        assert_eq!(flagged, expected, "an empty film has no bone");
    }

    #[test]
    fn every_change_has_its_turn_equally_often() {
        let plan = TracingPlan {
            seed: 1,
            feet: 40,
            readers: 1,
            pixel_mm: 0.2,
        };
        let good = (0..plan.feet).filter(|number| Quality::of_film(*number) == Quality::Good);
        let all: Vec<Change> = good
            .flat_map(|number| {
                FootOfPlan {
                    plan: &plan,
                    number,
                }
                .changes()
            })
            .collect();
        for change in Change::ALL {
            let count = all.iter().filter(|one| **one == change).count();
            assert_eq!(count, 6, "{}", change.name());
        }
    }
}
