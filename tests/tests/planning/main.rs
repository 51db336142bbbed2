//! Plans on random feet, computed once more from `docs/planning.md` and `docs/measurements.md` alone by
//! `tests/outside/planning`, which knows nothing of the code of crate plan.

mod comparison;
mod random_feet;
mod random_plans;

use plumbray_measure::Measurement;
use plumbray_plan::{Length, LengthParts, Plan, ScrewCourse, Undertaking, carry_out};
use plumbray_tests::answered_outside;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use crate::{
    comparison::Comparison,
    random_feet::{RandomFilm, RandomFoot, random_foot},
    random_plans::random_plan,
};

const SEED: u64 = 20_261_128;
const FEET: usize = 400;

/// What is compared of a foot before and after.
const MEASUREMENTS: [Measurement; 6] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::HalluxInterphalangealAngle,
    Measurement::TibialSesamoidShare,
    Measurement::RelativeFirstMetatarsalLengthRatio,
];

#[test]
fn every_plan_on_a_random_foot_comes_out_the_same_from_the_page_alone() {
    let cases = cases();
    let answer = recomputed(&cases);

    let mut all = Comparisons::default();
    let mut refused = 0;
    for (index, (foot, plan)) in cases.iter().enumerate() {
        match carry_out(&foot.foot(), plan) {
            Ok(undertaking) => all.compare(index, &undertaking, foot, &answer[index]),
            Err(problem) => {
                refused += 1;
                assert_eq!(
                    answer[index]["refused"],
                    format!("{problem:?}"),
                    "foot {index}: why there is no plan"
                );
            }
        }
    }

    // So that nothing passes because hardly anything was compared.
    let compared = [
        ("numbers of the cut and its way", &all.way, 15_000),
        ("measurements", &all.rows, 5_800),
        ("lengths and angles of screws", &all.screws, 1_300),
    ];
    for (what, comparison, _) in &compared {
        comparison.assert_agreement(what);
    }
    for (what, comparison, least) in compared {
        let count = comparison.numbers;
        assert!(count >= least, "only {count} {what} were compared");
    }
    assert!(
        (10..=50).contains(&refused),
        "{refused} of {FEET} plans miss the bone"
    );
}

fn cases() -> Vec<(RandomFoot, Plan)> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    (0..FEET)
        .map(|_| {
            let foot = random_foot(&mut generator);
            let plan = random_plan(&mut generator, foot.ap.calibration.is_some());
            (foot, plan)
        })
        .collect()
}

fn film_to_json(film: &RandomFilm) -> Value {
    json!({
        "points": film.tracing.points,
        "cortices": film.tracing.cortices,
        "height_over_width": film.proportions.height_over_width(),
        "mm_per_pixel_width": film.calibration.map(|known| known.mm_per_pixel_width()),
        "is_at_patient": film.calibration.is_some_and(|known| known.basis.is_at_patient()),
    })
}

/// What the outside program makes of the plans.
fn recomputed(cases: &[(RandomFoot, Plan)]) -> Value {
    let question: Vec<Value> = cases
        .iter()
        .map(|(foot, plan)| {
            json!({
                "ap": film_to_json(&foot.ap),
                "lateral": foot.lateral.as_ref().map(film_to_json),
                "plan": plan,
            })
        })
        .collect();
    answered_outside("planning/recompute.py", &json!(question))
}

/// What was compared, by subject.
#[derive(Default)]
struct Comparisons {
    way: Comparison,
    rows: Comparison,
    screws: Comparison,
}

impl Comparisons {
    fn compare(
        &mut self,
        index: usize,
        undertaking: &Undertaking,
        foot: &RandomFoot,
        outside: &Value,
    ) {
        let what = format!("foot {index}");
        self.compare_way(&what, undertaking, outside);
        self.compare_lengths(&what, undertaking, foot, outside);
        self.compare_rows(&what, undertaking, &outside["rows"]);
        let screws = outside["screws"].as_array().map_or(0, Vec::len);
        assert_eq!(undertaking.screws.len(), screws, "{what}: its screws");
        for (number, screw) in undertaking.screws.iter().enumerate() {
            let what = format!("{what}, screw {number}");
            self.compare_screw(&what, screw, &outside["screws"][number]);
        }
    }

