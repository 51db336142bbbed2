//! How far the readers of a folder agree, and what each can keep as an own spread.

use std::{fs, path::PathBuf};

use plumbray::{
    own_spread::KeptSpreads,
    workbench::{AskReaders, Command, SeriesCommand, SeriesPage},
};
use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement};

use crate::{
    harness::{Desk, Window},
    readers::{FILMS, Traced, save, tracing, value},
};

const VALGUS: Measurement = Measurement::HalluxValgusAngle;

/// Ann traces each film three times and Ben once; one more tracing names no reader, and one study cannot be read.
fn clinic(desk: &Desk) -> PathBuf {
    let folder = desk.film("readers");
    for film in 0..FILMS.len() {
        for (reader, tracings) in [("Ann", &[11, 12, 13][..]), ("Ben", &[21])] {
            let traced = Traced {
                reader,
                film,
                tracings,
                day: 3,
            };
            save(&folder.join(reader), &format!("film-{film}"), &traced);
        }
    }
    let nobody = Traced {
        reader: " ",
        film: 1,
        tracings: &[41],
        day: 4,
    };
    save(&folder.join("nobody"), "film-1", &nobody);
    fs::write(folder.join("damaged.study.ron"), "(not a study").expect("written");
    folder
}

fn series(command: SeriesCommand) -> Command {
    Command::Series(command)
}

fn ask(window: &mut Window, what: AskReaders) {
    window.apply(series(SeriesCommand::AskReaders(what)));
}

/// A window on the readers' page of the folder, every tracing by the axes from head to base.
fn readers_page(desk: &Desk) -> Window {
    let folder = clinic(desk);
    let mut window = Window::new(desk);
    window.apply(series(SeriesCommand::Open(folder)));
    window.press_button("Agreement of readers");
    ask(&mut window, AskReaders::By(Some(AxisConvention::HeadBase)));
    window
}

#[test]
fn the_readers_of_a_folder_are_named_and_judged_in_plain_words() {
    let desk = Desk::new();
    let mut window = readers_page(&desk);
    let page = window.workbench().series().expect("a series").page();
    assert_eq!(page, SeriesPage::Readers, "the page");
    for words in [
        "13 studies by 3 readers",
        "18 tracings of 6 films; 6 more than once",
        "6 tracings of 6 films; 0 more than once",
        "These tracings name no reader",
        "Left out: ",
        "ICC(2,1)",
        "after Koo and Li",
        "standard error of measurement",
        "smallest detectable change",
        "6 films, which are few: 30 films and 3 readers are advised",
        "One reading by anybody errs by ",
        "Where Ann reads both films, once each, a change below ",
        "Ann’s own repeatability",
        "Where Ben reads both, nobody can say which change is none: repeats are needed",
        "Ann reads ",
        "limits of agreement",
        "Ann: within-reader SD",
        "Ben: nothing to tell, no film was read twice",
        "Hallux valgus angle, Ann less Ben, degrees: bias",
        "kappa, quadratic",
        "Head centre – base centre",
        "two films of one foot",
        "not a medical device",
    ] {
        assert!(window.shows(words), "{words}");
    }
    window.press_button("Visits");
    assert!(
        window.shows("14 studies of 6 films"),
        "the visits are still there"
    );
}

#[test]
fn other_measurements_and_readings_are_judged_when_they_are_asked_for() {
    let desk = Desk::new();
    let mut window = readers_page(&desk);
    assert!(
        !window.shows("Hallux interphalangeal angle"),
        "not asked for"
    );
    let interphalangeal = Measurement::HalluxInterphalangealAngle;
    ask(&mut window, AskReaders::Measurement(interphalangeal, true));
    assert!(window.shows("Hallux interphalangeal angle"), "judged");
    ask(&mut window, AskReaders::OneValue(OneValue::Mean));
    assert!(
        window.shows("The mean of 1 to 3 readings by anybody errs by "),
        "what counts is said"
    );
    assert!(
        !window.shows("One reading by anybody"),
        "no single reading is told of"
    );
    for measurement in [
        interphalangeal,
        Measurement::IntermetatarsalAngle12,
        Measurement::DistalMetatarsalArticularAngle,
        Measurement::TibialSesamoidGrade,
    ] {
        ask(&mut window, AskReaders::Measurement(measurement, false));
    }
    assert!(window.shows("Hallux valgus angle"), "left");
    assert!(!window.shows("Intermetatarsal angle"), "taken away");
    ask(&mut window, AskReaders::Measurement(VALGUS, false));
    assert!(window.shows("Choose a measurement above"), "none is left");
}

