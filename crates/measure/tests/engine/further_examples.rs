//! The worked examples of docs/measurements.md with the points that are seldom asked for. Their numbers
//! come from a recomputation outside Rust, with derivatives by central differences.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmTracing, Landmark, LongBone, Origin, PixelSpacing,
    PlacedPoint, Proportions, testing::assert_close,
};
use plumbray_measure::{
    AxisConvention, Choices, Foot, JointCongruence, Measurement, Outcome, Remark, TracedFilm,
    measure,
};

use crate::{
    made_feet::{by, film_point, reading},
    worked_examples::{ap_example, lateral_example, on_tall_pixels, polyline},
};

/// Six decimals, as the page has them.
const TOLERANCE: f64 = 6e-7;

fn put_exactly(tracing: &mut FilmTracing, name: &str, place: [f64; 2]) {
    let landmark: Landmark = name.parse().expect(name);
    let placed = PlacedPoint {
        at: film_point(place),
        sd_px: 1.0,
        origin: Origin::Imported,
    };
    tracing.points.insert(landmark, placed);
}

fn further_ap_example() -> FilmTracing {
    let mut tracing = ap_example();
    for (name, place) in [
        ("m1_base_medial", [258.0, 742.0]),
        ("m1_base_lateral", [342.0, 756.0]),
        ("proximal_phalanx_base_medial", [163.0, 372.0]),
        ("proximal_phalanx_base_lateral", [248.0, 380.0]),
        ("proximal_phalanx_distal_medial", [190.0, 295.0]),
        ("proximal_phalanx_distal_lateral", [262.0, 307.0]),
        ("m1_head_medial", [158.0, 415.0]),
        ("m5_head_lateral", [682.0, 455.0]),
        ("m3_tip", [498.0, 350.0]),
        ("m4_base_centre", [560.0, 765.0]),
        ("m4_tip", [578.0, 385.0]),
        ("m4_head_centre", [574.0, 405.0]),
        ("m5_shaft_start", [632.0, 745.0]),
        ("m5_shaft_end", [652.0, 490.0]),
        ("m5_tip", [660.0, 430.0]),
        ("m4_base_lateral", [588.0, 775.0]),
        ("m5_base_lateral", [652.0, 815.0]),
        ("talonavicular_medial", [270.0, 985.0]),
        ("calcaneocuboid_lateral", [560.0, 1010.0]),
        ("intermediate_cuneiform_proximal", [412.0, 860.0]),
        ("intermediate_cuneiform_distal", [418.0, 752.0]),
        ("fibular_sesamoid_centre", [298.0, 470.0]),
        ("fibular_sesamoid_long_end", [290.0, 440.0]),
        ("fibular_sesamoid_short_end", [316.0, 476.0]),
    ] {
        put_exactly(&mut tracing, name, place);
    }
    let fourth = Cortices {
        one: polyline(&[
            [540.0, 720.0],
            [548.0, 600.0],
            [556.0, 500.0],
            [562.0, 430.0],
        ]),
        two: polyline(&[
            [585.0, 720.0],
            [582.0, 600.0],
            [588.0, 500.0],
            [596.0, 430.0],
        ]),
        sd_px: 0.5,
        together_sd_px: 0.0,
        proximal_sd_px: None,
        origin: Origin::Imported,
    };
    tracing.cortices.insert(LongBone::M4, fourth);
    tracing
}

