//! `plumbray sheet`: the sheets that it makes, read back from their PDF by poppler's tools.

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
};

use clap::CommandFactory as _;
use plumbray::{
    command_line::CommandLine,
    workbench::{choices_of, foot_of},
};
use plumbray_anatomy::{Side, View};
use plumbray_measure::{Measurement, Outcome, measure};
use plumbray_study::{FilmRecord, SideChoice, SideSource, Study, load, study_to_text};
use tempfile::TempDir;

mod samples;

use samples::{sample_images, truth_of};

/// Points of white space that every page keeps at its edges.
const MARGIN: f64 = 28.0;

/// The sample foot as somebody traced it: left, both films calibrated.
const TRACED: &str = "sample-foot-ap.dcm.study.ron";

/// A folder with films and studies of two feet.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for name in [
            TRACED,
            "sample-foot-ap.dcm",
            "sample-foot-lateral.dcm",
            "maple-ap.png",
            "maple-lateral.png",
        ] {
            fs::copy(sample_images().join(name), folder.path().join(name)).expect("a sample");
        }
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn traced(&self) -> Study {
        load(&self.path(TRACED)).expect("the sample study")
    }

    /// A right foot on films without calibration, traced as it truly is, two pixels sure.
    fn right_foot(&self) -> Study {
        let mut study = Study::default();
        for (view, name) in [(View::Ap, "maple-ap"), (View::Lateral, "maple-lateral")] {
            let truth = truth_of(name);
            assert_eq!(truth.feet[0].side, Side::Right, "{name} is of a right foot");
            let film = self.path(&format!("{name}.png"));
            let (width, height) = image::image_dimensions(&film).expect("a picture");
            let record = FilmRecord::of_file(&film, self.folder.path(), width, height);
            *study.film_mut(view) = Some(record.expect("a film"));
            let mut tracing = truth.feet[0].tracing.clone();
            for point in tracing.points.values_mut() {
                point.sd_px = 2.0;
            }
            for cortices in tracing.cortices.values_mut() {
                cortices.sd_px = 2.0;
            }
            *study.tracing.on_mut(view) = tracing;
        }
        study.side = Some(SideChoice::entered(Side::Right));
        study
    }

    fn save(&self, name: &str, study: &Study) {
        let text = study_to_text(study).expect("a study that can be written");
        fs::write(self.path(name), text).expect("writable");
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_plumbray"))
            .arg("sheet")
            .args(arguments)
            .current_dir(self.folder.path())
            .env("HOME", self.folder.path())
            .output()
            .expect("the program starts")
    }

    fn made(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let problems = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{arguments:?}: {problems}");
        String::from_utf8(output.stdout).expect("text")
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(!output.status.success(), "{arguments:?} is refused");
        String::from_utf8(output.stderr).expect("text")
    }

    fn pdf(&self, name: &str) -> Printed {
        Printed::read(&self.path(name))
    }
}

/// A word on a page.
#[derive(Debug)]
struct Word {
    text: String,
    /// Left, top, right, bottom in points.
    place: [f64; 4],
}

/// A PDF as poppler reads it.
struct Printed {
    pages: Vec<Vec<Word>>,
    size: (f64, f64),
}

impl Printed {
    fn read(pdf: &Path) -> Self {
        let output = Command::new("pdftotext")
            .args(["-bbox".as_ref(), pdf.as_os_str(), "-".as_ref()])
            .output()
            .expect("poppler-utils is installed");
        assert!(output.status.success(), "{} is a PDF", pdf.display());
        let text = String::from_utf8(output.stdout).expect("text");
        let mut pages: Vec<Vec<Word>> = Vec::new();
        let mut size = (0.0, 0.0);
        for line in text.lines().map(str::trim) {
            if line.starts_with("<page ") {
                size = (attribute(line, "width"), attribute(line, "height"));
                pages.push(Vec::new());
            } else if line.starts_with("<word ") {
                let page = pages.last_mut().expect("words stand on pages");
                page.push(Word {
                    text: content(line),
                    place: ["xMin", "yMin", "xMax", "yMax"].map(|name| attribute(line, name)),
                });
            }
        }
        Self { pages, size }
    }

