//! What a person can do while an operation is planned, as data.

use std::path::PathBuf;

use plumbray_anatomy::{FilmPoint, View};
use plumbray_plan::{
    Aim, CutDirection, CutForm, Extent, Goal, LengthSteps, Plan, ScrewKind, ToeRule,
};

use super::screws::by_hand;
use crate::planning::screw_words::letter;

/// One field of a plan, with what it is to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanEdit {
    /// How far from the joint the cut lies.
    Level(Extent),
    /// Which way it runs.
    Direction(CutDirection),
    /// Its form as seen from the side.
    Form(CutForm),
    /// How much bone the burr takes.
    Kerf(Extent),
    /// How far the head comes to lie lateral.
    Shift(Extent),
    /// The turn of the head toward medial, in degrees.
    MedialTurn(f64),
    /// Its supination, in degrees.
    Supination(f64),
    /// How far it is shifted dorsally.
    DorsalShift(Extent),
    /// Its tilt toward plantar, in degrees.
    PlantarTilt(f64),
    /// How the toe goes with the head.
    ToeRule(ToeRule),
    /// The wedge taken from the phalanx, in degrees.
    Wedge(f64),
    /// Whether the medial step is taken off.
    StepTrimmed(bool),
    /// How much of the correction may be lost, as a share.
    LostShare(f64),
    /// In which lengths screws are at hand.
    Lengths(LengthSteps),
    /// The diameter of the screw or wire at a place.
    Diameter(usize, Extent),
}

impl PlanEdit {
    /// Sets the field.
    pub fn apply_to(self, plan: &mut Plan) {
        match self {
            Self::Level(level) => plan.cut.level = level,
            Self::Direction(direction) => plan.cut.direction = direction,
            Self::Form(form) => plan.cut.form = form,
            Self::Kerf(kerf) => plan.cut.kerf = kerf,
            Self::Shift(shift) => {
                plan.head.shift = shift;
                // A shift that is stated is held at nothing.
                plan.head.goal = None;
            }
            Self::MedialTurn(degrees) => plan.head.medial_turn_degrees = degrees,
            Self::Supination(degrees) => plan.head.supination_degrees = degrees,
            Self::DorsalShift(shift) => plan.head.dorsal_shift = shift,
            Self::PlantarTilt(degrees) => plan.head.plantar_tilt_degrees = degrees,
            Self::ToeRule(rule) => plan.toe.rule = rule,
            Self::Wedge(degrees) => plan.toe.wedge_degrees = degrees,
            Self::StepTrimmed(trimmed) => plan.step_trimmed = trimmed,
            Self::LostShare(share) => plan.lost_share = share,
            Self::Lengths(lengths) => plan.lengths = lengths,
            Self::Diameter(place, diameter) => {
                by_hand(plan, place);
                if let Some(screw) = plan.screws.get_mut(place) {
                    screw.diameter = diameter;
                }
            }
        }
    }

    /// What is changed, in a few words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Level(_) => "level of the cut",
            Self::Direction(_) => "direction of the cut",
            Self::Form(_) => "form of the cut",
            Self::Kerf(_) => "kerf",
            Self::Shift(_) => "shift of the head",
            Self::MedialTurn(_) => "turn of the head",
            Self::Supination(_) => "supination of the head",
            Self::DorsalShift(_) => "dorsal shift of the head",
            Self::PlantarTilt(_) => "tilt of the head",
            Self::ToeRule(_) => "what becomes of the toe",
            Self::Wedge(_) => "wedge of the phalanx",
            Self::StepTrimmed(_) => "medial step",
            Self::LostShare(_) => "share that may be lost",
            Self::Lengths(_) => "lengths at hand",
            Self::Diameter(..) => "diameter of a screw",
        }
    }
}

/// Something of a plan that can be dragged on a film.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlanHandle {
    /// The centre of the head's fragment on the AP film: the shift.
    Head,
    /// The middle of the cut on the AP film: its level.
    Cut,
    /// The lateral end of the cut on the AP film: its tilt.
    CutEnd,
    /// An end of a screw on either film: 0 is its entry, 1 its tip.
    ScrewEnd(View, usize, usize),
}

