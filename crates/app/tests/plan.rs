//! `plumbray plan`: what it prints, what it writes, what it refuses.

use std::{collections::BTreeSet, fs, path::PathBuf};

use clap::CommandFactory as _;
use plumbray::command_line::CommandLine;
use plumbray_anatomy::{CalibrationBasis, Side, View};
use plumbray_study::{FilmRecord, SideChoice, SideSource, Study, UserFolders, load, study_to_text};
use serde_json::Value;
use tempfile::TempDir;

mod printed_pdf;
mod samples;
mod script;
mod visits;

use printed_pdf::words_of_pdf;
use samples::{sample_images, truth_of};
use visits::oak_at_three_visits;

/// A right foot before its operation, both films calibrated.
const OAK: &str = "oak-before-ap.dcm.study.ron";

/// The same foot after it.
const OPERATED: &str = "oak-half-a-year-ap.dcm.study.ron";

/// A right foot on films without calibration.
const MAPLE: &str = "maple.study.ron";

struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        oak_at_three_visits(folder.path(), &UserFolders::below(folder.path()));
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("writable");
    }

    fn save(&self, name: &str, study: &Study) {
        self.write(
            name,
            &study_to_text(study).expect("a study that can be written"),
        );
    }

    /// A study of a foot without calibration, of these views.
    fn uncalibrated(&self, views: &[View]) -> Study {
        let mut study = Study {
            side: Some(SideChoice::entered(Side::Right)),
            ..Study::default()
        };
        for view in views {
            let name = format!("maple-{}", view.identifier());
            let film = self.path(&format!("{name}.png"));
            fs::copy(sample_images().join(format!("{name}.png")), &film).expect("a sample film");
            let (width, height) = image::image_dimensions(&film).expect("a picture");
            let record = FilmRecord::of_file(&film, self.folder.path(), width, height);
            *study.film_mut(*view) = Some(record.expect("a film"));
            let mut tracing = truth_of(&name).feet[0].tracing.clone();
            for point in tracing.points.values_mut() {
                point.sd_px = 2.0;
            }
            *study.tracing.on_mut(*view) = tracing;
        }
        study
    }

    fn printed(&self, arguments: &[&str]) -> String {
        script::printed(self.folder.path(), &[&["plan"], arguments].concat())
    }

    fn refused(&self, arguments: &[&str]) -> String {
        script::refused(self.folder.path(), &[&["plan"], arguments].concat())
    }

    fn json(&self, arguments: &[&str]) -> Value {
        self.printed(&[arguments, &["--json", "plan.json"]].concat());
        let text = fs::read_to_string(self.path("plan.json")).expect("written");
        serde_json::from_str(&text).expect("JSON")
    }

    /// The words of a PDF, and how many pages it has.
    fn pdf(&self, name: &str) -> (String, usize) {
        let text = words_of_pdf(&self.path(name));
        let pages = text.matches('\u{c}').count();
        (text, pages)
    }
}

fn measurement<'a>(plan: &'a Value, identifier: &str) -> &'a Value {
    plan["measurements"]
        .as_array()
        .expect("rows")
        .iter()
        .find(|row| row["identifier"] == identifier)
        .expect(identifier)
}

/// The text without what is taken for granted: a source may have published millimetres.
fn without_sources(text: &str) -> String {
    let lines = text.lines();
    let mut before: Vec<&str> = lines
        .take_while(|line| !line.contains("Taken for granted"))
        .collect();
    let caution = text.lines().filter(|line| line.contains("calibrated"));
    before.extend(caution);
    before.join("\n")
}

