//! The truth of simulated films, from outside.

use std::sync::LazyLock;

use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Proportions, Side, View};
use plumbray_measure::{
    AxisConvention, Choices, Foot as MeasuredFoot, Measurement, TracedFilm, measure,
    side_from_bones,
};
use plumbray_phantom::{
    Exposure, FilmTruth, Foot, FootParameters, FootTruth, Operation, truth_of_ap,
    truth_of_ap_of_both, truth_of_lateral,
};
use proptest::prelude::*;

fn moderate(side: Side) -> FootParameters {
    FootParameters {
        side,
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 14.0,
        distal_metatarsal_articular_angle: 9.0,
        sesamoid_displacement: 0.62,
        ..FootParameters::default()
    }
}

fn foot_of(parameters: FootParameters) -> Foot {
    Foot::new(parameters).expect("possible parameters")
}

/// The truths of a moderate deformity, left and right.
static MODERATE: LazyLock<[[FilmTruth; 2]; 2]> =
    LazyLock::new(|| [Side::Left, Side::Right].map(|side| truths(&foot_of(moderate(side)))));

fn moderate_truths(side: Side) -> &'static [FilmTruth; 2] {
    match side {
        Side::Left => &MODERATE[0],
        Side::Right => &MODERATE[1],
    }
}

fn truths(foot: &Foot) -> [FilmTruth; 2] {
    let exposure = Exposure::default();
    [
        truth_of_ap(foot, &exposure),
        truth_of_lateral(foot, &exposure),
    ]
    .map(|truth| truth.expect("a truth"))
}

fn value_in_space(truth: &FilmTruth, measurement: Measurement) -> f64 {
    let value = &truth.feet[0].values[&measurement];
    value.in_space.expect("a value in space")
}

fn assert_in_space_as_asked([ap, lateral]: &[FilmTruth; 2]) {
    let parameters = &ap.feet[0].parameters;
    let shown_share = (100.0 * parameters.sesamoid_displacement).clamp(0.0, 100.0);
    let lengths = parameters.metatarsal_lengths_mm;
    for (truth, measurement, expected) in [
        (
            ap,
            Measurement::HalluxValgusAngle,
            parameters.hallux_valgus_angle,
        ),
        (
            ap,
            Measurement::IntermetatarsalAngle12,
            parameters.intermetatarsal_angle_1_2,
        ),
        (
            ap,
            Measurement::DistalMetatarsalArticularAngle,
            parameters.distal_metatarsal_articular_angle,
        ),
        (
            ap,
            Measurement::HalluxInterphalangealAngle,
            parameters.hallux_interphalangeal_angle,
        ),
        (ap, Measurement::TibialSesamoidShare, shown_share),
        (ap, Measurement::M1Length, lengths[0]),
        (ap, Measurement::M2Length, lengths[1]),
        (ap, Measurement::M3Length, lengths[2]),
        (ap, Measurement::M4Length, lengths[3]),
        (ap, Measurement::M5Length, lengths[4]),
        (ap, Measurement::LengthRatioM3M2, lengths[2] / lengths[1]),
        (
            lateral,
            Measurement::TaloFirstMetatarsalAngle,
            parameters.talo_first_metatarsal_angle,
        ),
        (
            lateral,
            Measurement::FirstMetatarsalInclinationAngle,
            parameters.first_metatarsal_inclination,
        ),
        (
            lateral,
            Measurement::CalcanealInclinationAngle,
            parameters.calcaneal_inclination,
        ),
    ] {
        let value = value_in_space(truth, measurement);
        assert!(
            (value - expected).abs() < 1e-6,
            "{measurement:?}: {value} instead of {expected}"
        );
    }
}

#[test]
fn the_values_in_space_are_the_parameters_that_were_asked_for() {
    for side in [Side::Left, Side::Right] {
        assert_in_space_as_asked(moderate_truths(side));
    }
    let unusual = FootParameters {
        hallux_valgus_angle: -7.5,
        distal_metatarsal_articular_angle: -4.0,
        sesamoid_displacement: 1.3,
        first_metatarsal_inclination: 17.0,
        talo_first_metatarsal_angle: -12.0,
        metatarsal_lengths_mm: [60.0, 74.0, 70.0, 66.0, 58.0],
        first_ray_pronation: 18.0,
        metatarsus_adductus_angle: 24.0,
        individual: 7,
        ..FootParameters::default()
    };
    assert_in_space_as_asked(&truths(&foot_of(unusual)));
}