/// What a person can do while an operation is planned.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanCommand {
    /// Plan an operation on the foot that is open.
    Begin,
    /// Go back to measuring.
    Leave,
    /// Work on the plan at this place.
    Choose(usize),
    /// A copy of the plan to vary it, or a first plan where there is none.
    Another,
    /// Take the plan at this place away.
    Remove(usize),
    /// Call the plan so; `finished` when nobody writes any more.
    Rename(String, bool),
    /// Change a field; `finished` when the hand lets go.
    Set(PlanEdit, bool),
    /// Drag something of the plan to a place of its film; `finished` when the hand lets go.
    Drag(PlanHandle, FilmPoint, bool),
    /// Say every length of the plan in millimetres, or in per cent.
    Units(Units),
    /// The intermetatarsal angle to aim for, in degrees.
    AimFor(f64),
    /// Find the shift that reaches this, and hold it there.
    Solve(Goal),
    /// Hold the shift at no goal any more.
    LetGo,
    /// Tilt the cut so that it keeps the length along the second metatarsal.
    KeepLength,
    /// Find the best pair of screws.
    SuggestScrews,
    /// Add a screw or a wire.
    AddScrew(ScrewKind),
    /// Take the screw or wire at this place away.
    RemoveScrew(usize),
    /// Show the first ray on both films as large as there is room.
    ShowFirstRay,
    /// Ask where to put the sheet for theatre.
    AskSheet,
    /// Make the sheet for theatre.
    MakeSheet(PathBuf),
}

/// In what the lengths of a plan are said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// In millimetres.
    Millimetres,
    /// In per cent of the bone.
    PerCent,
}

impl PlanCommand {
    /// Those that the searchable list offers.
    pub(crate) fn listed() -> impl Iterator<Item = Self> {
        let aims = Aim::all()
            .into_iter()
            .map(|aim| PlanEdit::Direction(CutDirection::Toward(aim)));
        [
            Self::Begin,
            Self::Leave,
            Self::Another,
            Self::SuggestScrews,
            Self::AddScrew(ScrewKind::Screw),
            Self::AddScrew(ScrewKind::Wire),
            Self::AskSheet,
            Self::ShowFirstRay,
            Self::Solve(Goal::SesamoidsUnderHead),
            Self::Solve(Goal::MostThisBoneAllows),
            Self::LetGo,
            Self::KeepLength,
            Self::Units(Units::Millimetres),
            Self::Units(Units::PerCent),
            Self::Set(PlanEdit::StepTrimmed(true), true),
            Self::Set(PlanEdit::StepTrimmed(false), true),
        ]
        .into_iter()
        .chain(aims.map(|edit| Self::Set(edit, true)))
    }

    /// What it does, in a few words; also the name of the change for undo.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Begin => "Plan an operation on this foot".to_owned(),
            Self::Leave => "Go back to measuring".to_owned(),
            Self::Choose(place) => format!("Work on plan {}", place + 1),
            Self::Another => "Another plan".to_owned(),
            Self::Remove(place) => format!("Take plan {} away", place + 1),
            Self::Rename(..) => "Name the plan".to_owned(),
            Self::Set(PlanEdit::Direction(CutDirection::Toward(aim)), _) => {
                format!("Plan: aim the cut at {}", aim.name())
            }
            Self::Set(PlanEdit::StepTrimmed(true), _) => {
                "Plan: take the medial step off".to_owned()
            }
            Self::Set(PlanEdit::StepTrimmed(false), _) => "Plan: leave the medial step".to_owned(),
            Self::Set(edit, _) => format!("Plan: {}", edit.name()),
            Self::Drag(handle, ..) => match handle {
                PlanHandle::Head => "Plan: shift of the head".to_owned(),
                PlanHandle::Cut => "Plan: level of the cut".to_owned(),
                PlanHandle::CutEnd => "Plan: direction of the cut".to_owned(),
                PlanHandle::ScrewEnd(_, place, end) => {
                    let end = ["entry", "tip"][usize::from(*end > 0)];
                    format!("Plan: {end} of screw {}", letter(*place))
                }
            },
            Self::Units(Units::Millimetres) => "Plan in millimetres".to_owned(),
            Self::Units(Units::PerCent) => "Plan in per cent of the bone".to_owned(),
            Self::AimFor(_) => "Choose the angle to aim for".to_owned(),
            Self::Solve(Goal::IntermetatarsalAngle(degrees)) => {
                format!("Shift for an intermetatarsal angle of {degrees:.1}°")
            }
            Self::Solve(Goal::SesamoidsUnderHead) => {
                "Shift until the sesamoids lie under the head".to_owned()
            }
            Self::Solve(Goal::MostThisBoneAllows) => {
                "Shift by the most that this bone allows".to_owned()
            }
            Self::LetGo => "Let go of the goal of the shift".to_owned(),
            Self::KeepLength => "Tilt the cut to keep the length along M2".to_owned(),
            Self::SuggestScrews => "Find the best screw pair".to_owned(),
            Self::AddScrew(ScrewKind::Screw) => "Add a screw".to_owned(),
            Self::AddScrew(ScrewKind::Wire) => "Add a wire".to_owned(),
            Self::ShowFirstRay => "Show the first ray".to_owned(),
            Self::AskSheet => "Make the sheet for theatre…".to_owned(),
            Self::MakeSheet(_) => "Make the sheet for theatre".to_owned(),
            Self::RemoveScrew(place) => format!("Take screw {} away", letter(*place)),
        }
    }
}
