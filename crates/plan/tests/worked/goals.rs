//! A shift that is held at a goal, and a cut that keeps the length.

use plumbray_anatomy::testing::assert_close;
use plumbray_measure::Measurement;
use plumbray_plan::{
    Bound, Check, CutDirection, CutForm, Extent, Figure, Finding, Goal, NoSolution, NoTilt, Plan,
    PlannedOutcome, ToeRule, Undertaking, Verdict, aim_effects, carry_out, held, keep_length,
};

use crate::schematic::Schematic;

fn carried_out(plan: &Plan) -> Undertaking {
    let drawn = Schematic::default().drawn();
    carry_out(&drawn.foot(), plan).expect("a plan")
}

fn check(undertaking: &Undertaking, finding: Finding) -> Check {
    let found = undertaking.checks.iter();
    let mut found = found.filter(|check| check.finding == finding);
    found.next().expect("checked").clone()
}

fn planned(undertaking: &Undertaking, measurement: Measurement) -> f64 {
    let row = undertaking.row(measurement).expect("a row");
    row.planned.value().expect("a number")
}

fn along_second(undertaking: &Undertaking) -> f64 {
    let parts = undertaking.length.along_second.expect("M2 is drawn");
    parts.whole.mm.expect("calibrated")
}

fn tilt_of(plan: &Plan) -> f64 {
    match plan.cut.direction {
        CutDirection::TiltDegrees(tilt) => tilt,
        CutDirection::Toward(aim) => panic!("aimed at {aim:?}"),
    }
}

#[test]
fn a_goal_that_is_held_is_reached_again_after_each_change_of_cut_and_head() {
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.head.goal = Some(Goal::IntermetatarsalAngle(4.0));
    let first = held(&drawn.foot(), &plan).expect("within reach");
    for change in [
        |plan: &mut Plan| plan.cut.kerf = Extent::Millimetres(4.0),
        |plan: &mut Plan| plan.cut.direction = CutDirection::TiltDegrees(15.0),
        |plan: &mut Plan| {
            plan.cut.form = CutForm::Chevron {
                opens_degrees: 90.0,
            }
        },
    ] {
        let mut changed = first.clone();
        change(&mut changed);
        let stale = carried_out(&changed);
        assert!(
            (planned(&stale, Measurement::IntermetatarsalAngle12) - 4.0).abs() > 0.1,
            "the old shift gives another angle"
        );
        let stale = check(&stale, Finding::GoalReached);
        assert_eq!(stale.verdict, Verdict::Open, "and that is said");
        let found = held(&drawn.foot(), &changed).expect("within reach");
        let done = carried_out(&found);
        let angle = planned(&done, Measurement::IntermetatarsalAngle12);
        assert_close(angle, 4.0, 1e-6, "the angle that is held");
        let reached = check(&done, Finding::GoalReached);
        assert_eq!(reached.verdict, Verdict::Met, "reached");
        assert_eq!(
            reached.wanted,
            Some(Bound::About(Figure::Degrees(4.0))),
            "what is wanted stands beside it"
        );
        assert_eq!(held(&drawn.foot(), &found), Ok(found), "twice is once");
    }
}

#[test]
fn each_goal_that_is_held_has_its_check_and_none_is_made_where_none_is_held() {
    let drawn = Schematic::default().drawn();
    for goal in [Goal::SesamoidsUnderHead, Goal::MostThisBoneAllows] {
        let mut plan = Plan::usual(true);
        plan.head.goal = Some(goal);
        plan.head.shift = Extent::Millimetres(1.0);
        let stale = check(&carried_out(&plan), Finding::GoalReached);
        assert_eq!(stale.verdict, Verdict::Open, "{goal:?}: {stale:?}");
        let found = held(&drawn.foot(), &plan).expect("within reach");
        let reached = check(&carried_out(&found), Finding::GoalReached);
        assert_eq!(reached.verdict, Verdict::Met, "{goal:?}: {reached:?}");
    }
    let free = Plan::usual(true);
    assert_eq!(
        held(&drawn.foot(), &free),
        Ok(free.clone()),
        "nothing is held"
    );
    let checks = carried_out(&free).checks;
    assert!(
        checks
            .iter()
            .all(|check| check.finding != Finding::GoalReached),
        "and nothing is said of it: {checks:?}"
    );
}

#[test]
fn a_goal_out_of_reach_is_told() {
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.head.goal = Some(Goal::IntermetatarsalAngle(-15.0));
    let problem = held(&drawn.foot(), &plan).expect_err("too much");
    assert!(
        matches!(problem, NoSolution::OutOfReach { .. }),
        "{problem}"
    );
    plan.head.goal = Some(Goal::IntermetatarsalAngle(90.0));
    let problem = carry_out(&drawn.foot(), &plan).expect_err("no such angle");
    assert!(problem.to_string().contains("aimed for"), "{problem}");
}

