//! What crate agreement says of readers, computed once more by pingouin, scikit-learn and statsmodels on random
//! readings (`tests/outside/reader_statistics`).

use plumbray_agreement::{
    ConfidenceLevel, DisagreementWeights, Form, MeanSquares, RatingPairs, Table, Unit,
    cohens_kappa, count_ratings, fleiss_kappa, proportion,
};
use plumbray_tests::answered_outside;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const SEED: u64 = 20_261_128;
const DATA_SETS: usize = 300;

/// How far an intraclass correlation, its ends, F and its probability may lie apart, relative to sizes above 1.
const INTRACLASS_TOLERANCE: f64 = 1e-6;

/// How far a kappa or an end of a share may lie apart.
const KAPPA_TOLERANCE: f64 = 1e-9;

/// How far a standard error may lie apart: near 0 its square loses half of the digits.
const STANDARD_ERROR_TOLERANCE: f64 = 1e-7;

#[test]
fn three_other_libraries_compute_the_same_statistics_of_readers() {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let tables: Vec<Vec<Vec<f64>>> = (0..DATA_SETS).map(|_| table(&mut generator)).collect();
    let pairs: Vec<Pair> = (0..DATA_SETS)
        .map(|_| Pair::random(&mut generator))
        .collect();
    let counts: Vec<Vec<Vec<u32>>> = (0..DATA_SETS).map(|_| counts(&mut generator)).collect();
    let shares: Vec<(u64, u64)> = (0..DATA_SETS)
        .map(|_| part_and_total(&mut generator))
        .collect();
    let asked = json!({
        "tables": tables,
        "pairs": pairs.iter().map(Pair::question).collect::<Vec<_>>(),
        "counts": counts,
        "shares": shares,
    });
    let answers: Value = answered_outside("reader_statistics/agreement.py", &asked);

    let mut refused = 0;
    for (number, rows) in tables.iter().enumerate() {
        refused += compare_intraclass(number, rows, &answers["tables"][number]);
    }
    // So that nothing passes because nothing was defined, nor because nothing was difficult.
    assert!(
        refused <= DATA_SETS / 4,
        "{refused} coefficients were refused"
    );
    assert!(
        refused > 0,
        "no table was so poor that a coefficient is not defined"
    );
    for (number, pair) in pairs.iter().enumerate() {
        pair.compare(number, &answers["pairs"][number]);
    }
    for (number, rows) in counts.iter().enumerate() {
        let found = fleiss_kappa(rows, ConfidenceLevel::NINETY_FIVE).expect("two categories");
        let what = format!("Fleiss' kappa of counts {number}");
        assert_near(
            found.value,
            &answers["counts"][number],
            KAPPA_TOLERANCE,
            &what,
        );
    }
    for (number, (part, total)) in shares.iter().enumerate() {
        let found = proportion(*part, *total, ConfidenceLevel::NINETY_FIVE).expect("a share");
        for (end, inside) in [found.interval.lower, found.interval.upper]
            .into_iter()
            .enumerate()
        {
            let what = format!("end {end} of {part} of {total}");
            assert_near(
                inside,
                &answers["shares"][number][end],
                KAPPA_TOLERANCE,
                &what,
            );
        }
    }
}

/// Readings of targets that differ a lot or hardly, by readers with constants of their own or without.
fn table(generator: &mut ChaCha8Rng) -> Vec<Vec<f64>> {
    // A third are so small that targets may differ less than the readings of one by chance.
    let most_targets = if generator.random_bool(1.0 / 3.0) {
        4
    } else {
        40
    };
    let targets = generator.random_range(3..=most_targets);
    let readers = generator.random_range(2..=8);
    let spread = 10.0_f64.powf(generator.random_range(-2.0..1.5));
    let constants = 10.0_f64.powf(generator.random_range(-2.0..1.0));
    let noise = 10.0_f64.powf(generator.random_range(-1.0..1.0));
    let middle = generator.random_range(-50.0..50.0);
    let mut around = |size: f64| size * generator.random_range(-1.0..1.0);
    let own: Vec<f64> = (0..readers).map(|_| around(constants)).collect();
    (0..targets)
        .map(|_| {
            let target = middle + around(spread);
            own.iter().map(|own| target + own + around(noise)).collect()
        })
        .collect()
}

