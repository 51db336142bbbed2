//! What is absent is named, what is broken is named, and nothing ever reads NaN.

use plumbray_anatomy::{
    Calibration, FilmPoint, FilmTracing, Landmark, LongBone, Proportions, Sesamoid,
};
use plumbray_measure::{
    AxisConvention, AxisLevels, Choices, Foot, Measurement, Outcome, TracedFilm, measure, worksheet,
};
use proptest::prelude::*;

use crate::made_feet::{
    M1_BASE, MadeAngles, ap_only, ap_tracing, by, calibration, film, lateral_only, lateral_tracing,
    put,
};

#[track_caller]
fn why_not(foot: &Foot<'_>, choices: &Choices, measurement: Measurement) -> String {
    measure(foot, choices, measurement)
        .why_not()
        .expect("no number")
}

#[test]
fn a_foot_without_films_needs_films() {
    for row in worksheet(&Foot::default(), &Choices::default()).rows {
        let text = row.outcome.why_not().expect("no number");
        let expected = ["needs an AP film", "needs a lateral film"];
        assert!(expected.contains(&text.as_str()), "{text}");
    }
}

#[test]
fn each_absent_thing_is_named_and_all_of_them_at_once() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing.cortices.remove(&LongBone::M2);
    let foot = ap_only(&tracing);
    let of = |measurement| why_not(&foot, &Choices::default(), measurement);
    assert_eq!(
        of(Measurement::IntermetatarsalAngle12),
        "needs M2",
        "the shaft"
    );
    assert_eq!(
        of(Measurement::RelativeFirstMetatarsalLength),
        "needs M2 and a calibration of the AP film",
        "shaft and calibration"
    );
    assert_eq!(
        of(Measurement::M1Length),
        "needs a calibration of the AP film",
        "a length alone"
    );
    let nothing = FilmTracing::default();
    assert_eq!(
        why_not(
            &ap_only(&nothing),
            &Choices::default(),
            Measurement::HalluxValgusAngle
        ),
        "needs M1, the proximal phalanx and another metatarsal",
        "everything"
    );
}

#[test]
fn a_bone_that_nobody_touched_is_needed_as_a_whole_and_a_half_placed_one_by_its_end() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing.cortices.remove(&LongBone::M3);
    tracing.points.remove(&Landmark::Tip(LongBone::M3));
    let needed = |tracing: &FilmTracing| {
        why_not(
            &ap_only(tracing),
            &Choices::default(),
            Measurement::LengthRatioM3M2,
        )
    };
    assert_eq!(needed(&tracing), "needs the tip of M3", "the base is there");
    tracing.points.remove(&Landmark::BaseCentre(LongBone::M3));
    assert_eq!(needed(&tracing), "needs M3", "nothing is there");
}

#[test]
fn one_metatarsal_alone_cannot_tell_medial_from_lateral() {
    let mut tracing = ap_tracing(MadeAngles::default());
    for bone in [LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5] {
        tracing.cortices.remove(&bone);
        for landmark in Landmark::of_shaft(bone) {
            tracing.points.remove(&landmark);
        }
    }
    let foot = ap_only(&tracing);
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::DistalMetatarsalArticularAngle,
        Measurement::TibialSesamoidPosition,
    ] {
        let text = why_not(&foot, &Choices::default(), measurement);
        assert_eq!(text, "needs another metatarsal", "{measurement:?}");
    }
}

#[test]
fn the_head_convention_needs_the_head() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing.points.remove(&Landmark::HeadCentre);
    let text = why_not(
        &ap_only(&tracing),
        &by(AxisConvention::HeadBase),
        Measurement::HalluxValgusAngle,
    );
    assert_eq!(text, "needs the head of M1", "by name");
}

#[track_caller]
fn faults(foot: &Foot<'_>, choices: &Choices, measurement: Measurement) -> (Vec<String>, String) {
    match measure(foot, choices, measurement) {
        Outcome::Degenerate { landmarks, reason } => (landmarks, reason),
        other => panic!("{}: {other:?}", measurement.name()),
    }
}

#[test]
fn coincident_ends_of_a_bone_are_named() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let bone = LongBone::ProximalPhalanx;
    let base = tracing.points[&Landmark::BaseCentre(bone)].at;
    put(&mut tracing, Landmark::Tip(bone), [base.x_px, base.y_px]);
    let (landmarks, reason) = faults(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::HalluxValgusAngle,
    );
    assert_eq!(
        landmarks,
        [
            Landmark::BaseCentre(bone).name(),
            Landmark::Tip(bone).name()
        ],
        "both ends"
    );
    assert!(reason.contains("same spot"), "{reason}");
}

