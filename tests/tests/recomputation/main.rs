//! Every measurement of random feet, computed once more from `docs/measurements.md` alone by
//! `tests/outside/recomputation`, which knows nothing of the engine's code.

mod comparison;
mod random_feet;

use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, ReaderError, Reading, Severity, SeverityOutcome,
    SeverityScheme, TracedFilm, Unit, all_conventions, class_of, level_freedom, measure, worksheet,
};
use plumbray_tests::answered_outside;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use crate::{
    comparison::{Comparison, VALUE_TOLERANCE},
    random_feet::{Hand, RandomFilm, RandomFoot, random_foot},
};

const SEED: u64 = 20_260_301;
const FEET: usize = 1_100;

/// The first feet are traced with care; their spread is also found from random tracings.
const CAREFUL_FEET: usize = 20;
const DRAWS: usize = 10_000;

/// The next are stated to be exact, so that each angle has its own class for certain.
const EXACT_FEET: usize = 20;

/// Of so many feet in all the spread is computed, from outside by central differences.
const FEET_WITH_SPREAD: usize = 140;

/// Exact derivatives against central differences with steps of 0.0001 px.
const SPREAD_TOLERANCE: f64 = 1e-6;

/// A standard deviation from 10,000 draws is itself off by 0.7 % (one standard deviation); the rest is
/// for what the first order leaves out.
const DRAWN_TOLERANCE: f64 = 0.05;

#[test]
fn every_measurement_of_random_feet_comes_out_the_same_from_the_page_alone() {
    let cases = cases();
    let degrees = angles_about_the_limits();
    let answer = recomputed(&cases, &degrees);

    let mut all = Comparisons::default();
    for (index, case) in cases.iter().enumerate() {
        all.compare_foot(index, case, &answer["cases"][index]);
    }
    compare_classes(&mut all.severity, &degrees, &answer["classes"]);

    all.values.assert_agreement("values");
    all.spread.assert_agreement("spread to first order");
    all.drawn.assert_agreement("spread of random tracings");
    all.severity.assert_agreement("severity");
    // So that nothing passes because hardly anything was compared.
    let compared = [
        ("values", all.values.numbers, 100_000),
        ("reasons", all.values.words, 5_000),
        ("spreads to first order", all.spread.numbers, 20_000),
        ("spreads of random tracings", all.drawn.numbers, 1_800),
        ("probabilities of severity", all.severity.numbers, 4_000),
        ("classes of severity", all.severity.words, 500),
    ];
    for (what, count, least) in compared {
        assert!(count >= least, "only {count} {what} were compared");
    }
}

/// A foot, and what is computed of it beside its values.
struct Case {
    foot: RandomFoot,
    has_reader_error: bool,
    with_spread: bool,
    draws: usize,
}

impl Case {
    fn choices(&self) -> Choices {
        Choices {
            levels_mm: self.foot.levels_mm,
            reader_error: if self.has_reader_error {
                ReaderError::default()
            } else {
                ReaderError::NONE
            },
            ..Choices::default()
        }
    }

    fn foot(&self) -> Foot<'_> {
        Foot {
            ap: Some(traced(&self.foot.ap)),
            lateral: Some(traced(&self.foot.lateral)),
            operated: self.foot.operated,
        }
    }

    fn to_json(&self) -> Value {
        let levels = &self.foot.levels_mm;
        json!({
            "ap": film_to_json(&self.foot.ap),
            "lateral": film_to_json(&self.foot.lateral),
            "operated": self.foot.operated,
            "levels_mm": {
                "metatarsal": levels.metatarsal_mm,
                "proximal_phalanx": levels.proximal_phalanx_mm,
                "distal_phalanx": levels.distal_phalanx_mm,
            },
            "has_reader_error": self.has_reader_error,
            "with_spread": self.with_spread,
            "draws": self.draws,
        })
    }
}

fn traced(film: &RandomFilm) -> TracedFilm<'_> {
    TracedFilm {
        tracing: &film.tracing,
        proportions: film.proportions,
        calibration: film.calibration.as_ref(),
    }
}

