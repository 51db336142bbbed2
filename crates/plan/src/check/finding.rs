//! The names of what is checked, each with its rule and source.

/// What a plan is checked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Finding {
    /// The cut lies where it usually lies.
    LevelUsual,
    /// The cut passes proximal of the sesamoids.
    ClearOfSesamoids,
    /// The faces still touch.
    ContactLeft,
    /// The goal at which the shift is held is reached.
    GoalReached,
    /// The great toe does not point medially.
    NoHalluxVarus,
    /// The first ray is not brought beyond the second's direction.
    NotOvercorrected,
    /// The great toe does not stay in valgus.
    ToeStraightened,
    /// The first ray is not shortened by more than is common to bear.
    LengthKept,
    /// Two screws, at least, hold the fragment.
    TwoScrews,
    /// One of the screws grips the lateral cortex of the head.
    LateralHeadGripped,
    /// A first screw crosses at least three cortices.
    ThreeCortices,
    /// A first screw leaves the shaft proximal of the cut, with bone to spare.
    LeavesBeforeCut,
    /// A second screw runs inside the shaft.
    InsideShaft,
    /// A tip lies inside the head, clear of the joint.
    TipInHead,
    /// An entry lies clear of the step that is trimmed.
    ClearOfStep,
    /// Screws keep apart.
    Apart,
    /// A length at hand fits.
    LengthAtHand,
    /// A wire runs along the joint line.
    AlongJoint,
    /// A wire lies in the distal half of the fragment.
    InDistalHalf,
    /// On the lateral film the entry lies near the midline of the bone.
    EntryNearMidline,
    /// On the lateral film the aim is not plantar of the head.
    AimNotPlantar,
    /// On the lateral film the screw is level with the middle of the medial cuneiform.
    LevelWithCuneiform,
}