    fn compare_way(&mut self, what: &str, undertaking: &Undertaking, outside: &Value) {
        let cut = &undertaking.cut;
        let lengths = &outside["pixel_widths"];
        let bare = [
            ("width", cut.width),
            ("chord", cut.chord()),
            ("kerf", cut.kerf),
            ("closing", cut.closing),
        ];
        for (name, inside) in bare {
            self.way
                .number(&format!("{what}, {name}"), inside, &lengths[name]);
        }
        let divergence = undertaking.before.divergence.unwrap_or(f64::NAN);
        let turned = undertaking
            .row(Measurement::IntermetatarsalAngle12)
            .and_then(|row| Some(row.before.reading()?.value - row.planned.value()?))
            .unwrap_or(f64::NAN);
        let rest = [
            ("tilt_degrees", cut.tilt.to_degrees()),
            ("divergence_degrees", divergence.to_degrees()),
            ("turn_of_axis_degrees", turned),
            ("contact", undertaking.contact.share),
        ];
        for (name, inside) in rest {
            self.way
                .number(&format!("{what}, {name}"), inside, &outside[name]);
        }
    }

    /// Lengths in pixel widths, of the shaft's width, and in millimetres where the film is calibrated.
    fn compare_lengths(
        &mut self,
        what: &str,
        undertaking: &Undertaking,
        foot: &RandomFoot,
        outside: &Value,
    ) {
        let lengths = &outside["pixel_widths"];
        let mm_per_pixel_width = foot.ap.calibration.map(|known| known.mm_per_pixel_width());
        for (name, length) in told_lengths(undertaking) {
            let what = format!("{what}, {name}");
            self.way
                .number(&what, length.pixel_widths, &lengths[name.as_str()]);
            let value = lengths[name.as_str()].as_f64().unwrap_or(f64::NAN);
            let width = lengths["width"].as_f64().unwrap_or(f64::NAN);
            let of_width = format!("{what}, of the width");
            self.way
                .number(&of_width, length.of_width, &json!(value / width));
            let mm = mm_per_pixel_width.map(|mm| value * mm);
            maybe(&mut self.way, &format!("{what}, mm"), length.mm, &json!(mm));
        }
    }

    fn compare_rows(&mut self, what: &str, undertaking: &Undertaking, outside: &Value) {
        for measurement in MEASUREMENTS {
            let name = measurement.identifier();
            let row = undertaking.row(measurement);
            let values = [
                (
                    "before",
                    row.and_then(|row| Some(row.before.reading()?.value)),
                ),
                ("planned", row.and_then(|row| row.planned.value())),
                ("with_loss", row.and_then(|row| row.with_loss)),
            ];
            for (when, value) in values {
                maybe(
                    &mut self.rows,
                    &format!("{what}, {name} {when}"),
                    value,
                    &outside[name][when],
                );
            }
        }
    }

    fn compare_screw(&mut self, what: &str, screw: &ScrewCourse, outside: &Value) {
        let length = &screw.length;
        let values = [
            ("true_mm", length.true_mm),
            ("ap_mm", length.ap_mm),
            ("lateral_mm", length.lateral_mm),
            ("angle_to_shaft_degrees", Some(screw.angle_to_shaft_degrees)),
        ];
        for (name, value) in values {
            maybe(
                &mut self.screws,
                &format!("{what}, {name}"),
                value,
                &outside[name],
            );
        }
    }
}

/// A number that both sides have, or neither.
fn maybe(comparison: &mut Comparison, what: &str, inside: Option<f64>, outside: &Value) {
    if inside.is_some() || !outside.is_null() {
        // What is missing agrees with nothing.
        comparison.number(what, inside.unwrap_or(f64::NAN), outside);
    }
}

/// The lengths that are told of a plan, by their names outside.
fn told_lengths(undertaking: &Undertaking) -> Vec<(String, Length)> {
    let mut told = vec![
        ("from joint".to_owned(), undertaking.cut.from_joint),
        ("shift".to_owned(), undertaking.shift),
        ("travel".to_owned(), undertaking.travel),
        ("overlap".to_owned(), undertaking.contact.overlap),
    ];
    let mut parts = |bone: &str, parts: &LengthParts| {
        told.push((format!("along {bone}"), parts.whole));
        told.push((format!("along {bone} by the kerf"), parts.by_kerf));
        told.push((format!("along {bone} by the tilt"), parts.by_tilt));
        told.push((format!("along {bone} by divergence"), parts.by_divergence));
    };
    parts("M1", &undertaking.length.along_first);
    let along_second = undertaking.length.along_second.as_ref();
    parts("M2", along_second.expect("the second metatarsal is traced"));
    told
}
