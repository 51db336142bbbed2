//! What a measurement comes to: a number with its uncertainty, or the reason why there is none.

use std::fmt;

use plumbray_anatomy::{Landmark, LongBone, View};

use crate::{
    construction::Construction,
    convention::AxisConvention,
    influence::{Influence, Sensitivity},
    normal_distribution::TWO_SIDED_95,
};

/// What a measurement comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// A number.
    Value(Box<Reading>),
    /// Something is not placed yet.
    Needs(Vec<Need>),
    /// The convention does not fit this visit or this bone.
    Refused {
        /// Why, and what to do.
        reason: String,
    },
    /// What was placed has no answer: points coincide, an axis is a few pixels long, a coordinate is
    /// no number.
    Degenerate {
        /// The landmarks at fault, as a person reads them.
        landmarks: Vec<String>,
        /// What is wrong with them, and what to do.
        reason: String,
    },
}

impl Outcome {
    /// The reading, where there is one.
    #[must_use]
    pub fn reading(&self) -> Option<&Reading> {
        match self {
            Self::Value(reading) => Some(reading),
            Self::Needs(_) | Self::Refused { .. } | Self::Degenerate { .. } => None,
        }
    }

    /// Why there is no number, in a few words: "needs M3 and a calibration". Nothing where there is
    /// one.
    #[must_use]
    pub fn why_not(&self) -> Option<String> {
        match self {
            Self::Value(_) => None,
            Self::Needs(needs) => Some(needs_text(needs)),
            Self::Refused { reason } => Some(reason.clone()),
            Self::Degenerate { landmarks, reason } => {
                Some(format!("{}: {reason}", landmarks.join(", ")))
            }
        }
    }

    /// The plain identifier of the state, used in files: `value`, `needs`, `refused`, `degenerate`.
    #[must_use]
    pub const fn status(&self) -> &'static str {
        match self {
            Self::Value(_) => "value",
            Self::Needs(_) => "needs",
            Self::Refused { .. } => "refused",
            Self::Degenerate { .. } => "degenerate",
        }
    }
}

fn needs_text(needs: &[Need]) -> String {
    let names: Vec<String> = needs.iter().map(Need::name).collect();
    match names.as_slice() {
        [] => "needs more of the tracing".to_owned(),
        [only] => format!("needs {only}"),
        [all_but_last @ .., last] => format!("needs {} and {last}", all_but_last.join(", ")),
    }
}

/// Something that a measurement lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Need {
    /// The film of this view.
    Film(View),
    /// The shaft of a bone, swept on the film of this view.
    Shaft(View, LongBone),
    /// A single point on the film of this view.
    Landmark(View, Landmark),
    /// Any second metatarsal, so that lateral and medial can be told.
    AnotherMetatarsal,
    /// The size of a pixel of the film of this view.
    Calibration(View),
}

impl Need {
    /// What is missing, in a few words: "M3", "the base of M1", "a calibration of the AP film".
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Film(View::Ap) => "an AP film".to_owned(),
            Self::Film(View::Lateral) => "a lateral film".to_owned(),
            Self::Shaft(view, bone) => on_film(short_name(*bone), *view),
            Self::Landmark(view, landmark) => on_film(&short_point_name(*landmark), *view),
            Self::AnotherMetatarsal => "another metatarsal".to_owned(),
            Self::Calibration(view) => {
                format!("a calibration of the {} film", view.name_in_sentence())
            }
        }
    }
}

impl fmt::Display for Need {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "needs {}", self.name())
    }
}

/// Every AP measurement is read on the AP film, so that only the lateral one needs saying.
fn on_film(what: &str, view: View) -> String {
    match view {
        View::Ap => what.to_owned(),
        View::Lateral => format!("{what} on the lateral film"),
    }
}

/// A bone as a label has it: "M1", "the proximal phalanx".
pub(crate) const fn short_name(bone: LongBone) -> &'static str {
    match bone {
        LongBone::M1 => "M1",
        LongBone::M2 => "M2",
        LongBone::M3 => "M3",
        LongBone::M4 => "M4",
        LongBone::M5 => "M5",
        LongBone::ProximalPhalanx => "the proximal phalanx",
        LongBone::DistalPhalanx => "the distal phalanx",
    }
}

