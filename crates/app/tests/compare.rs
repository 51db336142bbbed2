//! `plumbray compare`: what it prints, what it refuses.

use plumbray_study::{StudyFile, UserFolders, load};
use serde_json::Value;
use tempfile::TempDir;

mod planned;
mod printed_pdf;
mod samples;
mod script;
mod visits;

use planned::oak_is_planned;
use printed_pdf::words_of_pdf;
use visits::oak_at_three_visits;

struct Desk {
    folder: TempDir,
}

const STUDIES: [&str; 3] = [
    "oak-half-a-year-ap.dcm.study.ron",
    "oak-before-ap.dcm.study.ron",
    "oak-first-days-ap.dcm.study.ron",
];

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        oak_at_three_visits(folder.path(), &UserFolders::below(folder.path()));
        Self { folder }
    }

    /// With plans in the study of the visit before surgery.
    fn planned() -> Self {
        let desk = Self::new();
        let before = desk.folder.path().join(STUDIES[1]);
        oak_is_planned(&before, &UserFolders::below(desk.folder.path()));
        desk
    }

    fn printed(&self, arguments: &[&str]) -> String {
        script::printed(self.folder.path(), arguments)
    }

    fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.printed(arguments)).expect("JSON")
    }

    fn refused(&self, arguments: &[&str]) -> String {
        script::refused(self.folder.path(), arguments)
    }

    fn words_of_pdf(&self, name: &str) -> String {
        words_of_pdf(&self.folder.path().join(name))
    }
}

fn row<'a>(compared: &'a Value, identifier: &str) -> &'a Value {
    compared["measurements"]
        .as_array()
        .expect("rows")
        .iter()
        .find(|row| row["identifier"] == identifier)
        .expect(identifier)
}

#[test]
fn one_film_read_twice_is_no_change_of_the_foot() {
    let desk = Desk::new();
    let folders = UserFolders::below(desk.folder.path());
    let study = |name: &str| {
        let path = desk.folder.path().join(name);
        load(&path).expect("a study")
    };
    // The film of half a year later with a tracing that reads another foot on it.
    let mut again = study(STUDIES[0]);
    again.tracing = study(STUDIES[1]).tracing;
    let path = desk.folder.path().join("read-again.study.ron");
    let (mut file, _) = StudyFile::open_with(&path, &folders).expect("a new study");
    file.save(&again).expect("writable");
    let arguments = ["compare", STUDIES[0], "read-again.study.ron"];
    let compared = desk.json(&[&arguments[..], &["--json"]].concat());
    let valgus = row(&compared, "hallux_valgus_angle");
    let difference = valgus["change"].as_f64().expect("a number");
    assert!(difference.abs() > 10.0, "far apart: {valgus}");
    let rows = compared["measurements"].as_array().expect("rows");
    for row in rows {
        assert_ne!(row["is_real"], true, "nothing is real: {row}");
    }
    assert_eq!(compared["head_moves"], serde_json::json!([]), "no shift");
    let printed = desk.printed(&arguments);
    let said = printed.find("These are the same films twice, not two visits");
    let numbers = printed.find("Hallux valgus angle").expect("a row");
    assert!(said.is_some_and(|said| said < numbers), "above: {printed}");
    assert!(!printed.contains("real change"), "nothing real: {printed}");
}

#[test]
fn the_visits_are_ordered_by_day_and_the_loss_after_surgery_is_told() {
    let desk = Desk::new();
    let arguments = [&["compare"], &STUDIES[..], &["--json"]].concat();
    let compared = desk.json(&arguments);
    let names: Vec<&str> = compared["visits"]
        .as_array()
        .expect("visits")
        .iter()
        .map(|visit| visit["name"].as_str().expect("a name"))
        .collect();
    let expected = [
        "before surgery",
        "12 days after surgery",
        "6 months after surgery",
    ];
    assert_eq!(names, expected, "by day");
    assert_eq!(
        (&compared["from"], &compared["to"]),
        (&2.into(), &3.into()),
        "since surgery"
    );
    let valgus = row(&compared, "hallux_valgus_angle");
    assert_eq!(valgus["is_real"], true, "{valgus}");
    assert_eq!(valgus["direction"], "away", "{valgus}");
    assert!(compared["convention"] == "head_base", "one for all");
    // A quarter of shift and turns is lost on the simulated foot.
    let lost = compared["lost"][0]["per_cent"]["value"]
        .as_f64()
        .expect("a share");
    assert!((lost - 25.0).abs() < 5.0, "{lost} % lost");
    // The fragment travelled by 10 mm.
    let mm = desk.json(
        &[
            &["compare"],
            &STUDIES[..],
            &["--json", "--from", "1", "--to", "2"],
        ]
        .concat(),
    )["head_moves"][0]["millimetres"]["value"]
        .as_f64()
        .expect("calibrated");
    assert!((mm - 10.0).abs() < 1.0, "{mm} mm");
    let moves = compared["head_moves"].as_array().expect("moves");
    assert_eq!(
        moves.len(),
        2,
        "from before surgery, and since it: {moves:?}"
    );
    let calibration = &moves[0]["calibration"];
    assert_eq!(calibration, "calibrated by geometry", "whose millimetres");
    let slipped = moves[1]["millimetres"]["value"]
        .as_f64()
        .expect("calibrated");
    assert!(
        (slipped + 2.5).abs() < 1.0,
        "a quarter of 10 mm back: {slipped}"
    );
}