/// What the engine measures on a tracing, by a convention or the default.
fn measured(
    truth: &FilmTruth,
    foot: &FootTruth,
    measurement: Measurement,
    convention: Option<AxisConvention>,
) -> Option<f64> {
    let calibration = truth.calibration(foot).expect("a possible spacing");
    let film = TracedFilm {
        tracing: &foot.tracing,
        proportions: Proportions::SQUARE,
        calibration: Some(&calibration),
    };
    let measured = MeasuredFoot {
        ap: (truth.view == View::Ap).then_some(film),
        lateral: (truth.view == View::Lateral).then_some(film),
        operated: false,
    };
    let choices = Choices {
        convention,
        ..Choices::default()
    };
    let outcome = measure(&measured, &choices, measurement);
    outcome.reading().map(|reading| reading.value)
}

/// Landmarks that serve few numbers, and that the phantom does not place: all but the corners of bases and heads and
/// the borders of heads.
const fn is_left_out(landmark: Landmark) -> bool {
    landmark.is_seldom_asked_for()
        && !matches!(
            landmark,
            Landmark::BaseMedial(_)
                | Landmark::BaseLateral(_)
                | Landmark::DistalMedial(_)
                | Landmark::DistalLateral(_)
                | Landmark::HeadMedialEdge
                | Landmark::FifthHeadLateralEdge
        )
}

/// Measurements that lean on such landmarks.
const fn is_seldom_asked_for(measurement: Measurement) -> bool {
    matches!(
        measurement,
        Measurement::MetatarsusAdductusAngle
            | Measurement::MetatarsusAdductusAngleModified
            | Measurement::SecondMetatarsalCuneiformAngle
            | Measurement::SesamoidLineAtM4
            | Measurement::M1ReachByArcs
            | Measurement::M3ReachByArcs
            | Measurement::M4ReachByArcs
            | Measurement::M5ReachByArcs
            | Measurement::SagittalIntermetatarsalAngle
            | Measurement::FirstMetatarsalElevation
            | Measurement::FirstMetatarsalElevationGain
            | Measurement::MedialCuneiformHeight
            | Measurement::FragmentShift
            | Measurement::FragmentShiftRatio
            | Measurement::FragmentTilt
    )
}

#[test]
fn every_projected_value_is_what_the_engine_reads_on_the_tracing_of_the_file() {
    for truth in moderate_truths(Side::Left) {
        let text = ron::to_string(truth).expect("words");
        let loaded: FilmTruth = ron::from_str(&text).expect("the same truth");
        let foot = &loaded.feet[0];
        for measurement in Measurement::ALL {
            let Some(value) = foot.values.get(&measurement) else {
                let is_elsewhere = measurement.view() != truth.view;
                assert!(
                    is_elsewhere || is_seldom_asked_for(measurement),
                    "{measurement:?}"
                );
                continue;
            };
            let by_default = measured(&loaded, foot, measurement, None);
            let (by_default, projected) = by_default.zip(value.projected).expect("a value");
            assert!((by_default - projected).abs() < 1e-6, "{measurement:?}");
            let conventions: Vec<AxisConvention> = value.by_convention.keys().copied().collect();
            assert_eq!(conventions, measurement.conventions(), "{measurement:?}");
            for (convention, value) in &value.by_convention {
                let read =
                    measured(&loaded, foot, measurement, Some(*convention)).expect("a value");
                assert!(
                    (read - value).abs() < 1e-6,
                    "{measurement:?} {convention:?}"
                );
            }
        }
    }
}

#[test]
fn the_film_shows_nearly_what_was_asked_for_on_either_side() {
    for side in [Side::Left, Side::Right] {
        let [ap, lateral] = moderate_truths(side);
        // The tilted tube and the fall of the bones change the angles on the film by a few degrees.
        for (truth, measurement, expected, within) in [
            (ap, Measurement::HalluxValgusAngle, 32.0, 3.0),
            (ap, Measurement::IntermetatarsalAngle12, 14.0, 2.0),
            (ap, Measurement::DistalMetatarsalArticularAngle, 9.0, 3.0),
            (ap, Measurement::HalluxInterphalangealAngle, 8.0, 3.0),
            (lateral, Measurement::TaloFirstMetatarsalAngle, -2.0, 3.0),
            (lateral, Measurement::CalcanealInclinationAngle, 21.0, 3.0),
            (
                lateral,
                Measurement::FirstMetatarsalInclinationAngle,
                21.0,
                2.0,
            ),
        ] {
            let value = truth.feet[0].values[&measurement]
                .projected
                .expect("a value");
            assert!(
                (value - expected).abs() < within,
                "{side:?} {measurement:?}: {value} instead of {expected}"
            );
        }
        let film = TracedFilm {
            tracing: &ap.feet[0].tracing,
            proportions: Proportions::SQUARE,
            calibration: None,
        };
        assert_eq!(side_from_bones(film), Some(side), "the side of the bones");
    }
}

