//! The rows of a plan held against its result.

use plumbray_measure::{
    AxisConvention, Foot, Measurement, Outcome, Reading, head_offset_px, head_tilt,
};
use plumbray_plan::{Plan, PlannedOutcome, Undertaking};

use super::{FilmsLaidOver, PlanRow, PlannedNumber, dorsal::Lateral};
use crate::{
    change::{Change, NoChange, change, film_to_film_sd},
    comparison::measured,
    engine_input::{foot_of, foot_with},
    estimate::Estimate,
    head_shift::{
        HeadShift, NoHeadShift, head_shift, mm_of, of_reading, over, read, width_of_shaft,
    },
    registration::{NotLaidOver, Registration},
    visit::Visit,
};

/// The axes by which a plan and its result are read.
pub const PLAN_CONVENTION: AxisConvention = AxisConvention::HeadBase;

/// Standard deviation, on one film of a foot that has not changed, of how far its head lies lateral of the proximal
/// shaft, as a share of the shaft's width.
///
/// Seen on 60 simulated feet (seed 9001) that stood again six times as for [`film_to_film_sd`]: 0.0039, and 0.0046
/// where they were operated on.
const HEAD_OFFSET_FILM_SD: f64 = 0.0046;

/// The same of the angle of the head's joint surface against the proximal shaft, in degrees. Seen on the same feet:
/// 0.59, and 0.54 where they were operated on.
const HEAD_TURN_FILM_SD: f64 = 0.59;

/// Every row that either the plan or the result tells something of.
pub(super) fn rows(
    before: &Visit<'_>,
    plan: &Plan,
    undertaking: &Undertaking,
    after: &Visit<'_>,
    laid_over: FilmsLaidOver<'_>,
) -> Vec<PlanRow> {
    let mut intended = foot_with(before.study, &undertaking.tracing);
    intended.operated = true;
    let held = Held {
        before: foot_of(before.study),
        intended,
        after: foot_of(after.study),
        plan,
        undertaking,
        is_same_stance: before.bears_weight() == after.bears_weight(),
    };
    let shift = held.shift(laid_over.ap.clone());
    let bone = &undertaking.before;
    let lengths = bone
        .lateral
        .as_ref()
        .map(|lateral| (lateral.length, bone.ap.length));
    let dorsal = Lateral {
        before: &held.before,
        intended: &held.intended,
        after: &held.after,
        laid_over,
        lateral_by_ap: lengths.map(|(lateral, ap)| lateral / ap),
        is_planned: plan.head.dorsal_shift.number().abs() > 0.0,
    };
    let dorsal = dorsal.row(|told| held.subtracted(told));
    PlannedNumber::ALL
        .into_iter()
        .filter_map(|what| match what {
            PlannedNumber::Measured(measurement) => held.measured(measurement),
            PlannedNumber::HeadShift => Some(held.shift_row(&shift)),
            PlannedNumber::HeadShiftMillimetres => held.shift_in_mm(shift.as_ref().ok()?),
            PlannedNumber::HeadDorsalShift | PlannedNumber::HeadDorsalShiftMillimetres => {
                dorsal.clone().filter(|row| row.what == what)
            }
            PlannedNumber::HeadTurn => Some(held.turn()),
            PlannedNumber::HeadTilt => held.tilt(),
        })
        .collect()
}

/// What is held against each other.
struct Held<'a> {
    before: Foot<'a>,
    /// The moved tracing on the film before.
    intended: Foot<'a>,
    after: Foot<'a>,
    plan: &'a Plan,
    undertaking: &'a Undertaking,
    /// Whether the foot bore weight on both films or on neither.
    is_same_stance: bool,
}

/// The shift of the head, in shares of the width of the shaft before.
struct Shift {
    intended: Estimate,
    achieved: HeadShift,
    /// Achieved less intended.
    difference: Estimate,
    /// The width of the shaft before, in pixel widths.
    width: f64,
}

