//! Two or more visits of one foot: laid over each other, and what changed beyond the error of measuring.
//!
//! * [`Timeline`] is the list of a foot's visits, kept in a small file of its own.
//! * [`lay_over`] lays a later film over an earlier one of the same view by the bones that surgery leaves alone.
//! * [`compare`] tells what changed between two visits, and whether by more than measuring errs.
//! * [`against_plan`] holds a plan against its result.
//! * [`LaidByShaft`] finds planned screws on a later film, and how a wire lies otherwise.
//!
//! Every number comes from the engine (`plumbray-measure`); this crate subtracts, and says how sure the
//! difference is. `docs/comparison.md` gives each rule with its source.
#![deny(missing_docs)]

mod against_plan;
mod change;
mod comparison;
mod correction;
mod engine_input;
mod estimate;
mod head_shift;
mod planned_metal;
mod registration;
mod timeline;
mod visit;

pub use against_plan::{
    FilmsLaidOver, NoPlanResult, PLAN_CONVENTION, PlanResult, PlanRow, PlannedNumber, against_plan,
};
pub use change::{Change, NoChange, change, film_to_film_sd, on_one_film};
pub use comparison::{
    ChangeRow, Comparison, Direction, FOLLOWED, HeadMove, Pair, VisitColumn, VisitFilm,
    common_conventions, compare, same_film_words, usual_pair,
};
pub use correction::{
    Correction, CorrectionLost, Recurrence, Standing, TYPICAL_DRIFT, TypicalDrift,
};
pub use engine_input::{choices_of, foot_of, foot_with};
pub use estimate::Estimate;
pub use head_shift::{HeadShift, NoHeadShift, head_shift};
pub use planned_metal::{EndDifference, LaidByShaft, MetalDifference, NotLaidByShaft, ScaleBy};
pub use registration::{
    FilmToLay, NotLaidOver, Projection, ReferenceLength, Registration, Residual, SharedPoint,
    lay_over, shared_points,
};
pub use timeline::{
    GatherError, MAX_TIMELINE_BYTES, TIMELINE_ENDING, Timeline, TimelineError, TimelineVisit,
    sort_by_time, timelines_in,
};
pub use visit::{DAYS_IN_MONTH, Occasion, Visit, VisitName, days_between};
