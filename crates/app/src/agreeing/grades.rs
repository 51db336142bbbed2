//! Agreement in a position or a grade: kappa and how often readers say the same.

use plumbray_agreement::{
    AgreementError, DisagreementWeights, OneValue, Proportion, RatingPairs, between_readers,
    cohens_kappa, count_ratings, fleiss_kappa, proportion, within_readers,
};

use super::{
    numbers::full_table,
    readings::MeasuredReadings,
    statistic::{LEVEL, Statistic, names, pairs},
};

/// A kappa's name for programs, its name for people, and its weights.
type WeightedKappa = (&'static str, &'static str, DisagreementWeights);

/// What two lists of grades are asked: the kappas, and how often they are the same.
struct Asked {
    kappas: &'static [WeightedKappa],
    same: (&'static str, &'static str),
    /// Why there is nothing where no film counts.
    none: &'static str,
}

const BETWEEN: Asked = Asked {
    kappas: &KAPPAS,
    same: SAME,
    none: "no film was read by both",
};

const WITHIN: Asked = Asked {
    kappas: &REPEATED_KAPPAS,
    same: SAME_AGAIN,
    none: "no film was read twice",
};

const KAPPAS: [WeightedKappa; 3] = [
    ("kappa_plain", "Kappa, plain", DisagreementWeights::Plain),
    ("kappa_linear", "Kappa, linear", DisagreementWeights::Linear),
    (
        "kappa_quadratic",
        "Kappa, quadratic",
        DisagreementWeights::Quadratic,
    ),
];

const REPEATED_KAPPAS: [WeightedKappa; 3] = [
    (
        "repeat_kappa_plain",
        "First and second time, kappa, plain",
        DisagreementWeights::Plain,
    ),
    (
        "repeat_kappa_linear",
        "First and second time, kappa, linear",
        DisagreementWeights::Linear,
    ),
    (
        "repeat_kappa_quadratic",
        "First and second time, kappa, quadratic",
        DisagreementWeights::Quadratic,
    ),
];

const FLEISS: (&str, &str) = ("fleiss_kappa", "Fleiss’ kappa");
const SAME: (&str, &str) = ("agreement_per_cent", "The same, per cent of films");
const SAME_AGAIN: (&str, &str) = (
    "repeat_agreement_per_cent",
    "First and second time, the same, per cent",
);

/// All statistics of a measurement that is one of `categories`. A mean of grades is no grade, so each reader's first
/// reading of a film counts.
pub(crate) fn statistics(
    readings: &mut MeasuredReadings,
    categories: &[f64],
    readers: &[String],
) -> Vec<Statistic> {
    let mut all = Vec::new();
    let places = readings.readers();
    let full = full_table(readings, OneValue::First, readers);
    if places.len() != 2 {
        let told = match &full {
            Ok(full) => {
                let start = Statistic::new(
                    FLEISS,
                    &names(&full.readers, readers),
                    full.table.row_count(),
                );
                let ratings: Vec<Vec<usize>> = full
                    .table
                    .rows()
                    .map(|row| {
                        row.iter()
                            .map(|value| place_of(*value, categories))
                            .collect()
                    })
                    .collect();
                among_all(start, &ratings, categories.len())
            }
            Err(why) => Statistic::new(FLEISS, &names(&places, readers), 0).undefined(why),
        };
        all.push(told);
    }
    for pair in pairs(&places) {
        all.extend(of_pair(readings, pair, categories, readers));
    }
    for reader in places {
        all.extend(of_repeats(readings, reader, categories, readers));
    }
    all
}

fn among_all(start: Statistic, ratings: &[Vec<usize>], categories: usize) -> Statistic {
    let found = count_ratings(ratings, categories).and_then(|counts| fleiss_kappa(&counts, LEVEL));
    match found {
        Ok(kappa) => start.with(kappa.value, kappa.interval),
        Err(error) => start.refused(&error),
    }
}

/// Two readers on all films that both read.
fn of_pair(
    readings: &MeasuredReadings,
    pair: [usize; 2],
    categories: &[f64],
    readers: &[String],
) -> Vec<Statistic> {
    let shared = between_readers(&readings.of_readers(&pair), OneValue::First, 1);
    let values = shared.map_or_else(|_| Vec::new(), |shared| shared.table.pairs(0, 1));
    kappas(&values, categories, &names(&pair, readers), &BETWEEN)
}

/// One reader's first and second reading of each film that was read twice.
fn of_repeats(
    readings: &MeasuredReadings,
    reader: usize,
    categories: &[f64],
    readers: &[String],
) -> Vec<Statistic> {
    let within = within_readers(&readings.of_readers(&[reader]), 2, 1);
    let values = within
        .ok()
        .and_then(|within| Some(within.readers.first()?.table.pairs(0, 1)))
        .unwrap_or_default();
    kappas(&values, categories, &names(&[reader], readers), &WITHIN)
}

fn kappas(
    values: &[(f64, f64)],
    categories: &[f64],
    who: &[String],
    asked: &Asked,
) -> Vec<Statistic> {
    let start = |name| Statistic::new(name, who, values.len());
    let places = |of: fn(&(f64, f64)) -> f64| -> Vec<usize> {
        let values = values.iter();
        values
            .map(|value| place_of(of(value), categories))
            .collect()
    };
    let counted = RatingPairs::from_ratings(
        &places(|pair| pair.0),
        &places(|pair| pair.1),
        categories.len(),
    );
    let counted = match counted {
        Ok(counted) => counted,
        Err(error) => {
            let why = if values.is_empty() {
                asked.none.to_owned()
            } else {
                error.to_string()
            };
            let names = asked.kappas.iter().map(|(id, label, _)| (*id, *label));
            let all = names.chain([asked.same]);
            return all.map(|name| start(name).undefined(&why)).collect();
        }
    };
    let kappa = |(id, label, weights): &WeightedKappa| match cohens_kappa(&counted, weights, LEVEL)
    {
        Ok(found) if found.interval.is_none() => start((*id, *label))
            .with(found.value, None)
            .remarked("no interval: the formula gives it no width"),
        Ok(found) => start((*id, *label)).with(found.value, found.interval),
        Err(error) => start((*id, *label)).refused(&error),
    };
    let share = proportion(counted.agreement_count(), counted.target_count(), LEVEL);
    let mut all: Vec<Statistic> = asked.kappas.iter().map(kappa).collect();
    all.push(per_cent(start(asked.same), share));
    all
}

fn per_cent(start: Statistic, share: Result<Proportion, AgreementError>) -> Statistic {
    match share {
        Err(error) => start.refused(&error),
        Ok(share) => {
            let mut interval = share.interval;
            interval.lower *= 100.0;
            interval.upper *= 100.0;
            start
                .with(share.share * 100.0, Some(interval))
                .remarked(format!("{} of {}", share.part, share.total))
        }
    }
}

/// A grade's place among the categories. The engine gives whole grades; one that is none would be refused by the
/// statistics as an unknown category.
fn place_of(value: f64, categories: &[f64]) -> usize {
    let near = |category: &f64| (value - category).abs() < 0.5;
    categories.iter().position(near).unwrap_or(categories.len())
}
