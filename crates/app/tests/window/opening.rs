//! Films and studies that are opened, closed, opened again, opened twice and damaged.

use std::fs;

use plumbray::{
    window::CAUTION,
    workbench::{Command, TraceStep, Urgency},
};
use plumbray_anatomy::{LongBone, Side, View};
use plumbray_measure::{AxisConvention, Measurement, Outcome};
use plumbray_study::{SideSource, Study, StudyFile, load, study_path};

use crate::{
    harness::{Desk, Window},
    sample_truth::{RoughHand, read_value, trace, true_tracing},
    samples::{sample_images, truth_of},
};

/// Traces enough of the sample foot for the two headline angles.
fn trace_headline(window: &mut Window, truth_name: &str, side: Side) {
    let truth = true_tracing(truth_name, side);
    let mut hand = RoughHand::on(&truth_of(truth_name), 5);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let step = TraceStep::Shaft(View::Ap, bone);
        window.apply(Command::GoTo(step));
        trace(window, step, &truth, &mut hand);
    }
}

fn warns_of(window: &Window, words: &str) -> bool {
    window
        .workbench()
        .notices()
        .iter()
        .any(|notice| notice.urgency == Urgency::Warning && notice.text.contains(words))
}

#[test]
fn the_empty_window_invites_and_cautions() {
    let desk = Desk::new();
    let window = Window::new(&desk);
    assert!(window.shows("Open films…"), "the invitation");
    assert!(window.shows(CAUTION), "the caution");
}

#[test]
fn the_dialog_opens_what_was_chosen_in_it() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    for film in desk.sample_foot() {
        window.lay_out(film);
    }
    window.press_button("Open films…");
    window.wait_until("both films are open", |workbench| {
        View::ALL.iter().all(|view| workbench.film(*view).is_some())
    });
}

#[test]
fn a_foot_that_is_opened_again_reads_the_same() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, films.clone());
    trace_headline(&mut window, "sample-foot-ap", Side::Left);
    let before = read_value(&window, Measurement::HalluxValgusAngle);
    let tracing = window.workbench().study().tracing.clone();
    window.close();
    // Any of the films finds the study, and the study finds the films.
    for opened in [
        films[0].clone(),
        films[1].clone(),
        study_path(&films[0], None),
    ] {
        let again = Window::with(&desk, vec![opened.clone()]);
        let after = read_value(&again, Measurement::HalluxValgusAngle);
        assert!(
            (after - before).abs() < 1e-9,
            "{}: {after}",
            opened.display()
        );
        assert_eq!(
            again.workbench().study().tracing,
            tracing,
            "the same points"
        );
        for view in View::ALL {
            assert!(
                again.workbench().film(view).is_some(),
                "the {view:?} film is open"
            );
        }
        again.close();
    }
}

#[test]
fn a_film_that_is_none_is_refused_with_its_name() {
    let desk = Desk::new();
    let path = desk.film("letter.png");
    fs::write(&path, "Dear colleague, this is not a film.").expect("writable");
    let window = Window::with(&desk, vec![path]);
    assert!(
        warns_of(&window, "letter.png"),
        "{:?}",
        window.workbench().notices()
    );
    assert!(!window.workbench().has_foot(), "nothing is open");
    let missing = Window::with(&desk, vec![desk.film("gone.dcm")]);
    assert!(
        warns_of(&missing, "gone.dcm"),
        "{:?}",
        missing.workbench().notices()
    );
}

#[test]
fn a_damaged_study_is_named_and_left_as_it_is() {
    let desk = Desk::new();
    let film = desk.copy_of_sample("sample-foot-ap.png");
    let study = study_path(&film, None);
    fs::write(&study, "(format_version: 1, films: (").expect("writable");
    let window = Window::with(&desk, vec![film]);
    assert!(
        warns_of(&window, ".study.ron"),
        "{:?}",
        window.workbench().notices()
    );
    window.close();
    let text = fs::read_to_string(&study).expect("still there");
    assert_eq!(text, "(format_version: 1, films: (", "not written over");
}

#[test]
fn a_second_window_on_the_same_foot_only_looks() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut first = Window::with(&desk, films.clone());
    trace_headline(&mut first, "sample-foot-ap", Side::Left);
    let path = study_path(&films[0], None);
    let on_disk = fs::read(&path).expect("saved by itself");
    let mut second = Window::with(&desk, vec![path.clone()]);
    assert!(second.workbench().is_read_only(), "read only");
    let angle = read_value(&second, Measurement::HalluxValgusAngle);
    assert!(angle > 20.0, "and shows the numbers: {angle}");
    second.apply(Command::SetVisitLabel("from the second window".to_owned()));
    assert!(
        second.workbench().is_read_only(),
        "still read only after a change"
    );
    second.close();
    assert_eq!(
        fs::read(&path).expect("there"),
        on_disk,
        "the file is untouched"
    );
    assert!(
        !first.workbench().is_read_only(),
        "the first window writes on"
    );
}

