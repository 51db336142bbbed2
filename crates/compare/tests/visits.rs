//! Simulated feet that come again, by the true outlines of their films.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, PixelSpacing, Proportions, Side, View,
};
use plumbray_compare::{FilmToLay, NotLaidOver, Registration, head_shift, lay_over};
use plumbray_measure::{AxisConvention, Foot as MeasuredFoot, TracedFilm};
use plumbray_phantom::{Exposure, Foot, FootParameters, Operation, Positioning, truth_of_ap};

fn deformed(side: Side) -> FootParameters {
    FootParameters {
        side,
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 15.0,
        sesamoid_displacement: 0.7,
        medial_eminence_mm: 2.0,
        ..FootParameters::default()
    }
}

fn exposure() -> Exposure {
    Exposure {
        pixel_mm: 0.2,
        ..Exposure::default()
    }
}

fn traced(parameters: FootParameters, exposure: &Exposure) -> FilmTracing {
    let foot = Foot::new(parameters).expect("a possible foot");
    let truth = truth_of_ap(&foot, exposure).expect("a possible film");
    truth.feet[0].tracing.clone()
}

fn calibration() -> Calibration {
    Calibration {
        spacing: PixelSpacing::new(0.2, 0.2).expect("possible"),
        basis: CalibrationBasis::AtDetector,
        relative_sd: 0.0,
    }
}

fn film<'a>(tracing: &'a FilmTracing, calibration: &'a Calibration) -> TracedFilm<'a> {
    TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration: Some(calibration),
    }
}

fn laid(earlier: &FilmTracing, later: &FilmTracing) -> Result<Registration, NotLaidOver> {
    let calibration = calibration();
    let ap = |tracing| FilmToLay {
        traced: film(tracing, &calibration),
        grey: None,
    };
    lay_over(View::Ap, ap(earlier), ap(later))
}

fn stretch(laid: &Registration) -> f64 {
    laid.projection.expect("of AP films").stretch
}

/// A tracing turned, enlarged, moved and, if asked, mirrored.
fn changed(tracing: &FilmTracing, degrees: f64, scale: f64, mirrored: bool) -> FilmTracing {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let moved = |at: FilmPoint| {
        let x = if mirrored { 900.0 - at.x_px } else { at.x_px };
        FilmPoint::new(
            scale * (cosine * x - sine * at.y_px) + 40.0,
            scale * (sine * x + cosine * at.y_px) - 25.0,
        )
    };
    let mut changed = tracing.clone();
    for placed in changed.points.values_mut() {
        placed.at = moved(placed.at);
    }
    for cortices in changed.cortices.values_mut() {
        for at in cortices.one.iter_mut().chain(&mut cortices.two) {
            *at = moved(*at);
        }
    }
    changed
}

#[test]
fn a_film_turned_enlarged_or_mirrored_is_laid_back_exactly() {
    let earlier = traced(deformed(Side::Right), &exposure());
    for (degrees, scale, mirrored) in [
        (20.0, 1.0, false),
        (-20.0, 1.15, false),
        (3.0, 1.0, true),
        (170.0, 0.7, true),
    ] {
        let later = changed(&earlier, degrees, scale, mirrored);
        let laid = laid(&earlier, &later).expect("the same foot");
        for (landmark, placed) in &earlier.points {
            let back = laid.on_earlier(later.points[landmark].at);
            let away = back.distance_px(placed.at);
            assert!(
                away < 1e-6,
                "{landmark}: {away} px, {degrees}°, mirrored {mirrored}"
            );
        }
        assert!(stretch(&laid).abs() < 1e-9, "the same direction");
    }
}