/// Compares all six coefficients of a table; says how many were refused.
fn compare_intraclass(number: usize, rows: &[Vec<f64>], outside: &Value) -> usize {
    let squares = Table::from_rows(rows).and_then(|table| MeanSquares::of(&table));
    let squares = squares.expect("random readings spread");
    let mut refused = 0;
    let each = Unit::ALL
        .into_iter()
        .flat_map(|unit| Form::ALL.map(|form| (form, unit)));
    for (place, (form, unit)) in each.enumerate() {
        let (what, outside) = (
            format!("{form:?} of {unit:?}, table {number}"),
            &outside[place],
        );
        let Ok(found) = squares.coefficient(form, unit, ConfidenceLevel::NINETY_FIVE) else {
            refused += 1;
            assert!(
                is_no_interval(outside),
                "{what} is refused, but outside it is {outside}"
            );
            continue;
        };
        let lower = if outside[1].is_null() {
            json!(lowest_end(&squares, unit))
        } else {
            outside[1].clone()
        };
        assert_near(
            found.interval.lower,
            &lower,
            INTRACLASS_TOLERANCE,
            &format!("lower end of {what}"),
        );
        for (name, inside, place) in [
            ("value", found.value, 0),
            ("upper end", found.interval.upper, 2),
            ("F", found.f, 3),
            (
                "degrees of freedom between targets",
                found.target_degrees,
                4,
            ),
            ("degrees of freedom of the error", found.error_degrees, 5),
            ("probability", found.probability, 6),
        ] {
            let what = format!("{name} of {what}");
            assert_near(inside, &outside[place], INTRACLASS_TOLERANCE, &what);
        }
    }
    refused
}

/// The lower end for absolute agreement where its quantile of F is infinite: pingouin then divides infinity by infinity.
fn lowest_end(squares: &MeanSquares, unit: Unit) -> f64 {
    let (n, k) = (squares.targets as f64, squares.readers as f64);
    let error = squares.residual;
    let end = -n * error / (k * squares.between_readers + (k * n - k - n) * error);
    match unit {
        Unit::Single => end,
        Unit::Mean => k * end / (1.0 + (k - 1.0) * end),
    }
}

/// Whether value and ends are such as no coefficient has: absent, above 1, or out of order.
fn is_no_interval(outside: &Value) -> bool {
    let [value, lower, upper] = [0, 1, 2].map(|place| outside[place].as_f64());
    match (value, lower, upper) {
        (Some(value), Some(lower), Some(upper)) => {
            !(lower <= value && value <= upper && upper <= 1.0)
        }
        _ => true,
    }
}

/// The categories that two readers named.
struct Pair {
    first: Vec<usize>,
    second: Vec<usize>,
    categories: usize,
}

impl Pair {
    /// Two readers who agree more or less often; each of the first two categories is named.
    fn random(generator: &mut ChaCha8Rng) -> Self {
        let categories = generator.random_range(2..=7);
        let targets = generator.random_range(4..=120);
        let agreeing = generator.random_range(0.0..0.98);
        let first: Vec<usize> = (0..targets)
            .map(|target| {
                if target < 2 {
                    target
                } else {
                    generator.random_range(0..categories)
                }
            })
            .collect();
        let second = first
            .iter()
            .map(|named| {
                if generator.random_bool(agreeing) {
                    *named
                } else {
                    generator.random_range(0..categories)
                }
            })
            .collect();
        Self {
            first,
            second,
            categories,
        }
    }

    fn question(&self) -> Value {
        json!({"first": self.first, "second": self.second, "categories": self.categories})
    }

    fn compare(&self, number: usize, outside: &Value) {
        let pairs = RatingPairs::from_ratings(&self.first, &self.second, self.categories);
        let pairs = pairs.expect("ratings in these categories");
        for (place, weights) in [
            DisagreementWeights::Plain,
            DisagreementWeights::Linear,
            DisagreementWeights::Quadratic,
        ]
        .iter()
        .enumerate()
        {
            let found = cohens_kappa(&pairs, weights, ConfidenceLevel::NINETY_FIVE);
            let found = found.expect("two categories are named");
            let what = format!("{weights:?} kappa of pair {number}");
            assert_near(found.value, &outside[place][0], KAPPA_TOLERANCE, &what);
            let what = format!("standard error of {what}");
            assert_near(
                found.standard_error,
                &outside[place][1],
                STANDARD_ERROR_TOLERANCE,
                &what,
            );
        }
    }
}

/// How many of several readers named each category for each target; the first target divides them.
fn counts(generator: &mut ChaCha8Rng) -> Vec<Vec<u32>> {
    let categories = generator.random_range(2..=6);
    let targets = generator.random_range(2..=40);
    let readers = generator.random_range(2..=12);
    let agreeing = generator.random_range(0.0..0.98);
    let ratings: Vec<Vec<usize>> = (0..targets)
        .map(|target| {
            let usual = generator.random_range(0..categories);
            (0..readers)
                .map(|reader| match (target, reader) {
                    (0, 0 | 1) => reader,
                    _ if generator.random_bool(agreeing) => usual,
                    _ => generator.random_range(0..categories),
                })
                .collect()
        })
        .collect();
    count_ratings(&ratings, categories).expect("ratings in these categories")
}

fn part_and_total(generator: &mut ChaCha8Rng) -> (u64, u64) {
    let total = generator.random_range(1..=300);
    (generator.random_range(0..=total), total)
}

/// Fails unless both numbers agree, relative to their size above 1.
fn assert_near(inside: f64, outside: &Value, tolerance: f64, what: &str) {
    let near = outside
        .as_f64()
        .is_some_and(|outside| (inside - outside).abs() <= tolerance * outside.abs().max(1.0));
    assert!(near, "{what}: program {inside}, outside {outside}");
}
