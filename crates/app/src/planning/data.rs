//! Plans carried out as plain data, documented in `docs/command-line.md`.

use plumbray_anatomy::Side;
use plumbray_measure::Outcome;
use plumbray_plan::{
    Check, Figure, Goal, Length, LengthParts, PlannedOutcome, PredictedRow, ScrewCourse, ScrewKind,
    Verdict, assumptions,
};
use plumbray_study::Study;
use serde::Serialize;

use super::{carried::Carried, screw_words, words};
use crate::window::CAUTION;

/// A foot with its plans.
#[derive(Debug, Serialize)]
pub(crate) struct PlannedFoot {
    /// Where it was read from.
    pub study: String,
    /// `left` or `right`; nothing while unknown.
    pub side: Option<&'static str>,
    /// Whether a person confirmed the side.
    pub side_confirmed: bool,
    /// The plans, in their order.
    pub plans: Vec<PlannedFigures>,
    /// What the numbers are not.
    pub caution: &'static str,
}

/// One plan carried out.
#[derive(Debug, Serialize)]
pub(crate) struct PlannedFigures {
    pub name: String,
    /// The name of the AP film's calibration; nothing where it has none, and so no millimetres.
    pub ap_calibration: Option<String>,
    /// The same of the lateral film.
    pub lateral_calibration: Option<String>,
    pub cut_from_joint: LengthFigure,
    /// The same as a share of the bone's length.
    pub cut_from_joint_share: f64,
    /// From square to the shaft, positive where the lateral end lies more distal.
    pub cut_tilt_degrees: f64,
    pub kerf: LengthFigure,
    pub shift: LengthFigure,
    /// The goal at which the shift is held, in words; nothing where it was chosen as a number.
    pub shift_held_at: Option<String>,
    pub travel: LengthFigure,
    pub contact: LengthFigure,
    /// As a share of the cut.
    pub contact_share: f64,
    pub medial_step: LengthFigure,
    pub step_trimmed: bool,
    pub length_along_first: PartsFigure,
    pub length_along_second: Option<PartsFigure>,
    /// Which share of the correction `with_loss` takes as lost.
    pub lost_share: f64,
    pub measurements: Vec<MeasurementFigure>,
    pub screws: Vec<ScrewFigure>,
    pub checks: Vec<CheckFigure>,
    pub assumptions: Vec<AssumptionText>,
}

/// A length on the bone.
#[derive(Clone, Copy, Debug, Serialize)]
pub(crate) struct LengthFigure {
    /// As a share of the shaft's width at the cut.
    pub of_shaft_width: f64,
    /// Nothing where the AP film is not calibrated.
    pub mm: Option<f64>,
}

#[derive(Debug, Serialize)]
pub(crate) struct PartsFigure {
    pub whole: LengthFigure,
    pub by_kerf: LengthFigure,
    pub by_tilt: LengthFigure,
    pub by_divergence: LengthFigure,
}