#[test]
fn a_solved_shift_reaches_its_angle_and_screws_have_lengths_from_both_films() {
    let desk = Desk::new();
    let mut study = load(&desk.path(OAK)).expect("a study");
    let lateral = study.lateral.as_mut().expect("a film");
    let calibration = lateral.calibration.as_mut().expect("calibrated");
    calibration.basis = CalibrationBasis::RoundObject { diameter_mm: 25.0 };
    desk.save("both.study.ron", &study);
    let asked = ["--usual", "--solve", "ima=6", "--suggest-screws"];
    let planned = desk.json(&[&["both.study.ron"], &asked[..]].concat());
    let plan = &planned["plans"][0];
    let angle = measurement(plan, "intermetatarsal_angle_1_2");
    let reached = angle["planned"].as_f64().expect("an angle");
    assert!((reached - 6.0).abs() < 0.01, "{reached}°");
    assert!(angle["before"].as_f64() > Some(9.0), "{angle}");
    let lost = angle["with_loss"].as_f64().expect("a number");
    let before = angle["before"].as_f64().expect("a number");
    assert!(
        (lost - (reached + 0.3 * (before - reached))).abs() < 1e-9,
        "three tenths of {before}° − {reached}° lost: {lost}°"
    );
    let screws = plan["screws"].as_array().expect("screws");
    assert_eq!(screws.len(), 2, "a pair");
    for screw in screws {
        let length = |name: &str| screw[name].as_f64().expect("calibrated");
        assert!(
            length("true_mm") + 1e-9 >= length("lateral_alone_mm"),
            "{screw}"
        );
        assert!(
            screw["cortices"]
                .as_array()
                .is_some_and(|all| !all.is_empty()),
            "{screw}"
        );
    }
    assert_eq!(
        plan["ap_calibration"], "calibrated by geometry",
        "whose millimetres"
    );
    assert_eq!(planned["side"], "right", "side");
    // The lateral film as it is: of the detector, where a foot looks larger.
    let withheld = &desk.json(&[&[OAK], &asked[..]].concat())["plans"][0]["screws"][0];
    assert!(withheld["true_mm"].is_null(), "{withheld}");
    let why = withheld["withheld"].as_str().expect("a reason");
    assert!(why.contains("at the detector"), "{why}");
}

