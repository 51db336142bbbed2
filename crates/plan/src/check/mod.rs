//! What a plan meets and what it leaves open, in plain words.

mod finding;

use plumbray_anatomy::{PhysicalVector, View};
use plumbray_measure::Measurement;

use crate::{
    extent::{Extent, Length},
    plan::{Plan, Screw, ScrewKind},
    screw::{Cortex, ScrewCourse},
    undertaking::Undertaking,
};

pub use finding::Finding;

/// One thing that a plan is checked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What is checked.
    pub finding: Finding,
    /// Which screw or wire it is about, counted from 0; nothing where it is about the plan.
    pub screw: Option<usize>,
    /// Whether it is met.
    pub verdict: Verdict,
    /// The number behind it, where there is one.
    pub figure: Option<Figure>,
}

/// Whether something that a plan is checked for is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is.
    Met,
    /// It is not: look again.
    Open,
    /// These films cannot tell.
    CannotTell,
}

/// The number behind a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// So many.
    Count(usize),
    /// A length on the bone.
    Length(Length),
    /// An angle in degrees.
    Degrees(f64),
    /// A share, 1 being the whole.
    Share(f64),
}

/// The usual distance of the cut from the joint in millimetres (common practice, no source).
pub const USUAL_LEVEL_MM: [f64; 2] = [22.0, 25.0];

/// The same as a share of the first metatarsal's length: of a bone of 61 mm (ours).
pub const USUAL_LEVEL_SHARE: [f64; 2] = [0.36, 0.41];

/// A shortening along the second ray from which on transfer pain is more common, in millimetres.
const BEARABLE_SHORTENING_MM: f64 = 3.0;

/// The largest angle between a wire and the joint line, in degrees.
const WIRE_TILT_DEGREES: f64 = 10.0;

/// What a plan meets and leaves open: first the plan itself, then each screw.
pub(crate) fn checks(undertaking: &Undertaking, plan: &Plan) -> Vec<Check> {
    let mut checks = of_cut(undertaking, plan);
    checks.extend(of_prediction(undertaking));
    checks.extend(of_screws(
        undertaking,
        plan,
        &plan.screws,
        &undertaking.screws,
    ));
    checks
}

/// What screws and wires meet and leave open, given their ways through the bone in the same order.
pub(crate) fn of_screws(
    undertaking: &Undertaking,
    plan: &Plan,
    screws: &[Screw],
    courses: &[ScrewCourse],
) -> Vec<Check> {
    let true_screws: Vec<&ScrewCourse> = screws
        .iter()
        .zip(courses)
        .filter(|(screw, _)| screw.kind == ScrewKind::Screw)
        .map(|(_, course)| course)
        .collect();
    let mut checks = Vec::new();
    if !true_screws.is_empty() {
        checks.extend(of_all(&true_screws));
    }
    let mut order = 0;
    for (index, (screw, course)) in screws.iter().zip(courses).enumerate() {
        let found = match screw.kind {
            ScrewKind::Screw => {
                order += 1;
                of_screw(undertaking, plan, course, screw, order == 1)
            }
            ScrewKind::Wire => of_wire(undertaking, course, screw),
        };
        checks.extend(found.into_iter().map(|check| Check {
            screw: Some(index),
            ..check
        }));
    }
    checks
}

/// What the screws meet together.
fn of_all(courses: &[&ScrewCourse]) -> [Check; 2] {
    let gripped = courses.iter().any(|course| grips_lateral_head(course));
    let nearest = courses
        .iter()
        .map(|course| course.tip_to_lateral_head)
        .min_by(|one, other| one.pixel_widths.abs().total_cmp(&other.pixel_widths.abs()));
    let count = courses.len();
    [
        plain(Finding::TwoScrews, count >= 2, Some(Figure::Count(count))),
        plain(
            Finding::LateralHeadGripped,
            gripped,
            nearest.map(Figure::Length),
        ),
    ]
}

