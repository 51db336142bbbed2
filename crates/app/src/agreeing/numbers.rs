//! Agreement in a number: intraclass correlations, errors of measurement, limits of agreement, repeatability.

use std::collections::BTreeMap;

use plumbray_agreement::{
    AgreementError, BetweenReaders, Form, Interval, MeanSquares, MeasurementError, OneValue,
    Reading, USUAL_MULTIPLIER, Unit, between_readers, limits_of_agreement,
    smallest_detectable_change, within_subject,
};

use super::{
    readings::MeasuredReadings,
    statistic::{LEVEL, Statistic, names, pairs},
};

/// A reader needs two films at least: one alone says nothing of how films differ.
pub(crate) const LEAST_FILMS: usize = 2;

/// The six intraclass correlations.
const CORRELATIONS: [(&str, &str, Form, Unit); 6] = [
    ("icc_1_1", "ICC(1,1)", Form::OneWay, Unit::Single),
    ("icc_2_1", "ICC(2,1)", Form::TwoWayAgreement, Unit::Single),
    ("icc_3_1", "ICC(3,1)", Form::TwoWayConsistency, Unit::Single),
    ("icc_1_k", "ICC(1,k)", Form::OneWay, Unit::Mean),
    ("icc_2_k", "ICC(2,k)", Form::TwoWayAgreement, Unit::Mean),
    ("icc_3_k", "ICC(3,k)", Form::TwoWayConsistency, Unit::Mean),
];

/// The errors of a single reading and the changes that follow, by agreement and by consistency.
const ERRORS: [(&str, &str); 4] = [
    ("sem_agreement", "Standard error, agreement"),
    ("sdc_agreement", "Smallest detectable change, agreement"),
    ("sem_consistency", "Standard error, consistency"),
    ("sdc_consistency", "Smallest detectable change, consistency"),
];

const LIMITS: [(&str, &str); 3] = [
    ("bias", "Bias, first less second"),
    ("limit_lower", "Lower limit of agreement"),
    ("limit_upper", "Upper limit of agreement"),
];

const REPEATS: [(&str, &str); 2] = [
    ("within_sd", "Within-subject SD"),
    ("repeatability", "Repeatability coefficient"),
];

/// All statistics of a measurement that is a number; what the tables leave out is added to what is told.
pub(crate) fn statistics(
    readings: &mut MeasuredReadings,
    one_value: OneValue,
    readers: &[String],
) -> Vec<Statistic> {
    let mut all = among_all(readings, one_value, readers);
    let places = readings.readers();
    for pair in pairs(&places) {
        all.extend(of_pair(readings, pair, one_value, readers));
    }
    for reader in places {
        all.extend(of_repeats(readings, reader, readers));
    }
    all
}

fn among_all(
    readings: &mut MeasuredReadings,
    one_value: OneValue,
    readers: &[String],
) -> Vec<Statistic> {
    let full = full_table(readings, one_value, readers);
    let squares = full
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|full| MeanSquares::of(&full.table).map_err(|error| error.to_string()));
    let (who, count) = full.as_ref().map_or_else(
        |_| (names(&readings.readers(), readers), 0),
        |full| (names(&full.readers, readers), full.table.row_count()),
    );
    let start = |name| Statistic::new(name, &who, count);
    let squares = match squares {
        Ok(squares) => squares,
        Err(why) => {
            let correlations = CORRELATIONS.map(|(id, label, ..)| (id, label));
            let all = correlations.into_iter().chain(ERRORS);
            return all.map(|name| start(name).undefined(&why)).collect();
        }
    };
    let correlation = |(id, label, form, unit): (&'static str, &'static str, Form, Unit)| {
        let told = start((id, label));
        match squares.coefficient(form, unit, LEVEL) {
            Err(error) => told.refused(&error),
            Ok(found) => {
                let told = told.with(found.value, Some(found.interval));
                if (form, unit) == (Form::TwoWayAgreement, Unit::Single) && told.value.is_some() {
                    told.remarked(format!("{} (Koo and Li)", found.reliability()))
                } else {
                    told
                }
            }
        }
    };
    let (agreement, consistency) = (squares.agreement_error(), squares.consistency_error());
    let of = |error: MeasurementError| {
        [
            (error.standard_error, error.interval(LEVEL)),
            (
                error.smallest_detectable_change,
                error.interval_of_change(LEVEL),
            ),
        ]
    };
    let errors = [agreement, consistency].into_iter().flat_map(of);
    let errors = ERRORS
        .into_iter()
        .zip(errors)
        .map(|(name, (value, interval))| start(name).with(value, interval));
    CORRELATIONS
        .into_iter()
        .map(correlation)
        .chain(errors)
        .collect()
}