/// Value and standard deviation of a measurement by every convention, in the order of
/// `AxisConvention::ALL`.
const BY_CONVENTION: [(Measurement, [(f64, f64); 5]); 16] = [
    (
        Measurement::ProximalPhalangealArticularAngle,
        [
            (9.968294, 1.155520),
            (10.052123, 1.159808),
            (10.138908, 1.159375),
            (9.968294, 1.155520),
            (9.968294, 1.155520),
        ],
    ),
    (
        Measurement::FirstTarsometatarsalAngle,
        [
            (-10.513188, 1.131515),
            (-10.645192, 1.130928),
            (-10.176593, 1.134849),
            (-10.513188, 1.131515),
            (-10.513188, 1.131515),
        ],
    ),
    (
        Measurement::FirstTarsometatarsalAngleOwn,
        [
            (-21.021313, 1.134629),
            (-21.025530, 1.134804),
            (-20.999131, 1.136527),
            (-23.639682, 1.149331),
            (-25.107251, 1.151053),
        ],
    ),
    (
        Measurement::IntermetatarsalAngle15,
        [
            (13.450884, 0.289984),
            (13.455101, 0.290666),
            (13.428702, 0.297321),
            (16.069253, 0.343027),
            (17.536822, 0.348753),
        ],
    ),
    (
        Measurement::IntermetatarsalAngle45,
        [
            (1.122664, 0.280893),
            (1.107676, 0.278663),
            (1.090699, 0.293472),
            (1.122664, 0.280893),
            (1.122664, 0.280893),
        ],
    ),
    (
        Measurement::MetatarsusAdductusAngle,
        [
            (5.608353, 0.235532),
            (5.740357, 0.232699),
            (5.271758, 0.251060),
            (5.608353, 0.235532),
            (5.608353, 0.235532),
        ],
    ),
    (
        Measurement::MetatarsusAdductusAngleModified,
        [
            (8.958731, 0.214459),
            (9.090736, 0.211344),
            (8.622136, 0.231406),
            (8.958731, 0.214459),
            (8.958731, 0.214459),
        ],
    ),
    (
        Measurement::SecondMetatarsalCuneiformAngle,
        [
            (1.853945, 0.630486),
            (1.985949, 0.629433),
            (1.517350, 0.636450),
            (1.853945, 0.630486),
            (1.853945, 0.630486),
        ],
    ),
    (
        Measurement::M2M3Step,
        [
            (3.217562, 0.240357),
            (3.241205, 0.240718),
            (3.157199, 0.241029),
            (3.217562, 0.240357),
            (3.217562, 0.240357),
        ],
    ),
    (
        Measurement::M3M4Step,
        [
            (5.723691, 0.244939),
            (5.749666, 0.245260),
            (5.657322, 0.245382),
            (5.723691, 0.244939),
            (5.723691, 0.244939),
        ],
    ),
    (
        Measurement::M4M5Step,
        [
            (7.399635, 0.249418),
            (7.426304, 0.249864),
            (7.331456, 0.249838),
            (7.399635, 0.249418),
            (7.399635, 0.249418),
        ],
    ),
    (
        Measurement::SesamoidLineAtM4,
        [
            (-11.456248, 0.269748),
            (-11.367553, 0.266009),
            (-11.682133, 0.276891),
            (-11.456248, 0.269748),
            (-11.456248, 0.269748),
        ],
    ),
    (
        Measurement::M1ReachByArcs,
        [
            (-7.724111, 0.250777),
            (-7.669514, 0.248575),
            (-7.850972, 0.252739),
            (-7.724111, 0.250777),
            (-7.724111, 0.250777),
        ],
    ),
    (
        Measurement::M3ReachByArcs,
        [
            (-2.757308, 0.239237),
            (-2.775473, 0.239532),
            (-2.715085, 0.239667),
            (-2.757308, 0.239237),
            (-2.757308, 0.239237),
        ],
    ),
    (
        Measurement::M4ReachByArcs,
        [
            (-6.765014, 0.247420),
            (-6.804787, 0.248365),
            (-6.672585, 0.248832),
            (-6.765014, 0.247420),
            (-6.765014, 0.247420),
        ],
    ),
    (
        Measurement::M5ReachByArcs,
        [
            (-10.852653, 0.262307),
            (-10.916647, 0.264219),
            (-10.703993, 0.265310),
            (-10.852653, 0.262307),
            (-10.852653, 0.262307),
        ],
    ),
];

/// Value and standard deviation of what goes by no convention.
const BY_NONE: [(Measurement, f64, f64); 6] = [
    (
        Measurement::ProximalDistalPhalangealArticularAngle,
        4.866_185,
        1.737_858,
    ),
    (Measurement::CongruencyIndex, 0.751_551, 0.012_165),
    (
        Measurement::FirstMetatarsophalangealAngle,
        -1.851_213,
        1.445_886,
    ),
    (Measurement::FibularSesamoidShare, 94.270_887, 5.969_800),
    (Measurement::MedialEminence, 4.848_441, 0.184_200),
    (Measurement::ForefootWidth, 73.667_143, 0.762_908),
];

#[test]
fn the_ap_example_reads_as_recomputed_by_every_convention() {
    on_tall_pixels(&further_ap_example(), |foot| {
        for (measurement, expected) in BY_CONVENTION {
            for (convention, (value, sd)) in AxisConvention::ALL.into_iter().zip(expected) {
                let reading = reading(foot, &by(convention), measurement);
                let what = format!("{} by {}", measurement.name(), convention.identifier());
                assert_close(reading.value, value, TOLERANCE, &what);
                assert_close(reading.sd, sd, TOLERANCE, &format!("spread of {what}"));
            }
        }
        for (measurement, value, sd) in BY_NONE {
            let reading = reading(foot, &Choices::default(), measurement);
            assert_close(reading.value, value, TOLERANCE, measurement.name());
            assert_close(reading.sd, sd, TOLERANCE, measurement.name());
            assert_eq!(reading.convention, None, "{}", measurement.name());
        }
    });
}

#[test]
fn the_joint_of_the_example_is_congruent_and_its_fibular_sesamoid_graded() {
    on_tall_pixels(&further_ap_example(), |foot| {
        let joint = reading(
            foot,
            &Choices::default(),
            Measurement::FirstMetatarsophalangealAngle,
        );
        let congruent = Remark::Congruence(JointCongruence::Congruent);
        assert_eq!(joint.remarks, [congruent], "1.9° are about parallel");
        let grade = reading(foot, &Choices::default(), Measurement::FibularSesamoidGrade);
        assert_close(grade.value, 2.0, 0.0, "grade");
        for ((name, probability), expected) in grade
            .classes
            .iter()
            .zip([0.0, 0.000_003, 0.720_512, 0.279_485])
        {
            assert_close(*probability, expected, TOLERANCE, name);
        }
    });
}