    fn text(&self) -> String {
        let words = self.pages.iter().flatten();
        let words: Vec<&str> = words.map(|word| word.text.as_str()).collect();
        words.join(" ")
    }

    fn words(&self) -> BTreeSet<&str> {
        let words = self.pages.iter().flatten();
        words.map(|word| word.text.as_str()).collect()
    }

    /// Every word of a text stands on every page.
    fn expect_words_on_every_page(&self, text: &str) {
        for page in &self.pages {
            let words: BTreeSet<&str> = page.iter().map(|word| word.text.as_str()).collect();
            for word in text.split_whitespace() {
                assert!(words.contains(word), "“{word}” on a page of {words:?}");
            }
        }
    }

    /// Nothing leaves the margins, and no two words lie on one another.
    fn expect_order(&self) {
        let (width, height) = self.size;
        for page in &self.pages {
            for word in page {
                let [left, top, right, bottom] = word.place;
                assert!(
                    left >= MARGIN
                        && top >= MARGIN
                        && right <= width - MARGIN
                        && bottom <= height - MARGIN,
                    "{word:?} on {width} × {height}"
                );
            }
            for (index, word) in page.iter().enumerate() {
                for other in &page[index + 1..] {
                    assert!(!overlap(word, other), "{word:?} lies on {other:?}");
                }
            }
        }
    }
}

fn attribute(line: &str, name: &str) -> f64 {
    let start = line.find(&format!("{name}=\"")).expect("the attribute") + name.len() + 2;
    let end = start + line[start..].find('"').expect("its end");
    line[start..end].parse().expect("a number")
}

fn content(line: &str) -> String {
    let start = line.find('>').expect("a tag") + 1;
    let end = line.rfind("</word>").expect("its end");
    line[start..end]
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&apos;", "'")
        .replace("&amp;", "&")
}

/// Whether two words share more than the white space above and below their letters, which poppler counts
/// to a word.
fn overlap(one: &Word, other: &Word) -> bool {
    let letters = |word: &Word| {
        let [left, top, right, bottom] = word.place;
        let white = 0.2 * (bottom - top);
        [left + 0.05, top + white, right - 0.05, bottom - white]
    };
    let ([a_left, a_top, a_right, a_bottom], [b_left, b_top, b_right, b_bottom]) =
        (letters(one), letters(other));
    a_left < b_right && b_left < a_right && a_top < b_bottom && b_top < a_bottom
}

/// A value as the sheet prints it, from the engine.
fn printed_value(study: &Study, measurement: Measurement, decimals: usize, unit: &str) -> String {
    let outcome = measure(&foot_of(study), &choices_of(study), measurement);
    let value = outcome.reading().expect("a number").value;
    format!("{value:.decimals$}{unit}").replace('-', "\u{2212}")
}

/// The share of dark and of white pixels of a rendered page.
fn dark_and_white(desk: &Desk, pdf: &str) -> (f64, f64) {
    let status = Command::new("pdftoppm")
        .args(["-r", "60", "-gray", "-png", "-singlefile", pdf, "page"])
        .current_dir(desk.folder.path())
        .status()
        .expect("poppler-utils is installed");
    assert!(status.success(), "{pdf} can be drawn");
    let page = image::open(desk.path("page.png"))
        .expect("a picture")
        .to_luma8();
    let all = f64::from(page.width()) * f64::from(page.height());
    let share = |from: u8, to: u8| {
        let count = page
            .pixels()
            .filter(|grey| (from..=to).contains(&grey.0[0]));
        count.count() as f64 / all
    };
    (share(0, 60), share(250, 255))
}

