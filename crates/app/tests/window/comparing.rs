//! Three visits of one foot, opened, compared and looked at in every way.

use clap::Parser as _;
use egui::vec2;
use plumbray::command_line::CommandLine;
use plumbray::workbench::{Command, CompareCommand, CompareView, ComparisonFile, TimeLineEdit};
use plumbray_anatomy::{LongBone, View};
use plumbray_compare::{NoChange, Occasion, Pair};
use plumbray_measure::Measurement;
use plumbray_study::StudyFile;

use crate::{
    harness::{Desk, Window},
    planned::oak_is_planned,
    visits::oak_at_three_visits,
};

fn window(desk: &Desk) -> Window {
    let folder = desk.film("");
    let studies = oak_at_three_visits(&folder, &desk.folders());
    Window::with(desk, vec![studies[2].clone()])
}

#[test]
fn a_foot_is_compared_with_its_other_visits_by_one_click() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("three visits in the folder");
        assert_eq!(comparing.foot.visits.len(), 3, "visits");
        let pair = Pair {
            earlier: 1,
            later: 2,
        };
        assert_eq!(comparing.pair(), pair, "since surgery");
        assert!(comparing.laid.is_some(), "laid over each other");
    }
    for text in [
        "What changed?",
        "How far was the head moved, before to 6 months?",
        "Does the correction hold?",
    ] {
        assert!(window.shows(text), "{text}");
    }
    assert!(
        window.shows("Hallux valgus angle over the visits"),
        "the plot by its name"
    );
    window.press_button("Measure");
    assert!(
        window.workbench().comparing().is_none(),
        "back to measuring"
    );
}

#[test]
fn a_click_on_the_time_line_chooses_the_visits_and_each_way_shows_them() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    window.press_button("Visit 1: before surgery");
    let pair = window.workbench().comparing().expect("comparing").pair();
    assert_eq!(
        (pair.earlier, pair.later),
        (0, 2),
        "before and half a year after surgery"
    );
    for shown in CompareView::ALL {
        window.press_button(shown.name());
        let is_shown = window
            .workbench()
            .comparing()
            .expect("comparing")
            .looking
            .shown;
        assert_eq!(is_shown, shown, "{}", shown.name());
        let film = if shown == CompareView::SideBySide {
            "Later AP film"
        } else {
            "Both AP films"
        };
        assert!(window.shows(film), "{} draws {film}", shown.name());
    }
}

#[test]
fn a_visit_is_named_and_dated_and_the_list_is_kept_only_then() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.apply(Command::Compare(CompareCommand::Begin));
    let kept = desk.film("oak-half-a-year-ap.dcm.visits.ron");
    assert!(!kept.exists(), "nobody asked for a file");
    window.press_button("Visits…");
    assert!(window.shows("The visits of this foot"), "the list");
    window.apply(edit(TimeLineEdit::Name(2, "half a year".to_owned())));
    window.apply(edit(TimeLineEdit::When(1, Some(Occasion::InTheatre))));
    {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let visits = &comparing.comparison.visits;
        assert_eq!(visits[2].name.long, "half a year", "named");
        assert_eq!(visits[1].occasion, Occasion::InTheatre, "dated");
        assert!(!visits[1].is_result, "bears no result");
        // The first standing film after surgery is the last one now: nothing can be lost since.
        assert!(comparing.comparison.lost.is_empty(), "no loss");
        let valgus = comparing
            .comparison
            .row(Measurement::HalluxValgusAngle)
            .expect("measured");
        let why = valgus.change.as_ref().expect_err("not subtracted");
        assert_eq!(*why, NoChange::OtherStance, "no weight borne");
    }
    assert!(kept.is_file(), "kept");
    let mut other = Window::new(&Desk::new());
    other.apply(Command::Compare(CompareCommand::Open(vec![kept])));
    let count = other
        .workbench()
        .comparing()
        .map(|now| now.foot.visits.len());
    assert_eq!(count, Some(3), "opened from the file");
}

