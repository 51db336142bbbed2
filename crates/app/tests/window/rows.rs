//! Which rows the worksheet shows, and tracing the films a second time.

use plumbray::workbench::{Command, Overlay, RowSet, TraceStep};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Side, View};
use plumbray_measure::Measurement;
use plumbray_report::Paper;

use crate::{
    harness::{Desk, Window},
    sample_truth::{RoughHand, read_value, trace, true_tracing},
    samples::truth_of,
};

fn shown(window: &Window) -> Vec<Measurement> {
    let workbench = window.workbench();
    let rows = workbench.shown_rows("").into_iter();
    rows.map(|row| row.measurement).collect()
}

#[test]
fn the_full_set_is_a_click_away_and_each_set_is_kept_as_the_reader_likes_it() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let width = Measurement::ForefootWidth;
    assert!(!shown(&window).contains(&width), "not of the clinic");
    window.press_button("Full");
    assert!(shown(&window).contains(&width), "of the full set");
    window.apply(Command::Show(Some(Overlay::Rows)));
    let valgus = Measurement::HalluxValgusAngle;
    assert!(window.shows(valgus.name()), "a box for each row");
    window.apply(Command::ShowRow(valgus, false));
    assert!(!shown(&window).contains(&valgus), "left out");
    window.press_button("Close");
    window.close();

    let again = Window::with(&desk, desk.sample_foot());
    assert_eq!(again.workbench().settings().rows.set, RowSet::Full, "kept");
    assert!(!shown(&again).contains(&valgus), "kept too");
}

#[test]
fn a_row_that_is_not_shown_is_found_by_its_words() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.press_button("Find a measurement");
    window.type_text("forefoot width");
    let found = window.workbench().shown_rows("forefoot width").len();
    assert_eq!(found, 1, "one has these words");
    window.press_button_that_begins("Forefoot width: ");
}

#[test]
fn a_row_that_few_ask_for_leads_to_its_points_and_then_has_a_number() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::ThrowProposalAway);
    window.press_button("Find a measurement");
    window.type_text("cuneiform height");
    window.press_button_that_begins("Medial cuneiform height: ");
    let step = window.workbench().next_step().expect("asked for");
    assert_eq!(step.name(), "Medial cuneiform", "its point is asked for");
    window.click(View::Lateral, FilmPoint::new(500.0, 500.0));
    let workbench = window.workbench();
    let points = &workbench.study().tracing.lateral.points;
    assert!(
        points.contains_key(&Landmark::MedialCuneiformPlantar),
        "placed"
    );
}

#[test]
fn films_traced_twice_tell_how_well_the_reader_repeats_and_hide_the_first_tracing() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::ThrowProposalAway);
    let truth = truth_of("sample-foot-ap");
    let tracing = true_tracing("sample-foot-ap", Side::Left);
    let mut values = Vec::new();
    for hand in [1, 2] {
        let mut rough = RoughHand::on(&truth, hand);
        for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
            let step = TraceStep::Shaft(View::Ap, bone);
            trace(&mut window, step, &tracing, &mut rough);
        }
        values.push(read_value(&window, Measurement::HalluxValgusAngle));
        if hand == 1 {
            window.apply(Command::TraceAgain);
            let workbench = window.workbench();
            let tracing = &workbench.study().tracing.ap;
            assert!(!tracing.cortices.contains_key(&LongBone::M1), "blind");
        }
    }
    let repeated = window.workbench().repeated(Measurement::HalluxValgusAngle);
    let repeated = repeated.expect("two readings");
    assert_eq!(repeated.count, 2, "tracings");
    let mean = f64::midpoint(values[0], values[1]);
    assert!(
        (repeated.mean - mean).abs() < 1e-9,
        "{repeated:?}, {values:?}"
    );
    window.apply(Command::Select(Measurement::HalluxValgusAngle));
    assert!(window.shows("Traced 2 times"), "told in the detail");
}

#[test]
fn the_sheet_of_the_open_foot_is_made_where_it_was_asked_for() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::ThrowProposalAway);
    assert!(
        !Command::AskSheet.is_possible(&window.workbench()),
        "nothing is traced"
    );
    let truth = truth_of("sample-foot-ap");
    let tracing = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth, 1);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let step = TraceStep::Shaft(View::Ap, bone);
        trace(&mut window, step, &tracing, &mut hand);
    }
    let path = desk.film("sheet.pdf");
    window.lay_out(path.clone());
    window.apply(Command::Show(Some(Overlay::Sheet)));
    window.press_button("Letter");
    window.press_button("The rows as a table (CSV)");
    window.press_button("Choose where to put it…");
    window.wait_until("the sheet is made", |_| {
        std::fs::read(&path).is_ok_and(|bytes| bytes.ends_with(b"%%EOF"))
    });
    assert!(window.shows("The sheet is made"), "told");
    let table = std::fs::read_to_string(desk.film("sheet.sheet.csv")).expect("beside the sheet");
    assert!(table.contains("hallux_valgus_angle"), "the rows: {table}");
    assert_eq!(
        window.workbench().settings().sheet.paper,
        Paper::Letter,
        "kept for the next sheet"
    );
}