#[test]
fn a_side_that_a_films_file_contradicts_is_told_below_it_and_first_among_the_notes() {
    let desk = Desk::new();
    desk.traced();
    let study = desk.path(TRACED);
    let text = fs::read_to_string(&study).expect("a study");
    fs::write(&study, text.replace("foot: left", "foot: right")).expect("writable");
    desk.made(&[TRACED]);
    let text = desk.pdf("sample-foot-ap.dcm.sheet.pdf").text();
    assert!(text.contains("RIGHT"), "as the study says: {text}");
    for told in [
        "a film’s file says the other",
        "Look again: the AP film’s file says left foot (Image Laterality), the study says right",
    ] {
        assert!(text.contains(told), "{told} in {text}");
    }
}

#[test]
fn a_calibrated_left_foot_has_all_of_its_sheet_on_one_page_of_either_paper() {
    let desk = Desk::new();
    let study = desk.traced();
    for (paper, width, height) in [("a4", 595.28, 841.89), ("letter", 612.0, 792.0)] {
        let said = desk.made(&[TRACED, "--paper", paper, "--out", paper]);
        let name = format!("{paper}/sample-foot-ap.dcm.sheet.pdf");
        assert_eq!(said.trim(), name, "what was made is said");
        let printed = desk.pdf(&name);
        assert!(
            (printed.size.0 - width).abs() < 0.1 && (printed.size.1 - height).abs() < 0.1,
            "{paper}: {:?}",
            printed.size
        );
        assert_eq!(printed.pages.len(), 1, "one page of {paper}");
        printed.expect_order();
        printed.expect_words_on_every_page(plumbray::window::CAUTION);
        printed.expect_words_on_every_page("Foot radiograph worksheet LEFT name, signature, date");
        let text = printed.text();
        for expected in [
            "AP film, standing, 5 January 2026",
            "Lateral film, standing, 5 January 2026",
            "How big is the deformity?",
            "Is the arch involved?",
            "calibrated by geometry",
            "at the detector",
            "Coughlin & Mann",
            "Moderate,",
            "16fdef8a…cb3b",
            "study file",
        ] {
            assert!(text.contains(expected), "{expected} in {text}");
        }
        let words = printed.words();
        for (measurement, decimals, unit) in [
            (Measurement::HalluxValgusAngle, 1, "°"),
            (Measurement::IntermetatarsalAngle12, 1, "°"),
            (Measurement::CalcanealInclinationAngle, 1, "°"),
            (Measurement::LengthRatioM1M2, 2, ""),
        ] {
            let value = printed_value(&study, measurement, decimals, unit);
            assert!(words.contains(value.as_str()), "{measurement:?}: {value}");
        }
        assert!(!text.contains("not confirmed"), "the side is confirmed");
        assert!(!text.contains("Sample,"), "nobody is named");
        let (dark, white) = dark_and_white(&desk, &name);
        assert!(
            (0.03..0.5).contains(&dark) && (0.4..0.95).contains(&white),
            "films and paper: {dark} dark, {white} white"
        );
    }
}

#[test]
fn a_right_foot_without_calibration_has_no_millimetre() {
    let desk = Desk::new();
    let study = desk.right_foot();
    desk.save("maple.study.ron", &study);
    desk.made(&["maple.study.ron"]);
    let printed = desk.pdf("maple.sheet.pdf");
    printed.expect_order();
    printed.expect_words_on_every_page("RIGHT");
    let text = printed.text();
    assert!(text.contains("Not calibrated:"), "said: {text}");
    assert!(
        text.contains("a calibration of the AP film"),
        "missing: {text}"
    );
    assert!(
        !printed.words().iter().any(|word| word.ends_with("mm")),
        "no millimetre: {text}"
    );
    let angle = printed_value(&study, Measurement::HalluxValgusAngle, 1, "°");
    assert!(printed.words().contains(angle.as_str()), "{angle}: {text}");
    assert!(
        text.contains("date of the tracing unknown"),
        "dates: {text}"
    );
}

