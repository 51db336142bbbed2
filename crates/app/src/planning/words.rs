//! A plan in words, as window, command line and sheet write it.
//!
//! A length is in millimetres where the AP film is calibrated, and otherwise a share of the shaft's width: no
//! millimetre stands anywhere on an uncalibrated foot.

use plumbray_anatomy::{Angle, View};
use plumbray_measure::{Measurement, Outcome, Unit};
use plumbray_plan::{
    CutDirection, CutForm, Extent, Length, LengthParts, Plan, PlannedOutcome, PredictedRow,
    ToeRule, Undertaking, wedge_base,
};
use plumbray_report::number::{degrees, in_unit, millimetres, per_cent, signed, value_and_spread};

pub(crate) use super::check_words::{
    check_name, check_words, figure, figure_and_wanted, verdict, wanted, wanted_and_is,
};

/// The rows that a surgeon reads of every plan.
pub(crate) const HEADLINE_ROWS: [Measurement; 5] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidPosition,
    Measurement::TibialSesamoidShare,
];

/// A length: "9.7 mm", or "76 % of the shaft’s width" where nothing is calibrated.
pub(crate) fn length(length: Length) -> String {
    length.mm.map_or_else(
        || format!("{} of the shaft’s width", per_cent(length.of_width)),
        millimetres,
    )
}

/// The same with a plus sign where it is positive.
pub(crate) fn signed_length(length: Length) -> String {
    length.mm.map_or_else(
        || {
            format!(
                "{}\u{2009}% of the shaft’s width",
                signed(length.of_width * 100.0, 0)
            )
        },
        |mm| format!("{}\u{2009}mm", signed(mm, 1)),
    )
}

/// The same without its unit, to stand among others of it.
fn bare_signed(length: Length) -> String {
    length.mm.map_or_else(
        || format!("{}\u{2009}%", signed(length.of_width * 100.0, 0)),
        |mm| signed(mm, 1),
    )
}

/// A length in millimetres with its share of the shaft’s width beside it: "10.5 mm (75 % of the shaft’s width)".
pub(crate) fn length_and_share(of: Length) -> String {
    match of.mm {
        Some(mm) => format!(
            "{} ({} of the shaft’s width)",
            millimetres(mm),
            per_cent(of.of_width)
        ),
        None => length(of),
    }
}

/// The name of a plan, or its place where it has none: "Plan 2".
pub(crate) fn plan_name(plan: &Plan, place: usize) -> String {
    let name = plan.name.split_whitespace().collect::<Vec<_>>().join(" ");
    if name.is_empty() {
        format!("Plan {}", place + 1)
    } else {
        name
    }
}

/// How far the cut lies from the joint: "23.0 mm (38 % of the bone)".
pub(crate) fn cut_level(undertaking: &Undertaking) -> String {
    let cut = &undertaking.cut;
    let share = format!("{} of the bone", per_cent(cut.from_joint_share));
    match cut.from_joint.mm {
        Some(mm) => format!("{} ({share})", millimetres(mm)),
        None => share,
    }
}

/// The tilt of the cut, which of its ends lies more distal, and at what it is aimed.
pub(crate) fn cut_tilt(undertaking: &Undertaking, plan: &Plan) -> String {
    let tilt = undertaking.cut.tilt.to_degrees();
    let number = degrees(tilt.abs());
    let tilted = if number == degrees(0.0) {
        "square to the shaft".to_owned()
    } else if tilt > 0.0 {
        format!("{number}, lateral end more distal")
    } else {
        format!("{number}, lateral end more proximal")
    };
    match plan.cut.direction {
        CutDirection::TiltDegrees(_) => tilted,
        CutDirection::Toward(aim) => format!("{tilted}; toward {}", aim.name()),
    }
}

/// The angle between the two limbs of a chevron, by which the trade names it, for what they depart from one straight
/// line, and the other way round; in degrees.
pub(crate) const fn between_limbs(opens_degrees: f64) -> f64 {
    180.0 - opens_degrees
}

/// The form of the cut as seen from the side.
pub(crate) fn cut_form(form: CutForm) -> String {
    match form {
        CutForm::Straight => "straight".to_owned(),
        CutForm::Chevron { opens_degrees } => {
            format!(
                "chevron, {} between its limbs",
                degrees(between_limbs(opens_degrees))
            )
        }
    }
}

/// How much the burr takes: "2.0 mm (14 % of the shaft’s width)".
pub(crate) fn kerf(undertaking: &Undertaking) -> String {
    length_and_share(undertaking.cut.length(undertaking.cut.kerf))
}

/// How far along the first metatarsal, from the centre of its base: "38.0 mm", or "62 % of the bone" where nothing
/// is calibrated.
pub(crate) fn from_base(undertaking: &Undertaking, pixel_widths: f64) -> String {
    let before = &undertaking.before;
    if before.ap.mm_per_pixel_width.is_some() {
        return length(undertaking.cut.length(pixel_widths));
    }
    format!(
        "{} of the bone",
        per_cent(pixel_widths / before.bone_length)
    )
}

/// What becomes of the toe, with the wedge where one is taken.
pub(crate) fn toe(undertaking: &Undertaking, plan: &Plan) -> String {
    let rule = match plan.toe.rule {
        ToeRule::FollowsHead => "shifts and turns with the head".to_owned(),
        ToeRule::KeepsDirection => "shifts with the head, keeps its direction".to_owned(),
        ToeRule::Realigned {
            hallux_valgus_degrees,
        } => format!("brought to {}", degrees(hallux_valgus_degrees)),
    };
    if plan.toe.wedge_degrees.abs() <= 0.0 {
        return rule;
    }
    let angle = Angle::from_degrees(plan.toe.wedge_degrees);
    let base = undertaking
        .phalanx_width
        .and_then(|width| width.mm)
        .map(|width| wedge_base(angle, width))
        .map_or_else(String::new, |base| {
            format!(", {} at its base", millimetres(base))
        });
    format!(
        "{rule}; wedge of {} from the phalanx{base}",
        degrees(plan.toe.wedge_degrees)
    )
}

