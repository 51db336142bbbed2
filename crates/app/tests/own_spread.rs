//! A reader's own spread: kept by `plumbray agreement`, and in the intervals of `measure` and `sheet`.

use std::fs;

use plumbray_agreement::{ConfidenceLevel, USUAL_MULTIPLIER, within_subject};
use plumbray_measure::{Measurement, TWO_SIDED_95};
use serde_json::Value;
use tempfile::TempDir;

mod readers;
mod samples;
mod script;

use readers::{FILMS, Traced, save, tracing, value};

const VALGUS: Measurement = Measurement::HalluxValgusAngle;
const ANN: [u64; 3] = [11, 12, 13];
const BY: [&str; 4] = ["agreement", "desk", "--convention", "head_base"];
const KEEP: [&str; 4] = ["--keep-spread", "Ann", "--spread-file", "own.ron"];

/// Ann reads six films three times, Ben once.
fn desk() -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let desk = folder.path().join("desk");
    for film in 0..FILMS.len() {
        for (reader, tracings) in [("Ann", &ANN[..]), ("Ben", &[21])] {
            let traced = Traced {
                reader,
                film,
                tracings,
                day: 3,
            };
            save(&desk.join(reader), &format!("film-{film}"), &traced);
        }
    }
    folder
}

fn kept() -> TempDir {
    let folder = desk();
    let said = script::printed(folder.path(), &[&BY[..], &KEEP].concat());
    assert!(said.contains("Kept as Ann’s own spread: own.ron"), "{said}");
    assert!(said.contains("from 6 films read three times, 20"), "{said}");
    let why = "a mean of positions or grades is none";
    assert!(said.contains(why), "the grade is not kept: {said}");
    folder
}

/// The within-subject standard deviation of Ann.
fn spread_of_ann() -> f64 {
    let films: Vec<Vec<f64>> = (0..FILMS.len())
        .map(|film| {
            let values = ANN.map(|number| value(&tracing(film, number), VALGUS));
            values.to_vec()
        })
        .collect();
    let found = within_subject(&films, USUAL_MULTIPLIER, ConfidenceLevel::NINETY_FIVE);
    found.expect("repeats").standard_deviation
}

fn measured(folder: &TempDir, arguments: &[&str]) -> Value {
    let by = ["measure", "--json", "--convention", "head_base"];
    let text = script::printed(folder.path(), &[&by[..], arguments].concat());
    serde_json::from_str(&text).expect("JSON")
}

fn row(study: &Value) -> &Value {
    let mut rows = study["measurements"].as_array().expect("rows").iter();
    rows.find(|row| row["identifier"] == VALGUS.identifier())
        .expect("the angle")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn what_is_kept_widens_the_rows_of_its_reader_alone() {
    let folder = kept();
    let studies = ["desk/Ann/film-0.study.ron", "desk/Ben/film-0.study.ron"];
    let with = measured(
        &folder,
        &[&studies[..], &["--reader-spread", "own.ron"]].concat(),
    );
    let without = measured(&folder, &studies);
    let (before, after) = (row(&without[0]), row(&with[0]));
    let sw = spread_of_ann();
    assert!((number(&after["own_sd"]) - sw).abs() < 1e-9, "{after}");
    assert_eq!(before["sd"], after["sd"], "the tracing's spread");
    let half = TWO_SIDED_95 * (number(&before["sd"]).powi(2) + sw * sw).sqrt();
    let high = number(&after["interval"][1]) - number(&after["value"]);
    assert!((high - half).abs() < 1e-9, "{high}, not {half}");
    assert_eq!(with[0]["own_spread"]["reader"], "Ann", "whose");
    let severity = |told: &Value| told["severity"]["probabilities"].to_string();
    let [with_own, as_published] = [severity(&with[0]), severity(&without[0])];
    assert_eq!(
        with_own, as_published,
        "no surer than published readers are"
    );
    assert_eq!(with[1], without[1], "of Ben nothing is kept");
    assert!(without[0].get("own_spread").is_none(), "as before");
    assert!(before.get("own_sd").is_none(), "as before: {before}");
}

#[test]
fn text_table_and_sheet_name_it() {
    let folder = kept();
    let study = "desk/Ann/film-0.study.ron";
    let by = ["--convention", "head_base", "--reader-spread", "own.ron"];
    let text = script::printed(folder.path(), &[&["measure", study][..], &by].concat());
    assert!(text.contains("(head_base, own spread)"), "{text}");
    let line = "Own spread of Ann: Hallux valgus angle, ";
    assert!(text.contains(line), "{text}");
    let table = script::printed(
        folder.path(),
        &[&["measure", "--csv", study][..], &by].concat(),
    );
    let head = table.lines().next().expect("a head");
    assert!(head.ends_with(",own_sd"), "{head}");
    // The study's own axes are others, so its sheet is as it was; with the axes of the spread it is not.
    let path = folder.path().join(study);
    let written = fs::read_to_string(&path).expect("a study");
    let chosen = written.replacen(
        "axis_convention: None",
        "axis_convention: Some(\"head_base\")",
        1,
    );
    assert_ne!(chosen, written, "the study names its axes: {written}");
    fs::write(&path, chosen).expect("writable");
    let made = ["sheet", study, "--csv", "--json", "--out"];
    script::printed(folder.path(), &[&made[..], &["plain"]].concat());
    let own = ["own", "--reader-spread", "own.ron"];
    script::printed(folder.path(), &[&made[..], &own].concat());
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).expect("made");
    assert!(
        !read("plain/film-0.sheet.json").contains("own_s"),
        "as before"
    );
    assert!(
        read("own/film-0.sheet.json").contains("\"own_spread\""),
        "told"
    );
    let table = read("own/film-0.sheet.csv");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let first = rows.records().next().expect("a row").expect("cells");
    let own: f64 = first[13].parse().expect("a number");
    assert!((own - spread_of_ann()).abs() < 1e-9, "{first:?}");
}