#[test]
fn a_very_long_label_and_a_side_that_nobody_confirmed_keep_the_page_in_order() {
    let desk = Desk::new();
    let mut study = desk.traced();
    study.visit.label = "Seen again after the second operation, ".repeat(9)
        + &"anduncommonlylongword".repeat(9)
        + " lastword";
    study.side = Some(SideChoice::proposed(Side::Left, SideSource::Bones));
    desk.save("long.study.ron", &study);
    for paper in ["a4", "letter"] {
        desk.made(&["long.study.ron", "--paper", paper]);
        let printed = desk.pdf("long.sheet.pdf");
        printed.expect_order();
        printed.expect_words_on_every_page("LEFT side not confirmed");
        assert!(printed.words().contains("lastword"), "all of the label");
    }
}

#[test]
fn a_film_that_is_missing_is_told_and_the_sheet_is_made_without_it() {
    let desk = Desk::new();
    fs::remove_file(desk.path("sample-foot-lateral.dcm")).expect("removed");
    let said = desk.made(&[TRACED, "--picture"]);
    assert!(said.contains("sample-foot-lateral.dcm"), "told: {said}");
    let printed = desk.pdf("sample-foot-ap.dcm.sheet.pdf");
    printed.expect_order();
    let text = printed.text();
    assert!(
        text.contains("The lateral film is not shown"),
        "said: {text}"
    );
    assert!(
        desk.path("sample-foot-ap.dcm.sheet.ap.png").exists(),
        "the AP picture"
    );
    assert!(
        !desk.path("sample-foot-ap.dcm.sheet.lateral.png").exists(),
        "no picture of a film that is not there"
    );
}

#[test]
fn a_film_that_was_changed_since_it_was_traced_is_shown_with_these_words() {
    let desk = Desk::new();
    fs::copy(
        desk.path("maple-lateral.png"),
        desk.path("sample-foot-lateral.dcm"),
    )
    .expect("copied");
    let said = desk.made(&[TRACED]);
    assert!(
        said.contains("was changed since it was traced"),
        "told: {said}"
    );
    let printed = desk.pdf("sample-foot-ap.dcm.sheet.pdf");
    printed.expect_order();
    for word in ["changed", "since", "traced"] {
        assert!(printed.words().contains(word), "{word}: {}", printed.text());
    }
}

#[test]
fn the_patient_is_named_only_when_asked_for() {
    let desk = Desk::new();
    desk.made(&[TRACED, "--identity"]);
    let printed = desk.pdf("sample-foot-ap.dcm.sheet.pdf");
    printed.expect_order();
    let text = printed.text();
    assert!(text.contains("Patient: Sample, Foot"), "named: {text}");
}

#[test]
fn only_the_chosen_measurements_stand_on_the_sheet_in_the_table_and_in_the_json() {
    let desk = Desk::new();
    let chosen = "m1_length,hallux_valgus_angle";
    let said = desk.made(&[TRACED, "--csv", "--json", "--measurements", chosen]);
    assert_eq!(said.lines().count(), 3, "three files: {said}");
    let text = desk.pdf("sample-foot-ap.dcm.sheet.pdf").text();
    assert!(text.contains("Hallux valgus angle"), "chosen: {text}");
    assert!(
        !text.contains("Calcaneal inclination"),
        "not chosen: {text}"
    );

    let csv = fs::read(desk.path("sample-foot-ap.dcm.sheet.csv")).expect("a table");
    let mut table = csv::Reader::from_reader(csv.as_slice());
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    let identifiers: Vec<&str> = rows.iter().map(|row| &row[0]).collect();
    assert_eq!(
        identifiers,
        ["hallux_valgus_angle", "m1_length"],
        "the worksheet’s order"
    );
    let study = desk.traced();
    let of_engine = measure(
        &foot_of(&study),
        &choices_of(&study),
        Measurement::HalluxValgusAngle,
    );
    let value = of_engine.reading().expect("a number").value;
    assert_eq!(rows[0][3].parse::<f64>().ok(), Some(value), "not rounded");

    let json = fs::read(desk.path("sample-foot-ap.dcm.sheet.json")).expect("JSON");
    let json: serde_json::Value = serde_json::from_slice(&json).expect("JSON");
    let measurements = json[0]["measurements"].as_array().expect("a list");
    assert_eq!(measurements.len(), 2, "those that were chosen");
}