#[test]
fn a_time_line_is_kept_and_compares_the_same() {
    let desk = Desk::new();
    let arguments = [&["compare"], &STUDIES[..], &["--save", "oak.visits.ron"]].concat();
    let once = desk.printed(&arguments);
    let again = desk.printed(&["compare", "oak.visits.ron"]);
    assert_eq!(once, again, "the same visits");
    for word in [
        "head centre",
        "real change",
        "not a medical device",
        "healed is not judged",
    ] {
        assert!(
            once.to_lowercase().contains(&word.to_lowercase()),
            "{word}: {once}"
        );
    }
}

#[test]
fn the_csv_has_a_line_for_each_measurement_and_columns_for_each_visit() {
    let desk = Desk::new();
    let printed = desk.printed(&[&["compare"], &STUDIES[..], &["--csv"]].concat());
    let mut table = csv::Reader::from_reader(printed.as_bytes());
    let heads = table.headers().expect("heads").clone();
    assert_eq!(heads.len(), 6 + 2 * 3 + 4 + 17, "{heads:?}");
    let lines: Vec<csv::StringRecord> = table.records().collect::<Result<_, _>>().expect("lines");
    assert!(lines.len() > 20, "rows");
    assert!(
        lines.iter().all(|line| &line[0] == "change"),
        "no plan, no line of one"
    );
}

