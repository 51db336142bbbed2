//! Films that hold several pictures, graphics, named windows, and say how they lie.

use std::path::PathBuf;

use egui::Key;
use plumbray::{
    canvas::Orientation,
    comparing::{OpenedFilms, VisitOnDisk},
    workbench::{CalibrationMethod, Command, Gesture, Snapping, TraceStep, Urgency},
};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, View};
use plumbray_study::{load, study_path};

use crate::{
    harness::{Desk, Window},
    made_run::{PICTURES, write_run},
};

fn run(desk: &Desk, name: &str, directions: &str, with_graphics: bool) -> PathBuf {
    let path = desk.film(name);
    write_run(&path, directions, with_graphics);
    path
}

fn shown_picture(window: &Window) -> u32 {
    let workbench = window.workbench();
    let open = workbench.film(View::Ap).expect("an AP film");
    open.film.frame().number
}

fn measured_picture(window: &Window) -> u32 {
    let workbench = window.workbench();
    let record = workbench.study().ap.as_ref().expect("an AP film");
    record.picture.get()
}

/// Sweeps along the first metatarsal's shaft, without help from the pixels.
fn trace_a_shaft(window: &mut Window) {
    window.apply(Command::GoTo(TraceStep::Shaft(View::Ap, LongBone::M1)));
    let sweep = Gesture::Sweep {
        from: FilmPoint::new(20.0, 40.0),
        to: FilmPoint::new(24.0, 10.0),
    };
    window.apply(Command::Gesture(View::Ap, sweep, Snapping::Off));
    assert!(
        window.workbench().is_traced(View::Ap),
        "something is placed"
    );
}

fn warning(window: &Window) -> String {
    let workbench = window.workbench();
    let warnings = workbench.notices().iter();
    warnings
        .filter(|notice| notice.urgency == Urgency::Warning)
        .map(|notice| notice.text.clone())
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn another_picture_is_chosen_by_button_and_key_and_found_again() {
    let desk = Desk::new();
    let film = run(&desk, "run.dcm", "R\\P", false);
    let mut window = Window::with(&desk, vec![film.clone()]);
    assert!(
        window.shows(&format!("picture 1 of {PICTURES}")),
        "the picker"
    );
    let first = window
        .workbench()
        .film(View::Ap)
        .expect("open")
        .film
        .clone();
    window.press_button("Next picture, AP film");
    window.key(Key::Period);
    assert_eq!(
        (shown_picture(&window), measured_picture(&window)),
        (3, 3),
        "two on"
    );
    window.key(Key::Comma);
    assert_eq!(shown_picture(&window), 2, "one back");
    assert!(window.shows(&format!("picture 2 of {PICTURES}")), "said");
    let second = window
        .workbench()
        .film(View::Ap)
        .expect("open")
        .film
        .clone();
    assert_ne!(first.samples(), second.samples(), "other pixels");
    window.close();
    let again = Window::with(&desk, vec![film.clone()]);
    assert_eq!(
        (shown_picture(&again), measured_picture(&again)),
        (2, 2),
        "opened by its film"
    );
    again.close();
    let again = Window::with(&desk, vec![study_path(&film, None)]);
    assert_eq!(
        (shown_picture(&again), measured_picture(&again)),
        (2, 2),
        "opened by its study"
    );
}

#[test]
fn a_visit_that_is_compared_shows_the_picture_that_was_measured() {
    let desk = Desk::new();
    let film = run(&desk, "run.dcm", "R\\P", false);
    let mut window = Window::with(&desk, vec![film.clone()]);
    window.apply(Command::ShowPicture(View::Ap, 4));
    window.close();
    let visit = VisitOnDisk::read(&study_path(&film, None)).expect("a visit");
    let opened = OpenedFilms::default().open(&visit, View::Ap);
    let opened = opened.expect("a film").expect("it opens");
    assert_eq!(opened.film().frame().number, 4, "picture");
}

#[test]
fn before_the_first_and_after_the_last_picture_there_is_none() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
    window.key(Key::Comma);
    assert_eq!(shown_picture(&window), 1, "the first");
    window.apply(Command::ShowPicture(View::Ap, PICTURES));
    window.key(Key::Period);
    assert_eq!(shown_picture(&window), PICTURES, "the last");
    window.apply(Command::ShowPicture(View::Ap, PICTURES + 1));
    window.apply(Command::ShowPicture(View::Ap, 0));
    assert_eq!(shown_picture(&window), PICTURES, "none of these numbers");
}