#[test]
fn a_reader_keeps_the_spread_and_the_worksheet_holds_it() {
    let desk = Desk::new();
    let mut window = readers_page(&desk);
    assert!(!window.shows("Keep as my spread, Ben"), "Ben read once");
    assert!(
        window.shows("read 10 films again; 10 second readings are needed"),
        "and it is said"
    );
    window.press_button("Keep as my spread, Ann");
    assert!(window.shows("Kept as Ann’s own spread"), "told");
    assert!(
        window.shows("It counts in every study that Ann traced"),
        "and where it counts"
    );
    let kept = KeptSpreads::read(&desk.own_spreads()).expect("kept");
    let spread = kept.of("Ann").expect("Ann").of(VALGUS).expect("the angle");
    assert_eq!((spread.films, spread.readings), (6, 18), "its ground");
    let squares: f64 = (0..FILMS.len())
        .map(|film| {
            let values = [11, 12, 13].map(|number| value(&tracing(film, number), VALGUS));
            let mean = values.iter().sum::<f64>() / 3.0;
            values.iter().map(|one| (one - mean).powi(2)).sum::<f64>()
        })
        .sum();
    let expected = (squares / 12.0).sqrt();
    assert!((spread.sd - expected).abs() < 1e-9, "{spread:?}");
    let study = desk.film("readers/Ann/film-0.study.ron");
    window.apply(Command::Open(vec![study]));
    window.apply(Command::SetConvention(Some(AxisConvention::HeadBase)));
    let reading = |window: &Window| {
        let workbench = window.workbench();
        let outcome = workbench.worksheet().outcome(VALGUS).expect("a row");
        outcome.reading().expect("a number").clone()
    };
    let found = reading(&window);
    assert_eq!(found.own_sd, Some(spread.sd), "her own");
    let half = (found.interval.1 - found.interval.0) / 2.0;
    assert!(half > 1.96 * spread.sd, "wider than by herself: {half}");
    window.apply(Command::Select(VALGUS));
    assert!(window.shows("Ann’s own spread: "), "in the detail");
    assert!(window.shows("It widened the interval from"), "and how");
    let bens = desk.film("readers/Ben/film-0.study.ron");
    window.apply(Command::Open(vec![bens]));
    window.apply(Command::SetConvention(Some(AxisConvention::HeadBase)));
    assert_eq!(reading(&window).own_sd, None, "of Ben nothing is kept");
    assert!(
        window.shows("kept for Ann; Ben traced this study"),
        "why a kept spread is not used"
    );
}

#[test]
fn the_sheet_and_the_table_are_written_where_they_are_asked_for() {
    let desk = Desk::new();
    let mut window = readers_page(&desk);
    for (button, name, word) in [
        ("Write PDF…", "out.pdf", "%PDF"),
        ("Write table…", "out.csv", "measurement,statistic"),
    ] {
        window.lay_out(desk.film(name));
        window.press_button(button);
        let path = desk.film(name);
        window.wait_until(name, |_workbench| path.exists());
        window.settle();
        let bytes = fs::read(desk.film(name)).expect("written");
        assert!(bytes.starts_with(word.as_bytes()), "{name}");
    }
    let study = desk.film("readers/Ann/film-0.study.ron");
    let before = fs::read(&study).expect("a study");
    window.apply(series(SeriesCommand::Write(
        plumbray::workbench::ComparisonFile::Table,
        study.clone(),
    )));
    assert_eq!(
        fs::read(&study).expect("a study"),
        before,
        "never over a study"
    );
    assert!(window.shows("choose another name"), "and it is said");
}

#[test]
fn a_damaged_file_of_spreads_is_told_and_stays() {
    let desk = Desk::new();
    fs::write(desk.own_spreads(), "(version: 1, ").expect("written");
    let mut window = readers_page(&desk);
    window.press_button("Keep as my spread, Ann");
    assert!(window.shows("no file of readers’ own spreads"), "told");
    let text = fs::read_to_string(desk.own_spreads()).expect("there");
    assert_eq!(text, "(version: 1, ", "it is as it was");
}

#[test]
fn a_folder_without_studies_says_so_on_the_readers_page_too() {
    let desk = Desk::new();
    let empty = desk.film("empty");
    fs::create_dir_all(&empty).expect("a folder");
    let mut window = Window::new(&desk);
    window.apply(series(SeriesCommand::Open(empty)));
    window.press_button("Agreement of readers");
    assert!(window.shows("there is no study"), "told");
}