#[test]
fn the_tilt_that_keeps_the_length_is_that_of_the_closed_formula() {
    // sin(θ + φ) = k·cos φ / T: asin(2·cos 13° / 10) − 13° = 11.2374° − 13°; asin(3·cos 13° / 8) − 13°;
    // asin(2·cos 5° / 6) − 5°; without kerf −φ.
    for (divergence, kerf, shift, tilt) in [
        (13.0, 2.0, 10.0, -1.7626),
        (13.0, 3.0, 8.0, 8.4315),
        (5.0, 2.0, 6.0, 14.3942),
        (13.0, 0.0, 10.0, -13.0),
    ] {
        let schematic = Schematic {
            intermetatarsal: divergence,
            ..Schematic::default()
        };
        let drawn = schematic.drawn();
        let mut plan = Plan::usual(true);
        plan.cut.kerf = Extent::Millimetres(kerf);
        plan.head.shift = Extent::Millimetres(shift);
        let kept = keep_length(&drawn.foot(), &plan).expect("a tilt");
        assert_close(tilt_of(&kept), tilt, 5.1e-5, "the tilt");
        let done = carry_out(&drawn.foot(), &kept).expect("a plan");
        assert_close(along_second(&done), 0.0, 1e-9, "the length along M2");
        assert_eq!(kept.head, plan.head, "the shift stays");
    }
}

#[test]
fn length_and_angle_are_kept_together() {
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.head.goal = Some(Goal::IntermetatarsalAngle(3.0));
    let kept = keep_length(&drawn.foot(), &plan).expect("a tilt");
    let done = carried_out(&kept);
    assert_close(along_second(&done), 0.0, 1e-6, "the length along M2");
    let angle = planned(&done, Measurement::IntermetatarsalAngle12);
    assert_close(angle, 3.0, 1e-6, "the angle that is held");
}

#[test]
fn each_aim_tells_the_length_with_the_shift_at_the_goal_that_is_held() {
    let drawn = Schematic::default().drawn();
    let mut plan = Plan::usual(true);
    plan.head.goal = Some(Goal::IntermetatarsalAngle(4.0));
    let effects = aim_effects(&drawn.foot(), &plan).expect("effects");
    assert_eq!(effects.len(), 6, "three necks and three heads");
    for effect in &effects {
        let mut aimed = plan.clone();
        aimed.cut.direction = CutDirection::Toward(effect.aim);
        let aimed = held(&drawn.foot(), &aimed).expect("within reach");
        assert_eq!(
            carried_out(&aimed).length,
            effect.length,
            "{:?}",
            effect.aim
        );
    }
}

#[test]
fn what_keeps_a_tilt_from_keeping_the_length_is_told() {
    let drawn = Schematic::default().drawn();
    let problem = |shift: f64, kerf: f64| {
        let mut plan = Plan::usual(true);
        plan.cut.kerf = Extent::Millimetres(kerf);
        plan.head.shift = Extent::Millimetres(shift);
        keep_length(&drawn.foot(), &plan).expect_err("no tilt")
    };
    for shift in [0.0, 1.5, -1.5] {
        let told = problem(shift, 2.0);
        assert!(
            matches!(told, NoTilt::KerfTooWide { .. }),
            "{shift} mm: {told}"
        );
    }
    // asin(5.9·cos 13° / 6) − 13° = 60.4°
    let told = problem(6.0, 5.9);
    assert!(
        told.to_string().contains("a tilt of 60.4°"),
        "the tilt that it would need: {told}"
    );
}

#[test]
fn a_toe_that_stays_in_valgus_is_open_until_it_is_straightened() {
    let mut plan = Plan::usual(true);
    plan.head.shift = Extent::Millimetres(4.0);
    let done = carried_out(&plan);
    let angle = planned(&done, Measurement::HalluxValgusAngle);
    let stays = check(&done, Finding::ToeStraightened);
    assert!(angle > 15.0, "{angle}°");
    assert_eq!(stays.verdict, Verdict::Open, "at {angle}°");
    assert_eq!(stays.figure, Some(Figure::Degrees(angle)), "its angle");
    assert!(stays.finding.help().is_some(), "what may help");
    for degrees in [15.0, 16.0] {
        plan.toe.rule = ToeRule::Realigned {
            hallux_valgus_degrees: degrees,
        };
        let done = carried_out(&plan);
        let row = done.row(Measurement::HalluxValgusAngle).expect("a row");
        assert!(
            matches!(row.planned, PlannedOutcome::Chosen(_)),
            "chosen, not predicted: {:?}",
            row.planned
        );
        let row = done.row(Measurement::IntermetatarsalAngle12);
        assert!(
            matches!(
                row.map(|row| &row.planned),
                Some(PlannedOutcome::Measured(_))
            ),
            "the first ray is predicted"
        );
    }
    assert_eq!(
        check(&carried_out(&plan), Finding::ToeStraightened).verdict,
        Verdict::Open,
        "a choice above the limit is open too"
    );
    let limit = Measurement::HalluxValgusAngle.usual_range();
    let limit = limit.expect("a usual range");
    let rule = Finding::ToeStraightened.rule();
    assert!(
        rule.contains(&format!("{}°", limit.high)) && limit.source.starts_with("limit from memory"),
        "the rule names the limit and source of the measurement: {rule}"
    );
}