#[test]
fn another_foot_and_a_foot_with_one_bone_traced_are_refused() {
    let earlier = traced(deformed(Side::Right), &exposure());
    let mut other = deformed(Side::Right);
    other.metatarsal_lengths_mm = [60.0, 62.0, 74.0, 55.0, 69.0];
    let refused = laid(&earlier, &traced(other, &exposure())).expect_err("another foot");
    assert!(
        matches!(refused, NotLaidOver::TooDifferent { .. }),
        "{refused}"
    );
    let mut bare = earlier.clone();
    bare.points
        .retain(|landmark, _| landmark.identifier().starts_with("m2"));
    bare.cortices.clear();
    let refused = laid(&earlier, &bare).expect_err("one bone");
    assert_eq!(refused, NotLaidOver::TooFewBones { shared: 1 }, "{refused}");
}

#[test]
fn a_tube_tilted_otherwise_is_seen_in_the_stretch_and_explains_the_angle() {
    let parameters = deformed(Side::Left);
    let earlier = traced(parameters, &exposure());
    let calibration = calibration();
    for tilt in [5.0, 10.0, 20.0, 25.0] {
        let later = traced(
            parameters,
            &Exposure {
                tube_tilt_degrees: tilt,
                ..exposure()
            },
        );
        let laid = laid(&earlier, &later).expect("the same foot");
        let angle = |tracing: &FilmTracing| {
            let foot = MeasuredFoot {
                ap: Some(film(tracing, &calibration)),
                ..MeasuredFoot::default()
            };
            let choices = plumbray_measure::Choices {
                convention: Some(AxisConvention::HeadBase),
                ..plumbray_measure::Choices::default()
            };
            let measurement = plumbray_measure::Measurement::IntermetatarsalAngle12;
            let outcome = plumbray_measure::measure(&foot, &choices, measurement);
            outcome.reading().expect("an angle").value
        };
        let seen = angle(&later) - angle(&earlier);
        let told = laid
            .projection
            .expect("of AP films")
            .apparent_change_of(angle(&earlier));
        assert!(seen.signum() == told.signum(), "{tilt}°: {seen} and {told}");
        assert!(
            (seen - told).abs() < 0.15,
            "{tilt}°: {seen} seen, {told} told"
        );
    }
}

#[test]
fn the_head_is_found_to_have_moved_as_far_as_the_fragment_did() {
    for (side, shift_mm, turn_degrees) in [(Side::Right, 10.0, -4.0), (Side::Left, 6.0, 3.0)] {
        let before = traced(deformed(side), &exposure());
        let operation = Operation {
            shift_mm,
            medial_turn_degrees: 2.0,
            ..Operation::default()
        };
        let after = traced(
            FootParameters {
                operation: Some(operation),
                ..deformed(side)
            },
            &Exposure {
                positioning: Positioning {
                    turn_degrees,
                    ..Positioning::default()
                },
                ..exposure()
            },
        );
        let calibration = calibration();
        let [earlier, later] =
            [(&before, false), (&after, true)].map(|(tracing, operated)| MeasuredFoot {
                ap: Some(film(tracing, &calibration)),
                operated,
                ..MeasuredFoot::default()
            });
        let laid = laid(&before, &after);
        let moved = head_shift(&earlier, &later, laid.as_ref().map_err(Clone::clone))
            .expect("both are traced");
        let (mm, name) = moved.millimetres.expect("calibrated");
        assert_eq!(name, "at the detector", "whose millimetres");
        assert!(
            (mm.value - shift_mm).abs() < 1.0,
            "{} for {shift_mm}",
            mm.value
        );
        let turn = moved
            .turn_degrees
            .expect("the joint surface is traced")
            .value;
        assert!(turn < 0.0, "turned medially: {turn}");
        // Along the second metatarsal: the travel along a cut that leans by its tilt, on a bone that leans by
        // the intermetatarsal angle, less the burr's kerf.
        let lean = (15.0 + operation.cut_tilt_degrees).to_radians();
        let expected = shift_mm * lean.sin() - operation.kerf_mm * lean.cos();
        let length = moved.lengthening_millimetres.expect("calibrated").0.value;
        assert!((length - expected).abs() < 0.7, "{length} for {expected}");
    }
}