#[test]
fn a_film_that_changed_on_disk_is_told() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, films.clone());
    trace_headline(&mut window, "sample-foot-ap", Side::Left);
    window.close();
    fs::copy(sample_images().join("both-feet-ap.dcm"), &films[0]).expect("another film");
    let again = Window::with(&desk, vec![study_path(&films[0], None)]);
    assert!(
        warns_of(&again, "changed on disk"),
        "{:?}",
        again.workbench().notices()
    );
}

#[test]
fn a_side_is_confirmed_by_a_click() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    trace_headline(&mut window, "sample-foot-ap", Side::Left);
    let proposed = window
        .workbench()
        .study()
        .side
        .expect("the film or its bones propose one");
    assert!(!proposed.confirmed, "a proposal only");
    assert_eq!(proposed.side, Side::Left, "the sample is a left foot");
    window.press_button("Left");
    let confirmed = window.workbench().study().side.expect("there");
    assert!(confirmed.confirmed, "confirmed");
    assert_eq!(confirmed.source, SideSource::User, "by a person");
    assert!(
        !window.workbench().side_is_contradicted(),
        "the bones agree"
    );
    window.apply(Command::ConfirmSide(Side::Right));
    assert!(
        window.workbench().side_is_contradicted(),
        "the bones do not agree"
    );
    assert!(
        window.shows("the bones say otherwise"),
        "and the window says so"
    );
}

#[test]
fn both_feet_of_one_film_are_two_studies() {
    let desk = Desk::new();
    let film = desk.copy_of_sample("both-feet-ap.dcm");
    let mut window = Window::with(&desk, vec![film.clone()]);
    let mut angles = Vec::new();
    for side in [Side::Left, Side::Right] {
        window.apply(Command::ReadOneFootOfTwo(side));
        trace_headline(&mut window, "both-feet-ap", side);
        angles.push(read_value(&window, Measurement::HalluxValgusAngle));
        assert_eq!(window.workbench().study().foot(), Some(side), "this foot");
        assert_eq!(
            window.workbench().side_by_bones(),
            Some(side),
            "the bones agree"
        );
    }
    window.close();
    for (side, angle) in [Side::Left, Side::Right].into_iter().zip(angles) {
        let study = study_path(&film, Some(side));
        let again = Window::with(&desk, vec![study.clone()]);
        let read = read_value(&again, Measurement::HalluxValgusAngle);
        assert!((read - angle).abs() < 1e-9, "{}: {read}", study.display());
    }
    let both = Window::with(&desk, vec![film]);
    assert_eq!(
        both.workbench().feet_of_film().len(),
        2,
        "the film offers both"
    );
}

#[test]
fn an_operated_foot_refuses_an_axis_that_leans_on_the_cut_bone() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    trace_headline(&mut window, "sample-foot-ap", Side::Left);
    let quarters = AxisConvention::MidDiaphysealQuarters;
    window.apply(Command::SetConvention(Some(quarters)));
    assert!(
        read_value(&window, Measurement::HalluxValgusAngle) > 20.0,
        "before the operation it is read"
    );
    window.apply(Command::SetOperated(true));
    let workbench = window.workbench();
    let outcome = workbench
        .worksheet()
        .outcome(Measurement::HalluxValgusAngle);
    assert!(
        matches!(outcome, Some(Outcome::Refused { .. })),
        "refused, not {outcome:?}"
    );
}

#[test]
fn exchanged_views_take_their_films_with_them() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, films.clone());
    window.apply(Command::ExchangeViews);
    let path_of = |window: &Window, view: View| {
        let workbench = window.workbench();
        workbench.film(view).map(|film| film.path.clone())
    };
    assert_eq!(
        path_of(&window, View::Ap).as_ref(),
        Some(&films[1]),
        "the other film"
    );
    assert_eq!(
        path_of(&window, View::Lateral).as_ref(),
        Some(&films[0]),
        "and back"
    );
    window.apply(Command::Undo);
    let records_agree = View::ALL.into_iter().all(|view| {
        let workbench = window.workbench();
        let record = workbench.study().film(view).map(|film| film.file.clone());
        let shown = workbench.film(view).and_then(|film| {
            film.path
                .file_name()
                .map(|name| name.to_string_lossy().into_owned())
        });
        record == shown
    });
    assert!(
        records_agree,
        "undone, the films on the screen are those of the study"
    );
}