#[test]
fn the_lateral_films_are_laid_over_each_other_too() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    window.apply(Command::Compare(CompareCommand::Films(View::Lateral)));
    {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let laid = comparing.registration.as_ref();
        assert!(laid.is_ok(), "{laid:?}");
        assert!(comparing.laid.is_some(), "in the earlier one's frame");
    }
    assert!(window.shows("Later Lateral film"), "drawn");
    assert!(
        window.shows("by the bones of the hindfoot"),
        "by which bones"
    );
}

fn edit(edit: TimeLineEdit) -> Command {
    Command::Compare(CompareCommand::Edit(edit))
}

#[test]
fn the_order_of_the_list_is_a_persons_own_and_comes_back() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    window.press_button("Visits…");
    window.press_button("Move visit 2 down");
    let order = |window: &Window| -> Vec<String> {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let visits = &comparing.comparison.visits;
        visits
            .iter()
            .map(|visit| visit.name.short.clone())
            .collect()
    };
    let expected = ["before", "6 months", "12 days"];
    assert_eq!(order(&window), expected, "moved");
    window.press_button("Close");
    window.press_button("Measure");
    window.press_button("Compare");
    assert_eq!(order(&window), expected, "from the file");
    window.apply(edit(TimeLineEdit::TakeOut(2)));
    assert_eq!(order(&window), ["before", "6 months"], "taken out");
    let last = edit(TimeLineEdit::TakeOut(0));
    assert!(
        !last.is_possible(&window.workbench()),
        "two visits are the fewest"
    );
}

#[test]
fn one_visit_by_itself_says_what_to_do() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::Compare(CompareCommand::Begin));
    assert!(
        window.workbench().comparing().is_none(),
        "nothing to compare"
    );
    let said = window
        .workbench()
        .notices()
        .last()
        .map(|notice| notice.text.clone());
    assert!(said.is_some_and(|said| said.contains("visit")), "says so");
}

#[test]
fn a_comparison_is_printed_beside_its_studies() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    let sheet = desk.film("oak.compared.pdf");
    window.lay_out(sheet.clone());
    window.press_button("Print this comparison…");
    window.wait_until("a sheet", |_| sheet.is_file());
    let bytes = std::fs::read(&sheet).expect("a file");
    assert!(bytes.starts_with(b"%PDF"), "a PDF");
    let table = desk.film("oak.compared.csv");
    window.lay_out(table.clone());
    window.press_button("Write CSV…");
    window.wait_until("a table", |_| table.is_file());
    let text = std::fs::read_to_string(&table).expect("a file");
    assert!(
        text.contains("change,hallux_valgus_angle,degrees,head_base"),
        "{text}"
    );
    assert!(
        !text.contains("\nplan,"),
        "nothing was planned for this foot: {text}"
    );
    let plot = desk.film("oak.compared.png");
    window.lay_out(plot.clone());
    window.apply(Command::Compare(CompareCommand::AskWhere(
        ComparisonFile::Plot,
    )));
    window.wait_until("a picture", |_| plot.is_file());
    let picture = std::fs::read(&plot).expect("a file");
    assert!(picture.starts_with(b"\x89PNG"), "a PNG");
}

#[test]
fn the_later_film_covers_the_earlier_one_as_strongly_as_is_wanted() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    window.press_button(CompareView::Blend.name());
    assert!(
        window.shows("How strongly the later film shows"),
        "a slider"
    );
    window.apply(Command::Compare(CompareCommand::Cover(0.8)));
    let looking = |window: &Window| {
        let workbench = window.workbench();
        workbench.comparing().map(|now| now.looking.clone())
    };
    assert!(looking(&window).is_some_and(|looking| (looking.cover - 0.8).abs() < 1e-6));
    window.press_button("Visit 1: before surgery");
    let kept = looking(&window).expect("comparing");
    assert_eq!(kept.shown, CompareView::Blend, "the way to look stays");
}

