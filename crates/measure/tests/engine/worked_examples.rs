//! The worked examples of docs/measurements.md. Their numbers come from a recomputation outside Rust,
//! with derivatives by central differences.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PixelSpacing, Proportions, testing::assert_close,
};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm, measure};

use crate::made_feet::{by, film_point, lateral_only, put, reading};

fn with_spread(tracing: &mut FilmTracing, sd_px: f64) {
    for placed in tracing.points.values_mut() {
        placed.sd_px = sd_px;
    }
}

pub(crate) fn polyline(places: &[[f64; 2]]) -> Vec<FilmPoint> {
    places.iter().map(|place| film_point(*place)).collect()
}

pub(crate) fn ap_example() -> FilmTracing {
    let mut tracing = FilmTracing::default();
    for (name, place) in [
        ("m1_base_centre", [300.0, 750.0]),
        ("m1_tip", [210.0, 400.0]),
        ("m1_head_centre", [220.0, 445.0]),
        ("m1_articular_medial", [165.0, 385.0]),
        ("m1_articular_lateral", [272.0, 398.0]),
        ("m2_base_centre", [420.0, 740.0]),
        ("m2_tip", [425.0, 330.0]),
        ("proximal_phalanx_base_centre", [205.0, 385.0]),
        ("proximal_phalanx_tip", [255.0, 245.0]),
        ("distal_phalanx_base_centre", [262.0, 232.0]),
        ("distal_phalanx_tip", [310.0, 140.0]),
        ("tibial_sesamoid_centre", [247.0, 478.0]),
        ("tibial_sesamoid_long_end", [237.0, 445.0]),
        ("tibial_sesamoid_short_end", [268.0, 484.0]),
    ] {
        put(&mut tracing, name.parse::<Landmark>().expect(name), place);
    }
    with_spread(&mut tracing, 1.0);
    for (bone, one, two) in [
        (
            LongBone::M1,
            polyline(&[
                [262.0, 735.0],
                [248.0, 650.0],
                [228.0, 560.0],
                [205.0, 470.0],
                [195.0, 430.0],
            ]),
            polyline(&[
                [338.0, 725.0],
                [315.0, 650.0],
                [298.0, 560.0],
                [285.0, 480.0],
                [272.0, 430.0],
            ]),
        ),
        (
            LongBone::M2,
            polyline(&[
                [395.0, 700.0],
                [398.0, 600.0],
                [402.0, 500.0],
                [398.0, 380.0],
            ]),
            polyline(&[
                [450.0, 700.0],
                [444.0, 600.0],
                [448.0, 500.0],
                [452.0, 380.0],
            ]),
        ),
        (
            LongBone::ProximalPhalanx,
            polyline(&[[172.0, 380.0], [190.0, 330.0], [215.0, 250.0]]),
            polyline(&[[240.0, 370.0], [250.0, 330.0], [282.0, 262.0]]),
        ),
        (
            LongBone::DistalPhalanx,
            polyline(&[[235.0, 225.0], [258.0, 190.0], [282.0, 150.0]]),
            polyline(&[[290.0, 225.0], [305.0, 190.0], [325.0, 160.0]]),
        ),
    ] {
        let cortices = Cortices {
            one,
            two,
            sd_px: 0.5,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Imported,
        };
        tracing.cortices.insert(bone, cortices);
    }
    tracing
}

fn tall_calibration() -> Calibration {
    Calibration {
        spacing: PixelSpacing::new(0.168, 0.14).expect("possible"),
        basis: CalibrationBasis::FileByFiducial,
        relative_sd: 0.01,
    }
}

/// Value and standard deviation of a measurement by every convention, in the order of
/// `AxisConvention::ALL`.
const BY_CONVENTION: [(Measurement, [(f64, f64); 5]); 4] = [
    (
        Measurement::HalluxValgusAngle,
        [
            (26.123_421_807_134, 0.249_483_387),
            (26.211_467_982_844, 0.268_967_206),
            (26.271_854_188_857, 0.274_725_209),
            (28.741_790_437_021, 0.309_546_562),
            (30.209_359_264_792, 0.315_879_571),
        ],
    ),
    (
        Measurement::IntermetatarsalAngle12,
        [
            (10.508_125_707_478, 0.145_674_568),
            (10.380_337_905_673, 0.141_404_487),
            (10.822_538_402_470, 0.181_895_768),
            (13.126_494_337_365, 0.234_090_140),
            (14.594_063_165_136, 0.242_402_605),
        ],
    ),
    (
        Measurement::DistalMetatarsalArticularAngle,
        [
            (18.006_341_281_226, 0.904_212_714),
            (18.010_557_827_608, 0.904_431_841),
            (17.984_159_107_361, 0.906_592_316),
            (20.624_709_911_113, 0.922_592_947),
            (22.092_278_738_885, 0.924_737_031),
        ],
    ),
    (
        Measurement::TibialSesamoidShare,
        [
            (52.234_268_639_773, 2.775_217_104),
            (52.261_557_007_838, 2.779_746_146),
            (51.728_593_842_750, 2.762_845_551),
            (97.102_551_472_149, 6.082_674_180),
            (94.908_542_366_384, 6.136_366_723),
        ],
    ),
];

