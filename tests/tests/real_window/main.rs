//! The program itself, in a window on a screen of its own, driven by pointer and keyboard: a foot is
//! traced, saved, opened again and measured, and the program is killed in between.
#![cfg(target_os = "linux")]

mod films;
mod program;
mod screen;
mod waiting;

use std::{fs, time::Duration};

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Sesamoid, testing::assert_close};
use plumbray_measure::Measurement;
use serde_json::Value;

use crate::{
    films::{ShownFilm, along, true_tracing, true_value},
    program::{Desk, Window},
    screen::Screen,
    waiting::{wait_for, within},
};

const AP: &str = "sample-foot-ap.png";
const LATERAL: &str = "sample-foot-lateral.png";
const STUDY: &str = "sample-foot-ap.png.study.ron";

/// How far a tracing by sweeps may be from the truth, in degrees: the project's own limit.
const WITHIN_DEGREES: f64 = 1.5;

/// A foot traced by a hand on the screen.
struct Session {
    screen: Screen,
    desk: Desk,
    film: ShownFilm,
    truth: FilmTracing,
}

impl Session {
    fn start() -> Self {
        Self {
            screen: Screen::start(),
            desk: Desk::with(&[AP, LATERAL]),
            film: ShownFilm::new(true),
            truth: true_tracing(),
        }
    }

    /// Opens files, and waits until the film is shown and its study is held.
    fn open(&self, files: &[&str]) -> Window<'_> {
        let window = self.desk.open(&self.screen, files);
        self.film.wait_until_shown(&self.screen);
        wait_for("the lock on the study", || {
            self.desk.has_lock().then_some(())
        });
        window
    }

    /// Sweeps along a bone, and waits until its cortices are in the study on the disk.
    fn trace(&self, bone: LongBone) {
        let [from, to] = along(&self.truth, bone).map(|at| self.film.place(at));
        self.screen.sweep(from, to);
        self.wait_until_saved(&format!("\"{}\": (sd_px: ", bone.identifier()));
    }

    fn wait_until_saved(&self, text: &str) {
        wait_for(&format!("`{text}` in the study file"), || {
            let study = fs::read_to_string(self.desk.file(STUDY)).ok()?;
            study.contains(text).then_some(())
        });
        self.screen.settled();
    }

    /// Quits; nothing but films and the study may be left.
    fn quit(&self, window: Window<'_>) {
        window.quit();
        let left = self.desk.leftovers();
        assert!(left.is_empty(), "left after quitting: {left:?}");
        let names = self.desk.names_beside_films();
        assert_eq!(names, [AP, STUDY, LATERAL], "beside the films");
    }
}

/// A number of the worksheet as `plumbray measure --json` prints it, if there is one.
fn printed_value(measured: &str, identifier: &str) -> Option<f64> {
    let sheets: Value = serde_json::from_str(measured).expect("JSON");
    let rows = sheets[0]["measurements"].as_array().expect("rows");
    let row = rows
        .iter()
        .find(|row| row["identifier"] == identifier)
        .unwrap_or_else(|| panic!("no row {identifier}"));
    row["value"].as_f64()
}

#[test]
fn a_foot_traced_in_the_real_window_is_measured_saved_and_opened_again_unchanged() {
    let session = Session::start();
    let window = session.open(&[AP, LATERAL]);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        session.trace(bone);
    }
    session.quit(window);
    let traced = session.desk.measured(STUDY);
    for (identifier, measurement) in [
        ("hallux_valgus_angle", Measurement::HalluxValgusAngle),
        (
            "intermetatarsal_angle_1_2",
            Measurement::IntermetatarsalAngle12,
        ),
    ] {
        let value = printed_value(&traced, identifier).expect("a number");
        let truth = true_value(&session.truth, measurement);
        assert_close(value, truth, WITHIN_DEGREES, identifier);
    }

    for opened in [STUDY, AP] {
        let window = session.open(&[opened]);
        session.quit(window);
        let again = session.desk.measured(STUDY);
        assert_eq!(again, traced, "after opening {opened} and quitting");
    }
    what_was_saved_outlives_a_killed_program(&session);
}

/// Goes on with the traced foot up to the distal phalanx, kills the program as soon as that is saved,
/// and opens the study again.
fn what_was_saved_outlives_a_killed_program(session: &Session) {
    let window = session.open(&[STUDY]);
    let angle = "hallux_interphalangeal_angle";
    let before = printed_value(&session.desk.measured(STUDY), angle);
    assert_eq!(before, None, "the distal phalanx is not traced yet");
    let place = |landmark| {
        let at = session.truth.point(landmark).expect("the truth has it");
        session.film.place(at)
    };
    session.screen.click(place(Landmark::HeadCentre));
    session.wait_until_saved("\"m1_head_centre\": (");
    session.screen.sweep(
        place(Landmark::ArticularMedial),
        place(Landmark::ArticularLateral),
    );
    session.wait_until_saved("\"m1_articular_medial\": (");
    session
        .screen
        .click(place(Landmark::SesamoidCentre(Sesamoid::Tibial)));
    session.wait_until_saved("\"tibial_sesamoid_centre\": (");
    session.trace(LongBone::DistalPhalanx);
    window.kill();

    let saved = session.desk.measured(STUDY);
    assert!(
        printed_value(&saved, angle).is_some(),
        "the distal phalanx was saved before the program was killed"
    );
    let window = session.open(&[STUDY]);
    session.quit(window);
    let again = session.desk.measured(STUDY);
    assert_eq!(again, saved, "after opening the study and quitting");
}

#[test]
fn a_film_of_nonsense_opens_a_window_that_stays() {
    let screen = Screen::start();
    let desk = Desk::with(&[]);
    let nonsense: Vec<u8> = (0..40_000_u32)
        .map(|n| n.wrapping_mul(193).to_le_bytes()[1])
        .collect();
    fs::write(desk.file("nonsense.png"), nonsense).expect("a file");
    let mut window = desk.open(&screen, &["nonsense.png"]);
    screen.settled();
    let ended = within(Duration::from_secs(3), || window.ended());
    assert_eq!(ended, None, "the program ended: {}", window.messages());
    window.quit();
    assert_eq!(
        desk.names_beside_films(),
        ["nonsense.png"],
        "beside the film"
    );
    let left = desk.leftovers();
    assert!(left.is_empty(), "left after quitting: {left:?}");
}