#[test]
fn keys_pressed_faster_than_pictures_are_read_come_to_the_last_one() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
    window.keys(Key::Period, 4);
    window.settle();
    assert_eq!(shown_picture(&window), 5, "four on");
}

#[test]
fn a_traced_picture_stays_until_its_tracing_is_deleted_and_undo_brings_both_back() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
    window.key(Key::Period);
    trace_a_shaft(&mut window);
    let traced = window.workbench().study().tracing.clone();
    window.key(Key::Period);
    assert_eq!(shown_picture(&window), 2, "refused");
    assert!(
        warning(&window).contains("Delete the tracing of the AP film"),
        "{}",
        warning(&window)
    );
    window.press_button("How the AP film is shown");
    window.press_button("Delete the tracing of the AP film");
    assert!(!window.workbench().is_traced(View::Ap), "deleted");
    window.key(Key::Period);
    assert_eq!(
        (shown_picture(&window), measured_picture(&window)),
        (3, 3),
        "on"
    );
    window.apply(Command::Undo);
    window.apply(Command::Undo);
    assert_eq!(
        (shown_picture(&window), measured_picture(&window)),
        (2, 2),
        "back"
    );
    assert_eq!(
        window.workbench().study().tracing,
        traced,
        "its tracing too"
    );
}

#[test]
fn what_is_traced_on_one_picture_never_comes_to_lie_on_another() {
    let desk = Desk::new();
    for first_picture in [false, true] {
        let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
        let sweep = Gesture::Sweep {
            from: FilmPoint::new(20.0, 40.0),
            to: FilmPoint::new(24.0, 10.0),
        };
        let trace = Command::Gesture(View::Ap, sweep, Snapping::Off);
        let turn = Command::ShowPicture(View::Ap, 2);
        let both = if first_picture {
            [turn, trace]
        } else {
            [trace, turn]
        };
        window.apply(Command::GoTo(TraceStep::Shaft(View::Ap, LongBone::M1)));
        window.apply_at_once(both);
        // Which of the two is done hangs on which worker ends first; never are both.
        let is_traced = window.workbench().is_traced(View::Ap);
        assert_eq!(
            shown_picture(&window),
            measured_picture(&window),
            "what is shown is measured"
        );
        assert_eq!(
            is_traced,
            shown_picture(&window) == 1,
            "traced on the picture that was swept"
        );
        window.close();
        std::fs::remove_file(study_path(&desk.film("run.dcm"), None)).expect("a study");
    }
}

#[test]
fn a_calibration_by_hand_stays_with_another_picture() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
    window.apply(Command::StartCalibration(
        View::Ap,
        CalibrationMethod::KnownDistance,
    ));
    let sweep = Gesture::Sweep {
        from: FilmPoint::new(5.0, 5.0),
        to: FilmPoint::new(45.0, 5.0),
    };
    window.apply(Command::Gesture(View::Ap, sweep, Snapping::Off));
    window.apply(Command::FinishCalibration);
    let calibration = window.workbench().calibration(View::Ap).copied();
    assert!(calibration.is_some(), "calibrated");
    window.key(Key::Period);
    assert_eq!(shown_picture(&window), 2, "the next picture");
    assert_eq!(
        window.workbench().calibration(View::Ap).copied(),
        calibration,
        "calibration"
    );
}

