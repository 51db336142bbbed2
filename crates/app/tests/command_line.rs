//! `plumbray measure` and `plumbray landmarks`: what they print, what they refuse, and that the
//! documentation names every field.

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
};

use clap::Parser as _;
use plumbray::command_line::CommandLine;
use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmTracing, Landmark, PixelSpacing, Side, View,
};
use plumbray_study::{
    FilmRecord, LateralHeadEdge, SideChoice, Study, StudyFile, UserFolders, load,
};
use serde_json::Value;
use tempfile::TempDir;

mod samples;

use samples::{sample_images, truth_of};

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The true tracing of a sample film, each point with a spread of two pixels.
fn tracing_of(film: &str) -> FilmTracing {
    let mut tracing = truth_of(film).feet[0].tracing.clone();
    for point in tracing.points.values_mut() {
        point.sd_px = 2.0;
    }
    for cortices in tracing.cortices.values_mut() {
        cortices.sd_px = 2.0;
    }
    tracing
}

/// A folder with a study of the sample foot.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        let desk = Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
        };
        desk.save("foot.study.ron", &desk.study());
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn study(&self) -> Study {
        let mut study = Study::default();
        for (view, name) in [
            (View::Ap, "sample-foot-ap"),
            (View::Lateral, "sample-foot-lateral"),
        ] {
            let film = self.path(&format!("{name}.png"));
            fs::copy(sample_images().join(format!("{name}.png")), &film).expect("a sample film");
            let mut record = FilmRecord::of_file(&film, self.folder.path(), 1, 1).expect("a film");
            record.calibration = Some(Calibration {
                spacing: PixelSpacing::new(0.175, 0.175).expect("possible"),
                basis: CalibrationBasis::RoundObject { diameter_mm: 25.0 },
                relative_sd: 0.004,
            });
            *study.film_mut(view) = Some(record);
            *study.tracing.on_mut(view) = tracing_of(name);
        }
        study.side = Some(SideChoice::entered(Side::Left));
        study
    }

    fn save(&self, name: &str, study: &Study) {
        let folders = UserFolders::below(self.folder.path());
        let (mut file, _) = StudyFile::open_with(&self.path(name), &folders).expect("a new study");
        file.save(study).expect("writable");
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("writable");
    }

    /// Runs the program in this folder, as a script does.
    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_plumbray"))
            .args(arguments)
            .current_dir(self.folder.path())
            .env("HOME", self.folder.path())
            .env("XDG_DATA_HOME", self.folder.path())
            .env("XDG_STATE_HOME", self.folder.path())
            .env("RUST_BACKTRACE", "1")
            .output()
            .expect("the program starts")
    }

    /// What the program prints when all goes well.
    fn printed(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).expect("text")
    }

    fn json(&self, arguments: &[&str]) -> Value {
        let printed = self.printed(arguments);
        serde_json::from_str(&printed).expect("JSON")
    }

    /// What the program says when it refuses.
    fn refused(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(1), "{arguments:?} must fail");
        assert!(output.stdout.is_empty(), "{arguments:?} must print nothing");
        let said = String::from_utf8(output.stderr).expect("text");
        assert_eq!(said.lines().count(), 1, "one line and no stack: {said}");
        said
    }
}