#[test]
fn the_picture_has_the_film_with_lines_and_a_white_strip_below_it() {
    let desk = Desk::new();
    desk.made(&[TRACED, "--picture"]);
    let film = plumbray_film::open(&desk.path("sample-foot-ap.dcm")).expect("a film");
    let picture = image::open(desk.path("sample-foot-ap.dcm.sheet.ap.png")).expect("a picture");
    assert_eq!(picture.color(), image::ColorType::L8, "8 bits of grey");
    let picture = picture.to_luma8();
    assert_eq!(
        picture.width() as usize,
        film.width(),
        "the film’s own size"
    );
    assert!(
        picture.height() as usize > film.height() + 20,
        "and a strip"
    );
    let grey = film.grey();
    let table = grey.named_table(grey.default_window(), false);
    let of_film = film.samples().iter().map(|code| table.grey(*code));
    let different = picture
        .pixels()
        .zip(of_film)
        .filter(|(drawn, film)| drawn.0[0] != *film);
    let share = different.count() as f64 / film.samples().len() as f64;
    assert!(
        (0.001..0.1).contains(&share),
        "lines and nothing else: {share} of the pixels differ"
    );
    let strip = picture.rows().skip(film.height()).flatten();
    let (black, white) = strip.fold((0, 0), |(black, white), grey| {
        (
            black + u32::from(grey.0[0] < 80),
            white + u32::from(grey.0[0] > 250),
        )
    });
    assert!(
        black > 200 && white > 5 * black,
        "words: {black} black, {white} white"
    );
}

#[test]
fn what_cannot_be_done_is_refused_and_nothing_is_written() {
    let desk = Desk::new();
    let unknown = desk.refused(&[TRACED, "--measurements", "foot_length"]);
    assert!(
        unknown.contains("hallux_valgus_angle"),
        "those that exist: {unknown}"
    );
    desk.refused(&[TRACED, "no-such.study.ron"]);
    desk.refused(&[TRACED, TRACED]);
    assert!(
        !desk.path("sample-foot-ap.dcm.sheet.pdf").exists(),
        "nothing is half done"
    );
}

#[test]
fn every_measurement_of_the_traced_sample_stands_on_its_sheet() {
    let desk = Desk::new();
    desk.made(&[TRACED, "--measurements", "all"]);
    let words = desk.pdf("sample-foot-ap.dcm.sheet.pdf");
    let words = words.words();
    let study = desk.traced();
    for measurement in Measurement::ALL {
        let outcome = measure(&foot_of(&study), &choices_of(&study), measurement);
        if matches!(outcome, Outcome::Value(_)) {
            for word in measurement.name().split_whitespace() {
                assert!(words.contains(word), "“{word}” of {}", measurement.name());
            }
        }
    }
}

/// The first word in back-ticks of each row of the tables below a heading.
fn documented(page: &str, heading: &str) -> BTreeSet<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../docs")
        .join(page);
    fs::read_to_string(path)
        .expect("the page")
        .lines()
        .skip_while(|line| *line != heading)
        .skip(1)
        .take_while(|line| !line.starts_with("## "))
        .filter_map(|line| line.strip_prefix("| `")?.split(['`', ' ']).next())
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_documentation_names_every_option_and_every_column_and_no_other() {
    let command = CommandLine::command();
    let sheet = command.find_subcommand("sheet").expect("the subcommand");
    let options = sheet
        .get_arguments()
        .filter_map(|argument| argument.get_long());
    let options: BTreeSet<String> = options.map(|name| format!("--{name}")).collect();
    assert_eq!(
        documented("command-line.md", "## Sheet"),
        options,
        "options"
    );

    let desk = Desk::new();
    desk.made(&[TRACED, "--csv"]);
    let csv = fs::read_to_string(desk.path("sample-foot-ap.dcm.sheet.csv")).expect("a table");
    let columns = csv.lines().next().expect("a header").split(',');
    assert_eq!(
        documented("sheet.md", "## The table"),
        columns.map(str::to_owned).collect(),
        "columns"
    );
}