/// Value and standard deviation of what does not depend on the first metatarsal's axis, by the
/// quarters.
const BY_QUARTERS: [(Measurement, f64, f64); 6] = [
    (
        Measurement::HalluxInterphalangealAngle,
        9.062_514_429_954,
        0.426_759_469,
    ),
    (Measurement::M1Length, 60.134_848_465_761, 0.645_995_953),
    (Measurement::M2Length, 68.883_556_818_736, 0.728_656_750),
    (
        Measurement::LengthRatioM1M2,
        0.872_992_790_195,
        0.004_561_037,
    ),
    (
        Measurement::RelativeFirstMetatarsalLength,
        -12.177_414_635_001,
        0.270_219_601,
    ),
    (
        Measurement::RelativeFirstMetatarsalLengthRatio,
        -0.176_782_605_275,
        0.003_251_021,
    ),
];

pub(crate) fn on_tall_pixels(tracing: &FilmTracing, check: impl Fn(&Foot<'_>)) {
    let calibration = tall_calibration();
    let foot = Foot {
        ap: Some(TracedFilm {
            tracing,
            proportions: Proportions::new(1.2).expect("possible"),
            calibration: Some(&calibration),
        }),
        ..Foot::default()
    };
    check(&foot);
}

#[test]
fn the_ap_example_reads_as_recomputed_by_every_convention() {
    on_tall_pixels(&ap_example(), |foot| {
        for (measurement, expected) in BY_CONVENTION {
            for (convention, (value, sd)) in AxisConvention::ALL.into_iter().zip(expected) {
                let reading = reading(foot, &by(convention), measurement);
                let what = format!("{} by {}", measurement.name(), convention.identifier());
                assert_close(reading.value, value, 1e-9, &what);
                assert_close(reading.sd, sd, 1e-6, &format!("spread of {what}"));
            }
        }
    });
}

#[test]
fn lengths_and_the_toes_second_angle_read_as_recomputed() {
    on_tall_pixels(&ap_example(), |foot| {
        for (measurement, value, sd) in BY_QUARTERS {
            for convention in [
                AxisConvention::MidDiaphysealQuarters,
                AxisConvention::HeadBase,
            ] {
                let reading = reading(foot, &by(convention), measurement);
                assert_close(reading.value, value, 1e-9, measurement.name());
                assert_close(reading.sd, sd, 1e-6, measurement.name());
                let is_labelled_quarters = reading
                    .convention
                    .is_none_or(|by| by == AxisConvention::MidDiaphysealQuarters);
                assert!(is_labelled_quarters, "{}", measurement.name());
            }
        }
    });
}

#[test]
fn the_sesamoid_of_the_example_is_graded_by_its_share() {
    on_tall_pixels(&ap_example(), |foot| {
        for (convention, position, grade) in [
            (AxisConvention::MidDiaphysealQuarters, 4.0, 2.0),
            (AxisConvention::HeadBase, 6.0, 2.0),
        ] {
            let of = |measurement| reading(foot, &by(convention), measurement).value;
            assert_close(
                of(Measurement::TibialSesamoidPosition),
                position,
                0.0,
                "position",
            );
            assert_close(of(Measurement::TibialSesamoidGrade), grade, 0.0, "grade");
        }
    });
}

pub(crate) fn lateral_example() -> FilmTracing {
    let mut tracing = FilmTracing::default();
    for (name, place) in [
        ("floor_posterior", [100.0, 900.0]),
        ("floor_anterior", [1300.0, 930.0]),
        ("calcaneus_plantar_posterior", [180.0, 870.0]),
        ("calcaneus_plantar_anterior", [440.0, 800.0]),
        ("talus_posterior", [400.0, 600.0]),
        ("talus_anterior", [560.0, 680.0]),
        ("m1_base_centre", [760.0, 740.0]),
        ("m1_tip", [1120.0, 880.0]),
        ("m1_head_centre", [1080.0, 860.0]),
    ] {
        put(&mut tracing, name.parse::<Landmark>().expect(name), place);
    }
    tracing
}

#[test]
fn the_lateral_example_reads_as_worked_by_hand() {
    let tracing = lateral_example();
    let foot = lateral_only(&tracing);
    let choices = by(AxisConvention::HeadBase);
    for (measurement, expected) in [
        (
            Measurement::TaloFirstMetatarsalAngle,
            -6400f64.atan2(60_800.0),
        ),
        (
            Measurement::CalcanealInclinationAngle,
            91_800f64.atan2(309_900.0),
        ),
        (
            Measurement::FirstMetatarsalInclinationAngle,
            134_400f64.atan2(387_600.0),
        ),
    ] {
        let angle = reading(&foot, &choices, measurement).value;
        assert_close(angle, expected.to_degrees(), 1e-12, measurement.name());
    }
    let by_quarters = measure(
        &foot,
        &Choices::default(),
        Measurement::TaloFirstMetatarsalAngle,
    );
    assert_eq!(
        by_quarters.why_not().as_deref(),
        Some("needs M1 on the lateral film"),
        "no shaft was swept"
    );
}