fn film_to_json(film: &RandomFilm) -> Value {
    json!({
        "points": film.tracing.points,
        "cortices": film.tracing.cortices,
        "height_over_width": film.proportions.height_over_width(),
        "calibration": film.calibration.map(|calibration| json!({
            "mm_per_pixel_width": calibration.mm_per_pixel_width(),
            "relative_sd": calibration.relative_sd,
        })),
    })
}

fn cases() -> Vec<Case> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let case = |index| {
        let hand = match index {
            ..CAREFUL_FEET => Hand::Careful,
            _ if index < CAREFUL_FEET + EXACT_FEET => Hand::Exact,
            _ => Hand::Careless,
        };
        Case {
            foot: random_foot(&mut generator, hand),
            has_reader_error: hand != Hand::Exact,
            with_spread: index < FEET_WITH_SPREAD,
            draws: if hand == Hand::Careful { DRAWS } else { 0 },
        }
    };
    (0..FEET).map(case).collect()
}

/// Every limit of every scheme, its neighbours among the numbers, and angles between.
fn angles_about_the_limits() -> Vec<f64> {
    let limits = SeverityScheme::ALL
        .into_iter()
        .flat_map(|scheme| {
            [
                scheme.hallux_valgus_limits(),
                scheme.intermetatarsal_limits(),
            ]
        })
        .flatten()
        .map(|limit| limit.degrees);
    let about = limits.flat_map(|limit| [limit.next_down(), limit, limit.next_up()]);
    let between = (-20..120_i32).map(|halves| f64::from(halves) / 2.0);
    about.chain(between).collect()
}

/// What the outside program makes of the feet.
fn recomputed(cases: &[Case], degrees: &[f64]) -> Value {
    let cases: Vec<Value> = cases.iter().map(Case::to_json).collect();
    let question = json!({ "cases": cases, "degrees": degrees });
    answered_outside("recomputation/recompute.py", &question)
}

/// What was compared, by subject.
#[derive(Default)]
struct Comparisons {
    values: Comparison,
    spread: Comparison,
    drawn: Comparison,
    severity: Comparison,
}

impl Comparisons {
    fn compare_foot(&mut self, index: usize, case: &Case, outside: &Value) {
        let (foot, choices) = (case.foot(), case.choices());
        for measurement in Measurement::ALL {
            let outside = &outside["measurements"][measurement.identifier()];
            let what = format!("foot {index}, {}", measurement.identifier());
            let default = foot.default_convention().identifier();
            let outcome = measure(&foot, &choices, measurement);
            self.values
                .outcome(&what, measurement, &outcome, &outside[default]);
            for (convention, outcome) in all_conventions(&foot, &choices, measurement) {
                let what = format!("{what} in all conventions, {}", convention.identifier());
                let outside = &outside[convention.identifier()];
                self.values.outcome(&what, measurement, &outcome, outside);
            }
            for convention in AxisConvention::ALL {
                let what = format!("{what} by {}", convention.identifier());
                let outside = &outside[convention.identifier()];
                let chosen = Choices {
                    convention: Some(convention),
                    ..choices
                };
                let outcome = measure(&foot, &chosen, measurement);
                self.values.outcome(&what, measurement, &outcome, outside);
                if let Some(reading) = outcome.reading().filter(|_| case.with_spread) {
                    self.compare_spread(&what, measurement, reading, outside, case.draws);
                }
            }
        }
        if case.with_spread {
            self.compare_level_freedom(index, &foot, &choices, &outside["measurements"]);
            self.compare_severity(index, &foot, &choices, &outside["severity"]);
        }
    }

