//! One whole plan worked by hand, as `docs/planning.md` does it.

use plumbray_anatomy::testing::assert_close;
use plumbray_measure::Measurement;
use plumbray_plan::{CutDirection, Extent, Plan, ToeRule, Undertaking, carry_out};

use crate::schematic::Schematic;

fn mm(length: plumbray_plan::Length) -> f64 {
    length.mm.expect("calibrated")
}

/// A shaft of 60 mm, 14 mm wide, cut 23 mm from the joint at a tilt of 10°, 12.6 mm of travel along the cut and a kerf
/// of 2 mm.
fn plan() -> Plan {
    let mut plan = Plan::usual(true);
    plan.cut.direction = CutDirection::TiltDegrees(10.0);
    // 12.6 · cos 10° + 2 · sin 10° = 12.4086 + 0.3473
    plan.head.shift = Extent::Millimetres(12.7559);
    plan.toe.rule = ToeRule::KeepsDirection;
    plan
}

fn carried_out(plan: &Plan) -> Undertaking {
    let drawn = Schematic::default().drawn();
    carry_out(&drawn.foot(), plan).expect("a plan")
}

fn planned(undertaking: &Undertaking, measurement: Measurement) -> f64 {
    let row = undertaking.row(measurement).expect("a row");
    row.planned.value().expect("predicted")
}

fn before(undertaking: &Undertaking, measurement: Measurement) -> f64 {
    let row = undertaking.row(measurement).expect("a row");
    row.before.reading().expect("measured").value
}

#[test]
fn the_cut_lies_where_it_was_put() {
    let cut = carried_out(&plan()).cut;
    // The joint's centre lies halfway between the tip at 70 mm and the phalanx's base at 71 mm.
    assert_close(cut.middle.y / 10.0, 70.5 - 23.0, 1e-9, "along the shaft");
    assert_close(cut.width / 10.0, 14.0, 1e-9, "width of the shaft");
    assert_close(
        cut.chord() / 10.0,
        14.0 / 10.0_f64.to_radians().cos(),
        1e-9,
        "length of the cut",
    );
    // The sesamoids begin at 60 − 2 − 6 = 52 mm.
    assert_close(
        mm(cut.clear_of_sesamoids.expect("traced")),
        52.0 - 47.5,
        1e-9,
        "sesamoids",
    );
}

#[test]
fn shift_length_and_contact_follow_from_travel_tilt_and_kerf() {
    let undertaking = carried_out(&plan());
    assert_close(mm(undertaking.travel), 12.6, 1e-4, "travel along the cut");
    let first = undertaking.length.along_first;
    // 12.6 · sin 10° − 2 · cos 10° = 2.1880 − 1.9696
    assert_close(mm(first.whole), 0.2184, 1e-4, "along M1");
    assert_close(mm(first.by_tilt), 2.1880, 1e-4, "along M1, by the tilt");
    assert_close(mm(first.by_kerf), -1.9696, 1e-4, "along M1, by the kerf");
    let second = undertaking.length.along_second.expect("M2 is drawn");
    // 12.6 · sin 23° − 2 · cos 23° = 4.9232 − 1.8410
    assert_close(mm(second.whole), 3.0822, 1e-4, "along M2");
    // 12.6 · sin 13° = 2.8344
    assert_close(
        mm(second.by_divergence),
        2.8344,
        1e-4,
        "along M2, by the divergence",
    );
    let parts = mm(second.by_kerf) + mm(second.by_tilt) + mm(second.by_divergence);
    assert_close(parts, mm(second.whole), 1e-9, "the parts add up");
    // 1 − 12.7559 / 14
    assert_close(undertaking.contact.share, 0.08886, 1e-5, "contact");
    let mut without_kerf = plan();
    without_kerf.cut.kerf = Extent::Millimetres(0.0);
    without_kerf.head.shift = Extent::Millimetres(12.4086);
    // 1 − 12.6 · cos 10° / 14
    let contact = carried_out(&without_kerf).contact.share;
    assert_close(
        contact,
        0.11367,
        1e-5,
        "contact by the travel alone, without kerf",
    );
    assert_close(
        undertaking.shift.of_width,
        12.7559 / 14.0,
        1e-9,
        "shift in shares of the width",
    );
    assert_close(
        mm(undertaking.medial_step),
        12.7559,
        1e-4,
        "the step is the shift where cortices are straight",
    );
}

#[test]
fn angles_fall_by_the_turn_of_the_axis() {
    let undertaking = carried_out(&plan());
    // The head's centre goes from (0, 60) to (12.7559, 60.2184): atan(12.7559 / 60.2184) = 11.9602°.
    let turn = 11.9602;
    for (measurement, was) in [
        (Measurement::IntermetatarsalAngle12, 13.0),
        (Measurement::HalluxValgusAngle, 30.0),
        (Measurement::DistalMetatarsalArticularAngle, 8.0),
    ] {
        assert_close(before(&undertaking, measurement), was, 1e-6, "before");
        assert_close(
            planned(&undertaking, measurement),
            was - turn,
            1e-3,
            "planned",
        );
        let row = undertaking.row(measurement).expect("a row");
        let with_loss = row.with_loss.expect("an angle");
        assert_close(with_loss, was - 0.7 * turn, 1e-3, "three tenths lost");
    }
}