#[test]
fn an_axis_of_a_few_pixels_is_refused_with_its_landmarks() {
    let mut tracing = ap_tracing(MadeAngles::default());
    put(
        &mut tracing,
        Landmark::HeadCentre,
        [M1_BASE[0], M1_BASE[1] - 4.0],
    );
    let (landmarks, reason) = faults(
        &ap_only(&tracing),
        &by(AxisConvention::HeadBase),
        Measurement::HalluxValgusAngle,
    );
    assert!(
        landmarks.contains(&Landmark::HeadCentre.name()),
        "{landmarks:?}"
    );
    assert!(reason.contains("4.0 pixels"), "{reason}");
}

#[test]
fn a_coordinate_that_is_no_number_or_off_any_film_is_named() {
    for coordinate in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -2e6] {
        let mut tracing = ap_tracing(MadeAngles::default());
        put(&mut tracing, Landmark::ArticularLateral, [coordinate, 10.0]);
        let (landmarks, _) = faults(
            &ap_only(&tracing),
            &Choices::default(),
            Measurement::DistalMetatarsalArticularAngle,
        );
        assert_eq!(
            landmarks,
            [Landmark::ArticularLateral.name()],
            "{coordinate}"
        );
        let cortices = tracing.cortices.get_mut(&LongBone::M1).expect("made");
        cortices.two[3] = FilmPoint::new(5.0, coordinate);
        let (landmarks, _) = faults(
            &ap_only(&tracing),
            &Choices::default(),
            Measurement::HalluxValgusAngle,
        );
        assert_eq!(
            landmarks,
            ["Cortices of the first metatarsal"],
            "{coordinate}"
        );
    }
}

#[test]
fn an_impossible_spread_is_named() {
    for sd_px in [-1.0, f64::NAN, f64::INFINITY] {
        let mut tracing = lateral_tracing(30.0, 20.0, 15.0);
        let talus = tracing
            .points
            .get_mut(&Landmark::TalusAnterior)
            .expect("made");
        talus.sd_px = sd_px;
        let (landmarks, _) = faults(
            &lateral_only(&tracing),
            &Choices::default(),
            Measurement::TaloFirstMetatarsalAngle,
        );
        assert_eq!(landmarks, [Landmark::TalusAnterior.name()], "{sd_px}");
    }
    let tracing = ap_tracing(MadeAngles::default());
    let scale = Calibration {
        relative_sd: f64::NAN,
        ..calibration(0.15, Proportions::SQUARE)
    };
    let foot = Foot {
        ap: Some(TracedFilm {
            calibration: Some(&scale),
            ..film(&tracing)
        }),
        ..Foot::default()
    };
    let (landmarks, _) = faults(&foot, &Choices::default(), Measurement::M1Length);
    assert_eq!(landmarks, ["Calibration"], "its spread is no number");
}

#[test]
fn a_cortex_that_does_not_reach_a_level_is_named_with_its_bone() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing
        .cortices
        .get_mut(&LongBone::M1)
        .expect("made")
        .two
        .truncate(10);
    let (landmarks, reason) = faults(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::HalluxValgusAngle,
    );
    assert_eq!(landmarks, ["Cortices of the first metatarsal"], "the bone");
    assert!(
        reason.contains("second cortex does not reach 75 %"),
        "{reason}"
    );
}

#[test]
fn two_cortices_that_are_one_line_are_no_shaft() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let cortices = tracing.cortices.get_mut(&LongBone::M1).expect("made");
    cortices.two = cortices.one.clone();
    let (_, reason) = faults(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::HalluxValgusAngle,
    );
    assert!(reason.contains("coincide"), "{reason}");
}

#[test]
fn a_flat_sesamoid_is_named() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let [_, long_end, short_end] = Landmark::of_sesamoid(Sesamoid::Tibial);
    let along = tracing.points[&long_end];
    tracing.points.insert(short_end, along);
    let (landmarks, _) = faults(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::TibialSesamoidShare,
    );
    assert_eq!(landmarks.len(), 3, "{landmarks:?}");
}