#[test]
fn what_cannot_be_kept_is_refused_and_changes_nothing() {
    let folder = desk();
    let refused =
        |arguments: &[&str]| script::refused(folder.path(), &[&BY[..], arguments].concat());
    let ben = refused(&["--keep-spread", "Ben", "--spread-file", "own.ron"]);
    assert!(ben.contains("read 10 films again"), "{ben}");
    let nobody = refused(&["--keep-spread", "Dee", "--spread-file", "own.ron"]);
    assert!(nobody.contains("one of Ann, Ben"), "{nobody}");
    let unnamed = refused(&["--keep-spread", " ", "--spread-file", "own.ron"]);
    assert!(unnamed.contains("under its reader’s name"), "{unnamed}");
    let study = "desk/Ann/film-0.study.ron";
    let over = refused(&["--keep-spread", "Ann", "--spread-file", study]);
    assert!(over.contains("take the place of a study"), "{over}");
    assert!(
        !folder.path().join("own.ron").exists(),
        "nothing is written"
    );
    fs::write(folder.path().join("own.ron"), "(version: 1, readers: 7)").expect("writable");
    let damaged = refused(&KEEP);
    assert!(
        damaged.contains("no file of readers’ own spreads"),
        "{damaged}"
    );
    let kept = fs::read_to_string(folder.path().join("own.ron")).expect("still there");
    assert_eq!(kept, "(version: 1, readers: 7)", "never overwritten unread");
    let measure = ["measure", study, "--reader-spread", "absent.ron"];
    let absent = script::refused(folder.path(), &measure);
    assert!(absent.contains("absent.ron"), "{absent}");
}

#[test]
fn readings_by_different_axes_are_not_kept() {
    let folder = desk();
    let path = folder.path().join("desk/Ann/film-0.study.ron");
    let written = fs::read_to_string(&path).expect("a study");
    let chosen = written.replacen(
        "axis_convention: None",
        "axis_convention: Some(\"head_base\")",
        1,
    );
    fs::write(&path, chosen).expect("writable");
    let arguments = [&["agreement", "desk"][..], &KEEP].concat();
    let said = script::refused(folder.path(), &arguments);
    assert!(said.contains("go by different axes"), "{said}");
}

#[test]
fn the_agreement_is_printed_as_a_sheet() {
    let folder = desk();
    script::printed(folder.path(), &[&BY[..], &["--pdf", "out.pdf"]].concat());
    let pdf = fs::read(folder.path().join("out.pdf")).expect("a sheet");
    assert!(pdf.starts_with(b"%PDF"), "a PDF");
    assert!(pdf.len() > 10_000, "with its plots: {} bytes", pdf.len());
}
