//! What a reader traces next: the order of the bones, and the words that ask for each.

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Sesamoid, View};

/// One thing to trace, done by one gesture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TraceStep {
    /// The shaft of a long bone on one view.
    Shaft(View, LongBone),
    /// The round head of the first metatarsal.
    Head(View),
    /// The two ends of the first metatarsal's distal joint surface.
    JointSurface,
    /// A sesamoid under the first metatarsal head.
    Sesamoid(Sesamoid),
    /// Where an earlier osteotomy crosses the first metatarsal.
    OsteotomyLevel,
    /// The long axis of the talus.
    Talus,
    /// The plantar border of the calcaneus.
    Calcaneus,
    /// The floor on which the foot stands.
    Floor,
    /// Both corners of the base of the first metatarsal or the proximal phalanx.
    BaseCorners(LongBone),
    /// Both corners of the head of the proximal phalanx.
    PhalanxHead,
    /// The lateral corner of the base of the fourth or fifth metatarsal.
    LateralBaseCorner(LongBone),
    /// The medial edge of the first metatarsal's head and the lateral edge of the fifth's.
    ForefootBorders,
    /// The centre of the fourth metatarsal's head.
    FourthHead,
    /// The medial end of the talonavicular and the lateral end of the calcaneocuboid joint.
    TarsalJoints,
    /// The axis of the intermediate cuneiform.
    IntermediateCuneiform,
    /// The dorsal cortex of the first or second metatarsal on the lateral film.
    DorsalCortex(LongBone),
    /// The lowest point of the medial cuneiform.
    MedialCuneiform,
    /// The face of an earlier osteotomy on the shaft, on the lateral film.
    ShaftCut,
    /// Its face on the head's fragment.
    FragmentCut,
}

/// The gesture that a step asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GestureKind {
    /// A rough stroke from one place to another; two clicks serve as well.
    Sweep,
    /// One click.
    Click,
}

/// How far a step has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Progress {
    /// Nothing is placed.
    Missing,
    /// Nothing is placed, but the program proposes it.
    Proposed,
    /// Something is missing from it, or a point's spread is large.
    Doubtful,
    /// Everything is placed, with a small spread.
    Done,
}

/// A point whose standard deviation is above this share of the film's longer side is shown as
/// doubtful: about 1.5 mm on a film of a whole foot.
const DOUBTFUL_SHARE_OF_FILM: f64 = 0.01;

impl TraceStep {
    /// The steps of a view in the order in which they are asked for: the first ray before the
    /// others, because the first numbers that a clinician wants come from it.
    #[must_use]
    pub fn of_view(view: View, operated: bool) -> Vec<Self> {
        match view {
            View::Ap => {
                let mut steps = vec![
                    Self::Shaft(view, LongBone::M1),
                    Self::Shaft(view, LongBone::M2),
                    Self::Shaft(view, LongBone::ProximalPhalanx),
                    Self::Head(view),
                    Self::JointSurface,
                    Self::Sesamoid(Sesamoid::Tibial),
                    Self::Shaft(view, LongBone::DistalPhalanx),
                    Self::Sesamoid(Sesamoid::Fibular),
                    Self::Shaft(view, LongBone::M3),
                    Self::Shaft(view, LongBone::M4),
                    Self::Shaft(view, LongBone::M5),
                ];
                if operated {
                    steps.insert(1, Self::OsteotomyLevel);
                }
                steps
            }
            View::Lateral => vec![
                Self::Shaft(view, LongBone::M1),
                Self::Talus,
                Self::Calcaneus,
                Self::Floor,
                Self::Head(view),
            ],
        }
    }

    /// What can be traced beside [`Self::of_view`]: it serves numbers that few ask for, and is asked for
    /// only when somebody wants one of them.
    #[must_use]
    pub fn further(view: View, operated: bool) -> Vec<Self> {
        match view {
            View::Ap => vec![
                Self::BaseCorners(LongBone::M1),
                Self::BaseCorners(LongBone::ProximalPhalanx),
                Self::PhalanxHead,
                Self::ForefootBorders,
                Self::TarsalJoints,
                Self::LateralBaseCorner(LongBone::M4),
                Self::LateralBaseCorner(LongBone::M5),
                Self::IntermediateCuneiform,
                Self::FourthHead,
            ],
            View::Lateral => {
                let mut steps = vec![
                    Self::DorsalCortex(LongBone::M1),
                    Self::DorsalCortex(LongBone::M2),
                    Self::MedialCuneiform,
                ];
                if operated {
                    steps.extend([Self::ShaftCut, Self::FragmentCut]);
                }
                steps
            }
        }
    }

