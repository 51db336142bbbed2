//! Screws worked by hand, and a pair found by search.

use plumbray_anatomy::testing::assert_close;
use plumbray_plan::{
    BonePlace, Cortex, CutDirection, Extent, Finding, Plan, Screw, ScrewKind, ToeRule, Undertaking,
    Verdict, carry_out, suggest_pair,
};

use crate::schematic::Schematic;

/// A cut square to the shaft at 47.5 mm without kerf, shifted by 12 of 14 mm.
fn plan() -> Plan {
    let mut plan = Plan::usual(true);
    plan.cut.direction = CutDirection::TiltDegrees(0.0);
    plan.cut.kerf = Extent::Millimetres(0.0);
    plan.head.shift = Extent::Millimetres(12.0);
    plan.toe.rule = ToeRule::KeepsDirection;
    plan
}

/// A screw of 4 mm between places given in mm along, lateral and dorsal of the base's centre.
fn screw(entry: [f64; 3], tip: [f64; 3]) -> Screw {
    let place = |[along, lateral, dorsal]: [f64; 3]| BonePlace {
        along: along / 60.0,
        lateral: lateral / 60.0,
        dorsal: dorsal / 60.0,
    };
    Screw {
        kind: ScrewKind::Screw,
        diameter: Extent::Millimetres(4.0),
        entry: place(entry),
        tip: place(tip),
    }
}

fn with(screws: Vec<Screw>) -> Undertaking {
    let mut plan = plan();
    plan.screws = screws;
    carry_out(&Schematic::default().drawn().foot(), &plan).expect("a plan")
}

fn verdict(undertaking: &Undertaking, finding: Finding) -> Verdict {
    undertaking
        .checks
        .iter()
        .find(|check| check.finding == finding)
        .unwrap_or_else(|| panic!("{finding:?} is checked"))
        .verdict
}

#[test]
fn a_screw_by_way_of_the_lateral_cortex() {
    // From the medial cortex (−7, 12) straight to (20, 57): it meets the lateral cortex, 7 mm lateral, after 14/27 of its
    // way at 12 + 45 · 14/27 = 35.333 mm, 12.167 mm short of the cut at 47.5 mm.
    let undertaking = with(vec![screw([12.0, -7.0, 0.0], [57.0, 20.0, 0.0])]);
    let course = &undertaking.screws[0];
    let names: Vec<Cortex> = course
        .crossings
        .iter()
        .map(|crossing| crossing.cortex)
        .collect();
    assert_eq!(
        names[..2],
        [Cortex::MedialBase, Cortex::LateralShaft],
        "in order: {names:?}"
    );
    let mm = |length: plumbray_plan::Length| length.mm.expect("calibrated");
    assert_close(
        mm(course.exit_to_cut.expect("it leaves")),
        12.1667,
        1e-3,
        "to the cut",
    );
    let whole = 27.0_f64.hypot(45.0);
    assert_close(
        mm(course.in_shaft),
        52.124_858 * 14.0 / 27.0,
        1e-3,
        "in the shaft",
    );
    assert_close(
        course.length.ap_mm.expect("calibrated"),
        whole,
        1e-9,
        "as the AP film shows it",
    );
    assert_close(
        course.length.true_mm.expect("both views"),
        52.124_858,
        1e-5,
        "by both, as docs/planning.md works it",
    );
    assert_close(
        course.angle_to_shaft_degrees,
        (27.0_f64 / 45.0).atan().to_degrees(),
        1e-9,
        "angle to the shaft",
    );
    assert_eq!(
        verdict(&undertaking, Finding::LeavesBeforeCut),
        Verdict::Met,
        "spare bone"
    );
    assert_eq!(
        verdict(&undertaking, Finding::TwoScrews),
        Verdict::Open,
        "one alone"
    );
}

