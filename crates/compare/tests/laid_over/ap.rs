//! AP films that show less than the whole forefoot.

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint, Similarity, Tracing, View,
};
use plumbray_compare::{
    Comparison, NotLaidOver, Occasion, Pair, Registration, Visit, compare, lay_over,
};
use plumbray_measure::AxisConvention;
use plumbray_phantom::{Exposure, Foot, FootParameters, Operation, Positioning, render_ap};
use plumbray_study::{ContentHash, FilmRecord, Study};

use crate::simulated::{Film, seen};

const PIXEL_MM: f64 = 0.3;

fn parameters() -> FootParameters {
    FootParameters {
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 15.0,
        sesamoid_displacement: 0.7,
        ..FootParameters::default()
    }
}

fn film(parameters: FootParameters, turn_degrees: f64) -> Film {
    let foot = Foot::new(parameters).expect("a possible foot");
    let exposure = Exposure {
        pixel_mm: PIXEL_MM,
        positioning: Positioning {
            turn_degrees,
            obliquity_degrees: 1.0,
        },
        ..Exposure::default()
    };
    Film::of(render_ap(&foot, &exposure).expect("a possible film"))
}

/// How far base and tip of the second and third metatarsal then lie apart: root of the mean square in mm.
fn apart_mm(laid: &Registration, earlier: &FilmTracing, later: &FilmTracing) -> f64 {
    let landmarks = [LongBone::M2, LongBone::M3]
        .into_iter()
        .flat_map(|bone| [Landmark::BaseCentre(bone), Landmark::Tip(bone)]);
    let squares: f64 = landmarks
        .map(|landmark| {
            let back = laid.on_earlier(later.points[&landmark].at);
            back.distance_px(earlier.points[&landmark].at).powi(2)
        })
        .sum();
    PIXEL_MM * (squares / 4.0).sqrt()
}

#[test]
fn a_film_cut_to_the_forefoot_is_laid_over_while_two_metatarsals_are_whole_and_else_refused() {
    let earlier = film(parameters(), 0.0);
    let later = film(parameters(), 3.0);
    let mut bases: Vec<f64> = [LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5]
        .map(|bone| later.tracing.points[&Landmark::BaseCentre(bone)].at.y_px)
        .to_vec();
    bases.sort_by(f64::total_cmp);
    let cut_at =
        |y_px: f64| later.seen(&Similarity::IDENTITY, later.size, move |at| at.y_px < y_px);
    let cropped = cut_at(f64::midpoint(bases[1], bases[2]));
    let laid = lay_over(View::Ap, earlier.to_lay(), cropped.to_lay()).expect("two whole ones");
    let away = apart_mm(&laid, &earlier.tracing, &later.tracing);
    assert!(away < 1.5, "{away} mm");
    let without_bases = cut_at(bases[0] - 5.0);
    let refused = lay_over(View::Ap, earlier.to_lay(), without_bases.to_lay())
        .expect_err("no whole metatarsal");
    assert_eq!(refused, NotLaidOver::TooFewBones { shared: 0 }, "{refused}");
    assert!(
        refused.to_string().contains("from base to tip"),
        "{refused}"
    );
}

/// A frame from theatre: small, round, turned and uncalibrated, with three rays upon it.
fn frame(of: &Film) -> (Film, FilmTracing) {
    let middle = |bone| {
        let at = |landmark: Landmark| {
            let at = of.tracing.points[&landmark].at;
            PhysicalPoint::new(at.x_px, at.y_px)
        };
        at(Landmark::BaseCentre(bone)).midpoint(at(Landmark::Tip(bone)))
    };
    let middle = middle(LongBone::M2).midpoint(middle(LongBone::M3));
    let centred = Similarity::new(PhysicalPoint::default(), 1.4, 0.65, false);
    let origin = PhysicalPoint::new(256.0, 256.0) - centred.of(middle);
    let map = Similarity::new(
        PhysicalPoint::new(origin.x, origin.y),
        centred.scale(),
        centred.turn(),
        false,
    );
    // The edge crosses the strips that are compared, behind the bases and before the tips.
    let is_in_field = |at: FilmPoint| at.distance_px(FilmPoint::new(256.0, 256.0)) < 195.0;
    let mut frame = of.seen(&map, [512, 512], is_in_field);
    let is_traced = |bone: LongBone| matches!(bone, LongBone::M1 | LongBone::M2 | LongBone::M3);
    let traced = LongBone::ALL.into_iter().filter(|bone| is_traced(*bone));
    let landmarks: Vec<Landmark> = traced.flat_map(Landmark::of_shaft).collect();
    frame
        .tracing
        .points
        .retain(|landmark, _| landmarks.contains(landmark));
    frame.tracing.cortices.retain(|bone, _| is_traced(*bone));
    (frame, seen(&of.tracing, &map))
}