    /// The view on which it is traced.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::Shaft(view, _) | Self::Head(view) => view,
            Self::JointSurface
            | Self::Sesamoid(_)
            | Self::OsteotomyLevel
            | Self::BaseCorners(_)
            | Self::PhalanxHead
            | Self::LateralBaseCorner(_)
            | Self::ForefootBorders
            | Self::FourthHead
            | Self::TarsalJoints
            | Self::IntermediateCuneiform => View::Ap,
            Self::Talus
            | Self::Calcaneus
            | Self::Floor
            | Self::DorsalCortex(_)
            | Self::MedialCuneiform
            | Self::ShaftCut
            | Self::FragmentCut => View::Lateral,
        }
    }

    /// The gesture that it asks for.
    #[must_use]
    pub const fn gesture(self) -> GestureKind {
        match self {
            Self::Shaft(..)
            | Self::JointSurface
            | Self::Talus
            | Self::Calcaneus
            | Self::Floor
            | Self::BaseCorners(_)
            | Self::PhalanxHead
            | Self::ForefootBorders
            | Self::TarsalJoints
            | Self::IntermediateCuneiform
            | Self::DorsalCortex(_)
            | Self::ShaftCut
            | Self::FragmentCut => GestureKind::Sweep,
            Self::Head(_)
            | Self::Sesamoid(_)
            | Self::OsteotomyLevel
            | Self::LateralBaseCorner(_)
            | Self::FourthHead
            | Self::MedialCuneiform => GestureKind::Click,
        }
    }

    /// The landmarks that belong to it, in the order in which they are walked.
    #[must_use]
    pub fn landmarks(self) -> Vec<Landmark> {
        match self {
            Self::Shaft(_, bone) => Landmark::of_shaft(bone).to_vec(),
            Self::Head(_) => vec![Landmark::HeadCentre, Landmark::HeadEdge],
            Self::JointSurface => vec![Landmark::ArticularMedial, Landmark::ArticularLateral],
            Self::Sesamoid(sesamoid) => Landmark::of_sesamoid(sesamoid).to_vec(),
            Self::OsteotomyLevel => vec![Landmark::OsteotomyLevel],
            Self::Talus => vec![Landmark::TalusPosterior, Landmark::TalusAnterior],
            Self::Calcaneus => vec![Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
            Self::Floor => vec![Landmark::FloorPosterior, Landmark::FloorAnterior],
            Self::BaseCorners(bone) => {
                vec![Landmark::BaseMedial(bone), Landmark::BaseLateral(bone)]
            }
            Self::PhalanxHead => vec![
                Landmark::DistalMedial(LongBone::ProximalPhalanx),
                Landmark::DistalLateral(LongBone::ProximalPhalanx),
            ],
            Self::LateralBaseCorner(bone) => vec![Landmark::BaseLateral(bone)],
            Self::ForefootBorders => {
                vec![Landmark::HeadMedialEdge, Landmark::FifthHeadLateralEdge]
            }
            Self::FourthHead => vec![Landmark::FourthHeadCentre],
            Self::TarsalJoints => vec![
                Landmark::TalonavicularMedial,
                Landmark::CalcaneocuboidLateral,
            ],
            Self::IntermediateCuneiform => vec![
                Landmark::IntermediateCuneiformProximal,
                Landmark::IntermediateCuneiformDistal,
            ],
            Self::DorsalCortex(bone) => {
                vec![Landmark::DorsalProximal(bone), Landmark::DorsalDistal(bone)]
            }
            Self::MedialCuneiform => vec![Landmark::MedialCuneiformPlantar],
            Self::ShaftCut => vec![Landmark::ShaftCutPlantar, Landmark::ShaftCutDorsal],
            Self::FragmentCut => {
                vec![Landmark::FragmentCutPlantar, Landmark::FragmentCutDorsal]
            }
        }
    }

    /// Every step of a view, those of an operated foot and those that are seldom asked for among them.
    #[must_use]
    pub fn all_of(view: View) -> Vec<Self> {
        let mut steps = Self::of_view(view, true);
        steps.extend(Self::further(view, true));
        steps
    }

    /// The step to which a landmark on this view belongs.
    #[must_use]
    pub fn of_landmark(view: View, landmark: Landmark) -> Option<Self> {
        Self::all_of(view)
            .into_iter()
            .find(|step| step.landmarks().contains(&landmark))
    }

    /// How far it has come on a film whose longer side has `longer_side_px` pixels.
    #[must_use]
    pub fn progress(self, tracing: &FilmTracing, longer_side_px: usize) -> Progress {
        #[expect(
            clippy::cast_precision_loss,
            reason = "films are far below 2^52 pixels wide"
        )]
        let doubtful_above_px = longer_side_px as f64 * DOUBTFUL_SHARE_OF_FILM;
        let mut wanted = self.landmarks();
        let mut drawn_by_hand = false;
        if let Self::Shaft(_, bone) = self {
            if tracing.cortices.contains_key(&bone) {
                wanted.retain(|landmark| !is_stroke(*landmark));
            } else {
                drawn_by_hand = true;
                wanted.retain(|landmark| is_stroke(*landmark));
            }
        }
        let placed: Vec<_> = wanted
            .iter()
            .filter_map(|name| tracing.points.get(name))
            .collect();
        let has_cortices = matches!(self, Self::Shaft(..)) && !drawn_by_hand;
        if placed.is_empty() && !has_cortices {
            Progress::Missing
        } else if placed.len() < wanted.len()
            || placed.iter().any(|point| point.sd_px > doubtful_above_px)
        {
            Progress::Doubtful
        } else {
            Progress::Done
        }
    }
}

