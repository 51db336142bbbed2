//! What is true of the sample films, and a hand that is off by up to three millimetres.

use plumbray::workbench::TraceStep;
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, Side, View};
use plumbray_measure::{Choices, Foot, Measurement, Outcome, TracedFilm, worksheet};
use plumbray_phantom::FilmTruth;

use crate::{harness::Window, samples::truth_of};

/// The true tracing of a foot on a sample film.
pub(crate) fn true_tracing(name: &str, side: Side) -> FilmTracing {
    let truth = truth_of(name);
    let foot = truth.feet.into_iter().find(|foot| foot.side == side);
    foot.expect("the foot is on the film").tracing
}

/// What the engine reads from a true AP tracing, by the default convention.
pub(crate) fn true_value(tracing: &FilmTracing, measurement: Measurement) -> f64 {
    let film = TracedFilm {
        tracing,
        proportions: plumbray_anatomy::Proportions::SQUARE,
        calibration: None,
    };
    let (ap, lateral) = match measurement.view() {
        View::Ap => (Some(film), None),
        View::Lateral => (None, Some(film)),
    };
    let foot = Foot {
        ap,
        lateral,
        operated: false,
    };
    let sheet = worksheet(&foot, &Choices::default());
    let outcome = sheet.outcome(measurement).expect("a row");
    outcome.reading().expect("a number from the truth").value
}

/// A hand that misses what it aims at by up to three millimetres, each time otherwise, the same at
/// every run.
pub(crate) struct RoughHand {
    pixel_mm: f64,
    up_to_mm: f64,
    misses: u32,
}

impl RoughHand {
    /// A hand that misses by up to three millimetres. Its misses differ from those of a hand with
    /// another number.
    pub(crate) fn on(truth: &FilmTruth, number: u32) -> Self {
        Self::missing_by(3.0, truth, number)
    }

    /// A hand that misses by up to so many millimetres at the detector.
    pub(crate) fn missing_by(up_to_mm: f64, truth: &FilmTruth, number: u32) -> Self {
        Self {
            pixel_mm: truth.exposure.pixel_mm,
            up_to_mm,
            misses: number * 100,
        }
    }

    /// Where the hand comes down: spread evenly over a disc.
    pub(crate) fn near(&mut self, aim: FilmPoint) -> FilmPoint {
        /// No direction comes twice: the angle that fills a circle most evenly, in radians.
        const TURN: f64 = 2.399_963;
        self.misses += 1;
        let number = f64::from(self.misses);
        let far_mm = self.up_to_mm * (number * 0.618_034).fract().sqrt();
        let (down, across) = (number * TURN).sin_cos();
        FilmPoint::new(
            aim.x_px + far_mm / self.pixel_mm * across,
            aim.y_px + far_mm / self.pixel_mm * down,
        )
    }
}

/// Where a sweep for a step begins and ends, or where its click goes.
pub(crate) fn aims(step: TraceStep, truth: &FilmTracing) -> Vec<FilmPoint> {
    let landmarks = match step {
        TraceStep::Shaft(_, bone) => vec![Landmark::BaseCentre(bone), Landmark::Tip(bone)],
        TraceStep::Head(_) => vec![Landmark::HeadCentre],
        TraceStep::Sesamoid(sesamoid) => vec![Landmark::SesamoidCentre(sesamoid)],
        other => other.landmarks(),
    };
    let at = |landmark| truth.point(landmark).expect("the truth has every landmark");
    landmarks.into_iter().map(at).collect()
}

/// Makes the gesture of a step.
pub(crate) fn trace(
    window: &mut Window,
    step: TraceStep,
    truth: &FilmTracing,
    hand: &mut RoughHand,
) {
    let places: Vec<FilmPoint> = aims(step, truth)
        .into_iter()
        .map(|aim| hand.near(aim))
        .collect();
    match places.as_slice() {
        [from, to] => window.sweep(step.view(), *from, *to),
        [at] => window.click(step.view(), *at),
        _ => panic!("{step:?} is one sweep or one click"),
    }
}

/// Traces every step of a view in the order in which the prompt asks for them.
pub(crate) fn trace_all(
    window: &mut Window,
    view: View,
    truth: &FilmTracing,
    hand: &mut RoughHand,
) {
    for step in TraceStep::of_view(view, false) {
        let asked = window.workbench().step(view);
        assert_eq!(asked, Some(step), "what the window asks for next");
        trace(window, step, truth, hand);
    }
}

/// The value of a row as the window has it.
pub(crate) fn read_value(window: &Window, measurement: Measurement) -> f64 {
    let workbench = window.workbench();
    let outcome = workbench.worksheet().outcome(measurement).expect("a row");
    match outcome {
        Outcome::Value(reading) => reading.value,
        other => panic!("{measurement:?} has no number: {:?}", other.why_not()),
    }
}

#[test]
fn a_rough_hand_misses_by_up_to_three_millimetres_and_mostly_by_much() {
    let truth = truth_of("sample-foot-ap");
    let mut hand = RoughHand::on(&truth, 0);
    let aim = FilmPoint::new(500.0, 500.0);
    let misses: Vec<f64> = (0..60)
        .map(|_| hand.near(aim).distance_px(aim) * truth.exposure.pixel_mm)
        .collect();
    let largest = misses.iter().copied().fold(0.0, f64::max);
    let large = misses.iter().filter(|miss| **miss > 2.0).count();
    assert!((2.9..=3.0).contains(&largest), "largest miss {largest} mm");
    assert!(large >= 30, "{large} of 60 above 2 mm");
}