#[test]
fn what_cannot_be_compared_is_refused_in_one_line() {
    let desk = Desk::new();
    for (arguments, word) in [
        (vec![STUDIES[0]], "one visit"),
        (vec![STUDIES[0], "oak-before-ap.dcm"], "study"),
        (vec![STUDIES[0], STUDIES[1], "--from", "7"], "from 1 to 2"),
        (
            vec![STUDIES[0], STUDIES[1], "--from", "2", "--to", "1"],
            "before",
        ),
        (
            vec![STUDIES[0], STUDIES[1], "--convention", "shaft_fit"],
            "does not fit",
        ),
        (
            vec![STUDIES[0], STUDIES[1], "--recurrence", "soon"],
            "valgus_above_20",
        ),
        (vec!["absent.visits.ron"], "absent.visits.ron"),
    ] {
        let said = desk.refused(&[&["compare"], &arguments[..]].concat());
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}

#[test]
fn the_sheet_names_the_side_the_caution_and_every_calibration() {
    let desk = Desk::new();
    desk.printed(&[&["compare"], &STUDIES[..], &["--sheet", "oak.pdf"]].concat());
    let text = desk.words_of_pdf("oak.pdf");
    for word in [
        "RIGHT",
        "Foot radiographs compared",
        "Hallux valgus angle",
        "real change",
        "not a medical device",
        "millimetres calibrated by geometry",
        "How far was the head moved",
        "name, signature, date",
        "page 1 of",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn the_sheet_shows_the_lateral_films_where_both_visits_have_one() {
    let desk = Desk::new();
    let pictures = |desk: &Desk| {
        desk.printed(&[&["compare"], &STUDIES[..], &["--sheet", "oak.pdf"]].concat());
        let text = desk.words_of_pdf("oak.pdf");
        let captions = ["AP film, standing", "Lateral film, standing"]
            .map(|caption| text.matches(caption).count());
        (captions, text)
    };
    let ([ap, lateral], text) = pictures(&desk);
    assert_eq!(ap, 2, "both AP films: {text}");
    assert_eq!(lateral, 2, "both lateral films: {text}");
    let last = desk.folder.path().join(STUDIES[0]);
    let folders = UserFolders::below(desk.folder.path());
    let (mut file, found) = StudyFile::open_with(&last, &folders).expect("a study's file");
    let mut study = found.expect("the last visit");
    study.lateral = None;
    file.save(&study).expect("writable");
    drop(file);
    let ([ap, lateral], text) = pictures(&desk);
    assert_eq!(ap, 2, "both AP films: {text}");
    assert_eq!(lateral, 0, "one alone is not shown: {text}");
}

#[test]
fn a_plan_is_held_against_the_result() {
    let desk = Desk::planned();
    let printed = desk.printed(&[&["compare"], &STUDIES[..]].concat());
    for word in [
        "Plan against result: “as done” (before surgery), at the visit “6 months after surgery”",
        "achieved − intended",
        "beyond measurement error",
        "within measurement error",
        "(calibrated by geometry)",
        "in none of these intervals",
    ] {
        assert!(printed.contains(word), "{word}: {printed}");
    }
    let first_days = ["--from", "1", "--to", "2", "--json"];
    let compared = desk.json(&[&["compare"], &STUDIES[..], &first_days].concat());
    let rows = compared["plan"]["rows"].as_array().expect("rows");
    let told = |identifier: &str| {
        let row = rows.iter().find(|row| row["identifier"] == identifier);
        row.expect("a row of it")
    };
    let shift = told("head_shift_mm");
    assert_eq!(shift["is_beyond_error"], false, "as it was done: {shift}");
    assert_eq!(shift["calibration"], "calibrated by geometry", "{shift}");
    // The toe was released and turned by more than the head was.
    let valgus = told("hallux_valgus_angle");
    assert_eq!(valgus["is_beyond_error"], true, "{valgus}");
    for field in ["before", "intended", "achieved"] {
        let number = &valgus[field];
        let interval = number["interval"].as_array().expect("an interval");
        assert!(interval[0].as_f64() < number["value"].as_f64(), "{number}");
    }
}

#[test]
fn the_csv_is_one_rectangular_table_with_the_plan_below_the_changes() {
    let desk = Desk::planned();
    let printed = desk.printed(&[&["compare"], &STUDIES[..], &["--csv"]].concat());
    let mut reader = csv::Reader::from_reader(printed.as_bytes());
    // The reader refuses lines of other lengths than the first one.
    let lines: Vec<csv::StringRecord> = reader
        .records()
        .collect::<Result<_, _>>()
        .expect("as many cells in each line");
    let of = |table: &str| lines.iter().filter(|line| &line[0] == table).count();
    let first_of_plan = lines.iter().position(|line| &line[0] == "plan");
    assert_eq!(
        Some(of("change")),
        first_of_plan,
        "the changes stand above the plan"
    );
    assert!(of("plan") >= 6, "the plan's numbers: {}", of("plan"));
    assert_eq!(of("change") + of("plan"), lines.len(), "nothing else");
}

#[test]
fn another_plan_is_chosen_by_name_or_number_and_written_as_csv() {
    let desk = Desk::planned();
    let first_days = ["--from", "1", "--to", "2", "--csv", "--plan"];
    let table =
        |plan: &str| desk.printed(&[&["compare"], &STUDIES[..], &first_days, &[plan]].concat());
    let by_number = table("2");
    assert_eq!(by_number, table("Plan 2"), "by its name");
    let mut reader = csv::Reader::from_reader(by_number.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    let column = |name: &str| heads.iter().position(|head| head == name).expect("a head");
    let shift = reader
        .records()
        .map(|record| record.expect("a line"))
        .find(|record| {
            &record[column("table")] == "plan" && &record[column("identifier")] == "head_shift_mm"
        })
        .expect("a line of the shift");
    assert_eq!(&shift[column("plan")], "Plan 2", "{shift:?}");
    let visits = [column("from"), column("to")].map(|place| &shift[place]);
    assert_eq!(visits, ["1", "2"], "{shift:?}");
    assert_eq!(&shift[column("is_beyond_error")], "true", "{shift:?}");
    let difference: f64 = shift[column("difference")].parse().expect("a number");
    assert!(
        (difference - 6.0).abs() < 1.2,
        "10 mm were done and 4 mm intended: {difference}"
    );
    let said = desk.refused(&[&["compare"], &STUDIES[..], &["--plan", "another"]].concat());
    assert!(said.contains("as done, Plan 2"), "{said}");
    let said = Desk::new().refused(&[&["compare"], &STUDIES[..], &["--plan", "1"]].concat());
    assert!(said.contains("no plan"), "{said}");
}

#[test]
fn the_sheet_has_the_plan_under_the_numbers() {
    let desk = Desk::planned();
    desk.printed(&[&["compare"], &STUDIES[..], &["--sheet", "oak.pdf"]].concat());
    let text = desk.words_of_pdf("oak.pdf");
    for word in [
        "Plan against result",
        "intended",
        "achieved",
        "beyond measurement error",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
}