#[test]
fn the_true_length_needs_both_views() {
    let undertaking = with(vec![screw([12.0, -7.0, 3.0], [57.0, 20.0, -5.0])]);
    let length = &undertaking.screws[0].length;
    assert_close(
        length.true_mm.expect("both views"),
        53.639_589,
        1e-5,
        "by both, as docs/planning.md works it",
    );
    assert_close(
        length.ap_mm.expect("calibrated"),
        45.0_f64.hypot(27.0),
        1e-9,
        "AP alone",
    );
    assert_close(
        length.lateral_mm.expect("calibrated"),
        51.614_915,
        1e-5,
        "lateral alone, as docs/planning.md works it",
    );
    let mut without = plan();
    without.screws = vec![screw([12.0, -7.0, 3.0], [57.0, 20.0, -5.0])];
    without.cut.level = Extent::Share(0.38);
    without.cut.kerf = Extent::Share(0.0);
    without.head.shift = Extent::Share(0.86);
    without.screws[0].diameter = Extent::Share(0.28);
    let drawn = Schematic::default().drawn();
    let undertaking = carry_out(&drawn.uncalibrated(), &without).expect("a plan in shares");
    let length = &undertaking.screws[0].length;
    assert_eq!(
        length.best_mm(),
        None,
        "no millimetre without a calibration"
    );
    assert!(length.withheld.is_some(), "and why");
}

#[test]
fn two_screws_are_told_apart() {
    let undertaking = with(vec![
        screw([12.0, -7.0, 0.0], [57.0, 20.0, 0.0]),
        screw([12.0, -7.0, 6.0], [57.0, 20.0, 6.0]),
    ]);
    let apart = undertaking.screws[1].to_nearest_other.expect("two").mm;
    assert_close(apart.expect("calibrated"), 6.0, 1e-9, "side by side");
    assert_close(
        undertaking.screws[1]
            .angle_to_first_degrees
            .expect("the second"),
        0.0,
        1e-6,
        "parallel",
    );
}

#[test]
fn what_is_wrong_with_a_screw_is_said() {
    let undertaking = with(vec![screw([44.0, -7.0, 20.0], [72.0, 12.0, -20.0])]);
    for (finding, what) in [
        (Finding::TipInHead, "the tip stands in the joint"),
        (Finding::ClearOfStep, "the entry lies 3.5 mm from the step"),
        (Finding::EntryNearMidline, "the entry lies 20 mm dorsal"),
        (Finding::AimNotPlantar, "the tip lies 20 mm plantar"),
        (
            Finding::LevelWithCuneiform,
            "the line passes high over the base",
        ),
        (Finding::LeavesBeforeCut, "it never leaves the shaft"),
    ] {
        assert_eq!(verdict(&undertaking, finding), Verdict::Open, "{what}");
    }
}

#[test]
fn a_wire_is_held_against_the_joint_line() {
    let mut wire = screw([62.0, 0.0, 0.0], [62.0, 22.0, 0.0]);
    wire.kind = ScrewKind::Wire;
    wire.diameter = Extent::Millimetres(2.0);
    let undertaking = with(vec![wire]);
    // The joint surface faces 8° laterally, so that its line rises 8° toward medial.
    assert_eq!(
        verdict(&undertaking, Finding::AlongJoint),
        Verdict::Met,
        "8° off"
    );
    assert_eq!(
        verdict(&undertaking, Finding::InDistalHalf),
        Verdict::Met,
        "at 62 mm"
    );
    wire.entry.along += 3.0 / 60.0;
    let undertaking = with(vec![wire]);
    assert_eq!(
        verdict(&undertaking, Finding::AlongJoint),
        Verdict::Met,
        "0° off"
    );
    wire.tip.along += 9.0 / 60.0;
    let undertaking = with(vec![wire]);
    assert_eq!(
        verdict(&undertaking, Finding::AlongJoint),
        Verdict::Open,
        "too steep"
    );
}

#[test]
fn the_suggested_pair_meets_its_checks() {
    let drawn = Schematic::default().drawn();
    let found = suggest_pair(&drawn.foot(), &plan(), Extent::Millimetres(4.0)).expect("a pair");
    assert_eq!(found.screws.len(), 2, "two");
    assert!(found.screws_suggested, "the plan knows where they are from");
    let undertaking = carry_out(&drawn.foot(), &found).expect("a plan");
    let open: Vec<Finding> = undertaking
        .checks
        .iter()
        .filter(|check| check.screw.is_some() && check.verdict == Verdict::Open)
        .map(|check| check.finding)
        .collect();
    assert_eq!(open, [], "nothing is open");
    for course in &undertaking.screws {
        let mm = course.length.true_mm.expect("both views");
        assert!(
            (mm / 2.0 - (mm / 2.0).round()).abs() < 1e-6,
            "{mm} mm is a length at hand"
        );
    }
}
