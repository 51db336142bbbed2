//! `plumbray agreement`: its numbers beside plain formulas, what it leaves out, what it refuses.

use std::fs;

use plumbray_agreement::{
    ConfidenceLevel, DisagreementWeights, Form, MeanSquares, RatingPairs, Table, USUAL_MULTIPLIER,
    Unit, cohens_kappa, count_ratings, fleiss_kappa, limits_of_agreement, within_subject,
};
use plumbray_measure::Measurement;
use serde_json::Value;
use tempfile::TempDir;

mod readers;
mod samples;
mod script;

use readers::{FILMS, Traced, save, tracing, value};

const VALGUS: Measurement = Measurement::HalluxValgusAngle;
const GRADE: Measurement = Measurement::TibialSesamoidGrade;
const LEVEL: ConfidenceLevel = ConfidenceLevel::NINETY_FIVE;
const BY: [&str; 4] = ["agreement", "desk", "--convention", "head_base"];

/// The tracings' numbers: Ann reads each film twice in one study, and the first one a third time in another; Ben and
/// Cy once.
const ANN: [u64; 2] = [11, 12];
const ANN_AGAIN: u64 = 13;
const BEN: u64 = 21;
const CY: u64 = 31;

/// Three readers of all films, each with a folder of their own.
fn desk() -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let desk = folder.path().join("desk");
    for film in 0..FILMS.len() {
        for (reader, tracings) in [("Ann", &ANN[..]), ("Ben", &[BEN]), ("Cy", &[CY])] {
            let traced = Traced {
                reader,
                film,
                tracings,
                day: 3,
            };
            save(&desk.join(reader), &format!("film-{film}"), &traced);
        }
    }
    let again = Traced {
        reader: "Ann",
        film: 0,
        tracings: &[ANN_AGAIN],
        day: 9,
    };
    // By name it comes first, by time last.
    save(&desk.join("A later one"), "film-0", &again);
    folder
}

fn json(folder: &TempDir, arguments: &[&str]) -> Value {
    script::printed(
        folder.path(),
        &[&BY[..], &["--json", "out.json"], arguments].concat(),
    );
    let text = fs::read_to_string(folder.path().join("out.json")).expect("a file");
    assert!(!text.contains("NaN"), "no such number: {text}");
    serde_json::from_str(&text).expect("JSON")
}

fn measured(told: &Value, measurement: Measurement) -> &Value {
    let all = told["measurements"].as_array().expect("measurements");
    let mut all = all.iter();
    all.find(|one| one["identifier"] == measurement.identifier())
        .expect("the measurement")
}

fn statistic<'a>(measured: &'a Value, name: &str, readers: &[&str]) -> &'a Value {
    let all = measured["statistics"].as_array().expect("statistics");
    all.iter()
        .find(|one| one["statistic"] == name && one["readers"] == serde_json::json!(readers))
        .unwrap_or_else(|| panic!("{name} of {readers:?} in {all:?}"))
}

fn close(told: &Value, expected: f64, what: &str) {
    let told = told.as_f64().unwrap_or_else(|| panic!("{what}: {told}"));
    assert!(
        (told - expected).abs() < 1e-6,
        "{what}: {told} instead of {expected}"
    );
}

/// What each tracing of this number gives, film by film.
fn values(number: u64, measurement: Measurement) -> Vec<f64> {
    (0..FILMS.len())
        .map(|film| value(&tracing(film, number), measurement))
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    let count = u32::try_from(values.len()).expect("few");
    values.iter().sum::<f64>() / f64::from(count)
}

fn sum_of_squares(values: &[f64], from: f64) -> f64 {
    values.iter().map(|value| (value - from).powi(2)).sum()
}