fn short_point_name(landmark: Landmark) -> String {
    match landmark {
        Landmark::ShaftStart(bone) => {
            format!("the proximal end of the stroke along {}", short_name(bone))
        }
        Landmark::ShaftEnd(bone) => {
            format!("the distal end of the stroke along {}", short_name(bone))
        }
        Landmark::BaseCentre(bone) => format!("the base of {}", short_name(bone)),
        Landmark::Tip(bone) => format!("the tip of {}", short_name(bone)),
        Landmark::HeadCentre => "the head of M1".to_owned(),
        Landmark::HeadEdge => "the edge of the head of M1".to_owned(),
        Landmark::ArticularMedial => "the medial end of M1’s joint surface".to_owned(),
        Landmark::ArticularLateral => "the lateral end of M1’s joint surface".to_owned(),
        Landmark::OsteotomyLevel => "the level of the earlier osteotomy".to_owned(),
        Landmark::SesamoidCentre(sesamoid) => format!("the {}", sesamoid.name()),
        Landmark::SesamoidLongEnd(sesamoid) => {
            format!("the long axis of the {}", sesamoid.name())
        }
        Landmark::SesamoidShortEnd(sesamoid) => {
            format!("the short axis of the {}", sesamoid.name())
        }
        Landmark::TalusPosterior => "the posterior point of the talus".to_owned(),
        Landmark::TalusAnterior => "the anterior point of the talus".to_owned(),
        Landmark::CalcaneusPosterior => "the posterior point of the calcaneus".to_owned(),
        Landmark::CalcaneusAnterior => "the anterior point of the calcaneus".to_owned(),
        Landmark::FloorPosterior => "the floor under the heel".to_owned(),
        Landmark::FloorAnterior => "the floor under the forefoot".to_owned(),
        Landmark::BaseMedial(bone) => {
            format!("the medial corner of the base of {}", short_name(bone))
        }
        Landmark::BaseLateral(bone) => {
            format!("the lateral corner of the base of {}", short_name(bone))
        }
        Landmark::DistalMedial(bone) => {
            format!("the medial corner of the head of {}", short_name(bone))
        }
        Landmark::DistalLateral(bone) => {
            format!("the lateral corner of the head of {}", short_name(bone))
        }
        Landmark::HeadMedialEdge => "the medial edge of the head of M1".to_owned(),
        Landmark::FourthHeadCentre => "the centre of the head of M4".to_owned(),
        Landmark::FifthHeadLateralEdge => "the lateral edge of the head of M5".to_owned(),
        Landmark::TalonavicularMedial => "the medial end of the talonavicular joint".to_owned(),
        Landmark::CalcaneocuboidLateral => "the lateral end of the calcaneocuboid joint".to_owned(),
        Landmark::IntermediateCuneiformProximal => {
            "the proximal surface of the intermediate cuneiform".to_owned()
        }
        Landmark::IntermediateCuneiformDistal => {
            "the distal surface of the intermediate cuneiform".to_owned()
        }
        Landmark::DorsalProximal(bone) => {
            format!("the proximal dorsal point of {}", short_name(bone))
        }
        Landmark::DorsalDistal(bone) => format!("the distal dorsal point of {}", short_name(bone)),
        Landmark::MedialCuneiformPlantar => "the lowest point of the medial cuneiform".to_owned(),
        Landmark::ShaftCutDorsal => "the dorsal end of the cut on the shaft".to_owned(),
        Landmark::ShaftCutPlantar => "the plantar end of the cut on the shaft".to_owned(),
        Landmark::FragmentCutDorsal => "the dorsal end of the cut on the fragment".to_owned(),
        Landmark::FragmentCutPlantar => "the plantar end of the cut on the fragment".to_owned(),
    }
}