#[test]
fn a_film_added_after_a_change_stays_when_the_change_is_undone() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, vec![films[0].clone()]);
    window.apply(Command::SetOperated(true));
    window.apply(Command::AddFilm(films[1].clone()));
    window.apply(Command::Undo);
    let workbench = window.workbench();
    assert!(!workbench.study().visit.operated, "undone");
    assert!(
        workbench.study().lateral.is_some(),
        "the film is part of the study"
    );
    assert!(workbench.film(View::Lateral).is_some(), "and on the screen");
}

#[test]
fn landmarks_go_out_and_come_in_as_a_table() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    trace_headline(&mut window, "sample-foot-ap", Side::Left);
    let before = read_value(&window, Measurement::HalluxValgusAngle);
    let table = desk.film("landmarks.csv");
    window.lay_out(table.clone());
    window.apply(Command::AskExportLandmarks(View::Ap));
    window.wait_until("the table is written", |_| table.is_file());
    let other_desk = Desk::new();
    let mut other = Window::with(&other_desk, other_desk.sample_foot());
    other.lay_out(table);
    other.apply(Command::AskImportLandmarks(View::Ap));
    other.wait_until("the table is read", |workbench| {
        !workbench.study().tracing.ap.points.is_empty()
    });
    let after = read_value(&other, Measurement::HalluxValgusAngle);
    assert!((after - before).abs() < 1e-9, "{before} and {after}");
}

#[test]
fn a_table_with_a_fault_is_refused_by_its_line() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let table = desk.film("wrong.csv");
    fs::write(&table, "landmark,x_px,y_px\nm1_tip,1,2\nm1_tipp,1,2\n").expect("writable");
    window.apply(Command::ImportLandmarks(View::Ap, table));
    assert!(
        warns_of(&window, "line 3"),
        "{:?}",
        window.workbench().notices()
    );
    assert!(
        window.workbench().study().tracing.ap.points.is_empty(),
        "nothing is taken"
    );
}

#[test]
fn a_study_that_began_with_the_lateral_film_goes_by_the_ap_film_once_there_is_one() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, vec![films[1].clone()]);
    window.apply(Command::SetVisitLabel("before".to_owned()));
    let by_lateral = study_path(&films[1], None);
    assert!(by_lateral.is_file(), "saved by the lateral film's name");
    window.apply(Command::AddFilm(films[0].clone()));
    window.close();
    assert!(!by_lateral.exists(), "renamed");
    let study = load(&study_path(&films[0], None)).expect("by the AP film's name");
    assert_eq!(study.visit.label, "before", "the same study");
    assert!(
        study.ap.is_some() && study.lateral.is_some(),
        "with both films"
    );
}

#[test]
fn the_films_are_told_apart_in_the_order_in_which_they_were_named() {
    let desk = Desk::new();
    for (name, sample) in [
        ("one.png", "sample-foot-ap.png"),
        ("two.png", "sample-foot-lateral.png"),
    ] {
        fs::copy(sample_images().join(sample), desk.film(name)).expect("a sample film");
    }
    let window = Window::with(&desk, vec![desk.film("one.png"), desk.film("two.png")]);
    let workbench = window.workbench();
    let ap = workbench.film(View::Ap).map(|film| film.path.clone());
    assert_eq!(ap, Some(desk.film("one.png")), "the first is the AP film");
}

#[test]
fn the_sample_foot_is_copied_before_it_is_opened() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.press_button("Open the sample foot");
    window.apply(Command::ConfirmSide(Side::Left));
    let study = window
        .workbench()
        .study_path()
        .map(std::path::Path::to_owned);
    let study = study.expect("a study");
    window.close();
    assert!(study.is_file(), "saved");
    assert!(
        !study.starts_with(sample_images()),
        "not beside the films that come with the program: {}",
        study.display()
    );
}

#[test]
fn kept_work_is_put_back_by_a_click() {
    let desk = Desk::new();
    let film = desk.copy_of_sample("sample-foot-ap.png");
    let path = study_path(&film, None);
    let mut study = Study::default();
    study.visit.label = "kept elsewhere".to_owned();
    {
        let (mut file, _) = StudyFile::open_with(&path, &desk.folders()).expect("free");
        // A folder in the study's place cannot be written over.
        fs::create_dir(&path).expect("writable");
        file.save(&study).expect_err("cannot be written");
    }
    fs::remove_dir(&path).expect("the obstacle is gone");
    let mut window = Window::new(&desk);
    assert_eq!(
        window.workbench().kept_work().len(),
        1,
        "found at the start"
    );
    window.press_button("Put the kept work back");
    assert!(
        window.workbench().kept_work().is_empty(),
        "nothing is kept any more"
    );
    let back = load(&path).expect("in its place");
    assert_eq!(back.visit.label, "kept elsewhere", "the work");
}
