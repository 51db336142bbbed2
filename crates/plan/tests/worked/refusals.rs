//! What stands in the way of a plan is said, and what needs millimetres is withheld without them.

use plumbray_anatomy::{Landmark, LongBone};
use plumbray_measure::Foot;
use plumbray_plan::{
    Aim, AimAt, CutDirection, Extent, Goal, NoSolution, Plan, PlanError, carry_out, solve_shift,
};

use crate::schematic::Schematic;

#[test]
fn an_uncalibrated_plan_has_shares_and_degrees_and_no_millimetre() {
    let drawn = Schematic::default().drawn();
    let plan = Plan::usual(false);
    let undertaking = carry_out(&drawn.uncalibrated(), &plan).expect("a plan in shares");
    assert_eq!(undertaking.shift.mm, None, "no millimetre");
    assert!(
        (undertaking.shift.of_width - 0.75).abs() < 1e-9,
        "three quarters"
    );
    assert_eq!(
        undertaking.before.ap.calibration_name, None,
        "and no name for one"
    );
    let refused = carry_out(&drawn.uncalibrated(), &Plan::usual(true));
    assert_eq!(
        refused,
        Err(PlanError::NeedsCalibration {
            what: "The level of the cut"
        }),
        "a plan in millimetres needs a calibration"
    );
}

#[test]
fn an_operated_foot_is_refused() {
    let drawn = Schematic::default().drawn();
    let foot = Foot {
        operated: true,
        ..drawn.foot()
    };
    assert_eq!(
        carry_out(&foot, &Plan::usual(true)),
        Err(PlanError::Operated),
        "operated"
    );
}

#[test]
fn what_the_tracing_lacks_is_named() {
    for (landmark, words) in [
        (Landmark::HeadCentre, "head of M1"),
        (Landmark::BaseCentre(LongBone::M1), "base of M1"),
        (Landmark::Tip(LongBone::M1), "tip of M1"),
        (Landmark::HeadEdge, "edge of its head"),
    ] {
        let mut drawn = Schematic::default().drawn();
        drawn.ap.points.remove(&landmark);
        let error = carry_out(&drawn.foot(), &Plan::usual(true)).expect_err(words);
        assert!(error.to_string().contains(words), "{words}: {error}");
    }
    let mut drawn = Schematic::default().drawn();
    drawn.ap.points.remove(&Landmark::Tip(LongBone::M3));
    let mut plan = Plan::usual(true);
    plan.cut.direction = CutDirection::Toward(Aim {
        bone: LongBone::M3,
        at: AimAt::Neck,
    });
    let error = carry_out(&drawn.foot(), &plan).expect_err("M3 is gone");
    assert!(error.to_string().contains("M3"), "{error}");
}

#[test]
fn numbers_that_no_operation_can_have_are_refused() {
    let drawn = Schematic::default().drawn();
    for number in [f64::NAN, f64::INFINITY, -40.0, 400.0] {
        let mut plan = Plan::usual(true);
        plan.head.shift = Extent::Millimetres(number);
        let refused = carry_out(&drawn.foot(), &plan);
        assert!(
            matches!(
                refused,
                Err(PlanError::OutOfRange {
                    what: "The shift",
                    ..
                })
            ),
            "{number}: {refused:?}"
        );
    }
    let mut plan = Plan::usual(true);
    plan.cut.level = Extent::Millimetres(50.0);
    plan.cut.direction = CutDirection::TiltDegrees(45.0);
    let refused = carry_out(
        &Schematic {
            shaft_mm: 40.0,
            ..Schematic::default()
        }
        .drawn()
        .foot(),
        &plan,
    );
    assert_eq!(refused, Err(PlanError::CutOffBone), "through the base");
}

#[test]
fn goals_out_of_reach_say_so() {
    let schematic = Schematic {
        intermetatarsal: 25.0,
        ..Schematic::default()
    };
    let drawn = schematic.drawn();
    let refused = solve_shift(
        &drawn.foot(),
        &Plan::usual(true),
        Goal::IntermetatarsalAngle(4.0),
    );
    assert!(
        matches!(refused, Err(NoSolution::OutOfReach { .. })),
        "{refused:?}"
    );
    let there = solve_shift(
        &drawn.foot(),
        &Plan::usual(true),
        Goal::IntermetatarsalAngle(30.0),
    );
    assert_eq!(
        there,
        Err(NoSolution::AlreadyThere),
        "already less than that"
    );
}

#[test]
fn the_sesamoids_come_to_lie_on_both_sides_of_the_axis() {
    // Their middle lies 5 mm lateral of the axis at 58 mm; a shift T of the head at 60 mm, no kerf, puts the axis there
    // where T · 58 / 60 = 5; the plan states it in shares of the 14 mm.
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.cut.kerf = Extent::Millimetres(0.0);
    let found = solve_shift(&drawn.foot(), &plan, Goal::SesamoidsUnderHead).expect("within reach");
    assert!(
        (found.number() - 5.0 * 60.0 / 58.0 / 14.0).abs() < 1e-6,
        "{found:?}"
    );
}

#[test]
fn the_most_is_edge_against_edge() {
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.head.shift = solve_shift(&drawn.foot(), &plan, Goal::MostThisBoneAllows).expect("a shift");
    let undertaking = carry_out(&drawn.foot(), &plan).expect("a plan");
    assert!(
        undertaking.contact.share.abs() < 1e-9,
        "{:?}",
        undertaking.contact
    );
}