#[test]
fn a_film_of_one_picture_has_no_picker_and_its_study_says_nothing_of_pictures() {
    let desk = Desk::new();
    let film = desk.copy_of_sample("sample-foot-ap.dcm");
    let mut window = Window::with(&desk, vec![film.clone()]);
    assert!(!window.shows("picture 1 of"), "no picker");
    window.apply(Command::SetVisitLabel("first".to_owned()));
    window.close();
    let path = study_path(&film, None);
    let study = load(&path).expect("saved");
    assert_eq!(study.ap.expect("a film").picture.get(), 1, "picture");
    let text = std::fs::read_to_string(&path).expect("a study");
    assert!(!text.contains("picture"), "{text}");
}

#[test]
fn the_graphics_of_the_file_go_and_come_by_menu_and_key_and_only_where_there_are_any() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", true)]);
    let shown = |window: &Window| {
        let workbench = window.workbench();
        workbench.film(View::Ap).expect("open").view.shows_graphics
    };
    assert!(shown(&window), "on at first");
    window.press_button("How the AP film is shown");
    window.press_button("Graphics of the file");
    assert!(!shown(&window), "off");
    window.key(Key::G);
    assert!(shown(&window), "on again");

    window.apply(Command::Open(vec![run(&desk, "plain.dcm", "R\\P", false)]));
    assert!(
        !Command::Graphics.is_possible(&window.workbench()),
        "nothing to show"
    );
    window.press_button("How the AP film is shown");
    assert!(!window.shows("Graphics of the file"), "no entry");
}

#[test]
fn a_window_is_chosen_by_the_name_that_the_file_gives_it() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "R\\P", false)]);
    let at = |window: &Window| {
        window
            .workbench()
            .film(View::Ap)
            .expect("open")
            .view
            .named_window
    };
    assert_eq!(at(&window), Some(0), "the first");
    window.press_button("How the AP film is shown");
    assert!(window.shows("BONE"), "the first by its name");
    window.press_button("SOFT TISSUE");
    assert_eq!(at(&window), Some(1), "chosen");
    window.key(Key::Period);
    assert_eq!(
        (shown_picture(&window), at(&window)),
        (2, Some(1)),
        "kept on the next picture"
    );
    window.press_button("How the AP film is shown");
    window.press_button("Judged from the pixels");
    assert_eq!(at(&window), Some(2), "judged");
}

#[test]
fn a_film_is_laid_out_by_its_file_and_says_so_and_the_reader_turns_it_on() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "L\\A", false)]);
    let lies = |window: &Window| {
        window
            .workbench()
            .film(View::Ap)
            .expect("open")
            .view
            .orientation
    };
    assert!(
        (lies(&window).turn.degrees() - 180.0).abs() < 1e-9,
        "toes up: {:?}",
        lies(&window)
    );
    assert!(!lies(&window).flipped, "not mirrored");
    assert!(window.shows("is turned by Patient Orientation"), "said");
    assert!(
        window.shows("left by Image Laterality"),
        "the detail says which attribute said the side"
    );
    assert!(
        window.shows("Image Laterality proposes"),
        "so does the question"
    );
    window.key(Key::R);
    let turned = lies(&window);
    window.key(Key::Period);
    assert_eq!(
        (shown_picture(&window), lies(&window)),
        (2, turned),
        "as the reader turned it"
    );

    let mirrored = Window::with(&desk, vec![run(&desk, "mirrored.dcm", "L\\P", false)]);
    assert!(lies(&mirrored).flipped, "mirrored");
    assert!(mirrored.shows("is mirrored by Patient Orientation"), "said");
    let upright = Window::with(&desk, vec![run(&desk, "upright.dcm", "R\\P", false)]);
    assert_eq!(lies(&upright), Orientation::default(), "left as it is");
    assert!(
        !upright.shows("by Patient Orientation, so that"),
        "nothing to say"
    );
}

#[test]
fn landmarks_of_a_film_that_is_laid_out_are_in_the_pixels_of_the_file() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![run(&desk, "run.dcm", "L\\A", false)]);
    trace_a_shaft(&mut window);
    let workbench = window.workbench();
    let points = &workbench.study().tracing.ap.points;
    let at = points[&Landmark::ShaftStart(LongBone::M1)].at;
    assert!(at.distance_px(FilmPoint::new(20.0, 40.0)) < 1.0, "{at:?}");
}
