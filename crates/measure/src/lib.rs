//! A tracing becomes a worksheet: every published definition, with its source and its uncertainty.
//!
//! `docs/measurements.md` gives each construction in full. Conventions that hold throughout:
//!
//! * Film points are in pixels; every number is made in physical proportions, where y is the film's
//!   y times the height of a pixel over its width, and y points down.
//! * Angles are two-argument arctangents, in radians inside and in degrees in a [`Reading`].
//! * Which way is lateral or dorsal follows from the bones and the floor, never from the screen.
//! * A length in millimetres needs a calibration, whose name the [`Reading`] carries.
//! * Whatever cannot be told has a stated reason ([`Outcome`]); there is no NaN and no silent zero.
//!
//! ```
//! use plumbray_anatomy::{FilmTracing, Proportions};
//! use plumbray_measure::{Choices, Foot, Measurement, Outcome, TracedFilm, measure};
//!
//! let nothing_placed_yet = FilmTracing::default();
//! let film = TracedFilm { tracing: &nothing_placed_yet, proportions: Proportions::SQUARE, calibration: None };
//! let foot = Foot { ap: Some(film), lateral: None, operated: false };
//! let outcome = measure(&foot, &Choices::default(), Measurement::HalluxValgusAngle);
//! assert!(matches!(outcome, Outcome::Needs(_)), "there is nothing to measure");
//! ```
#![deny(missing_docs)]

mod ap_angles;
mod axis;
mod bone_frame;
mod borders;
mod catalogue;
mod congruency;
mod construction;
mod convention;
mod derivative;
mod ends;
mod evaluation;
mod foot;
mod fragment;
mod influence;
mod joints;
mod lateral_forefoot;
mod lateral_side;
mod lateral_view;
mod lengths;
mod lesser_tarsus;
mod normal_distribution;
mod outcome;
mod own_spread;
mod parabola;
mod placed;
mod plane;
mod plausibility;
mod proximal_shaft;
mod sesamoids;
mod severity;
mod shaft_width;
mod two_point_line;
mod worksheet;

pub use bone_frame::{BoneFrame, bone_frame};
pub use catalogue::{Measurement, Question, Unit, UsualRange};
pub use construction::{Arc, Construction, Ellipse, Line, LineRole};
pub use convention::{AxisConvention, AxisLevels};
pub use foot::{Choices, Foot, TracedFilm};
pub use influence::{Influence, Part, Sensitivity, Source};
pub use lateral_side::side_from_bones;
pub use normal_distribution::TWO_SIDED_95;
pub use outcome::{JointCongruence, Need, Outcome, PARALLEL_DEGREES, Reading, Remark, Spread};
pub use own_spread::{OwnDeviation, OwnSpread};
pub use plausibility::{Implausible, implausible};
pub use proximal_shaft::{
    PROXIMAL_LEVELS, ProximalShaft, head_offset_on_lateral_px, head_offset_px, head_reach_px,
    head_tilt, proximal_shaft,
};
pub use severity::{
    Class, Graded, Limit, ReaderError, Severity, SeverityOutcome, SeverityScheme, class_of,
};
pub use shaft_width::shaft_width_px;
pub use worksheet::{Row, Worksheet, all_conventions, level_freedom, measure, worksheet};
