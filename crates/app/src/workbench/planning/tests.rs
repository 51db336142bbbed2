//! Plans of the traced sample foot, without a window.

use std::path::Path;

use plumbray_anatomy::{Landmark, testing::assert_close};
use plumbray_plan::{Extent, Plan, PlanError};
use plumbray_study::{Study, load};

use super::{PlanEdit, PlanHandle, Planning, Units, geometry};

/// The sample foot with these plans.
fn sample(plans: Vec<Plan>) -> Study {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-images/sample-foot-ap.dcm.study.ron");
    let mut study = load(&path).expect("the traced sample foot");
    study.plans = plans;
    study
}

#[test]
fn a_head_that_is_dropped_where_it_lies_keeps_its_shift() {
    let plan = Plan::usual(true);
    let planning = Planning::of(&sample(vec![plan.clone()]));
    let done = planning.undertaking().expect("carried out");
    let head = done.tracing.ap.point(Landmark::HeadCentre).expect("traced");
    let dragged = geometry::dragged(&planning, &plan, PlanHandle::Head, head).expect("possible");
    let (before, after) = (plan.head.shift.number(), dragged.head.shift.number());
    assert_close(after, before, 0.0006, "rounded to what the field shows");
    let middle = done.before.ap.film_point(done.cut.middle);
    let dragged = geometry::dragged(&planning, &plan, PlanHandle::Cut, middle).expect("possible");
    let (before, after) = (plan.cut.level.number(), dragged.cut.level.number());
    assert_close(after, before, 0.06, "likewise the level of the cut");
}

#[test]
fn a_plan_said_in_per_cent_and_in_millimetres_again_does_the_same() {
    let plan = Plan::usual(true);
    let planning = Planning::of(&sample(vec![plan.clone()]));
    let done = planning.undertaking();
    let shares = geometry::in_units(&plan, done, Units::PerCent);
    assert!(
        matches!(shares.cut.level, Extent::Share(_)),
        "in per cent: {:?}",
        shares.cut.level
    );
    let again = Planning::of(&sample(vec![shares.clone()]));
    let (one, other) = (
        done.expect("carried out"),
        again.undertaking().expect("too"),
    );
    for (one, other, what) in [
        (one.cut.middle.y, other.cut.middle.y, "level"),
        (one.cut.kerf, other.cut.kerf, "kerf"),
        (one.shift.pixel_widths, other.shift.pixel_widths, "shift"),
    ] {
        assert_close(other, one, 1e-6, what);
    }
    let back = geometry::in_units(&shares, again.undertaking(), Units::Millimetres);
    assert_close(
        back.cut.level.number(),
        plan.cut.level.number(),
        1e-9,
        "there and back",
    );
}

#[test]
fn the_page_follows_the_study_when_plans_and_tracing_change() {
    let mut more = Plan::usual(true);
    PlanEdit::Shift(Extent::Share(0.9)).apply_to(&mut more);
    let mut study = sample(vec![Plan::usual(true), more]);
    let mut planning = Planning::of(&study);
    planning.chosen = 1;
    let farther = planning.undertaking().expect("carried out").shift;
    study.plans.remove(0);
    planning.follow(&study);
    assert_eq!(planning.chosen, 0, "the one that is left");
    let left = planning.undertaking().expect("carried out").shift;
    assert_eq!(left, farther, "is the second one");
    study.visit.operated = true;
    planning.follow(&study);
    let problem = planning.done(0).expect("a plan").err();
    assert_eq!(
        problem,
        Some(&PlanError::Operated),
        "the films were changed"
    );
    assert!(planning.aims().is_empty(), "and no aim has an effect");
}