#[test]
fn correlations_and_errors_are_those_of_the_plain_formulas() {
    let folder = desk();
    let told = json(&folder, &[]);
    let valgus = measured(&told, VALGUS);
    for (field, count) in [
        ("readers", 3),
        ("films", 6),
        ("readings", 25),
        ("most_repeats", 3),
    ] {
        assert_eq!(valgus[field], count, "{field}");
    }
    let columns = [ANN[0], BEN, CY].map(|number| values(number, VALGUS));
    let rows: Vec<[f64; 3]> = (0..6)
        .map(|film| [columns[0][film], columns[1][film], columns[2][film]])
        .collect();
    let grand = mean(&columns.concat());
    let row_means: Vec<f64> = rows.iter().map(|row| mean(row)).collect();
    let column_means: Vec<f64> = columns.iter().map(|column| mean(column)).collect();
    let total = sum_of_squares(&columns.concat(), grand);
    let between_films = 3.0 * sum_of_squares(&row_means, grand);
    let between_readers = 6.0 * sum_of_squares(&column_means, grand);
    let (msb, msj) = (between_films / 5.0, between_readers / 2.0);
    let mse = (total - between_films - between_readers) / 10.0;
    let msw = (total - between_films) / 12.0;
    let all = ["Ann", "Ben", "Cy"];
    for (name, expected) in [
        ("icc_1_1", (msb - msw) / (msb + 2.0 * msw)),
        (
            "icc_2_1",
            (msb - mse) / (msb + 2.0 * mse + 3.0 * (msj - mse) / 6.0),
        ),
        ("icc_3_1", (msb - mse) / (msb + 2.0 * mse)),
        ("icc_1_k", (msb - msw) / msb),
        ("icc_2_k", (msb - mse) / (msb + (msj - mse) / 6.0)),
        ("icc_3_k", (msb - mse) / msb),
        ("sem_agreement", ((msj - mse).max(0.0) / 6.0 + mse).sqrt()),
        ("sem_consistency", mse.sqrt()),
        ("sdc_consistency", 1.96 * 2.0_f64.sqrt() * mse.sqrt()),
    ] {
        let found = statistic(valgus, name, &all);
        close(&found["value"], expected, name);
        assert_eq!(found["count"], 6, "{name}: films");
    }
    let squares = MeanSquares::of(&Table::from_rows(&rows).expect("a table")).expect("squares");
    let crate_says = squares
        .coefficient(Form::TwoWayAgreement, Unit::Single, LEVEL)
        .expect("defined");
    let found = statistic(valgus, "icc_2_1", &all);
    close(&found["low"], crate_says.interval.lower, "lower end");
    close(&found["high"], crate_says.interval.upper, "upper end");
    let words = format!("{} (Koo and Li)", crate_says.reliability());
    assert_eq!(found["remark"], words.as_str(), "in words");
}

#[test]
fn each_pair_has_limits_and_each_reader_with_repeats_a_repeatability() {
    let folder = desk();
    let told = json(&folder, &[]);
    let valgus = measured(&told, VALGUS);
    let [ann, ben] = [ANN[0], BEN].map(|number| values(number, VALGUS));
    let differences: Vec<f64> = ann.iter().zip(&ben).map(|(ann, ben)| ann - ben).collect();
    let bias = mean(&differences);
    let sd = (sum_of_squares(&differences, bias) / 5.0).sqrt();
    let pairs: Vec<(f64, f64)> = ann.into_iter().zip(ben).collect();
    let limits = limits_of_agreement(&pairs, USUAL_MULTIPLIER, LEVEL).expect("limits");
    for (name, expected, interval) in [
        ("bias", bias, limits.bias_interval),
        ("limit_lower", bias - 1.96 * sd, limits.lower_interval),
        ("limit_upper", bias + 1.96 * sd, limits.upper_interval),
    ] {
        let found = statistic(valgus, name, &["Ann", "Ben"]);
        close(&found["value"], expected, name);
        close(&found["low"], interval.lower, name);
        close(&found["high"], interval.upper, name);
        statistic(valgus, name, &["Ann", "Cy"]);
        statistic(valgus, name, &["Ben", "Cy"]);
    }
    let mut films: Vec<Vec<f64>> = (0..6)
        .map(|film| {
            ANN.map(|number| value(&tracing(film, number), VALGUS))
                .to_vec()
        })
        .collect();
    films[0].push(value(&tracing(0, ANN_AGAIN), VALGUS));
    let within: f64 = films
        .iter()
        .map(|film| sum_of_squares(film, mean(film)))
        .sum();
    let sd = (within / 7.0).sqrt();
    let crate_says = within_subject(&films, USUAL_MULTIPLIER, LEVEL).expect("repeats");
    let found = statistic(valgus, "within_sd", &["Ann"]);
    close(&found["value"], sd, "within-subject SD");
    close(&found["low"], crate_says.interval.lower, "its lower end");
    let found = statistic(valgus, "repeatability", &["Ann"]);
    close(&found["value"], 1.96 * 2.0_f64.sqrt() * sd, "repeatability");
    let once = statistic(valgus, "repeatability", &["Ben"]);
    assert!(once["value"].is_null(), "read once: {once}");
    assert_eq!(once["remark"], "no film was read twice", "{once}");
}