fn operated() -> FootParameters {
    FootParameters {
        operation: Some(Operation::default()),
        ..parameters()
    }
}

#[test]
fn a_round_frame_from_theatre_is_laid_over_without_being_drawn_to_its_edge() {
    let earlier = film(parameters(), 0.0);
    let (frame, truth) = frame(&film(operated(), -3.0));
    let laid = lay_over(View::Ap, earlier.to_lay(), frame.to_lay()).expect("the same foot");
    assert!(laid.is_refined, "the search settles");
    let away = apart_mm(&laid, &earlier.tracing, &truth);
    assert!(away < 0.5, "{away} mm");
    // A frame that is the earlier one has no millimetre of its own.
    let back = lay_over(View::Ap, frame.to_lay(), earlier.to_lay()).expect("the other way");
    assert_eq!(back.residual.millimetres, None, "not calibrated");
    let turn = laid.earlier_from_later.turn() + back.earlier_from_later.turn();
    assert!(turn.to_degrees().abs() < 0.5, "there and back: {turn}");
}

fn study(film: &Film, operated: bool) -> Study {
    let mut study = Study {
        ap: Some(FilmRecord {
            file: "film.dcm".to_owned(),
            hash: ContentHash::of_bytes(&[]),
            picture: std::num::NonZeroU32::MIN,
            width_px: film.size[0],
            height_px: film.size[1],
            proportions: plumbray_anatomy::Proportions::SQUARE,
            calibration: film.calibration,
            date: None,
        }),
        tracing: Tracing {
            ap: film.tracing.clone(),
            ..Tracing::default()
        },
        ..Study::default()
    };
    study.visit.operated = operated;
    study
}

#[test]
fn a_frame_from_theatre_is_measured_but_bears_no_result_and_no_millimetre() {
    let before = film(parameters(), 0.0);
    let (frame, _) = frame(&film(operated(), -3.0));
    let studies = [study(&before, false), study(&frame, true)];
    let visits = [
        (&studies[0], Occasion::Before),
        (&studies[1], Occasion::InTheatre),
    ]
    .map(|(study, occasion)| Visit {
        study,
        occasion,
        called: None,
    });
    let pair = Pair {
        earlier: 0,
        later: 1,
    };
    let laid_over = |_| lay_over(View::Ap, before.to_lay(), frame.to_lay());
    let compared: Comparison = compare(&visits, pair, AxisConvention::HeadBase, &laid_over);
    assert!(!compared.visits[1].is_result, "no result");
    assert!(
        compared.corrections.is_empty(),
        "{:?}",
        compared.corrections
    );
    assert!(compared.lost.is_empty(), "{:?}", compared.lost);
    let warned = |words: &str| {
        compared
            .warnings
            .iter()
            .any(|warning| warning.contains(words))
    };
    assert!(
        warned("bore no weight (in theatre)"),
        "{:?}",
        compared.warnings
    );
    assert!(!warned("not laid over"), "{:?}", compared.warnings);
    for row in &compared.rows {
        let is_mm = row.measurement.unit() == plumbray_measure::Unit::Millimetres;
        let read = row.outcomes[1].reading();
        assert!(
            !is_mm || read.is_none(),
            "{:?} in millimetres on a film that is not calibrated",
            row.measurement
        );
    }
}
