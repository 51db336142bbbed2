//! A virtual osteotomy of the first metatarsal and its screws, and what they do to the foot.
//!
//! A [`Plan`] is what a surgeon intends: where to cut, how far to shift and turn the head, what becomes of
//! the toe, which screws. [`carry_out`] carries it out on the tracing of an unoperated foot: it moves the
//! landmarks and asks the engine (`plumbray-measure`) again, so that before and planned come from one place.
//!
//! Conventions, beside those of the vocabulary:
//!
//! * Along and across are those of the first metatarsal's shaft: along its mid-diaphyseal line at the
//!   quarters, square to it toward lateral on the AP film and toward dorsal on the lateral film.
//! * The tilt of a cut counts from square to the shaft, positive where its lateral end lies more distal.
//! * A turn of the head is positive toward medial, a tilt toward plantar, a shift toward lateral or dorsal.
//! * An [`Extent`] is in millimetres, which needs a calibration, or a share of the bone, which does not.
//!
//! `docs/planning.md` gives each formula with its source.
#![deny(missing_docs)]

mod aim;
mod assumptions;
mod check;
mod cut;
mod error;
mod extent;
mod foot_before;
mod goal;
mod ground;
mod in_space;
mod keep_length;
mod length_change;
mod length_steps;
mod limits;
mod motions;
mod movement;
mod outline;
mod parts;
mod pieces;
mod plan;
mod prediction;
mod screw;
mod solve;
mod undertaking;
mod wedge;

pub use aim::{AimEffect, aim_effects};
pub use assumptions::{Assumption, assumptions};
pub use check::{Bound, Check, Figure, Finding, USUAL_LEVEL_MM, USUAL_LEVEL_SHARE, Verdict};
pub use cut::PlannedCut;
pub use error::PlanError;
pub use extent::{Extent, Length};
pub use foot_before::{BonePlace, FootBefore, ViewBefore};
pub use goal::{Goal, held};
pub use keep_length::{NoTilt, keep_length};
pub use length_change::{LengthChange, LengthParts};
pub use length_steps::LengthSteps;
pub use limits::{ExtentLimits, NumberLimits};
pub use movement::Movement;
pub use outline::{Edge, Outline};
pub use pieces::{BoneParts, sesamoid_outlines};
pub use plan::{
    Aim, AimAt, Cut, CutDirection, CutForm, HeadMove, MOST_SCREWS, Plan, Screw, ScrewKind, Toe,
    ToeRule,
};
pub use prediction::{PlannedOutcome, PredictedRow};
pub use screw::{Cortex, Crossing, ScrewCourse, ScrewLength, suggest_pair};
pub use solve::{NoSolution, solve_shift};
pub use undertaking::{Contact, Undertaking, carry_out};
pub use wedge::{wedge_angle, wedge_base, wedge_base_isosceles};