impl Finding {
    /// What is checked, as a person reads it beside a tick.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::LevelUsual => "Cut at the usual distance from the joint",
            Self::ClearOfSesamoids => "Cut clear of the sesamoids",
            Self::ContactLeft => "Cortical contact at the cut",
            Self::GoalReached => "The goal that is held is reached",
            Self::NoHalluxVarus => "No hallux varus",
            Self::NotOvercorrected => "Intermetatarsal angle not overcorrected",
            Self::ToeStraightened => "Hallux valgus within the usual range",
            Self::LengthKept => "Shortened by less than 3 mm along M2",
            Self::TwoScrews => "Held by two screws",
            Self::LateralHeadGripped => "A screw grips the lateral cortex of the head",
            Self::ThreeCortices => "Crosses at least three cortices",
            Self::LeavesBeforeCut => "Leaves the shaft before the cut",
            Self::InsideShaft => "Runs inside the shaft",
            Self::TipInHead => "Tip inside the head, clear of the joint",
            Self::ClearOfStep => "Enters clear of the medial step",
            Self::Apart => "Clear of the other screws",
            Self::LengthAtHand => "A length at hand fits",
            Self::AlongJoint => "Parallel to the joint line",
            Self::InDistalHalf => "In the distal half of the fragment",
            Self::EntryNearMidline => "Enters near the midline",
            Self::AimNotPlantar => "Tip not plantar of the head",
            Self::LevelWithCuneiform => "Level with the middle of the medial cuneiform",
        }
    }

    /// By which rule, and where it comes from.
    #[must_use]
    pub const fn rule(self) -> &'static str {
        match self {
            Self::LevelUsual => {
                "22 to 25 mm from the centre of the joint, or 36 to 41 % of the bone where nothing is \
                 calibrated. Common practice, no source; the shares are ours."
            }
            Self::ClearOfSesamoids => "The cut lies proximal of both. Common practice, no source.",
            Self::ContactLeft => {
                "The faces overlap at all. At the extreme the shaft’s lateral edge meets the fragment’s medial \
                 one. Common practice, no source; for other techniques 4 to 5 mm or half the width have been \
                 asked for (J Orthop Surg Res 2015, doi 10.1186/s13018-015-0304-7)."
            }
            Self::NoHalluxVarus => "The planned hallux valgus angle is not below 0°.",
            Self::NotOvercorrected => {
                "The planned angle between M1 and M2 is not below 0°: beyond it their heads draw near. Ours."
            }
            Self::GoalReached => {
                "The shift is held at a goal and found again whenever the plan changes; where no shift reaches it \
                 the shift stays as it was. Ours."
            }
            Self::ToeStraightened => {
                "The planned hallux valgus angle is at most 15°, the upper limit of what is usual (limit from memory)."
            }
            Self::LengthKept => {
                "Less than 3 mm along the second ray. Transfer pain in 6.1 % below 3 mm, 15 % from 3 to 4 mm, 27 % \
                 above (15 studies, 1550 patients, ACFAS 2025, abstract)."
            }
            Self::TwoScrews => {
                "One screw alone fails in rotation: Foot Ankle Orthop 2024, doi 10.1177/24730114241303768, 30 bone \
                 models."
            }
            Self::LateralHeadGripped => {
                "The tip comes within half a diameter of it. Failure at 250 N with it, 181 N and 131 N without: Foot \
                 Ankle Orthop 2024, doi 10.1177/24730114241303768, 30 bone models."
            }
            Self::ThreeCortices => {
                "Medial cortex in, lateral cortex out short of the cut, and one of the head. Common practice, no \
                 source."
            }
            Self::LeavesBeforeCut => {
                "Its own diameter at least is left to the cut. Common practice, no source; the amount is ours."
            }
            Self::InsideShaft => {
                "A second screw does not leave the lateral cortex. Common practice, no source."
            }
            Self::TipInHead => {
                "The tip lies in the fragment, its body short of the joint surface. Common practice, no source."
            }
            Self::ClearOfStep => {
                "An entry close to the step is lost when the step is trimmed; its diameter at least is left. Common \
                 practice, no source; the amount is ours."
            }
            Self::Apart => "Their axes keep a diameter apart. Ours.",
            Self::LengthAtHand => {
                "One of the lengths that you stated reaches no further than the tip."
            }
            Self::AlongJoint => {
                "Within 10° of the line of the head’s joint surface. Common practice, no source; the amount is ours."
            }
            Self::InDistalHalf => {
                "Its middle lies in the half of the fragment toward the joint. Common practice, no source."
            }
            Self::EntryNearMidline => {
                "Within a quarter of the shaft’s height of the line along its middle, which is also marked on the \
                 skin. Common practice, no source; the amount is ours."
            }
            Self::AimNotPlantar => {
                "The tip lies no lower than half the head’s radius below its centre. Common practice, no source; the \
                 amount is ours."
            }
            Self::LevelWithCuneiform => {
                "Drawn on backward, it passes the base within a quarter of the shaft’s height of its middle, which \
                 faces the middle of the medial cuneiform. Common practice, no source; the amount is ours."
            }
        }
    }

    /// What its number is, where its name does not say: from where to where a length is.
    #[must_use]
    pub const fn figure_is(self) -> Option<&'static str> {
        Some(match self {
            Self::ClearOfSesamoids => "from the cut to the sesamoids’ proximal edge",
            Self::LateralHeadGripped => "from the tip to the lateral cortex of the head",
            Self::LeavesBeforeCut => "from where it leaves the lateral cortex to the cut",
            Self::InsideShaft => "of its length",
            Self::TipInHead => "from the tip to the joint surface",
            Self::ClearOfStep => "from the entry to the corner at the cut",
            Self::Apart => "from its axis to the next one’s",
            Self::EntryNearMidline => "from the midline to the entry",
            Self::AimNotPlantar => "from half the head’s radius below its centre up to the tip",
            Self::LevelWithCuneiform => "from the middle of the base to its line drawn on backward",
            Self::InDistalHalf => "from the middle of the fragment to that of the wire",
            Self::GoalReached
            | Self::LevelUsual
            | Self::ContactLeft
            | Self::NoHalluxVarus
            | Self::NotOvercorrected
            | Self::ToeStraightened
            | Self::LengthKept
            | Self::TwoScrews
            | Self::ThreeCortices
            | Self::LengthAtHand
            | Self::AlongJoint => return None,
        })
    }

    /// What it means that its number is below 0.
    #[must_use]
    pub const fn below_zero_is(self) -> Option<&'static str> {
        match self {
            Self::ClearOfSesamoids => Some("the cut passes beside them"),
            Self::LateralHeadGripped => Some("the tip lies beyond it"),
            Self::TipInHead => Some("the tip lies outside the head"),
            Self::ClearOfStep => Some("it enters distal of the corner"),
            Self::LeavesBeforeCut => Some("it leaves distal of the cut"),
            Self::EntryNearMidline | Self::LevelWithCuneiform => Some("plantar of it"),
            Self::InDistalHalf => Some("proximal of it"),
            _ => None,
        }
    }

    /// What may help where it is open, beyond what its rule says.
    #[must_use]
    pub const fn help(self) -> Option<&'static str> {
        match self {
            Self::ToeStraightened => Some(
                "a wedge from the phalanx, a turn of the head that the toe follows, or a toe that is brought to an \
                 angle by releasing the joint",
            ),
            Self::GoalReached => Some("another level, tilt or goal"),
            Self::NotOvercorrected => Some("a smaller shift"),
            _ => None,
        }
    }
}