#[test]
fn several_plans_stand_in_columns_and_the_csv_has_all_of_them() {
    let desk = Desk::new();
    let plans = "[(name: \"square\"), (name: \"tilted\", cut: (direction: tilt_degrees(10.0)), head: (shift: millimetres(10.0)))]";
    desk.write("two.ron", plans);
    let text = desk.printed(&[OAK, "--plan", "two.ron", "--csv", "plans.csv"]);
    for word in [
        "right foot, confirmed",
        "square to the shaft",
        "10.0°, lateral end more distal",
        "1–2 intermetatarsal angle",
        "with 30\u{2009}%",
        "Cortical contact at the cut",
        "sesamoids stay with the second ray",
        "Lamo-Espinosa",
        "calibrated by geometry",
        "not a medical device",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let heads = text.lines().nth(1).expect("a second line");
    assert!(
        heads.contains("square") && heads.contains("tilted"),
        "{heads}"
    );
    let table = fs::read(desk.path("plans.csv")).expect("written");
    let mut table = csv::Reader::from_reader(table.as_slice());
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    for plan in ["square", "tilted"] {
        let shift = rows
            .iter()
            .find(|row| &row[0] == plan && &row[1] == "head" && &row[2] == "shift")
            .expect("a shift");
        assert_eq!(&shift[3], "millimetres", "{plan}");
        assert_eq!(&shift[9], "calibrated by geometry", "{plan}");
    }
    let only = desk.printed(&[OAK, "--plan", "two.ron", "--only", "2"]);
    assert!(
        only.contains("tilted") && !only.contains("square\n"),
        "{only}"
    );
}

#[test]
fn the_plans_of_the_study_are_carried_out_by_its_name_and_by_its_films() {
    let desk = Desk::new();
    let mut study = load(&desk.path(OAK)).expect("a study");
    let mut plan = plumbray_plan::Plan::usual(true);
    plan.name = "as agreed".to_owned();
    study.plans = vec![plan];
    desk.save(OAK, &study);
    for named in [OAK, "oak-before-ap.dcm", "oak-before-lateral.dcm"] {
        let text = desk.printed(&[named]);
        assert!(text.contains("\nas agreed\n"), "{named}: {text}");
    }
    // A plan that is not carried out as it is kept says so wherever its name stands.
    let changed = desk.printed(&[OAK, "--shift", "60%", "--suggest-screws"]);
    assert!(
        changed.contains("\nas agreed, other shift, screws suggested\n"),
        "{changed}"
    );
}

#[test]
fn a_held_goal_and_the_length_are_kept_and_checks_say_what_they_want() {
    let desk = Desk::new();
    let asked = [OAK, "--usual", "--solve", "ima=6", "--keep-length"];
    let printed = desk.printed(&asked);
    for words in [
        "Usual plan, shift solved for, tilt that keeps the length",
        "shift held at",
        "IMA 6.0°",
        "met: wanted 6.0°, is 6.0°",
        "met: wanted 22.0\u{2009}mm to 25.0\u{2009}mm, is 23.0\u{2009}mm",
    ] {
        assert!(printed.contains(words), "{words} in {printed}");
    }
    let planned = desk.json(&asked);
    let plan = &planned["plans"][0];
    assert_eq!(plan["shift_held_at"], "IMA 6.0°", "the goal");
    let kept = plan["length_along_second"]["whole"]["mm"].as_f64();
    assert!(kept.is_some_and(|kept| kept.abs() < 0.01), "{kept:?} mm");
    let checks = plan["checks"].as_array().expect("checks");
    let level = checks
        .iter()
        .find(|check| check["name"] == "Cut at the usual distance from the joint");
    assert_eq!(
        level.map(|check| &check["wanted"]),
        Some(&Value::from("22.0\u{2009}mm to 25.0\u{2009}mm")),
        "what is wanted of the level"
    );
    let refused = desk.refused(&[OAK, "--usual", "--shift", "1mm", "--keep-length"]);
    assert!(
        refused.contains("no tilt makes up for the kerf"),
        "{refused}"
    );
}

#[test]
fn an_angle_to_which_the_toe_is_brought_is_chosen_and_no_prediction() {
    let desk = Desk::new();
    desk.write(
        "brought.ron",
        "(toe: (rule: realigned(hallux_valgus_degrees: 18.0)))",
    );
    let asked = [OAK, "--plan", "brought.ron", "--csv", "plan.csv"];
    let printed = desk.printed(&asked);
    assert!(printed.contains("→ 18.0°, chosen"), "{printed}");
    assert!(
        printed.contains("open: wanted at most 15.0°, is 18.0°"),
        "{printed}"
    );
    let table = fs::read_to_string(desk.path("plan.csv")).expect("written");
    let row = table
        .lines()
        .find(|row| row.contains("hallux_valgus_angle"))
        .expect("a row");
    assert!(row.ends_with(",chosen"), "{row}");
    let planned = desk.json(&asked);
    let row = measurement(&planned["plans"][0], "hallux_valgus_angle");
    assert_eq!(row["is_chosen"], true, "{row}");
    assert_eq!(row["planned_interval"], Value::Null, "{row}");
}

#[test]
fn no_millimetre_stands_on_an_uncalibrated_foot() {
    let desk = Desk::new();
    desk.save(MAPLE, &desk.uncalibrated(&View::ALL));
    let arguments = [MAPLE, "--usual", "--suggest-screws", "--sheet", "maple.pdf"];
    let text = desk.printed(&arguments);
    let (sheet, pages) = desk.pdf("maple.pdf");
    assert_eq!(pages, 1, "one page");
    for (what, said) in [("the text", &text), ("the sheet", &sheet)] {
        let said = without_sources(said);
        for millimetre in [" mm", "\u{2009}mm", "millimetre"] {
            assert!(!said.contains(millimetre), "{millimetre} in {what}: {said}");
        }
        assert!(
            said.contains("withheld"),
            "lengths are withheld in {what}: {said}"
        );
        assert!(said.contains("not calibrated"), "{what} says why: {said}");
    }
    assert!(sheet.contains("not to scale"), "no scale: {sheet}");
    let told = desk.refused(&[MAPLE, "--usual", "--shift", "10mm"]);
    assert!(told.contains("not calibrated"), "{told}");
}

#[test]
fn the_sheet_is_one_page_with_the_side_the_scale_and_the_places() {
    let desk = Desk::new();
    desk.printed(&[
        OAK,
        "--usual",
        "--suggest-screws",
        "--sheet",
        "oak.pdf",
        "--png",
        "oak.png",
    ]);
    let (text, pages) = desk.pdf("oak.pdf");
    assert_eq!(pages, 1, "one page: {text}");
    for word in [
        "RIGHT",
        "confirmed",
        "Plan of an osteotomy",
        "1 : 1.",
        "calibrated by geometry",
        "joint line of the great toe",
        "distal of the tarsometatarsal joint",
        "leaves the lateral cortex",
        "on the midline",
        "Screw A",
        "Screw B",
        "Hallux valgus angle",
        "Taken for granted",
        "not a medical device",
        "name, signature, date",
        "Date of birth",
        OAK,
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let picture = image::open(desk.path("oak.png")).expect("PNG").into_luma8();
    assert_eq!(
        (picture.width(), picture.height()),
        (1654, 2339),
        "A4 at 200 an inch"
    );
}

#[test]
fn a_side_that_nobody_confirmed_is_said_and_one_that_nobody_knows_is_refused() {
    let desk = Desk::new();
    let mut study = load(&desk.path(OAK)).expect("a study");
    study.side = Some(SideChoice::proposed(Side::Right, SideSource::Bones));
    desk.save("proposed.study.ron", &study);
    let text = desk.printed(&["proposed.study.ron", "--usual", "--sheet", "proposed.pdf"]);
    assert!(text.contains("not confirmed: confirm before use"), "{text}");
    let (sheet, _) = desk.pdf("proposed.pdf");
    assert!(
        sheet.contains("side not confirmed: confirm before use"),
        "{sheet}"
    );
    study.side = None;
    desk.save("unknown.study.ron", &study);
    let told = desk.refused(&["unknown.study.ron", "--usual", "--sheet", "unknown.pdf"]);
    assert!(told.contains("which foot it is"), "what to do: {told}");
    assert!(!desk.path("unknown.pdf").exists(), "no sheet");
}

#[test]
fn a_foot_without_a_lateral_film_has_a_plan_and_says_what_it_cannot_tell() {
    let desk = Desk::new();
    desk.save(MAPLE, &desk.uncalibrated(&[View::Ap]));
    let text = desk.printed(&[MAPLE, "--usual", "--suggest-screws", "--sheet", "one.pdf"]);
    assert!(text.contains("cannot tell"), "{text}");
    let (sheet, pages) = desk.pdf("one.pdf");
    assert_eq!(pages, 1, "one page");
    assert!(sheet.contains("heights are not told"), "{sheet}");
}

/// The names of all fields of a JSON value.
fn fields(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(entries) => {
            found.extend(entries.keys().cloned());
            entries.values().for_each(|inner| fields(inner, found));
        }
        Value::Array(entries) => entries.iter().for_each(|inner| fields(inner, found)),
        _ => {}
    }
}

#[test]
fn the_documentation_names_every_option_every_field_and_every_column() {
    let page = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/command-line.md");
    let page = fs::read_to_string(page).expect("the page");
    let section: String = page
        .lines()
        .skip_while(|line| *line != "## Plan")
        .skip(1)
        .take_while(|line| !line.starts_with("## "))
        .map(|line| format!("{line}\n"))
        .collect();
    let command = CommandLine::command();
    let plan = command.find_subcommand("plan").expect("the subcommand");
    for option in plan
        .get_arguments()
        .filter_map(|argument| argument.get_long())
    {
        let is_named = [format!("`--{option}`"), format!("`--{option} ")]
            .iter()
            .any(|name| section.contains(name));
        assert!(is_named, "--{option}");
    }
    let desk = Desk::new();
    let mut names = BTreeSet::new();
    let arguments = [OAK, "--usual", "--suggest-screws", "--csv", "plan.csv"];
    fields(&desk.json(&arguments), &mut names);
    let table = fs::read_to_string(desk.path("plan.csv")).expect("written");
    let columns = table.lines().next().expect("heads").split(',');
    names.extend(columns.map(str::to_owned));
    for name in names {
        assert!(section.contains(&format!("`{name}`")), "{name}");
    }
}

#[test]
fn what_cannot_be_planned_is_refused_in_one_line() {
    let desk = Desk::new();
    desk.write("nonsense.ron", "(name: \"a\", cut: (level: feet(3.0)))");
    desk.write("far.ron", "(head: (shift: millimetres(90.0)))");
    desk.write("two.ron", "[(), ()]");
    for (arguments, word) in [
        (vec![OPERATED, "--usual"], "after an operation"),
        (vec![OAK], "--usual"),
        (vec![OAK, "--plan", "nonsense.ron"], "nonsense.ron"),
        (vec![OAK, "--plan", "far.ron"], "can be from -5 to 25"),
        (vec![OAK, "--plan", "absent.ron"], "absent.ron"),
        (vec![OAK, "--plan", "two.ron", "--only", "3"], "from 1 to 2"),
        (
            vec![OAK, "--plan", "two.ron", "--sheet", "two.pdf"],
            "--only",
        ),
        (
            vec![OAK, "--usual", "--solve", "ima=40"],
            "no shift is needed",
        ),
        (
            vec![OAK, "--usual", "--sheet", "oak-before-ap.dcm"],
            "the film itself",
        ),
        (vec!["absent.study.ron", "--usual"], "absent.study.ron"),
    ] {
        let said = desk.refused(&arguments);
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
    for nonsense in [["--shift", "90"], ["--solve", "least"]] {
        let output = script::run(
            desk.folder.path(),
            &[&["plan", OAK, "--usual"][..], &nonsense].concat(),
        );
        assert_eq!(output.status.code(), Some(2), "{nonsense:?} is no argument");
    }
}