fn row<'a>(sheet: &'a Value, identifier: &str) -> &'a Value {
    let rows = sheet["measurements"].as_array().expect("rows");
    let found = rows.iter().find(|row| row["identifier"] == identifier);
    found.unwrap_or_else(|| panic!("no row {identifier}"))
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn the_json_holds_each_measurement_by_each_convention() {
    let desk = Desk::new();
    let sheets = desk.json(&["measure", "--json", "foot.study.ron"]);
    let [sheet] = sheets.as_array().expect("a list").as_slice() else {
        panic!("one study gives one sheet");
    };
    assert_eq!(sheet["side"], "left", "the side of the study");
    assert_eq!(sheet["side_confirmed"], true, "entered by a person");
    let rows = sheet["measurements"].as_array().expect("rows");
    assert_eq!(
        rows.len(),
        plumbray_measure::Measurement::ALL.len(),
        "every measurement"
    );
    let angle = row(sheet, "hallux_valgus_angle");
    // The sample foot was made with 32°, which its projection changes by a little.
    let value = number(&angle["value"]);
    assert!((31.0..33.0).contains(&value), "hallux valgus angle {value}");
    let (low, high) = (number(&angle["interval"][0]), number(&angle["interval"][1]));
    let sd = number(&angle["sd"]);
    assert!(low < value && value < high, "the interval holds the value");
    assert!(
        ((high - low) / 2.0 - 1.96 * sd).abs() < 0.01 * sd,
        "95 % of a normal spread: {low} to {high} with {sd}"
    );
    let conventions = angle["conventions"].as_array().expect("conventions");
    assert!(conventions.len() >= 3, "every convention that applies");
    let own = conventions
        .iter()
        .find(|other| other["convention"] == angle["convention"]);
    assert_eq!(
        own.expect("its own")["value"],
        angle["value"],
        "the same number"
    );
    let length = row(sheet, "m1_length");
    assert_eq!(length["unit"], "millimetres", "a length");
    assert_eq!(
        length["calibration"], "by a 25 mm ball or coin",
        "no length without it"
    );
    let shares: f64 = sheet["severity"]["probabilities"]
        .as_array()
        .expect("classes")
        .iter()
        .map(|class| number(&class["probability"]))
        .sum();
    assert!(
        (shares - 1.0).abs() < 1e-9,
        "classes share out everything: {shares}"
    );
}

#[test]
fn another_convention_changes_the_number_and_says_its_name() {
    let desk = Desk::new();
    let usual = desk.json(&["measure", "--json", "foot.study.ron"]);
    let other = desk.json(&[
        "measure",
        "--json",
        "--convention",
        "head_base",
        "foot.study.ron",
    ]);
    let (usual, other) = (
        row(&usual[0], "hallux_valgus_angle"),
        row(&other[0], "hallux_valgus_angle"),
    );
    assert_eq!(
        usual["convention"], "mid_diaphyseal_quarters",
        "the default"
    );
    assert_eq!(other["convention"], "head_base", "as asked");
    assert!(
        (number(&usual["value"]) - number(&other["value"])).abs() > 0.01,
        "two axes are not the same"
    );
}

#[test]
fn the_levels_kept_in_a_study_are_used() {
    let desk = Desk::new();
    let mut study = desk.study();
    study.choices.axis_convention = Some("mid_diaphyseal_mm".to_owned());
    desk.save("usual.study.ron", &study);
    study.choices.axis_levels = Some(plumbray_study::AxisLevels {
        metatarsal_mm: 22.0,
        proximal_phalanx_mm: 9.0,
        distal_phalanx_mm: 7.0,
    });
    desk.save("levels.study.ron", &study);
    let sheets = desk.json(&["measure", "--json", "usual.study.ron", "levels.study.ron"]);
    let value = |sheet: &Value| number(&row(sheet, "hallux_valgus_angle")["value"]);
    assert!(
        (value(&sheets[0]) - value(&sheets[1])).abs() > 0.01,
        "other levels give another axis"
    );
}

