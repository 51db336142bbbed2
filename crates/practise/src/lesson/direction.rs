//! Which way a thing lies off, in the words of anatomy.

use plumbray_anatomy::{LongBone, PhysicalVector, View};
use plumbray_measure::{BoneFrame, Foot, bone_frame};

/// A direction of the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Toward {
    /// Toward the other foot.
    Medial,
    /// Away from the other foot.
    Lateral,
    /// Toward the heel.
    Proximal,
    /// Toward the toes.
    Distal,
    /// Toward the back of the foot.
    Dorsal,
    /// Toward the sole.
    Plantar,
}

impl Toward {
    /// The name within a sentence.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Medial => "medial",
            Self::Lateral => "lateral",
            Self::Proximal => "proximal",
            Self::Distal => "distal",
            Self::Dorsal => "dorsal",
            Self::Plantar => "plantar",
        }
    }
}

/// A second direction is named where the step goes at least this share as far that way: the tangent of 22.5°, so that
/// eight directions share the circle equally.
const SECOND_SHARE: f64 = 0.414;

/// The directions of the foot on one film.
#[derive(Clone, Copy, Debug)]
pub(super) struct FootDirections {
    frame: BoneFrame,
    view: View,
}

impl FootDirections {
    /// The directions by the second metatarsal on the AP film, or else the first; by the first on the lateral film.
    /// Nothing where neither can be told: lateral needs two metatarsals and dorsal a floor.
    pub(super) fn of(foot: &Foot<'_>, view: View) -> Option<Self> {
        let bones: &[LongBone] = match view {
            View::Ap => &[LongBone::M2, LongBone::M1],
            View::Lateral => &[LongBone::M1],
        };
        let convention = foot.default_convention();
        bones.iter().find_map(|bone| {
            let frame = bone_frame(foot, view, *bone, convention.for_bone(*bone)).ok()?;
            Some(Self { frame, view })
        })
    }

    /// Where a step leads: its main direction, and a second one where it goes clearly that way too. Empty for no
    /// step.
    pub(super) fn toward(&self, step: PhysicalVector) -> Vec<Toward> {
        let along = step.dot(self.frame.along);
        let across = step.dot(self.frame.across);
        let mut named = [
            (along, self.along_name(along)),
            (across, self.across_name(across)),
        ];
        named.sort_by(|one, other| other.0.abs().total_cmp(&one.0.abs()));
        let [main, second] = named.map(|(amount, name)| (amount.abs(), name));
        let mut toward = Vec::new();
        if main.0 > 0.0 {
            toward.push(main.1);
            if second.0 >= SECOND_SHARE * main.0 {
                toward.push(second.1);
            }
        }
        toward
    }

    /// Where a step leads across the foot alone.
    pub(super) fn across(&self, step: PhysicalVector) -> Toward {
        self.across_name(step.dot(self.frame.across))
    }

    const fn along_name(&self, amount: f64) -> Toward {
        if amount < 0.0 {
            Toward::Proximal
        } else {
            Toward::Distal
        }
    }

    const fn across_name(&self, amount: f64) -> Toward {
        match (self.view, amount < 0.0) {
            (View::Ap, true) => Toward::Medial,
            (View::Ap, false) => Toward::Lateral,
            (View::Lateral, true) => Toward::Plantar,
            (View::Lateral, false) => Toward::Dorsal,
        }
    }
}