const fn plain(finding: Finding, is_met: bool, figure: Option<Figure>) -> Check {
    Check {
        finding,
        screw: None,
        verdict: if is_met { Verdict::Met } else { Verdict::Open },
        figure,
    }
}

const fn cannot_tell(finding: Finding) -> Check {
    Check {
        finding,
        screw: None,
        verdict: Verdict::CannotTell,
        figure: None,
    }
}

fn of_cut(undertaking: &Undertaking, plan: &Plan) -> Vec<Check> {
    let cut = &undertaking.cut;
    let is_usual = match (plan.cut.level, cut.from_joint.mm) {
        (Extent::Millimetres(mm), _) | (_, Some(mm)) => lies_in(mm, USUAL_LEVEL_MM),
        _ => lies_in(cut.from_joint_share, USUAL_LEVEL_SHARE),
    };
    let level = if cut.from_joint.mm.is_some() {
        Figure::Length(cut.from_joint)
    } else {
        Figure::Share(cut.from_joint_share)
    };
    let sesamoids = cut.clear_of_sesamoids.map_or_else(
        || cannot_tell(Finding::ClearOfSesamoids),
        |clear| {
            let is_clear = clear.pixel_widths > 0.0;
            plain(
                Finding::ClearOfSesamoids,
                is_clear,
                Some(Figure::Length(clear)),
            )
        },
    );
    let contact = undertaking.contact.share;
    vec![
        plain(Finding::LevelUsual, is_usual, Some(level)),
        sesamoids,
        plain(
            Finding::ContactLeft,
            contact > 0.0,
            Some(Figure::Share(contact)),
        ),
    ]
}

fn of_prediction(undertaking: &Undertaking) -> Vec<Check> {
    let valgus = undertaking
        .row(Measurement::HalluxValgusAngle)
        .and_then(|row| row.planned.value());
    let varus = valgus.map_or_else(
        || cannot_tell(Finding::NoHalluxVarus),
        |angle| {
            plain(
                Finding::NoHalluxVarus,
                angle >= 0.0,
                Some(Figure::Degrees(angle)),
            )
        },
    );
    let along_second = undertaking.length.along_second.map(|parts| parts.whole);
    let length = along_second
        .zip(along_second.and_then(|whole| whole.mm))
        .map_or_else(
            || cannot_tell(Finding::LengthKept),
            |(whole, mm)| {
                let is_kept = mm > -BEARABLE_SHORTENING_MM;
                plain(Finding::LengthKept, is_kept, Some(Figure::Length(whole)))
            },
        );
    vec![varus, length]
}

fn of_screw(
    undertaking: &Undertaking,
    plan: &Plan,
    course: &ScrewCourse,
    screw: &Screw,
    is_first: bool,
) -> Vec<Check> {
    let diameter = course.diameter.pixel_widths;
    let mut checks = Vec::new();
    if is_first {
        let count = course.crossings.len();
        checks.push(plain(
            Finding::ThreeCortices,
            count >= 3,
            Some(Figure::Count(count)),
        ));
        let spare = course.exit_to_cut;
        checks.push(plain(
            Finding::LeavesBeforeCut,
            spare.is_some_and(|spare| spare.pixel_widths >= diameter),
            spare.map(Figure::Length),
        ));
    } else {
        let inside = course.exit_to_cut.is_none() && course.in_shaft.pixel_widths > 0.0;
        checks.push(plain(
            Finding::InsideShaft,
            inside,
            Some(Figure::Length(course.in_shaft)),
        ));
    }
    let to_joint = course.tip_to_joint;
    checks.push(plain(
        Finding::TipInHead,
        course.tip_is_in_fragment && to_joint.pixel_widths >= diameter / 2.0,
        Some(Figure::Length(to_joint)),
    ));
    let to_step = course.entry_to_step;
    checks.push(plain(
        Finding::ClearOfStep,
        to_step.pixel_widths >= diameter,
        Some(Figure::Length(to_step)),
    ));
    checks.extend(course.to_nearest_other.map(|apart| {
        let is_apart = apart.pixel_widths >= diameter;
        plain(Finding::Apart, is_apart, Some(Figure::Length(apart)))
    }));
    checks.extend(course.length.best_mm().map(|mm| {
        let fits = plan
            .lengths
            .at_most(mm + 1e-6)
            .is_some_and(|at_hand| mm - at_hand < plan.lengths.step_mm);
        plain(Finding::LengthAtHand, fits, None)
    }));
    checks.extend(on_lateral(undertaking, screw));
    checks
}