impl Held<'_> {
    /// A measurement of the engine; nothing where none of the three is there.
    fn measured(&self, measurement: Measurement) -> Option<PlanRow> {
        let row = self.undertaking.row(measurement)?;
        let achieved = measured(&self.after, PLAN_CONVENTION, measurement);
        let intended = match &row.planned {
            PlannedOutcome::Measured(outcome) | PlannedOutcome::Chosen(outcome) => told(outcome),
            PlannedOutcome::NotPredicted(why) => Err((*why).to_owned()),
        };
        if row.before.reading().is_none() && achieved.reading().is_none() {
            return None;
        }
        let difference = match &row.planned {
            PlannedOutcome::Measured(outcome) | PlannedOutcome::Chosen(outcome) => {
                change(measurement, outcome, &achieved, None)
            }
            PlannedOutcome::NotPredicted(why) => Err(NoChange::Missing {
                why: (*why).to_owned(),
            }),
        };
        let name = |outcome: &Outcome| outcome.reading()?.calibration_name.clone();
        let calibration = match (name(&row.before), name(&achieved)) {
            (Some(one), Some(other)) if one != other => Some(format!("{one}; achieved {other}")),
            (one, other) => one.or(other),
        };
        Some(PlanRow {
            what: PlannedNumber::Measured(measurement),
            before: told(&row.before),
            intended,
            achieved: told(&achieved),
            difference: self.subtracted(difference),
            calibration,
        })
    }

    /// A difference, unless the foot bore weight on one film only.
    fn subtracted(&self, difference: Result<Change, NoChange>) -> Result<Change, NoChange> {
        match difference {
            Ok(_) if !self.is_same_stance => Err(NoChange::OtherStance),
            told => told,
        }
    }

    /// The shift of the head by the offset of its joint surface from the proximal shaft:
    ///
    /// ```text
    /// intended = (e₂ − e₁) / w     achieved = (k · e₃ − e₁) / w     difference = (k · e₃ − e₂) / w
    /// ```
    ///
    /// with e₁ the offset before, e₂ that of the moved tracing, e₃ that after, k the scale between the films and w the
    /// width before. The offsets before and intended come from the same points, so that of the intended shift only the
    /// width spreads.
    fn shift(&self, laid_over: Result<&Registration, NotLaidOver>) -> Result<Shift, NoHeadShift> {
        let scale = laid_over.clone().map(Registration::scale);
        let achieved = head_shift(&self.before, &self.after, laid_over)?;
        let width = width_of_shaft(&self.before)?;
        let offset = read(&head_offset_px(&self.before))?;
        let intended = read(&head_offset_px(&self.intended))?;
        let after = read(&head_offset_px(&self.after))?.times(scale?);
        let planned = Estimate {
            value: intended.value - offset.value,
            sd: 0.0,
        };
        let difference = over(&after.minus(&intended), &width);
        Ok(Shift {
            intended: over(&planned, &width),
            achieved,
            difference: Estimate {
                sd: difference.sd.hypot(2.0_f64.sqrt() * HEAD_OFFSET_FILM_SD),
                ..difference
            },
            width: width.value,
        })
    }

    fn shift_row(&self, shift: &Result<Shift, NoHeadShift>) -> PlanRow {
        let per_cent = |take: fn(&Shift) -> Estimate| {
            let told = shift.as_ref().map(|shift| take(shift).times(100.0));
            told.map_err(ToString::to_string)
        };
        let difference = per_cent(|shift| shift.difference);
        PlanRow {
            what: PlannedNumber::HeadShift,
            before: Err(UNMOVED.to_owned()),
            intended: per_cent(|shift| shift.intended),
            achieved: per_cent(|shift| shift.achieved.share_of_width),
            difference: self.subtracted(judged(difference)),
            calibration: None,
        }
    }

    /// The shift in millimetres of the film before; nothing where that is not calibrated.
    fn shift_in_mm(&self, shift: &Shift) -> Option<PlanRow> {
        let (mm_per_pixel_width, name) = mm_of(&self.before)?;
        let (achieved, _) = shift.achieved.millimetres.as_ref()?;
        let whole = shift.width * mm_per_pixel_width;
        // A plan in millimetres is as exact as its calibration, which has no part in the spread of a tracing.
        let intended = Estimate {
            value: shift.intended.value * whole,
            sd: 0.0,
        };
        Some(PlanRow {
            what: PlannedNumber::HeadShiftMillimetres,
            before: Err(UNMOVED.to_owned()),
            intended: Ok(intended),
            achieved: Ok(*achieved),
            difference: self.subtracted(judged(Ok(shift.difference.times(whole)))),
            calibration: Some(name),
        })
    }

    /// The angle of the head's joint surface against the proximal shaft on the AP film.
    fn turn(&self) -> PlanRow {
        let [before, intended, achieved] =
            [&self.before, &self.intended, &self.after].map(|foot| told(&head_tilt(foot)));
        let intended = if self.plan.head.supination_degrees.abs() > 0.0 {
            Err(BY_SUPINATION.to_owned())
        } else {
            intended
        };
        let difference = both(&intended, &achieved).map(|(one, other)| Estimate {
            value: other.value - one.value,
            sd: one
                .sd
                .hypot(other.sd)
                .hypot(2.0_f64.sqrt() * HEAD_TURN_FILM_SD),
        });
        PlanRow {
            what: PlannedNumber::HeadTurn,
            before,
            intended,
            achieved,
            difference: self.subtracted(judged(difference)),
            calibration: None,
        }
    }

    /// The tilt of the fragment on the lateral film; nothing where none was intended and none is measured.
    fn tilt(&self) -> Option<PlanRow> {
        let intended = self.plan.head.plantar_tilt_degrees;
        let achieved = told(&measured(
            &self.after,
            PLAN_CONVENTION,
            Measurement::FragmentTilt,
        ));
        if achieved.is_err() && intended.abs() <= 0.0 {
            return None;
        }
        // What was intended is not read from a film; only the later film spreads.
        let film = film_to_film_sd(Measurement::FragmentTilt, intended);
        let difference = achieved.clone().map(|achieved| Estimate {
            value: achieved.value - intended,
            sd: achieved.sd.hypot(film),
        });
        Some(PlanRow {
            what: PlannedNumber::HeadTilt,
            before: Err(UNMOVED.to_owned()),
            intended: Ok(Estimate {
                value: intended,
                sd: 0.0,
            }),
            achieved,
            difference: self.subtracted(judged(difference)),
            calibration: None,
        })
    }
}

pub(super) const UNMOVED: &str = "before the operation nothing was moved";

const BY_SUPINATION: &str =
    "not predicted: no flat film shows what supination does to the joint surface";

fn told(outcome: &Outcome) -> Result<Estimate, String> {
    let reading: Option<&Reading> = outcome.reading();
    reading
        .map(of_reading)
        .ok_or_else(|| outcome.why_not().unwrap_or_default())
}

fn both(
    intended: &Result<Estimate, String>,
    achieved: &Result<Estimate, String>,
) -> Result<(Estimate, Estimate), String> {
    Ok((intended.clone()?, achieved.clone()?))
}

pub(super) fn judged(difference: Result<Estimate, String>) -> Result<Change, NoChange> {
    difference
        .map(|difference| Change::judged(difference.value, difference.sd))
        .map_err(|why| NoChange::Missing { why })
}
