//! A plan as lines of text: what each is about, its name, what it says.

use plumbray_anatomy::View;
use plumbray_plan::{Check, ScrewCourse};

use super::{carried::Carried, screw_words, words};

/// A line about a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// What it is about: "Cut".
    pub heading: &'static str,
    /// What it names, the same in every plan: "from the joint".
    pub name: String,
    /// What it says.
    pub text: String,
}

/// Everything that is told of a plan but its assumptions, in order.
pub(crate) fn lines(carried: &Carried) -> Vec<Line> {
    let mut lines = of_cut(carried);
    lines.extend(expected(carried));
    lines.extend(of_bone(carried));
    for (place, course) in carried.undertaking.screws.iter().enumerate() {
        lines.extend(of_screw(carried, place, course));
    }
    let is_calibrated = carried.undertaking.before.ap.mm_per_pixel_width.is_some();
    lines.extend(carried.undertaking.checks.iter().map(|check| {
        line(
            "Checks",
            &check_name(carried, check, is_calibrated),
            words::check_words(check),
        )
    }));
    lines
}

/// What a check is about, with its screw: "A: Leaves the shaft before the cut".
pub(crate) fn check_name(carried: &Carried, check: &Check, is_calibrated: bool) -> String {
    let name = words::check_name(check.finding, is_calibrated);
    match check.screw {
        Some(place) if place < carried.plan.screws.len() => {
            format!("{}: {name}", screw_words::letter(place))
        }
        _ => name.to_owned(),
    }
}

fn line(heading: &'static str, name: &str, text: String) -> Line {
    Line {
        heading,
        name: name.to_owned(),
        text,
    }
}

fn of_cut(carried: &Carried) -> Vec<Line> {
    let (plan, undertaking) = (&carried.plan, &carried.undertaking);
    let mut turns = words::head_turns(plan);
    if turns.is_empty() {
        turns.push("none".to_owned());
    }
    let mut lines = vec![
        line("Cut", "from the joint", words::cut_level(undertaking)),
        line("Cut", "tilt", words::cut_tilt(undertaking, plan)),
        line("Cut", "from the side", words::cut_form(plan.cut.form)),
        line("Cut", "kerf", words::kerf(undertaking)),
        line(
            "Head",
            "lateral shift",
            words::length_and_share(undertaking.shift),
        ),
    ];
    lines.extend(
        plan.head
            .goal
            .map(|goal| line("Head", "shift held at", goal.name())),
    );
    lines.extend([
        line(
            "Head",
            "travel along the cut",
            words::length(undertaking.travel),
        ),
        line("Head", "turns and other shifts", turns.join("; ")),
        line("Great toe", "with the head", words::toe(undertaking, plan)),
    ]);
    lines
}

/// Each headline row: before, planned, and with a share of the correction lost.
fn expected(carried: &Carried) -> Vec<Line> {
    let rows = words::HEADLINE_ROWS.into_iter();
    rows.filter_map(|measurement| carried.undertaking.row(measurement))
        .map(|row| {
            let before = words::outcome(row.measurement, &row.before);
            let planned = words::planned(row);
            let lost = words::with_loss(row).map_or_else(String::new, |value| {
                format!("; {value} with {}", words::share_lost(&carried.plan))
            });
            line(
                "Before → planned",
                row.measurement.name(),
                format!("{before} → {planned}{lost}"),
            )
        })
        .collect()
}

fn of_bone(carried: &Carried) -> Vec<Line> {
    let (plan, undertaking) = (&carried.plan, &carried.undertaking);
    let change = &undertaking.length;
    let along_second = change.along_second.as_ref().map_or_else(
        || "needs the second metatarsal".to_owned(),
        words::length_parts,
    );
    vec![
        line(
            "Length",
            "along M1",
            words::length_parts(&change.along_first),
        ),
        line("Length", "along M2", along_second),
        line("Bone", "contact at the cut", words::contact(undertaking)),
        line("Bone", "medial step", words::medial_step(undertaking, plan)),
    ]
}

fn of_screw(carried: &Carried, place: usize, course: &ScrewCourse) -> Vec<Line> {
    let letter = screw_words::letter(place);
    let said = |name: &str, text: String| line("Screws", &format!("{letter} {name}"), text);
    let Some(screw) = carried.plan.screws.get(place) else {
        return Vec::new();
    };
    let mut lines = vec![
        said(
            "diameter",
            format!(
                "{}, a {}",
                words::length(course.diameter),
                screw_words::kind(screw.kind)
            ),
        ),
        said("true length", screw_words::true_length(&course.length)),
    ];
    for view in View::ALL {
        lines.extend(
            screw_words::length_alone(&course.length, view)
                .map(|mm| said(&format!("{} film alone", view.name_in_sentence()), mm)),
        );
    }
    lines.extend(
        screw_words::length_at_hand(&carried.plan, &course.length).map(|text| said("length", text)),
    );
    lines.extend([
        said("cortices in order", screw_words::cortices(course)),
        said("in bone", screw_words::purchase(course)),
        said("angle", screw_words::screw_angle(course)),
    ]);
    lines
}