/// A measurement before and as planned.
#[derive(Debug, Serialize)]
pub(crate) struct MeasurementFigure {
    pub identifier: &'static str,
    pub name: &'static str,
    pub unit: &'static str,
    pub before: Option<f64>,
    pub before_interval: Option<(f64, f64)>,
    pub planned: Option<f64>,
    /// Nothing where it is chosen.
    pub planned_interval: Option<(f64, f64)>,
    /// Whether the plan states it, so that it predicts nothing.
    pub is_chosen: bool,
    pub with_loss: Option<f64>,
    /// Why one of the two numbers is missing.
    pub reason: Option<String>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ScrewFigure {
    pub letter: char,
    /// `screw` or `wire`.
    pub kind: &'static str,
    pub diameter: LengthFigure,
    pub true_mm: Option<f64>,
    pub ap_alone_mm: Option<f64>,
    pub lateral_alone_mm: Option<f64>,
    /// Why there is no true length.
    pub withheld: Option<String>,
    pub cortices: Vec<&'static str>,
    pub in_shaft: LengthFigure,
    pub in_head: LengthFigure,
    pub angle_to_shaft_degrees: f64,
    pub angle_to_first_degrees: Option<f64>,
    pub exit_to_cut: Option<LengthFigure>,
    pub entry_to_step: LengthFigure,
    pub tip_to_joint: LengthFigure,
    pub to_nearest_other: Option<LengthFigure>,
}

#[derive(Debug, Serialize)]
pub(crate) struct CheckFigure {
    pub name: &'static str,
    /// The letter of the screw that it is about; nothing where it is about the plan.
    pub screw: Option<char>,
    /// `met`, `open` or `cannot_tell`.
    pub verdict: &'static str,
    /// The number behind it, in words.
    pub figure: Option<String>,
    /// What it has to be, in words.
    pub wanted: Option<String>,
    /// What the number is, where the name does not say.
    pub figure_is: Option<&'static str>,
    /// What it means where it is below 0.
    pub below_zero_is: Option<&'static str>,
    pub length: Option<LengthFigure>,
    pub rule: &'static str,
}

#[derive(Debug, Serialize)]
pub(crate) struct AssumptionText {
    pub text: String,
    pub source: &'static str,
}

/// A foot with its plans as data.
pub(crate) fn planned_foot(name: &str, study: &Study, plans: &[Carried]) -> PlannedFoot {
    PlannedFoot {
        study: name.to_owned(),
        side: study.foot().map(Side::identifier),
        side_confirmed: study.side.is_some_and(|choice| choice.confirmed),
        plans: plans.iter().map(figures).collect(),
        caution: CAUTION,
    }
}

impl From<Length> for LengthFigure {
    fn from(length: Length) -> Self {
        Self {
            of_shaft_width: length.of_width,
            mm: length.mm,
        }
    }
}

impl From<&LengthParts> for PartsFigure {
    fn from(parts: &LengthParts) -> Self {
        Self {
            whole: parts.whole.into(),
            by_kerf: parts.by_kerf.into(),
            by_tilt: parts.by_tilt.into(),
            by_divergence: parts.by_divergence.into(),
        }
    }
}

fn figures(carried: &Carried) -> PlannedFigures {
    let (plan, undertaking) = (&carried.plan, &carried.undertaking);
    let before = &undertaking.before;
    let screws = plan.screws.iter().zip(&undertaking.screws).enumerate();
    let is_calibrated = before.ap.mm_per_pixel_width.is_some();
    PlannedFigures {
        name: carried.name.clone(),
        ap_calibration: before.ap.calibration_name.clone(),
        lateral_calibration: before
            .lateral
            .as_ref()
            .and_then(|view| view.calibration_name.clone()),
        cut_from_joint: undertaking.cut.from_joint.into(),
        cut_from_joint_share: undertaking.cut.from_joint_share,
        cut_tilt_degrees: undertaking.cut.tilt.to_degrees(),
        kerf: undertaking.cut.length(undertaking.cut.kerf).into(),
        shift: undertaking.shift.into(),
        shift_held_at: plan.head.goal.map(Goal::name),
        travel: undertaking.travel.into(),
        contact: undertaking.contact.overlap.into(),
        contact_share: undertaking.contact.share,
        medial_step: undertaking.medial_step.into(),
        step_trimmed: plan.step_trimmed,
        length_along_first: (&undertaking.length.along_first).into(),
        length_along_second: undertaking.length.along_second.as_ref().map(Into::into),
        lost_share: plan.lost_share,
        measurements: undertaking.rows.iter().map(measurement).collect(),
        screws: screws
            .map(|(place, (screw, course))| screw_figure(place, screw.kind, course))
            .collect(),
        checks: undertaking
            .checks
            .iter()
            .map(|check| check_figure(check, is_calibrated))
            .collect(),
        assumptions: assumptions(plan)
            .into_iter()
            .map(|assumption| AssumptionText {
                text: assumption.text,
                source: assumption.source,
            })
            .collect(),
    }
}

fn measurement(row: &PredictedRow) -> MeasurementFigure {
    let number = |outcome: &Outcome| outcome.reading().map(|reading| reading.value);
    let interval = |outcome: &Outcome| outcome.reading().map(|reading| reading.interval);
    let (planned, why) = match &row.planned {
        PlannedOutcome::Measured(outcome) | PlannedOutcome::Chosen(outcome) => {
            (Some(outcome), outcome.why_not())
        }
        PlannedOutcome::NotPredicted(why) => (None, Some((*why).to_owned())),
    };
    let is_chosen = matches!(row.planned, PlannedOutcome::Chosen(_));
    MeasurementFigure {
        identifier: row.measurement.identifier(),
        name: row.measurement.name(),
        unit: row.measurement.unit().identifier(),
        before: number(&row.before),
        before_interval: interval(&row.before),
        planned: planned.and_then(number),
        planned_interval: planned.filter(|_| !is_chosen).and_then(interval),
        is_chosen,
        with_loss: row.with_loss,
        reason: row.before.why_not().or(why),
    }
}

fn screw_figure(place: usize, kind: ScrewKind, course: &ScrewCourse) -> ScrewFigure {
    ScrewFigure {
        letter: screw_words::letter(place),
        kind: screw_words::kind(kind),
        diameter: course.diameter.into(),
        true_mm: course.length.true_mm,
        ap_alone_mm: course.length.ap_mm,
        lateral_alone_mm: course.length.lateral_mm,
        withheld: course.length.withheld.clone(),
        cortices: course
            .crossings
            .iter()
            .map(|crossing| crossing.cortex.name())
            .collect(),
        in_shaft: course.in_shaft.into(),
        in_head: course.in_fragment.into(),
        angle_to_shaft_degrees: course.angle_to_shaft_degrees,
        angle_to_first_degrees: course.angle_to_first_degrees,
        exit_to_cut: course.exit_to_cut.map(Into::into),
        entry_to_step: course.entry_to_step.into(),
        tip_to_joint: course.tip_to_joint.into(),
        to_nearest_other: course.to_nearest_other.map(Into::into),
    }
}

fn check_figure(check: &Check, is_calibrated: bool) -> CheckFigure {
    CheckFigure {
        name: words::check_name(check.finding, is_calibrated),
        screw: check.screw.map(screw_words::letter),
        verdict: match check.verdict {
            Verdict::Met => "met",
            Verdict::Open => "open",
            Verdict::CannotTell => "cannot_tell",
        },
        figure: words::figure(check),
        wanted: words::wanted(check),
        figure_is: check.figure.and_then(|_| check.finding.figure_is()),
        below_zero_is: check.figure.and_then(|_| check.finding.below_zero_is()),
        length: match check.figure {
            Some(Figure::Length(length)) => Some(length.into()),
            _ => None,
        },
        rule: check.finding.rule(),
    }
}