#[test]
fn the_csv_has_a_line_for_each_measurement_and_convention() {
    let desk = Desk::new();
    let text = desk.printed(&["measure", "--csv", "foot.study.ron"]);
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let columns = table.headers().expect("a header").clone();
    let place = |name: &str| {
        columns
            .iter()
            .position(|column| column == name)
            .unwrap_or_else(|| panic!("a column {name}"))
    };
    let records: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    let json = desk.json(&["measure", "--json", "foot.study.ron"]);
    let in_use = records.iter().filter(|row| &row[place("in_use")] == "yes");
    assert_eq!(
        in_use.count(),
        plumbray_measure::Measurement::ALL.len(),
        "one line in use for each measurement"
    );
    for record in records
        .iter()
        .filter(|row| &row[place("status")] == "value")
    {
        let of_json = row(&json[0], &record[place("identifier")]);
        let results = of_json["conventions"].as_array().expect("conventions");
        let convention = &record[place("convention")];
        let result = results
            .iter()
            .find(|result| result["convention"] == *convention)
            .unwrap_or(of_json);
        let value: f64 = record[place("value")].parse().expect("a number");
        assert!(
            (value - number(&result["value"])).abs() < 1e-9,
            "{} by {convention}: the same number in both",
            &record[place("identifier")]
        );
    }
}

#[test]
fn the_text_says_how_sure_each_number_is() {
    let desk = Desk::new();
    let text = desk.printed(&["measure", "foot.study.ron"]);
    let line = text
        .lines()
        .find(|line| line.contains("Hallux valgus angle"))
        .expect("a line");
    assert!(line.contains(" ± ") && line.contains("degrees"), "{line}");
    assert!(text.contains("Severity: "), "the verdict: {text}");
    assert!(text.contains("not a medical device"), "the caution: {text}");
}

#[test]
fn a_table_of_landmarks_is_measured_like_the_study_it_came_from() {
    let desk = Desk::new();
    let ap = desk.printed(&["landmarks", "foot.study.ron"]);
    let lateral = desk.printed(&["landmarks", "--view", "lateral", "foot.study.ron"]);
    desk.write("ap.csv", &ap);
    desk.write("lateral.csv", &lateral);
    let of_study = desk.json(&["measure", "--json", "foot.study.ron"]);
    let of_tables = desk.json(&["measure", "--json", "--lateral", "lateral.csv", "ap.csv"]);
    for name in [
        "hallux_valgus_angle",
        "intermetatarsal_angle_1_2",
        "calcaneal_inclination_angle",
    ] {
        let (one, other) = (row(&of_study[0], name), row(&of_tables[0], name));
        assert!(
            (number(&one["value"]) - number(&other["value"])).abs() < 1e-9,
            "{name}: {one} and {other}"
        );
    }
    let length = row(&of_tables[0], "m1_length");
    assert_eq!(
        length["status"], "needs",
        "a table has no calibration: {length}"
    );
    assert_eq!(length["value"], Value::Null, "and so no millimetres");
}

#[test]
fn landmarks_are_put_into_a_study() {
    let desk = Desk::new();
    desk.write(
        "more.csv",
        "landmark,x_px,y_px\nm1_head_centre,600.5,500.25\n",
    );
    let said = desk.printed(&["landmarks", "--import", "more.csv", "foot.study.ron"]);
    assert!(said.starts_with("1 landmark"), "how many: {said}");
    let study = load(&desk.path("foot.study.ron")).expect("readable");
    let point = study
        .tracing
        .ap
        .point(Landmark::HeadCentre)
        .expect("placed");
    assert!(
        (point.x_px - 600.5).abs() < 1e-9 && (point.y_px - 500.25).abs() < 1e-9,
        "{point:?}"
    );
}