#[test]
fn joint_lines_that_differ_meet_within_the_joint_or_beside_it() {
    for (base, expected) in [
        // The phalanx's line runs through the middle of the metatarsal's.
        (
            [[180.0, 420.0], [250.0, 370.0]],
            JointCongruence::Subluxated,
        ),
        // The two lines meet far medial of the joint.
        ([[163.0, 300.0], [248.0, 340.0]], JointCongruence::Deviated),
    ] {
        let mut tracing = ap_example();
        put_exactly(&mut tracing, "proximal_phalanx_base_medial", base[0]);
        put_exactly(&mut tracing, "proximal_phalanx_base_lateral", base[1]);
        let foot = Foot {
            ap: Some(TracedFilm {
                tracing: &tracing,
                proportions: Proportions::SQUARE,
                calibration: None,
            }),
            ..Foot::default()
        };
        let joint = reading(
            &foot,
            &Choices::default(),
            Measurement::FirstMetatarsophalangealAngle,
        );
        assert_eq!(
            joint.remarks,
            [Remark::Congruence(expected)],
            "{} degrees",
            joint.value
        );
    }
}

fn further_lateral_example() -> FilmTracing {
    let mut tracing = lateral_example();
    for placed in tracing.points.values_mut() {
        placed.sd_px = 1.0;
    }
    for (name, place) in [
        ("m1_dorsal_proximal", [770.0, 705.0]),
        ("m1_dorsal_distal", [1060.0, 805.0]),
        ("m2_dorsal_proximal", [765.0, 690.0]),
        ("m2_dorsal_distal", [1050.0, 800.0]),
        ("medial_cuneiform_plantar", [720.0, 800.0]),
        ("m1_shaft_cut_dorsal", [960.0, 780.0]),
        ("m1_shaft_cut_plantar", [945.0, 850.0]),
        ("m1_fragment_cut_dorsal", [972.0, 772.0]),
        ("m1_fragment_cut_plantar", [951.0, 842.0]),
    ] {
        put_exactly(&mut tracing, name, place);
    }
    tracing
}

const LATERAL: [(Measurement, f64, f64); 8] = [
    (
        Measurement::FirstMetatarsalElevationGain,
        1.335_553,
        0.240_789,
    ),
    (
        Measurement::LateralTalocalcanealAngle,
        41.633_539,
        0.543_816,
    ),
    (
        Measurement::SagittalIntermetatarsalAngle,
        2.079_233,
        0.374_333,
    ),
    (Measurement::FirstMetatarsalElevation, -0.127_663, 0.172_885),
    (Measurement::MedialCuneiformHeight, 13.855_671, 0.202_000),
    (Measurement::FragmentShift, 1.164_982, 0.121_741),
    (Measurement::FragmentShiftRatio, 0.135_610, 0.014_358),
    (Measurement::FragmentTilt, 4.604_487, 1.584_418),
];

/// The lateral film of the example as it is, or mirrored.
fn lateral_outcome(mirrored: bool, operated: bool, measurement: Measurement) -> Outcome {
    let mut tracing = further_lateral_example();
    if mirrored {
        for placed in tracing.points.values_mut() {
            placed.at.x_px = 2000.0 - placed.at.x_px;
        }
    }
    let calibration = Calibration {
        spacing: PixelSpacing::new(0.12, 0.12).expect("possible"),
        basis: CalibrationBasis::FileByFiducial,
        relative_sd: 0.01,
    };
    let foot = Foot {
        lateral: Some(TracedFilm {
            tracing: &tracing,
            proportions: Proportions::SQUARE,
            calibration: Some(&calibration),
        }),
        operated,
        ..Foot::default()
    };
    measure(&foot, &by(AxisConvention::HeadBase), measurement)
}

#[test]
fn the_lateral_example_of_an_operated_foot_reads_as_recomputed_also_mirrored() {
    for mirrored in [false, true] {
        for (measurement, value, sd) in LATERAL {
            let outcome = lateral_outcome(mirrored, true, measurement);
            let reading = outcome
                .reading()
                .unwrap_or_else(|| panic!("{}", measurement.name()));
            assert_close(reading.value, value, TOLERANCE, measurement.name());
            assert_close(reading.sd, sd, TOLERANCE, measurement.name());
        }
    }
}

#[test]
fn a_foot_that_was_not_operated_on_has_no_fragment() {
    for measurement in [
        Measurement::FragmentShift,
        Measurement::FragmentShiftRatio,
        Measurement::FragmentTilt,
    ] {
        let outcome = lateral_outcome(false, false, measurement);
        assert_eq!(outcome.status(), "refused", "{}", measurement.name());
    }
}