#[test]
fn a_turn_of_the_head_about_its_centre_turns_joint_and_toe_and_leaves_the_first_ray() {
    let mut turned = plan();
    turned.head.medial_turn_degrees = 5.0;
    turned.toe.rule = ToeRule::FollowsHead;
    let (straight, turned) = (carried_out(&plan()), carried_out(&turned));
    for (measurement, change) in [
        (Measurement::IntermetatarsalAngle12, 0.0),
        (Measurement::DistalMetatarsalArticularAngle, -5.0),
        (Measurement::HalluxValgusAngle, -5.0),
    ] {
        let difference = planned(&turned, measurement) - planned(&straight, measurement);
        assert_close(difference, change, 1e-6, measurement.name());
    }
}

#[test]
fn a_toe_is_brought_to_the_angle_that_is_aimed_at_whatever_a_wedge_gives_of_it() {
    let mut realigned = plan();
    realigned.toe.rule = ToeRule::Realigned {
        hallux_valgus_degrees: 9.0,
    };
    let undertaking = carried_out(&realigned);
    assert_close(
        planned(&undertaking, Measurement::HalluxValgusAngle),
        9.0,
        1e-6,
        "aimed at",
    );
    realigned.toe.wedge_degrees = 4.0;
    let undertaking = carried_out(&realigned);
    assert_close(
        planned(&undertaking, Measurement::HalluxValgusAngle),
        9.0,
        1e-6,
        "with a wedge",
    );
    assert_close(
        planned(&undertaking, Measurement::IntermetatarsalAngle12),
        13.0 - 11.9602,
        1e-3,
        "the toe does not touch the first ray",
    );
}

#[test]
fn a_turn_of_the_head_carries_its_face_laterally_and_costs_contact() {
    let mut turned = plan();
    turned.cut.direction = CutDirection::TiltDegrees(0.0);
    turned.cut.kerf = Extent::Millimetres(0.0);
    turned.head.shift = Extent::Millimetres(7.0);
    turned.head.medial_turn_degrees = 10.0;
    let undertaking = carried_out(&turned);
    // The medial corner (−7, −12.5) from the head's centre, turned by 10° medially and shifted by 7 mm:
    // −7 · cos 10° + 12.5 · sin 10° + 7 = 2.2770; the lateral edge of the shaft lies at 7 mm.
    assert_close(
        undertaking.contact.share,
        (7.0 - 2.2770) / 14.0,
        1e-4,
        "contact",
    );
    assert_close(mm(undertaking.medial_step), 2.2770 + 7.0, 1e-3, "step");
}

#[test]
fn supination_is_planned_and_not_predicted() {
    let mut supinated = plan();
    supinated.head.supination_degrees = 12.0;
    let undertaking = carried_out(&supinated);
    let row = undertaking
        .row(Measurement::DistalMetatarsalArticularAngle)
        .expect("a row");
    assert_eq!(row.planned.value(), None, "no number");
    assert_eq!(row.with_loss, None, "no number with a loss either");
    assert_close(
        planned(&undertaking, Measurement::IntermetatarsalAngle12),
        13.0 - 11.9602,
        1e-3,
        "the angle between the metatarsals is",
    );
}

#[test]
fn a_chevron_closes_by_more_than_its_kerf() {
    let mut chevron = plan();
    chevron.cut.form = plumbray_plan::CutForm::Chevron {
        opens_degrees: 60.0,
    };
    let undertaking = carried_out(&chevron);
    // 2 / cos 30°
    assert_close(undertaking.cut.closing / 10.0, 2.3094, 1e-4, "closing");
}

#[test]
fn each_aim_says_what_it_does_to_the_length() {
    let drawn = Schematic::default().drawn();
    let effects = plumbray_plan::aim_effects(&drawn.foot(), &plan()).expect("effects");
    assert_eq!(effects.len(), 6, "three necks and three heads");
    for effect in &effects {
        let mut aimed = plan();
        aimed.cut.direction = CutDirection::Toward(effect.aim);
        let undertaking = carried_out(&aimed);
        assert_close(
            undertaking.cut.tilt.to_degrees(),
            effect.tilt_degrees,
            1e-9,
            "the plan has the tilt that was told",
        );
        assert_eq!(undertaking.length, effect.length, "and the length");
    }
    let tilt = |index: usize| effects[index].tilt_degrees;
    assert!(
        tilt(0) > tilt(1) && tilt(1) > tilt(2),
        "the second neck lies most distal, the fourth least"
    );
    assert!(tilt(3) > tilt(0), "a head lies distal of its neck");
}
