//! What the plan as a whole meets and leaves open.

use plumbray_measure::Measurement;

use super::{Bound, Check, Figure, Finding, cannot_tell, measured};
use crate::{
    extent::Length, goal::Goal, plan::Plan, solve::sesamoids_beside_axis, undertaking::Undertaking,
};

/// The usual distance of the cut from the joint in millimetres (common practice, no source).
pub const USUAL_LEVEL_MM: [f64; 2] = [22.0, 25.0];

/// The same as a share of the first metatarsal's length: of a bone of 61 mm (ours).
pub const USUAL_LEVEL_SHARE: [f64; 2] = [0.36, 0.41];

/// A shortening along the second ray from which on transfer pain is more common, in millimetres.
const BEARABLE_SHORTENING_MM: f64 = 3.0;

pub(super) fn of_plan(undertaking: &Undertaking, plan: &Plan) -> Vec<Check> {
    let mut checks = of_cut(undertaking).to_vec();
    checks.extend(plan.head.goal.map(|goal| of_goal(undertaking, goal)));
    checks.extend(of_angles(undertaking));
    checks.push(of_length(undertaking));
    checks
}

/// So many millimetres as a length on the bone; nothing where the AP film is not calibrated.
fn of_mm(undertaking: &Undertaking, mm: f64) -> Option<Length> {
    let size = undertaking.before.ap.mm_per_pixel_width?;
    Some(undertaking.cut.length(mm / size))
}

fn of_cut(undertaking: &Undertaking) -> [Check; 3] {
    let cut = &undertaking.cut;
    let [nearest, farthest] = USUAL_LEVEL_MM.map(|mm| of_mm(undertaking, mm));
    let (level, [nearest, farthest]) = match nearest.zip(farthest) {
        Some((nearest, farthest)) => (
            Figure::Length(cut.from_joint),
            [nearest, farthest].map(Figure::Length),
        ),
        None => (
            Figure::Share(cut.from_joint_share),
            USUAL_LEVEL_SHARE.map(Figure::Share),
        ),
    };
    let sesamoids = cut.clear_of_sesamoids.map_or_else(
        || cannot_tell(Finding::ClearOfSesamoids),
        |clear| {
            let zero = Figure::Length(cut.length(0.0));
            let wanted = Bound::MoreThan(zero);
            measured(Finding::ClearOfSesamoids, Figure::Length(clear), wanted)
        },
    );
    [
        measured(
            Finding::LevelUsual,
            level,
            Bound::Between(nearest, farthest),
        ),
        sesamoids,
        measured(
            Finding::ContactLeft,
            Figure::Share(undertaking.contact.share),
            Bound::MoreThan(Figure::Share(0.0)),
        ),
    ]
}

/// Whether the plan is at the goal at which its shift is held.
fn of_goal(undertaking: &Undertaking, goal: Goal) -> Check {
    let reached = match goal {
        Goal::IntermetatarsalAngle(wanted) => undertaking
            .row(Measurement::IntermetatarsalAngle12)
            .and_then(|row| row.planned.value())
            .map(|angle| [angle, wanted].map(Figure::Degrees)),
        Goal::SesamoidsUnderHead => {
            sesamoids_beside_axis(&undertaking.before, &undertaking.tracing.ap)
                .ok()
                .map(|beside| {
                    [beside, 0.0].map(|length| Figure::Length(undertaking.cut.length(length)))
                })
        }
        Goal::MostThisBoneAllows => Some([undertaking.contact.share, 0.0].map(Figure::Share)),
    };
    reached.map_or_else(
        || cannot_tell(Finding::GoalReached),
        |[figure, wanted]| measured(Finding::GoalReached, figure, Bound::About(wanted)),
    )
}

/// That the rays do not cross, and that the toe stands neither in varus nor still in valgus.
fn of_angles(undertaking: &Undertaking) -> [Check; 3] {
    let check = |finding, measurement, wanted: Option<Bound>| {
        let planned = undertaking
            .row(measurement)
            .and_then(|row| row.planned.value());
        planned.zip(wanted).map_or_else(
            || cannot_tell(finding),
            |(angle, wanted)| measured(finding, Figure::Degrees(angle), wanted),
        )
    };
    let valgus = Measurement::HalluxValgusAngle;
    let usual = valgus.usual_range();
    let not_negative = Some(Bound::AtLeast(Figure::Degrees(0.0)));
    [
        check(
            Finding::NotOvercorrected,
            Measurement::IntermetatarsalAngle12,
            not_negative,
        ),
        check(Finding::NoHalluxVarus, valgus, not_negative),
        check(
            Finding::ToeStraightened,
            valgus,
            usual.map(|usual| Bound::AtMost(Figure::Degrees(usual.high))),
        ),
    ]
}

/// That the first ray is not shortened by more than is common to bear.
fn of_length(undertaking: &Undertaking) -> Check {
    let along_second = undertaking.length.along_second.map(|parts| parts.whole);
    along_second
        .zip(of_mm(undertaking, -BEARABLE_SHORTENING_MM))
        .map_or_else(
            || cannot_tell(Finding::LengthKept),
            |(whole, least)| {
                let wanted = Bound::MoreThan(Figure::Length(least));
                measured(Finding::LengthKept, Figure::Length(whole), wanted)
            },
        )
}