#[test]
fn a_plan_stands_beside_its_result_and_is_drawn_over_the_later_film() {
    let desk = Desk::new();
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    oak_is_planned(&studies[0], &desk.folders());
    // Tall enough for the whole column of numbers.
    let mut window = Window::of_size(&desk, vec2(1440.0, 2000.0));
    window.apply(Command::Open(vec![studies[2].clone()]));
    window.press_button("Compare");
    window.press_button("Visit 1: before surgery");
    assert!(window.shows("Plan against result"), "a section of its own");
    assert!(window.shows("Planned before surgery, held against 6 months after surgery."));
    assert!(window.shows("beyond measurement error"), "of the toe");
    assert!(
        window.shows("Shift of the head: millimetres calibrated by geometry."),
        "whose millimetres"
    );
    let drawn = |window: &Window| {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let held = comparing.held_plan().map(|held| held.name.clone());
        held.filter(|_| comparing.drawn_plan().is_some())
    };
    assert_eq!(drawn(&window).as_deref(), Some("as done"), "the first one");
    window.press_button("Plan 2");
    assert_eq!(drawn(&window).as_deref(), Some("Plan 2"), "the chosen one");
    for view in View::ALL {
        window.apply(Command::Compare(CompareCommand::Films(view)));
        window.press_button(CompareView::Outlines.name());
        assert!(
            window.shows("in the colour of plans"),
            "{} says what they are",
            view.name()
        );
        assert_eq!(
            drawn(&window).as_deref(),
            Some("Plan 2"),
            "{} keeps it",
            view.name()
        );
    }
}

#[test]
fn the_table_holds_the_chosen_plan_against_the_result_as_the_command_line_does() {
    let desk = Desk::new();
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    oak_is_planned(&studies[0], &desk.folders());
    let mut window = Window::with(&desk, vec![studies[2].clone()]);
    window.press_button("Compare");
    window.apply(Command::Compare(CompareCommand::HoldPlan(1)));
    let table = desk.film("oak.compared.csv");
    window.lay_out(table.clone());
    window.press_button("Write CSV…");
    window.wait_until("a table", |_| table.is_file());
    let written = std::fs::read_to_string(&table).expect("a file");
    let mut arguments = vec!["plumbray".into(), "compare".into()];
    arguments.extend(studies.iter().map(|study| study.as_os_str().to_owned()));
    arguments.extend(["--csv", "--plan", "2"].map(Into::into));
    let mut printed = Vec::new();
    CommandLine::parse_from(arguments)
        .run(&mut printed)
        .expect("a table");
    let printed = String::from_utf8(printed).expect("text");
    assert_eq!(written, printed, "one table, wherever it is written");
    assert!(
        written.contains("\nplan,head_shift_mm,millimetres,head_base"),
        "{written}"
    );
}

#[test]
fn a_plan_is_laid_by_the_shaft_on_a_film_that_is_not_laid_over_the_earlier_one() {
    let desk = Desk::new();
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    oak_is_planned(&studies[0], &desk.folders());
    let (mut file, found) = StudyFile::open_with(&studies[2], &desk.folders()).expect("a file");
    let mut study = found.expect("the last visit");
    // Of the lesser rays the second alone, as on a small film from theatre.
    let ap = &mut study.tracing.ap;
    ap.cortices
        .retain(|bone, _| !LESSER_BUT_SECOND.contains(bone));
    ap.points.retain(|landmark, _| {
        let name = landmark.identifier();
        ["m3", "m4", "m5"]
            .iter()
            .all(|bone| !name.starts_with(bone))
    });
    file.save(&study).expect("writable");
    drop(file);
    let mut window = Window::with(&desk, vec![studies[2].clone()]);
    window.press_button("Compare");
    window.press_button("Visit 1: before surgery");
    let workbench = window.workbench();
    let comparing = workbench.comparing().expect("comparing");
    assert!(comparing.laid.is_none(), "one lesser ray is too few");
    assert!(
        comparing.drawn_plan().is_none(),
        "not over the earlier film"
    );
    let (result, laid) = comparing.plan_on_later().expect("the shaft is traced");
    let placed = laid.outline_on_later(&result.undertaking.fragment);
    assert!(placed.len() > 20, "the fragment's outline is drawn");
}

/// The lesser metatarsals but the second.
const LESSER_BUT_SECOND: [LongBone; 3] = [LongBone::M3, LongBone::M4, LongBone::M5];