#[test]
fn a_mean_of_repeats_counts_where_it_is_asked_for() {
    let folder = desk();
    let told = json(&folder, &["--one-value", "mean"]);
    let ann: Vec<f64> = (0..6)
        .map(|film| {
            let mut all = ANN
                .map(|number| value(&tracing(film, number), VALGUS))
                .to_vec();
            if film == 0 {
                all.push(value(&tracing(0, ANN_AGAIN), VALGUS));
            }
            mean(&all)
        })
        .collect();
    let bias = mean(&ann) - mean(&values(BEN, VALGUS));
    let found = statistic(measured(&told, VALGUS), "bias", &["Ann", "Ben"]);
    close(&found["value"], bias, "bias of the mean");
    let notes = measured(&told, VALGUS)["notes"].to_string();
    assert!(notes.contains("mean of 1 to 3 readings"), "{notes}");
}

#[test]
fn grades_have_kappas_and_per_cent_agreement() {
    let folder = desk();
    let told = json(&folder, &["--one-value", "mean"]);
    let grade = measured(&told, GRADE);
    let rounded = |number: u64| -> Vec<usize> {
        let values = values(number, GRADE).into_iter();
        values
            .map(|value| (0_u8..4).position(|one| (f64::from(one) - value).abs() < 0.1))
            .map(|place| place.expect("a grade"))
            .collect()
    };
    let [ann, ben, cy] = [ANN[0], BEN, CY].map(rounded);
    let same = ann.iter().zip(&ben).filter(|(ann, ben)| ann == ben).count();
    let found = statistic(grade, "agreement_per_cent", &["Ann", "Ben"]);
    let same = f64::from(u32::try_from(same).expect("few"));
    close(&found["value"], same / 6.0 * 100.0, "per cent");
    let share = |of: &[usize], grade: usize| {
        let count = of.iter().filter(|one| **one == grade).count();
        f64::from(u32::try_from(count).expect("few")) / 6.0
    };
    let chance: f64 = (0..4).map(|one| share(&ann, one) * share(&ben, one)).sum();
    assert!(chance < 1.0, "the readers use more than one grade");
    let found = statistic(grade, "kappa_plain", &["Ann", "Ben"]);
    close(
        &found["value"],
        (same / 6.0 - chance) / (1.0 - chance),
        "plain kappa",
    );
    let pairs = RatingPairs::from_ratings(&ann, &ben, 4).expect("pairs");
    for (name, weights) in [
        ("kappa_linear", DisagreementWeights::Linear),
        ("kappa_quadratic", DisagreementWeights::Quadratic),
    ] {
        let expected = cohens_kappa(&pairs, &weights, LEVEL).expect("defined");
        let found = statistic(grade, name, &["Ann", "Ben"]);
        close(&found["value"], expected.value, name);
    }
    let rows: Vec<[usize; 3]> = (0..6)
        .map(|film| [ann[film], ben[film], cy[film]])
        .collect();
    let counts = count_ratings(&rows, 4).expect("counts");
    let expected = fleiss_kappa(&counts, LEVEL).expect("defined");
    let found = statistic(grade, "fleiss_kappa", &["Ann", "Ben", "Cy"]);
    close(&found["value"], expected.value, "Fleiss’ kappa");
    let again = statistic(grade, "repeat_agreement_per_cent", &["Ann"]);
    let second = rounded(ANN[1]);
    let same = ann
        .iter()
        .zip(&second)
        .filter(|(one, two)| one == two)
        .count();
    let same = f64::from(u32::try_from(same).expect("few"));
    close(&again["value"], same / 6.0 * 100.0, "first and second time");
}