#[test]
fn what_cannot_be_done_is_refused_in_one_line_that_says_what_to_do() {
    let desk = Desk::new();
    desk.write("damaged.study.ron", "(format_version: 1, tracing: (ap: ");
    desk.write("wrong.csv", "landmark,x_px,y_px\nm1_tipp,1,2\n");
    let cases: [(&[&str], &str); 8] = [
        (&["measure", "none.study.ron"], "open the film to start one"),
        (&["measure", "damaged.study.ron"], "damaged.study.ron"),
        (&["measure", "none.csv"], "cannot be read: none.csv"),
        (&["measure", "wrong.csv"], "line 2"),
        (
            &["measure", "--convention", "middle", "foot.study.ron"],
            "one of mid_diaphyseal_quarters, ",
        ),
        (
            &["measure", "--severity", "mine", "foot.study.ron"],
            "one of ",
        ),
        (
            &[
                "measure",
                "--lateral",
                "none.csv",
                "foot.study.ron",
                "foot.study.ron",
            ],
            "exactly one AP table",
        ),
        (
            &["measure", "--lateral", "wrong.csv", "foot.study.ron"],
            "exactly one AP table",
        ),
    ];
    for (arguments, expected) in cases {
        let said = desk.refused(arguments);
        assert!(said.contains(expected), "{arguments:?}: {said}");
    }
    let said = desk.refused(&["landmarks", "--import", "wrong.csv", "foot.study.ron"]);
    assert!(
        said.contains("wrong.csv") && said.contains("line 2"),
        "{said}"
    );
}

#[test]
fn unknown_options_end_with_the_status_of_wrong_usage() {
    let desk = Desk::new();
    let output = desk.run(&["measure", "--colour", "foot.study.ron"]);
    assert_eq!(output.status.code(), Some(2), "wrong usage");
}

#[test]
fn the_library_prints_what_the_program_prints() {
    let desk = Desk::new();
    let path = desk.path("foot.study.ron");
    let path = path.to_str().expect("a plain path");
    let mut output = Vec::new();
    CommandLine::parse_from(["plumbray", "measure", "--csv", path])
        .run(&mut output)
        .expect("a worksheet");
    let printed = desk.printed(&["measure", "--csv", path]);
    assert_eq!(
        String::from_utf8_lossy(&output),
        printed,
        "one code for both"
    );
}

/// Names of all fields in some JSON.
fn fields(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                found.insert(name.clone());
                fields(member, found);
            }
        }
        Value::Array(members) => members.iter().for_each(|member| fields(member, found)),
        _ => {}
    }
}

/// The first cell of each row of the tables below a heading, without its back-ticks.
fn documented(text: &str, heading: &str) -> BTreeSet<String> {
    text.lines()
        .skip_while(|line| *line != heading)
        .skip(1)
        .take_while(|line| !line.starts_with("## "))
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`'))
        .map(|(name, _)| name.to_owned())
        .collect()
}

#[test]
fn the_documentation_names_every_field_and_every_column_and_no_other() {
    let desk = Desk::new();
    let text = fs::read_to_string(repository().join("docs/command-line.md")).expect("the page");
    let mut found = BTreeSet::new();
    // An operated foot brings refusals with their reasons; one that is said to be the other, a warning.
    let mut operated = desk.study();
    operated.visit.operated = true;
    operated.judged.lateral_head_edge = Some(LateralHeadEdge::Round);
    operated.side = Some(SideChoice::entered(Side::Right));
    desk.save("operated.study.ron", &operated);
    // And a reader's own spread brings its fields.
    let own = "(version: 1, readers: [(reader: \"Ann\", spreads: [(measurement: \"hallux_valgus_angle\", \
               convention: Some(\"mid_diaphyseal_quarters\"), sd: 1.3, films: 12, readings: 24, \
               kept_on: \"2026-11-28\")])])";
    fs::write(desk.path("own.ron"), own).expect("writable");
    let studies = ["measure", "--json", "foot.study.ron", "operated.study.ron"];
    let sheets = desk.json(&[&studies[..], &["--reader-spread", "own.ron"]].concat());
    fields(&sheets, &mut found);
    assert_eq!(documented(&text, "## JSON"), found, "fields of the JSON");
    let csv = desk.printed(&["measure", "--csv", "foot.study.ron"]);
    let columns = csv
        .lines()
        .next()
        .expect("a header")
        .split(',')
        .map(str::to_owned);
    assert_eq!(
        documented(&text, "## CSV"),
        columns.collect(),
        "columns of the CSV"
    );
}