    fn compare_spread(
        &mut self,
        what: &str,
        measurement: Measurement,
        reading: &Reading,
        outside: &Value,
        draws: usize,
    ) {
        let tolerance = SPREAD_TOLERANCE * (1.0 + reading.value.abs());
        let sd_tolerance = SPREAD_TOLERANCE * reading.sd;
        self.spread.number(
            &format!("{what}, sd"),
            reading.sd,
            &outside["sd"],
            sd_tolerance,
        );
        let (low, high) = reading.interval;
        let interval = format!("{what}, interval");
        self.spread
            .numbers(&interval, &[low, high], &outside["interval"], tolerance);
        let has_classes = matches!(measurement.unit(), Unit::Position | Unit::Grade);
        if has_classes && reading.sd > 0.0 {
            let classes: Vec<f64> = reading.classes.iter().map(|(_, share)| *share).collect();
            let what = format!("{what}, classes");
            self.spread
                .numbers(&what, &classes, &outside["classes"], SPREAD_TOLERANCE);
        }
        if draws > 0 {
            let tolerance = DRAWN_TOLERANCE * reading.sd;
            self.drawn
                .number(what, reading.sd, &outside["drawn_sd"], tolerance);
        }
    }

    /// The span of a number while its levels move; a measurement without an axis has none.
    fn compare_level_freedom(
        &mut self,
        index: usize,
        foot: &Foot<'_>,
        choices: &Choices,
        outside: &Value,
    ) {
        for measurement in Measurement::ALL {
            if measurement.conventions().is_empty() {
                continue;
            }
            let name = measurement.identifier();
            let what = format!("foot {index}, {name}, freedom of the levels");
            let outside = &outside[name]["level_freedom"];
            match level_freedom(foot, choices, measurement) {
                Some((least, greatest)) => {
                    let span = [least, greatest];
                    self.values.numbers(&what, &span, outside, VALUE_TOLERANCE);
                }
                None => self.values.word(&what, "null", &outside.to_string().into()),
            }
        }
    }

    fn compare_severity(
        &mut self,
        index: usize,
        foot: &Foot<'_>,
        choices: &Choices,
        outside: &Value,
    ) {
        for scheme in SeverityScheme::ALL {
            let what = format!("foot {index} by {}", scheme.identifier());
            let choices = Choices {
                severity: scheme,
                ..*choices
            };
            match worksheet(foot, &choices).severity {
                SeverityOutcome::Graded(severity) => {
                    let outside = &outside[scheme.identifier()];
                    compare_graded(&mut self.severity, &what, &severity, outside);
                }
                SeverityOutcome::Ungraded(_) => {
                    self.severity
                        .word(&what, "null", &outside.to_string().into());
                }
                SeverityOutcome::ImpossibleReaderError => {
                    self.severity
                        .word(&what, "impossible reader error", outside);
                }
            }
        }
    }
}

fn compare_graded(severities: &mut Comparison, what: &str, severity: &Severity, outside: &Value) {
    severities.word(what, severity.class.identifier(), &outside["class"]);
    let flags = [
        ("disagree", severity.disagree),
        ("hallux_varus", severity.hallux_varus),
    ];
    for (flag, engine) in flags {
        let outside = outside[flag].to_string();
        severities.word(
            &format!("{what}, {flag}"),
            &engine.to_string(),
            &outside.into(),
        );
    }
    let probabilities = [
        ("hallux_valgus", &severity.hallux_valgus.probabilities),
        ("intermetatarsal", &severity.intermetatarsal.probabilities),
        ("worst", &severity.probabilities),
    ];
    for (which, engine) in probabilities {
        let what = format!("{what}, {which}");
        severities.numbers(&what, engine, &outside[which], SPREAD_TOLERANCE);
    }
}

/// The class of every angle by every scheme, the limits themselves among them.
fn compare_classes(severities: &mut Comparison, degrees: &[f64], outside: &Value) {
    for scheme in SeverityScheme::ALL {
        let outside = &outside[scheme.identifier()];
        for (index, degrees) in degrees.iter().enumerate() {
            let what = format!("{degrees}° by {}", scheme.identifier());
            let toe = class_of(*degrees, scheme.hallux_valgus_limits()).identifier();
            let ray = class_of(*degrees, scheme.intermetatarsal_limits()).identifier();
            severities.word(&what, toe, &outside["hallux_valgus"][index]);
            severities.word(&what, ray, &outside["intermetatarsal"][index]);
        }
    }
}
