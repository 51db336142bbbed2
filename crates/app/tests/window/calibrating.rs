//! Millimetres by a ball on the film, by a known distance, and not at all.

use plumbray::workbench::{CalibrationMethod, Command};
use plumbray_anatomy::{CalibrationBasis, FilmPoint, View};

use crate::{
    harness::{Desk, Window},
    samples::truth_of,
};

#[test]
fn a_rough_sweep_over_the_ball_calibrates_the_film() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.png")]);
    assert!(
        window.workbench().calibration(View::Ap).is_none(),
        "a PNG says nothing"
    );
    let ball = truth_of("sample-foot-ap")
        .round_object
        .expect("a ball on the film");
    window.apply(Command::ThrowProposalAway);
    window.press_button("Calibrate by hand");
    let middle = FilmPoint::new(ball.centre.x_px + 12.0, ball.centre.y_px - 9.0);
    let edge = FilmPoint::new(middle.x_px + 0.4 * ball.diameter_px, middle.y_px);
    window.sweep(View::Ap, middle, edge);
    window.press_button("Use this calibration");
    let calibration = *window
        .workbench()
        .calibration(View::Ap)
        .expect("calibrated");
    let truth = ball.diameter_mm / ball.diameter_px;
    let share = calibration.mm_per_pixel_width() / truth - 1.0;
    assert!(share.abs() < 0.01, "off by {:.2} %", share * 100.0);
    assert_eq!(
        calibration.basis,
        CalibrationBasis::RoundObject {
            diameter_mm: ball.diameter_mm
        },
        "says by what"
    );
    window.apply(Command::Undo);
    assert!(window.workbench().calibration(View::Ap).is_none(), "undone");
}

#[test]
fn two_points_a_known_distance_apart_calibrate_the_film() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.png")]);
    window.apply(Command::StartCalibration(
        View::Ap,
        CalibrationMethod::KnownDistance,
    ));
    window.apply(Command::SetKnownSize(80.0));
    window.click(View::Ap, FilmPoint::new(200.0, 300.0));
    window.click(View::Ap, FilmPoint::new(500.0, 700.0));
    window.press_button("Use this calibration");
    let calibration = *window
        .workbench()
        .calibration(View::Ap)
        .expect("calibrated");
    let mm = calibration.mm_per_pixel_width();
    assert!((mm - 80.0 / 500.0).abs() < 1e-3, "{mm} mm per pixel");
    let basis = CalibrationBasis::KnownDistance { distance_mm: 80.0 };
    assert_eq!(calibration.basis, basis, "says by what");
}

#[test]
fn escape_leaves_the_calibration_as_it_was() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.png")]);
    window.apply(Command::StartCalibration(
        View::Ap,
        CalibrationMethod::RoundObject,
    ));
    window.key(egui::Key::Escape);
    assert!(window.workbench().view().calibrating.is_none(), "left");
    assert!(
        window.workbench().calibration(View::Ap).is_none(),
        "not calibrated"
    );
}
