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

    /// The view on which it is traced.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::Shaft(view, _) | Self::Head(view) => view,
            Self::JointSurface | Self::Sesamoid(_) | Self::OsteotomyLevel => View::Ap,
            Self::Talus | Self::Calcaneus | Self::Floor => View::Lateral,
        }
    }

    /// The gesture that it asks for.
    #[must_use]
    pub const fn gesture(self) -> GestureKind {
        match self {
            Self::Shaft(..) | Self::JointSurface | Self::Talus | Self::Calcaneus | Self::Floor => {
                GestureKind::Sweep
            }
            Self::Head(_) | Self::Sesamoid(_) | Self::OsteotomyLevel => GestureKind::Click,
        }
    }

    /// The name of what is traced: "First metatarsal".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Shaft(_, LongBone::M1) => "First metatarsal",
            Self::Shaft(_, LongBone::M2) => "Second metatarsal",
            Self::Shaft(_, LongBone::M3) => "Third metatarsal",
            Self::Shaft(_, LongBone::M4) => "Fourth metatarsal",
            Self::Shaft(_, LongBone::M5) => "Fifth metatarsal",
            Self::Shaft(_, LongBone::ProximalPhalanx) => "Proximal phalanx of the great toe",
            Self::Shaft(_, LongBone::DistalPhalanx) => "Distal phalanx of the great toe",
            Self::Head(_) => "Head of the first metatarsal",
            Self::JointSurface => "Joint surface of the first metatarsal head",
            Self::Sesamoid(Sesamoid::Tibial) => "Tibial sesamoid",
            Self::Sesamoid(Sesamoid::Fibular) => "Fibular sesamoid",
            Self::OsteotomyLevel => "Level of the earlier osteotomy",
            Self::Talus => "Talus",
            Self::Calcaneus => "Calcaneus",
            Self::Floor => "Floor line",
        }
    }

    /// Its name where room is short: "M1", "the joint surface".
    #[must_use]
    pub const fn short_name(self) -> &'static str {
        match self {
            Self::Shaft(View::Lateral, LongBone::M1) => "M1, lateral",
            Self::Shaft(_, LongBone::M1) => "M1",
            Self::Shaft(_, LongBone::M2) => "M2",
            Self::Shaft(_, LongBone::M3) => "M3",
            Self::Shaft(_, LongBone::M4) => "M4",
            Self::Shaft(_, LongBone::M5) => "M5",
            Self::Shaft(_, LongBone::ProximalPhalanx) => "proximal phalanx",
            Self::Shaft(_, LongBone::DistalPhalanx) => "distal phalanx",
            Self::Head(_) => "the head of M1",
            Self::JointSurface => "the joint surface",
            Self::Sesamoid(Sesamoid::Tibial) => "the tibial sesamoid",
            Self::Sesamoid(Sesamoid::Fibular) => "the fibular sesamoid",
            Self::OsteotomyLevel => "the osteotomy’s level",
            Self::Talus => "the talus",
            Self::Calcaneus => "the calcaneus",
            Self::Floor => "the floor",
        }
    }

    /// One sentence that asks for it.
    #[must_use]
    pub const fn prompt(self) -> &'static str {
        match self {
            Self::Shaft(_, LongBone::M1) => "Sweep along the first metatarsal, base to head.",
            Self::Shaft(_, LongBone::M2) => "Sweep along the second metatarsal, base to head.",
            Self::Shaft(_, LongBone::M3) => "Sweep along the third metatarsal, base to head.",
            Self::Shaft(_, LongBone::M4) => "Sweep along the fourth metatarsal, base to head.",
            Self::Shaft(_, LongBone::M5) => "Sweep along the fifth metatarsal, base to head.",
            Self::Shaft(_, LongBone::ProximalPhalanx) => {
                "Sweep along the proximal phalanx of the great toe, base to head."
            }
            Self::Shaft(_, LongBone::DistalPhalanx) => {
                "Sweep along the distal phalanx of the great toe, base to tip."
            }
            Self::Head(_) => "Click in the middle of the first metatarsal head.",
            Self::JointSurface => {
                "Sweep from one end of the metatarsal’s joint surface to the other."
            }
            Self::Sesamoid(Sesamoid::Tibial) => "Click on the tibial sesamoid, the medial one.",
            Self::Sesamoid(Sesamoid::Fibular) => "Click on the fibular sesamoid, the lateral one.",
            Self::OsteotomyLevel => {
                "Click where the earlier osteotomy crosses the first metatarsal."
            }
            Self::Talus => "Sweep along the axis of the talus, body to head.",
            Self::Calcaneus => "Sweep along the plantar border of the calcaneus, heel to front.",
            Self::Floor => "Sweep along the floor, heel to forefoot.",
        }
    }

    /// One line of help under the prompt.
    #[must_use]
    pub const fn help(self) -> &'static str {
        match self {
            Self::Shaft(..) => {
                "Both cortices and both ends are found for you. A rough stroke will do."
            }
            Self::Head(_) => "A circle is fitted to the articular edge.",
            Self::JointSurface => "Each end goes to where the outline leaves the head’s circle.",
            Self::Sesamoid(_) => {
                "Its outline is fitted as an ellipse; drag its points to correct it."
            }
            Self::OsteotomyLevel => "The shaft axis is then taken proximal to it only.",
            Self::Talus => "Midway between its upper and lower margin.",
            Self::Calcaneus => "Both ends go to the nearest edge.",
            Self::Floor => "Along the line on which heel and forefoot stand.",
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
        }
    }

    /// The step to which a landmark on this view belongs.
    #[must_use]
    pub fn of_landmark(view: View, landmark: Landmark) -> Option<Self> {
        Self::of_view(view, true)
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
                let owners = TraceStep::of_view(view, true)
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