/// Whether the tip of a screw reaches the lateral cortex of the head.
pub(crate) fn grips_lateral_head(course: &ScrewCourse) -> bool {
    course
        .crossings
        .iter()
        .any(|crossing| crossing.cortex == Cortex::LateralHead)
}

/// What the lateral film tells of a screw.
fn on_lateral(undertaking: &Undertaking, screw: &Screw) -> Vec<Check> {
    let findings = [
        Finding::EntryNearMidline,
        Finding::AimNotPlantar,
        Finding::LevelWithCuneiform,
    ];
    let view = undertaking.before.lateral.as_ref();
    let head = undertaking
        .head_centre(View::Lateral)
        .zip(undertaking.head_radius(View::Lateral));
    let (Some(view), Some((head, radius))) = (view, head) else {
        return findings.map(cannot_tell).to_vec();
    };
    let scale = undertaking.before.ap.length / view.length;
    let length = |pixel_widths: f64| Figure::Length(undertaking.cut.length(pixel_widths * scale));
    // The height of the shaft is taken for its width, which both films share.
    let quarter = undertaking.cut.width / scale / 4.0;
    let [entry, tip] = [screw.entry, screw.tip].map(|place| place.dorsal * view.length);
    let off_midline = entry - view.midline;
    let above_head = tip - (head.x - radius / 2.0);
    let run = screw.tip.along - screw.entry.along;
    let at_base = if run.abs() > 0.0 {
        entry - (tip - entry) * screw.entry.along / run
    } else {
        entry
    };
    vec![
        plain(
            findings[0],
            off_midline.abs() <= quarter,
            Some(length(off_midline)),
        ),
        plain(findings[1], above_head >= 0.0, Some(length(above_head))),
        plain(findings[2], at_base.abs() <= quarter, Some(length(at_base))),
    ]
}

fn of_wire(undertaking: &Undertaking, course: &ScrewCourse, screw: &Screw) -> Vec<Check> {
    let bone = undertaking.before.ap.length;
    let along = PhysicalVector::new(
        (screw.tip.lateral - screw.entry.lateral) * bone,
        (screw.tip.along - screw.entry.along) * bone,
    );
    let surface = undertaking.joint_line();
    let parallel = surface.map_or_else(
        || cannot_tell(Finding::AlongJoint),
        |surface| {
            let angle = along
                .cross(surface)
                .abs()
                .atan2(along.dot(surface).abs())
                .to_degrees();
            let is_met = angle <= WIRE_TILT_DEGREES;
            plain(Finding::AlongJoint, is_met, Some(Figure::Degrees(angle)))
        },
    );
    let middle = (screw.entry.along + screw.tip.along) / 2.0 * bone;
    let reach = undertaking
        .fragment
        .vertices
        .iter()
        .map(|(vertex, _)| vertex.y);
    let (low, high) = reach.fold((f64::MAX, f64::MIN), |(low, high), y| {
        (low.min(y), high.max(y))
    });
    let distal = middle - f64::midpoint(low, high);
    vec![
        parallel,
        plain(
            Finding::InDistalHalf,
            distal >= 0.0 && course.in_fragment.pixel_widths > 0.0,
            Some(Figure::Length(undertaking.cut.length(distal))),
        ),
    ]
}

fn lies_in(value: f64, [lowest, highest]: [f64; 2]) -> bool {
    (lowest - 1e-9..=highest + 1e-9).contains(&value)
}