#[test]
fn a_joint_surface_along_the_bone_is_named() {
    let mut tracing = ap_tracing(MadeAngles {
        intermetatarsal: 0.0,
        ..MadeAngles::default()
    });
    put(&mut tracing, Landmark::ArticularMedial, [M1_BASE[0], 600.0]);
    put(
        &mut tracing,
        Landmark::ArticularLateral,
        [M1_BASE[0], 500.0],
    );
    let (landmarks, reason) = faults(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::DistalMetatarsalArticularAngle,
    );
    assert_eq!(landmarks.len(), 2, "{landmarks:?}");
    assert!(reason.contains("along the axis"), "{reason}");
}

#[test]
fn metatarsals_in_one_line_tell_no_side() {
    let mut tracing = ap_tracing(MadeAngles::default());
    for bone in [LongBone::M3, LongBone::M4, LongBone::M5] {
        for landmark in Landmark::of_shaft(bone) {
            tracing.points.remove(&landmark);
        }
        tracing.cortices.remove(&bone);
    }
    let [first_base, first_tip] = [
        Landmark::BaseCentre(LongBone::M1),
        Landmark::Tip(LongBone::M1),
    ]
    .map(|landmark| tracing.points[&landmark].at);
    for (landmark, share) in [
        (Landmark::BaseCentre(LongBone::M2), 1.2),
        (Landmark::Tip(LongBone::M2), 2.2),
    ] {
        let at = first_base.toward(first_tip, share);
        put(&mut tracing, landmark, [at.x_px, at.y_px]);
    }
    let (landmarks, _) = faults(
        &ap_only(&tracing),
        &by(AxisConvention::HeadBase),
        Measurement::HalluxValgusAngle,
    );
    assert_eq!(
        landmarks,
        ["The first metatarsal", "The second metatarsal"],
        "the two that were used"
    );
}

#[test]
fn levels_that_do_not_fit_the_bone_are_refused() {
    let tracing = ap_tracing(MadeAngles::default());
    let scale = calibration(0.15, Proportions::SQUARE);
    let foot = Foot {
        ap: Some(TracedFilm {
            calibration: Some(&scale),
            ..film(&tracing)
        }),
        ..Foot::default()
    };
    for metatarsal_mm in [0.0, -3.0, 31.5, f64::NAN, f64::INFINITY] {
        let choices = Choices {
            levels_mm: AxisLevels {
                metatarsal_mm,
                ..AxisLevels::default()
            },
            ..by(AxisConvention::MidDiaphysealMm)
        };
        let outcome = measure(&foot, &choices, Measurement::HalluxValgusAngle);
        assert_eq!(outcome.status(), "refused", "{metatarsal_mm}: {outcome:?}");
    }
}

/// A number that no film holds, or an ordinary one.
fn any_coordinate() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => 0.0..1000.0f64,
        1 => prop::sample::select(vec![
            0.0, -0.0, 300.0, 1e-300, 1e6, -1e6, 1e308, f64::MIN_POSITIVE, f64::NAN, f64::INFINITY,
        ]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn no_tracing_reads_a_number_that_is_none(
        changes in prop::collection::vec((0usize..60, any_coordinate(), any_coordinate()), 0..12),
        vertices in prop::collection::vec((0usize..7, 0usize..19, any_coordinate()), 0..8),
        operated in any::<bool>(),
    ) {
        let mut tracings = [ap_tracing(MadeAngles::default()), lateral_tracing(30.0, 20.0, 15.0)];
        let scale = calibration(0.15, Proportions::SQUARE);
        for tracing in &mut tracings {
            for (which, x, y) in &changes {
                let landmarks: Vec<Landmark> = tracing.points.keys().copied().collect();
                put(tracing, landmarks[which % landmarks.len()], [*x, *y]);
            }
            for (bone, vertex, coordinate) in &vertices {
                if let Some(cortices) = tracing.cortices.get_mut(&LongBone::ALL[*bone]) {
                    cortices.one[*vertex].x_px = *coordinate;
                }
            }
        }
        let traced = |tracing| TracedFilm { calibration: Some(&scale), ..film(tracing) };
        let foot = Foot {
            ap: Some(traced(&tracings[0])),
            lateral: Some(traced(&tracings[1])),
            operated,
        };
        for convention in AxisConvention::ALL {
            for row in worksheet(&foot, &by(convention)).rows {
                if let Outcome::Value(reading) = row.outcome {
                    let numbers = [reading.value, reading.sd, reading.interval.0, reading.interval.1];
                    prop_assert!(
                        numbers.iter().all(|number| number.is_finite()),
                        "{}: {:?}", row.measurement.name(), numbers
                    );
                }
            }
        }
    }
}