#[test]
fn a_left_foot_has_the_truth_of_a_right_one_mirrored() {
    // Pixels that divide the field, so that both films are as wide as it.
    let exposure = Exposure {
        pixel_mm: 0.2,
        ..Exposure::default()
    };
    let [left, right] = [Side::Left, Side::Right].map(|side| {
        let foot = foot_of(moderate(side));
        [
            truth_of_ap(&foot, &exposure),
            truth_of_lateral(&foot, &exposure),
        ]
        .map(|truth| truth.expect("a truth"))
    });
    for (left, right) in left.iter().zip(&right) {
        let width = f64::from(u32::try_from(left.width_px).expect("some thousand pixels"));
        for (landmark, placed) in &left.feet[0].tracing.points {
            let other = right.feet[0].tracing.point(*landmark).expect("on both");
            let mirrored = FilmPoint::new(width - placed.at.x_px, placed.at.y_px);
            // The ends of an ellipse's axes may change places with their opposites.
            let is_end = landmark.identifier().ends_with("_end");
            let off = mirrored.distance_px(other);
            assert!(is_end || off < 2e-3, "{landmark}: {off} px");
        }
        assert_eq!(left.feet[0].places_mm, right.feet[0].places_mm, "places");
        for (measurement, value) in &left.feet[0].values {
            let other = right.feet[0].values[measurement].projected;
            let (one, other) = (value.projected.expect("one"), other.expect("other"));
            assert!(
                (one - other).abs() < 1e-3,
                "{measurement:?}: {one}, {other}"
            );
        }
    }
}

#[test]
fn the_articular_ends_lie_on_the_head_circle() {
    let [ap, _] = moderate_truths(Side::Right);
    let tracing = &ap.feet[0].tracing;
    let at = |landmark| tracing.point(landmark).expect("placed");
    let pixel_mm = ap.exposure.pixel_mm;
    let radius = at(Landmark::HeadCentre).distance_px(at(Landmark::HeadEdge));
    for end in [Landmark::ArticularMedial, Landmark::ArticularLateral] {
        let off = (at(Landmark::HeadCentre).distance_px(at(end)) - radius) * pixel_mm;
        assert!(off.abs() < 1.0, "{end}: {off} mm off the circle");
    }
}

#[test]
fn a_file_of_one_foot_is_small_and_gives_the_same_truth_again() {
    let folder = tempfile::tempdir().expect("a folder");
    for truth in moderate_truths(Side::Right) {
        let path = folder.path().join("film.truth.ron");
        truth.write(&path).expect("written");
        let text = std::fs::read_to_string(&path).expect("readable");
        assert!(text.len() < 60_000, "{} bytes", text.len());
        let loaded: FilmTruth = ron::from_str(&text).expect("the truth");
        assert_eq!(&loaded, truth, "the truth as it was written");
    }
}

#[test]
fn a_file_that_names_an_unknown_measurement_or_convention_is_refused() {
    let [ap, _] = moderate_truths(Side::Left);
    let text = ron::to_string(ap).expect("words");
    for (from, to) in [
        ("hallux_valgus_angle_degrees", "bunion_degrees"),
        ("head_base", "head_to_toe"),
    ] {
        let error = ron::from_str::<FilmTruth>(&text.replace(from, to)).expect_err("unknown");
        assert!(error.to_string().contains(to), "{error}");
    }
}