/// The table of films that every reader read, or why there is none; names what it leaves out.
pub(crate) fn full_table(
    readings: &mut MeasuredReadings,
    one_value: OneValue,
    readers: &[String],
) -> Result<BetweenReaders, String> {
    if readings.readers().len() < 2 {
        return Err(match &names(&readings.readers(), readers)[..] {
            [] => "nobody has a reading".to_owned(),
            [only, ..] => format!("only {only} has readings, and agreement needs two readers"),
        });
    }
    let full =
        between_readers(&readings.readings, one_value, LEAST_FILMS).map_err(
            |error| match error {
                AgreementError::TooFew { what, .. } => format!("there are no {what}"),
                other => other.to_string(),
            },
        )?;
    for out in &full.readers_left_out {
        readings.left_out.push(format!(
            "{} among all readers: read {} film, and {} are needed",
            readers[out.reader], out.targets, out.needed
        ));
    }
    for out in &full.targets_left_out {
        readings.left_out.push(format!(
            "{} among all readers: not read by {}",
            readings.films[out.target],
            names(&out.not_read_by, readers).join(", ")
        ));
    }
    if full.later_readings_left_out > 0 {
        readings.left_out.push(format!(
            "later readings of a film by the same reader, between readers: {}",
            full.later_readings_left_out
        ));
    }
    let (least, most) = full.readings_a_value;
    readings.readings_a_value = full.readings_a_value;
    if most > 1 {
        readings.notes.push(format!(
            "Between readers a value is the mean of {least} to {most} readings."
        ));
    }
    if let [only] = full.readers[..] {
        return Err(format!(
            "only {} read {LEAST_FILMS} films or more, and agreement needs two readers",
            readers[only]
        ));
    }
    Ok(full)
}

/// Two readers on all films that both read.
fn of_pair(
    readings: &MeasuredReadings,
    pair: [usize; 2],
    one_value: OneValue,
    readers: &[String],
) -> Vec<Statistic> {
    let who = names(&pair, readers);
    let shared = between_readers(&readings.of_readers(&pair), one_value, 1);
    let values = shared.map_or_else(|_| Vec::new(), |shared| shared.table.pairs(0, 1));
    let start = |name| Statistic::new(name, &who, values.len());
    let too_few = match values.len() {
        0 => Some("no film was read by both".to_owned()),
        1 => Some(format!(
            "both read only 1 film, and {LEAST_FILMS} are needed"
        )),
        _ => None,
    };
    if let Some(why) = too_few {
        return LIMITS.map(|name| start(name).undefined(&why)).to_vec();
    }
    match limits_of_agreement(&values, USUAL_MULTIPLIER, LEVEL) {
        Err(error) => LIMITS.map(|name| start(name).refused(&error)).to_vec(),
        Ok(limits) => {
            let found = [
                (limits.bias, limits.bias_interval),
                (limits.lower, limits.lower_interval),
                (limits.upper, limits.upper_interval),
            ];
            let told = LIMITS.into_iter().zip(found);
            told.map(|(name, (value, interval))| start(name).with(value, Some(interval)))
                .collect()
        }
    }
}

fn of_repeats(readings: &MeasuredReadings, reader: usize, readers: &[String]) -> Vec<Statistic> {
    let films = repeats_of(&readings.of_readers(&[reader]));
    let count = films.iter().filter(|film| film.len() > 1).count();
    let start = |name| Statistic::new(name, &names(&[reader], readers), count);
    if count == 0 {
        return REPEATS
            .map(|name| start(name).undefined("no film was read twice"))
            .to_vec();
    }
    match within_subject(&films, USUAL_MULTIPLIER, LEVEL) {
        Err(error) => REPEATS.map(|name| start(name).refused(&error)).to_vec(),
        Ok(found) => {
            let coefficient = Interval {
                lower: smallest_detectable_change(found.interval.lower),
                upper: smallest_detectable_change(found.interval.upper),
                ..found.interval
            };
            let values = [
                (found.standard_deviation, found.interval),
                (found.repeatability_coefficient, coefficient),
            ];
            let told = REPEATS.into_iter().zip(values);
            told.map(|(name, (value, interval))| {
                let remark = format!("{} readings of them", found.readings);
                start(name).with(value, Some(interval)).remarked(remark)
            })
            .collect()
        }
    }
}

/// A reader's readings of each film, in the order of the repeats.
pub(super) fn repeats_of(readings: &[Reading]) -> Vec<Vec<f64>> {
    let mut films: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    for reading in readings {
        let film = films.entry(reading.target).or_default();
        film.insert(reading.repeat, reading.value);
    }
    films
        .into_values()
        .map(|film| film.into_values().collect())
        .collect()
}
