//! What screws cross, and how much of them lies in bone, counted once more by the polygons of shapely on the outlines
//! that crate plan makes (`tests/outside/shapely`).

#[path = "planning/comparison.rs"]
mod comparison;
#[path = "planning/random_feet.rs"]
mod random_feet;
#[path = "planning/random_plans.rs"]
mod random_plans;

use std::collections::BTreeMap;

use plumbray_anatomy::PhysicalPoint;
use plumbray_plan::{BonePlace, MOST_SCREWS, Outline, ScrewCourse, Undertaking, carry_out};
use plumbray_tests::answered_outside;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use crate::{
    comparison::Comparison,
    random_feet::random_foot,
    random_plans::{random_plan, random_screw},
};

const SEED: u64 = 20_261_129;
const SCREWS: usize = 1_200;

#[test]
fn shapely_counts_the_same_cortices_in_the_same_order_and_as_much_bone() {
    let screws = screws();
    let questions: Vec<Value> = screws
        .iter()
        .map(|(question, _)| question.clone())
        .collect();
    let answers = counted(&questions);

    let mut lengths = Comparison::default();
    let mut crossed: BTreeMap<String, usize> = BTreeMap::new();
    let (mut touched, mut sunk) = (0, 0);
    for (index, (_, program)) in screws.iter().enumerate() {
        let (outside, what) = (&answers[index], format!("screw {index}"));
        assert_eq!(
            program["cortices"], outside["cortices"],
            "{what}: the cortices in order; program {program}, outside {outside}, asked {}",
            questions[index]
        );
        assert_eq!(
            program["tip_is_in_fragment"], outside["tip_is_in_fragment"],
            "{what}: whether its tip lies in the fragment"
        );
        for name in ["in_shaft", "in_fragment"] {
            let inside = program[name].as_f64().expect("a number");
            lengths.number(&format!("{what}, {name}"), inside, &outside[name]);
        }
        for (number, cortex) in cortices(program).enumerate() {
            let share = program["shares"][number].as_f64().expect("a number");
            let compared = format!("{what}, share of crossing {number}");
            lengths.number(&compared, share, &outside["shares"][number]);
            *crossed.entry(cortex).or_default() += 1;
            touched += usize::from(share >= 1.0);
            sunk += usize::from(share < 0.0);
        }
    }
    lengths.assert_agreement("lengths in bone and places of crossings");
    // So that nothing passes because hardly anything was crossed.
    eprintln!(
        "COUNT {} touched {touched} sunk {sunk} {crossed:?}",
        lengths.numbers
    );
    assert_eq!(screws.len(), SCREWS, "screws");
    assert!(lengths.numbers >= 3_500, "{} lengths", lengths.numbers);
    assert!(touched >= 30, "{touched} cortices were only touched");
    assert!(sunk >= 30, "{sunk} cortices lay before the entry");
    for name in [
        "MedialBase",
        "MedialShaft",
        "LateralShaft",
        "MedialHead",
        "LateralHead",
        "HeadSurface",
    ] {
        let count = crossed.get(name).copied().unwrap_or_default();
        assert!(count >= 20, "{name} was crossed {count} times: {crossed:?}");
    }
}

/// The names of the cortices that the program found, in order.
fn cortices(program: &Value) -> impl Iterator<Item = String> {
    let names = program["cortices"].as_array().cloned().unwrap_or_default();
    names
        .into_iter()
        .map(|name| name.as_str().unwrap_or_default().to_owned())
}

/// Screws through random plans on random feet: what shapely is asked, and what the program says.
fn screws() -> Vec<(Value, Value)> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let mut screws = Vec::new();
    while screws.len() < SCREWS {
        let foot = random_foot(&mut generator);
        let mut plan = random_plan(&mut generator, foot.ap.calibration.is_some());
        plan.screws = (0..MOST_SCREWS)
            .map(|_| random_screw(&mut generator))
            .collect();
        // Some plans miss the bone.
        let Ok(undertaking) = carry_out(&foot.foot(), &plan) else {
            continue;
        };
        for (screw, course) in plan.screws.iter().zip(&undertaking.screws) {
            let ends = [screw.entry, screw.tip].map(|place| on_bone(&undertaking, place));
            screws.push((
                question(&undertaking, ends, course),
                answer(&undertaking, ends, course),
            ));
        }
    }
    screws.truncate(SCREWS);
    screws
}

/// A place of the bone across and along in pixel widths of the AP film.
fn on_bone(undertaking: &Undertaking, place: BonePlace) -> PhysicalPoint {
    let length = undertaking.before.ap.length;
    PhysicalPoint::new(place.lateral * length, place.along * length)
}

fn outline_to_json(outline: &Outline) -> Value {
    let vertex = |(place, edge): &(PhysicalPoint, plumbray_plan::Edge)| {
        json!([[place.x, place.y], format!("{edge:?}")])
    };
    outline.vertices.iter().map(vertex).collect()
}

fn question(undertaking: &Undertaking, ends: [PhysicalPoint; 2], course: &ScrewCourse) -> Value {
    let [entry, tip] = ends.map(|end| [end.x, end.y]);
    json!({
        "entry": entry,
        "tip": tip,
        "diameter": course.diameter.pixel_widths,
        "length": undertaking.before.ap.length,
        "shaft": outline_to_json(&undertaking.shaft),
        "fragment": outline_to_json(&undertaking.fragment),
    })
}

/// The share of each crossing is found again from its place on the film, unless the tip only touches it.
fn answer(undertaking: &Undertaking, ends: [PhysicalPoint; 2], course: &ScrewCourse) -> Value {
    let film = &undertaking.before.ap;
    let [entry, tip] = ends;
    let way = tip - entry;
    let shares: Vec<f64> = course
        .crossings
        .iter()
        .map(|crossing| {
            let at = film.on_bone(film.proportions.physical(crossing.at));
            if crossing.share < 1.0 {
                (at - entry).dot(way) / way.dot(way)
            } else {
                crossing.share
            }
        })
        .collect();
    let cortices: Vec<String> = course
        .crossings
        .iter()
        .map(|crossing| format!("{:?}", crossing.cortex))
        .collect();
    json!({
        "cortices": cortices,
        "shares": shares,
        "in_shaft": course.in_shaft.pixel_widths,
        "in_fragment": course.in_fragment.pixel_widths,
        "tip_is_in_fragment": course.tip_is_in_fragment,
    })
}

/// What shapely makes of the screws.
fn counted(questions: &[Value]) -> Value {
    answered_outside("shapely/crossings.py", &json!(questions))
}