#[test]
fn missing_readings_and_copies_are_named() {
    let folder = desk();
    let desk = folder.path().join("desk");
    // Ben has not placed anything on the last film, and Cy's study of the first one is there twice.
    fs::remove_file(desk.join("Ben/film-5.study.ron")).expect("a study");
    let unread = Traced {
        reader: "Ben",
        film: 5,
        tracings: &[0],
        day: 3,
    };
    save(&desk.join("Ben"), "film-5", &unread);
    let copied = Traced {
        reader: "Cy",
        film: 0,
        tracings: &[CY],
        day: 3,
    };
    save(&desk.join("copies"), "film-0", &copied);
    let nobody = Traced {
        reader: " ",
        film: 1,
        tracings: &[41],
        day: 3,
    };
    save(&desk.join("nobody"), "film-1", &nobody);
    let text = script::printed(folder.path(), &BY);
    for word in [
        "(no name) among all readers: read 1 film, and 2 are needed",
        "among all readers: not read by Ben",
        "the same tracing again, so a copy",
        "Ben, larch-ap.png",
        // Ann's second readings of the five films that all read, and a third of one.
        "later readings of a film by the same reader, between readers: 6",
        "both read only 1 film, and 2 are needed",
        "Koo and Li",
        "not a medical device",
        "Each film counts as a foot of its own",
        "(Head centre – base centre)",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    assert!(!text.contains("NaN"), "{text}");
    let told = json(&folder, &[]);
    let found = statistic(measured(&told, VALGUS), "icc_2_1", &["Ann", "Ben", "Cy"]);
    assert_eq!(found["count"], 5, "films that all three read");
}

#[test]
fn the_csv_is_one_table_that_tells_everything() {
    let folder = desk();
    script::printed(
        folder.path(),
        &[
            &BY[..],
            &[
                "--csv",
                "out.csv",
                "--measurements",
                "m1_length,hallux_valgus_angle",
            ],
        ]
        .concat(),
    );
    let text = fs::read_to_string(folder.path().join("out.csv")).expect("a file");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads: Vec<String> = reader
        .headers()
        .expect("heads")
        .iter()
        .map(str::to_owned)
        .collect();
    let expected = [
        "measurement",
        "statistic",
        "readers",
        "value",
        "low",
        "high",
        "count",
        "remark",
    ];
    assert_eq!(heads, expected, "the columns");
    let lines: Vec<csv::StringRecord> = reader
        .records()
        .collect::<Result<_, _>>()
        .expect("as many cells in each line");
    let line = |measurement: &str, statistic: &str| {
        let mut lines = lines.iter();
        lines
            .find(|line| &line[0] == measurement && &line[1] == statistic)
            .unwrap_or_else(|| panic!("{measurement}, {statistic}: {text}"))
    };
    let bias = line("hallux_valgus_angle", "bias");
    assert_eq!(&bias[2], "Ann; Ben", "{bias:?}");
    let number: f64 = bias[3].parse().expect("a number");
    let expected = mean(&values(ANN[0], VALGUS)) - mean(&values(BEN, VALGUS));
    assert!((number - expected).abs() < 1e-6, "{number}, not {expected}");
    // Without a calibration there is no millimetre, and it is said.
    let length = line("m1_length", "icc_2_1");
    assert!(length[3].is_empty(), "{length:?}");
    assert_eq!(&length[7], "nobody has a reading", "{length:?}");
    let left_out = line("m1_length", "left_out");
    assert!(left_out[7].contains("calibration"), "{left_out:?}");
}

#[test]
fn one_reader_and_equal_readings_are_told_and_not_computed() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (reader, film) in [("Ann", 0), ("Ann", 1), ("Ben", 0), ("Ben", 1)] {
        let traced = Traced {
            reader,
            film,
            tracings: &[5],
            day: 3,
        };
        save(
            &folder.path().join("desk").join(reader),
            &format!("film-{film}"),
            &traced,
        );
    }
    let told = json(&folder, &[]);
    let valgus = measured(&told, VALGUS);
    for name in ["icc_2_1", "bias"] {
        let found = statistic(valgus, name, &["Ann", "Ben"]);
        assert!(found["value"].is_null(), "equal readings: {found}");
        let why = found["remark"].as_str().expect("words");
        assert!(why.contains("do not vary"), "{why}");
    }
    let alone = script::printed(folder.path(), &["agreement", "desk/Ann"]);
    let why = "only Ann has readings, and agreement needs two readers";
    assert!(alone.contains(why), "{alone}");
}

#[test]
fn what_cannot_be_judged_is_refused_in_one_line() {
    let folder = desk();
    fs::create_dir(folder.path().join("empty")).expect("a folder");
    fs::write(folder.path().join("broken.study.ron"), "(").expect("writable");
    let study = "desk/Ben/film-1.study.ron";
    for (arguments, word) in [
        (vec!["empty"], "no study"),
        (vec!["absent.study.ron"], "absent.study.ron"),
        (vec!["broken.study.ron"], "broken.study.ron"),
        (
            vec!["desk", "--measurements", "beauty"],
            "hallux_valgus_angle",
        ),
        (vec!["desk", "--convention", "mine"], "head_base"),
        (vec!["desk", "--csv", study], "another name"),
        (vec!["desk", "--json", "no/such/out.json"], "another folder"),
    ] {
        let said = script::refused(folder.path(), &[&["agreement"], &arguments[..]].concat());
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
    let kept = fs::read_to_string(folder.path().join(study)).expect("still there");
    assert!(kept.contains("Ben"), "the study is whole");
}