#[test]
fn an_operated_foot_is_traced_part_by_part_and_read_from_base_to_head() {
    let foot = foot_of(FootParameters {
        operation: Some(Operation::default()),
        ..moderate(Side::Right)
    });
    let [ap, lateral] = truths(&foot);
    for truth in [&ap, &lateral] {
        let foot = &truth.feet[0];
        for landmark in Landmark::all() {
            let is_there = foot.tracing.point(landmark).is_some();
            let expected = landmark.is_on(truth.view) && !is_left_out(landmark);
            assert_eq!(is_there, expected, "{landmark}");
        }
        for contour in ["m1", "m1_fragment"] {
            let outline = &foot.contours_px[contour];
            assert_eq!(outline.first(), outline.last(), "{contour} is closed");
        }
    }
    let angles = foot.corrected_angles().by_head_and_base;
    for (measurement, expected) in [
        (Measurement::HalluxValgusAngle, angles.hallux_valgus_angle),
        (
            Measurement::IntermetatarsalAngle12,
            angles.intermetatarsal_angle_1_2,
        ),
    ] {
        let value = &ap.feet[0].values[&measurement];
        let in_space = value.in_space.expect("a value in space");
        assert!((in_space - expected).abs() < 1e-6, "{measurement:?}");
        let by_head = value.by_convention[&AxisConvention::HeadBase];
        assert_eq!(
            value.projected,
            Some(by_head),
            "{measurement:?}: the default"
        );
        // The distal quarter lies in the fragment.
        let quarters = value
            .by_convention
            .get(&AxisConvention::MidDiaphysealQuarters);
        assert_eq!(quarters, None, "{measurement:?}: refused");
        assert!(
            (by_head - in_space).abs() < 4.0,
            "{measurement:?}: {value:?}"
        );
    }
}

#[test]
fn both_feet_on_one_film_have_each_the_truth_of_its_own() {
    let [left, right] = [Side::Left, Side::Right].map(|side| foot_of(moderate(side)));
    let both = truth_of_ap_of_both(&left, &right, &Exposure::default()).expect("a truth");
    let sides: Vec<Side> = both.feet.iter().map(|foot| foot.side).collect();
    assert_eq!(sides, [Side::Left, Side::Right], "left on the left");
    let middle = f64::from(u32::try_from(both.width_px / 2).expect("some thousand pixels"));
    for foot in &both.feet {
        for (landmark, placed) in &foot.tracing.points {
            assert_eq!(
                placed.at.x_px < middle,
                foot.side == Side::Left,
                "{landmark}"
            );
        }
    }
}

/// Parameters over most of the range in which a foot can be built.
fn parameters() -> impl Strategy<Value = FootParameters> {
    let angles = (
        -5.0..45.0_f64,
        4.0..19.0_f64,
        -5.0..20.0_f64,
        -4.0..20.0_f64,
    );
    let rest = (
        -0.3..1.3_f64,
        17.0..26.0_f64,
        -12.0..8.0_f64,
        14.0..28.0_f64,
    );
    (any::<bool>(), angles, rest).prop_map(|(is_left, angles, rest)| FootParameters {
        side: if is_left { Side::Left } else { Side::Right },
        hallux_valgus_angle: angles.0,
        intermetatarsal_angle_1_2: angles.1,
        distal_metatarsal_articular_angle: angles.2,
        hallux_interphalangeal_angle: angles.3,
        sesamoid_displacement: rest.0,
        first_metatarsal_inclination: rest.1,
        talo_first_metatarsal_angle: rest.2,
        calcaneal_inclination: rest.3,
        ..FootParameters::default()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_landmark_of_an_unoperated_foot_is_in_its_truth_and_on_its_film(
        parameters in parameters()
    ) {
        let feet = truths(&foot_of(parameters));
        for truth in &feet {
            let [width, height] = [truth.width_px, truth.height_px]
                .map(|size| f64::from(u32::try_from(size).expect("some thousand pixels")));
            let is_on_film = |x: f64, y: f64| (0.0..=width).contains(&x) && (0.0..=height).contains(&y);
            let foot = &truth.feet[0];
            for landmark in Landmark::all() {
                let is_expected = landmark.is_on(truth.view)
                    && landmark != Landmark::OsteotomyLevel
                    && !is_left_out(landmark);
                let at = foot.tracing.point(landmark);
                prop_assert_eq!(at.is_some(), is_expected, "{}", landmark);
                if let Some(at) = at {
                    prop_assert!(is_on_film(at.x_px, at.y_px), "{}: {:?}", landmark, at);
                }
            }
            let bones: &[LongBone] = match truth.view {
                View::Ap => &LongBone::ALL,
                View::Lateral => &[LongBone::M1],
            };
            for bone in bones {
                let outline = &foot.contours_px[bone.identifier()];
                prop_assert_eq!(outline.first(), outline.last(), "closed: {:?}", bone);
                for [x, y] in outline {
                    prop_assert!(is_on_film(*x, *y), "{:?}: {}, {}", bone, x, y);
                }
                prop_assert_eq!(foot.tracing.cortices[bone].one.len(), 39, "{:?}", bone);
            }
            prop_assert!(
                foot.values.values().all(|value| value.projected.is_some()),
                "a value for every measurement of the view"
            );
        }
    }
}