const fn is_stroke(landmark: Landmark) -> bool {
    matches!(landmark, Landmark::ShaftStart(_) | Landmark::ShaftEnd(_))
}

/// The first step of a view of which nothing is placed yet.
#[must_use]
pub(crate) fn first_missing(
    tracing: &FilmTracing,
    view: View,
    operated: bool,
    longer_side_px: usize,
) -> Option<TraceStep> {
    TraceStep::of_view(view, operated)
        .into_iter()
        .find(|step| step.progress(tracing, longer_side_px) == Progress::Missing)
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{FilmPoint, Origin, PlacedPoint};

    use super::*;

    fn placed(sd_px: f64) -> PlacedPoint {
        PlacedPoint {
            at: FilmPoint::new(1.0, 2.0),
            sd_px,
            origin: Origin::Hand,
        }
    }

    #[test]
    fn every_landmark_belongs_to_exactly_one_step_of_its_view() {
        for view in View::ALL {
            for landmark in Landmark::all()
                .into_iter()
                .filter(|landmark| landmark.is_on(view))
            {
                let owners = TraceStep::all_of(view)
                    .into_iter()
                    .filter(|step| step.landmarks().contains(&landmark))
                    .count();
                let lateral_osteotomy =
                    view == View::Lateral && landmark == Landmark::OsteotomyLevel;
                assert_eq!(
                    owners,
                    usize::from(!lateral_osteotomy),
                    "{landmark} on {view:?}"
                );
            }
        }
    }

    #[test]
    fn the_further_steps_place_what_is_seldom_asked_for() {
        for view in View::ALL {
            for (steps, is_seldom) in [
                (TraceStep::of_view(view, true), false),
                (TraceStep::further(view, true), true),
            ] {
                for landmark in steps.into_iter().flat_map(TraceStep::landmarks) {
                    assert_eq!(landmark.is_seldom_asked_for(), is_seldom, "{landmark}");
                }
            }
        }
    }

    #[test]
    fn the_next_step_is_the_first_without_a_point() {
        let mut tracing = FilmTracing::default();
        let first = first_missing(&tracing, View::Lateral, false, 1000);
        assert_eq!(
            first,
            Some(TraceStep::Shaft(View::Lateral, LongBone::M1)),
            "nothing yet"
        );
        tracing
            .points
            .insert(Landmark::ShaftStart(LongBone::M1), placed(1.0));
        tracing
            .points
            .insert(Landmark::ShaftEnd(LongBone::M1), placed(1.0));
        let second = first_missing(&tracing, View::Lateral, false, 1000);
        assert_eq!(second, Some(TraceStep::Talus), "the shaft is drawn by hand");
    }

    #[test]
    fn a_large_spread_makes_a_step_doubtful() {
        let mut tracing = FilmTracing::default();
        tracing.points.insert(Landmark::FloorPosterior, placed(1.0));
        assert_eq!(
            TraceStep::Floor.progress(&tracing, 1000),
            Progress::Doubtful,
            "one end only"
        );
        tracing.points.insert(Landmark::FloorAnterior, placed(1.0));
        assert_eq!(
            TraceStep::Floor.progress(&tracing, 1000),
            Progress::Done,
            "both ends"
        );
        tracing.points.insert(Landmark::FloorAnterior, placed(11.0));
        assert_eq!(
            TraceStep::Floor.progress(&tracing, 1000),
            Progress::Doubtful,
            "wide spread"
        );
    }
}