/// Turns and shifts of the head beside the lateral one: "turned medially by 5.0°"; those that are none are left
/// out.
pub(crate) fn head_turns(plan: &Plan) -> Vec<String> {
    let head = &plan.head;
    let turn = |value: f64, positive: &str, negative: &str| {
        (value.abs() > 0.0).then(|| {
            let way = if value > 0.0 { positive } else { negative };
            format!("{way} by {}", degrees(value.abs()))
        })
    };
    let shift = (head.dorsal_shift.number().abs() > 0.0).then(|| {
        let way = if head.dorsal_shift.number() > 0.0 {
            "dorsal"
        } else {
            "plantar"
        };
        let amount = match head.dorsal_shift {
            Extent::Millimetres(mm) => millimetres(mm.abs()),
            Extent::Share(share) => format!("{} of the shaft’s width", per_cent(share.abs())),
        };
        format!("shifted {way} by {amount}")
    });
    [
        turn(
            head.medial_turn_degrees,
            "turned medially",
            "turned laterally",
        ),
        turn(head.supination_degrees, "supinated", "pronated"),
        turn(
            head.plantar_tilt_degrees,
            "tilted plantarward",
            "tilted dorsally",
        ),
        shift,
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What becomes of the length along one ray, with its parts: "−1.9 mm: kerf −2.0, tilt +0.1".
pub(crate) fn length_parts(parts: &LengthParts) -> String {
    let mut named = vec![
        format!("kerf {}", bare_signed(parts.by_kerf)),
        format!("tilt {}", bare_signed(parts.by_tilt)),
    ];
    if parts.by_divergence.pixel_widths.abs() > 0.0 {
        named.push(format!("divergence {}", bare_signed(parts.by_divergence)));
    }
    format!("{}: {}", signed_length(parts.whole), named.join(", "))
}

/// How much bone still lies on bone at the cut: "3.5 mm, 25 % of the cut".
pub(crate) fn contact(undertaking: &Undertaking) -> String {
    let contact = undertaking.contact;
    let share = format!("{} of the cut", per_cent(contact.share));
    match contact.overlap.mm {
        Some(mm) => format!("{}, {share}", millimetres(mm)),
        None => share,
    }
}

/// How far the shaft stands out medially, and whether that is trimmed.
pub(crate) fn medial_step(undertaking: &Undertaking, plan: &Plan) -> String {
    let end = if plan.step_trimmed {
        "trimmed"
    } else {
        "not trimmed"
    };
    format!("{}, {end}", length(undertaking.medial_step))
}

/// A number with the half of its 95 % interval: "32.1° ± 3.4"; why there is none, where there is none.
pub(crate) fn outcome(measurement: Measurement, outcome: &Outcome) -> String {
    outcome.reading().map_or_else(
        || outcome.why_not().unwrap_or_else(|| "no number".to_owned()),
        |reading| {
            let (value, spread) = value_and_spread(measurement.unit(), reading);
            if spread.is_empty() {
                value
            } else {
                format!("{value} {spread}")
            }
        },
    )
}

/// What a measurement would be: "12.0° ± 3.4"; "12.0°, chosen" where the plan states it.
pub(crate) fn planned(row: &PredictedRow) -> String {
    match &row.planned {
        PlannedOutcome::Measured(measured) => outcome(row.measurement, measured),
        PlannedOutcome::Chosen(chosen) => chosen.reading().map_or_else(
            || outcome(row.measurement, chosen),
            |reading| {
                let (value, _) = value_and_spread(row.measurement.unit(), reading);
                format!("{value}, chosen")
            },
        ),
        PlannedOutcome::NotPredicted(why) => (*why).to_owned(),
    }
}

/// What it would be once a share of the correction is lost: "18.0°"; nothing where that has no meaning.
pub(crate) fn with_loss(row: &PredictedRow) -> Option<String> {
    let unit = row.measurement.unit();
    let decimals = usize::from(unit == Unit::Degrees);
    row.with_loss.map(|value| in_unit(unit, value, decimals))
}

/// How much of the correction may be lost: "30 % lost".
pub(crate) fn share_lost(plan: &Plan) -> String {
    format!("{} lost", per_cent(plan.lost_share))
}

/// Whose millimetres a plan's are, a sentence for each film; one that there are none, where there are none.
pub(crate) fn calibration_lines(undertaking: &Undertaking) -> Vec<String> {
    let line = |view: View, name: Option<&String>, is_at_patient: bool| {
        let film = view.name_in_sentence();
        match name {
            None => format!(
                "{} film not calibrated: per cent and degrees only.",
                view.name()
            ),
            Some(name) if is_at_patient => format!("Millimetres on the {film} film: {name}."),
            Some(name) => format!(
                "Millimetres on the {film} film: {name}; not corrected to the size of the foot."
            ),
        }
    };
    let before = &undertaking.before;
    let mut lines = vec![line(
        View::Ap,
        before.ap.calibration_name.as_ref(),
        before.ap.is_at_patient,
    )];
    lines.extend(before.lateral.as_ref().map(|view| {
        line(
            View::Lateral,
            view.calibration_name.as_ref(),
            view.is_at_patient,
        )
    }));
    lines
}