/// A number with everything that it stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The number, in the unit of its measurement.
    pub value: f64,
    /// Its standard deviation from the spread of this tracing alone, in the same unit; for a
    /// position or a grade, of the share that it follows from, in per cent.
    pub sd: f64,
    /// The standard deviation of this reader's own readings of one film, in the same unit, where it is known by these
    /// axes: [`OwnSpread`](crate::OwnSpread).
    pub own_sd: Option<f64>,
    /// Where 95 % of such tracings would put it: the number ± 1.96 standard deviations. Where the reader's own spread
    /// is known, it counts too: the number ± 1.96 [`interval_sd`](Self::interval_sd).
    pub interval: (f64, f64),
    /// The convention of the axes, where any axis was laid.
    pub convention: Option<AxisConvention>,
    /// Where its millimetres come from.
    pub calibration_name: Option<String>,
    /// Which parts of the tracing its variance comes from, the largest first.
    pub influences: Vec<Influence>,
    /// How it answers to each placed thing: the gradient.
    pub sensitivities: Vec<Sensitivity>,
    /// What the window draws for it.
    pub construction: Construction,
    /// For a position or a grade, the probability of each class from the spread of this tracing and the
    /// reader's error together; empty where the reader's error is impossible.
    pub classes: Vec<(&'static str, f64)>,
    /// What the reader should know beside the number.
    pub remarks: Vec<Remark>,
}

/// How the interval of a number is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// It reaches as far to either side: half of it.
    Even(f64),
    /// A limit of what the number can be cuts it: its ends.
    Cut(f64, f64),
    /// All of it lies beyond a limit of what the number can be: a sesamoid lies clear of its line by more than the
    /// tracing's spread. An interval of no width would look like a number that is known exactly.
    Beyond,
}

impl Spread {
    /// How an interval is told, given the number with its standard deviation, which no limit cuts.
    #[must_use]
    pub fn of(value: f64, sd: f64, (low, high): (f64, f64)) -> Self {
        let half = TWO_SIDED_95 * sd;
        let rounding = EVEN * half + f64::EPSILON * value.abs();
        let reaches = |end: f64| ((end - value).abs() - half).abs() <= rounding;
        if half <= 0.0 || (reaches(low) && reaches(high)) {
            Self::Even((high - low) / 2.0)
        } else if high > low {
            Self::Cut(low, high)
        } else {
            Self::Beyond
        }
    }
}

impl Reading {
    /// The standard deviation on which its interval stands, in the unit of `sd`: that of the tracing, and of the
    /// reader's own spread where it is known.
    #[must_use]
    pub fn interval_sd(&self) -> f64 {
        self.sd.hypot(self.own_sd.unwrap_or(0.0))
    }

    /// How its interval is told.
    #[must_use]
    pub fn spread(&self) -> Spread {
        Spread::of(self.value, self.interval_sd(), self.interval)
    }
}

/// How far rounding may put an end of an even interval, as a share of its half.
const EVEN: f64 = 1e-6;

/// What a reader should know beside a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remark {
    /// The axis of this bone is the line as it was drawn, not found from its cortices.
    DrawnByHand(LongBone),
    /// The convention exists for the first metatarsal only; this bone went by the quarters.
    ByTheQuarters(LongBone),
    /// How the two surfaces of the first metatarsophalangeal joint face each other.
    Congruence(JointCongruence),
}

/// How the surfaces of a joint face each other on the film.
///
/// After Piggott, J Bone Joint Surg Br 1960;42-B:749–760 (from memory): congruent where their lines run
/// about parallel, deviated where they meet outside the joint, subluxated where they meet within it. What
/// counts as parallel is the limit of [`PARALLEL_DEGREES`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JointCongruence {
    /// The lines are about parallel.
    Congruent,
    /// The lines meet beside the joint.
    Deviated,
    /// The lines meet within the joint.
    Subluxated,
}

/// Joint lines that differ by no more count as parallel, in degrees: J Orthop Surg Res 2022, doi
/// 10.1186/s13018-022-03028-1, 245 feet, found joints incongruent above it.
pub const PARALLEL_DEGREES: f64 = 10.67;

impl JointCongruence {
    /// The class in one word.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Congruent => "congruent",
            Self::Deviated => "deviated",
            Self::Subluxated => "subluxated",
        }
    }

    const fn text(self) -> &'static str {
        match self {
            Self::Congruent => "congruent: the joint lines are about parallel",
            Self::Deviated => "deviated: the joint lines meet beside the joint",
            Self::Subluxated => "subluxated: the joint lines meet within the joint",
        }
    }
}

impl Remark {
    /// The remark in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::DrawnByHand(bone) => format!("{} drawn by hand", short_name(*bone)),
            Self::ByTheQuarters(bone) => {
                format!("{} mid-diaphyseal at the quarters", short_name(*bone))
            }
            Self::Congruence(congruence) => congruence.text().to_owned(),
        }
    }
}
