//! What screws and wires meet and leave open.

use plumbray_anatomy::{PhysicalVector, View};

use super::{Bound, Check, Figure, Finding, cannot_tell, measured, plain};
use crate::{
    extent::Length,
    plan::{Plan, Screw, ScrewKind},
    screw::{Cortex, ScrewCourse},
    undertaking::Undertaking,
};

/// The largest angle between a wire and the joint line, in degrees.
const WIRE_TILT_DEGREES: f64 = 10.0;

/// How many cortices a first screw crosses at least.
const FEWEST_CORTICES: usize = 3;

/// How many screws hold the fragment at least.
const FEWEST_SCREWS: usize = 2;

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
    let nearest = |courses: &mut dyn Iterator<Item = &&ScrewCourse>| {
        let distance = |course: &ScrewCourse| course.tip_to_lateral_head.pixel_widths.abs();
        courses
            .min_by(|one, other| distance(one).total_cmp(&distance(other)))
            .map(|course| (course.tip_to_lateral_head, half(course.diameter)))
    };
    let gripping = nearest(&mut courses.iter().filter(|course| grips_lateral_head(course)));
    // A tip that lies in no head has no distance to its cortex.
    let in_head = nearest(&mut courses.iter().filter(|course| course.tip_is_in_fragment));
    [
        measured(
            Finding::TwoScrews,
            Figure::Count(courses.len()),
            Bound::AtLeast(Figure::Count(FEWEST_SCREWS)),
        ),
        match gripping.or(in_head) {
            Some((distance, reach)) => measured(
                Finding::LateralHeadGripped,
                Figure::Length(distance),
                Bound::AtMost(Figure::Length(reach)),
            )
            .provided(gripping.is_some()),
            None => plain(Finding::LateralHeadGripped, false),
        },
    ]
}

/// Half of a length.
fn half(length: Length) -> Length {
    Length {
        pixel_widths: length.pixel_widths / 2.0,
        of_width: length.of_width / 2.0,
        mm: length.mm.map(|mm| mm / 2.0),
    }
}

fn of_screw(
    undertaking: &Undertaking,
    plan: &Plan,
    course: &ScrewCourse,
    screw: &Screw,
    is_first: bool,
) -> Vec<Check> {
    let diameter = Bound::AtLeast(Figure::Length(course.diameter));
    let mut checks = if is_first {
        of_first_screw(course).to_vec()
    } else {
        vec![inside_shaft(undertaking, course)]
    };
    checks.push(
        measured(
            Finding::TipInHead,
            Figure::Length(course.tip_to_joint),
            Bound::AtLeast(Figure::Length(half(course.diameter))),
        )
        .provided(course.tip_is_in_fragment),
    );
    let to_step = Figure::Length(course.entry_to_step);
    checks.push(measured(Finding::ClearOfStep, to_step, diameter));
    checks.extend(
        course
            .to_nearest_other
            .map(|apart| measured(Finding::Apart, Figure::Length(apart), diameter)),
    );
    checks.extend(length_at_hand(undertaking, plan, course));
    checks.extend(on_lateral(undertaking, screw));
    checks
}

/// Whether a length at hand fits; nothing where the film has no millimetres at all. What one film alone shows of a
/// screw decides nothing.
fn length_at_hand(undertaking: &Undertaking, plan: &Plan, course: &ScrewCourse) -> Option<Check> {
    undertaking.before.ap.mm_per_pixel_width?;
    let Some(mm) = course.length.true_mm else {
        return Some(cannot_tell(Finding::LengthAtHand));
    };
    let fits = plan
        .lengths
        .at_most(mm + 1e-6)
        .is_some_and(|at_hand| mm - at_hand < plan.lengths.step_mm);
    Some(plain(Finding::LengthAtHand, fits))
}

/// What only the first screw is held to.
fn of_first_screw(course: &ScrewCourse) -> [Check; 2] {
    let left = Bound::AtLeast(Figure::Length(course.diameter));
    [
        measured(
            Finding::ThreeCortices,
            Figure::Count(course.crossings.len()),
            Bound::AtLeast(Figure::Count(FEWEST_CORTICES)),
        ),
        course.exit_to_cut.map_or_else(
            || Check {
                wanted: Some(left),
                ..plain(Finding::LeavesBeforeCut, false)
            },
            |spare| measured(Finding::LeavesBeforeCut, Figure::Length(spare), left),
        ),
    ]
}

/// Whether another screw runs inside the shaft: where it leaves the shaft no length of it in there is of use.
fn inside_shaft(undertaking: &Undertaking, course: &ScrewCourse) -> Check {
    if course.exit_to_cut.is_some() {
        return plain(Finding::InsideShaft, false);
    }
    measured(
        Finding::InsideShaft,
        Figure::Length(course.in_shaft),
        Bound::MoreThan(Figure::Length(undertaking.cut.length(0.0))),
    )
}

/// Whether the tip of a screw reaches the lateral cortex of the head.
fn grips_lateral_head(course: &ScrewCourse) -> bool {
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
    let near = Bound::Within(length(quarter));
    vec![
        measured(findings[0], length(off_midline), near),
        measured(findings[1], length(above_head), Bound::AtLeast(length(0.0))),
        measured(findings[2], length(at_base), near),
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
            measured(
                Finding::AlongJoint,
                Figure::Degrees(angle),
                Bound::AtMost(Figure::Degrees(WIRE_TILT_DEGREES)),
            )
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
    let length = |pixel_widths: f64| Figure::Length(undertaking.cut.length(pixel_widths));
    vec![
        parallel,
        measured(
            Finding::InDistalHalf,
            length(distal),
            Bound::AtLeast(length(0.0)),
        )
        .provided(course.in_fragment.pixel_widths > 0.0),
    ]
}
