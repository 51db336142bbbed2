//! Every limit of every severity scheme at its exact value, and the probabilities of the classes.

use plumbray_anatomy::testing::assert_close;
use plumbray_measure::{
    Choices, Class, Foot, Limit, Measurement, ReaderError, Severity, SeverityOutcome,
    SeverityScheme, class_of, worksheet,
};

use crate::made_feet::{MadeAngles, ap_only, ap_tracing};

use Class::{Mild, Moderate, Normal, Severe};

/// The class of an angle just below, at and just above each limit: 15, 20, 40 and so on.
type AtLimits = [(f64, [Class; 3]); 3];

#[track_caller]
fn check(scheme: SeverityScheme, limits: [Limit; 3], expected: AtLimits) {
    for (degrees, [below, at, above]) in expected {
        for (angle, class) in [
            (degrees.next_down(), below),
            (degrees, at),
            (degrees.next_up(), above),
        ] {
            assert_eq!(class_of(angle, limits), class, "{}: {angle}", scheme.name());
        }
    }
}

#[test]
fn each_limit_of_each_scheme_belongs_to_the_class_that_the_page_says() {
    let hallux_valgus: [(SeverityScheme, AtLimits); 4] = [
        (
            SeverityScheme::CoughlinMann,
            [
                (15.0, [Normal, Mild, Mild]),
                (20.0, [Mild, Moderate, Moderate]),
                (40.0, [Moderate, Moderate, Severe]),
            ],
        ),
        (
            SeverityScheme::GeometricAnalysis2009,
            [
                (15.0, [Normal, Mild, Mild]),
                (20.0, [Mild, Mild, Moderate]),
                (40.0, [Moderate, Severe, Severe]),
            ],
        ),
        (
            SeverityScheme::NiceOverview,
            [
                (15.0, [Normal, Mild, Mild]),
                (20.0, [Mild, Moderate, Moderate]),
                (40.0, [Moderate, Severe, Severe]),
            ],
        ),
        (
            SeverityScheme::ClinicalPages,
            [
                (15.0, [Normal, Mild, Mild]),
                (20.0, [Mild, Moderate, Moderate]),
                (40.0, [Moderate, Moderate, Severe]),
            ],
        ),
    ];
    for (scheme, expected) in hallux_valgus {
        check(scheme, scheme.hallux_valgus_limits(), expected);
    }
    let intermetatarsal: [(SeverityScheme, AtLimits); 4] = [
        (
            SeverityScheme::CoughlinMann,
            [
                (9.0, [Normal, Mild, Mild]),
                (11.0, [Mild, Mild, Moderate]),
                (16.0, [Moderate, Severe, Severe]),
            ],
        ),
        (
            SeverityScheme::GeometricAnalysis2009,
            [
                (9.0, [Normal, Mild, Mild]),
                (11.0, [Mild, Mild, Moderate]),
                (18.0, [Moderate, Severe, Severe]),
            ],
        ),
        (
            SeverityScheme::NiceOverview,
            [
                (9.0, [Normal, Mild, Mild]),
                (14.0, [Mild, Moderate, Moderate]),
                (20.0, [Moderate, Severe, Severe]),
            ],
        ),
        (
            SeverityScheme::ClinicalPages,
            [
                (9.0, [Normal, Mild, Mild]),
                (12.0, [Mild, Moderate, Moderate]),
                (15.0, [Moderate, Moderate, Severe]),
            ],
        ),
    ];
    for (scheme, expected) in intermetatarsal {
        check(scheme, scheme.intermetatarsal_limits(), expected);
    }
}

#[track_caller]
fn severity_of(foot: &Foot<'_>, choices: &Choices) -> Severity {
    match worksheet(foot, choices).severity {
        SeverityOutcome::Graded(severity) => severity,
        other => panic!("{other:?}"),
    }
}

/// The severity of a foot whose tracing has no spread.
#[track_caller]
fn of_certain_tracing(hallux_valgus: f64, intermetatarsal: f64, reader: ReaderError) -> Severity {
    let mut tracing = ap_tracing(MadeAngles {
        hallux_valgus,
        intermetatarsal,
        ..MadeAngles::default()
    });
    for placed in tracing.points.values_mut() {
        placed.sd_px = 0.0;
    }
    for cortices in tracing.cortices.values_mut() {
        cortices.sd_px = 0.0;
    }
    let choices = Choices {
        reader_error: reader,
        ..Choices::default()
    };
    severity_of(&ap_only(&tracing), &choices)
}

#[test]
fn with_condons_error_an_angle_of_14_8_degrees_is_severe_in_26_per_cent() {
    // Condon et al., Foot Ankle Int 2002;23:717–721: ± 3.6° (95 %).
    let severity = of_certain_tracing(30.0, 14.8, ReaderError::default());
    let severe = severity.intermetatarsal.probabilities[3];
    assert_close(severe, 0.2568, 5e-4, "1 − Φ(1.2 / 1.8368)");
    assert_eq!(severity.intermetatarsal.class, Moderate, "the angle itself");
}

#[test]
fn an_interval_with_the_readers_error_of_an_exact_tracing_is_condons() {
    let reader = ReaderError::default();
    let half_width = reader.half_width_with(Measurement::IntermetatarsalAngle12, 0.0);
    assert_close(half_width.expect("known"), 3.6, 1e-12, "± 3.60°");
    let other = reader.half_width_with(Measurement::CalcanealInclinationAngle, 1.0);
    assert_eq!(other, None, "nothing published is known");
}

#[test]
fn the_readers_error_of_the_hallux_valgus_angle_puts_86_2_per_cent_of_repeats_within_5_degrees() {
    // Coughlin and Freund, Foot Ankle Int 2001;22:369–379. An angle five degrees below a limit,
    // read twice: the difference has √2 times the reader's spread.
    let sd = ReaderError::default().hallux_valgus_sd_degrees * std::f64::consts::SQRT_2;
    let reader = ReaderError {
        hallux_valgus_sd_degrees: sd,
        ..ReaderError::NONE
    };
    let severity = of_certain_tracing(15.0, 5.0, reader);
    let beyond_five_degrees: f64 = severity.hallux_valgus.probabilities[2..].iter().sum();
    assert_close(1.0 - 2.0 * beyond_five_degrees, 0.862, 1e-9, "within 5°");
}

#[test]
fn the_probabilities_of_every_kind_add_up_to_one() {
    for scheme in SeverityScheme::ALL {
        let tracing = ap_tracing(MadeAngles::default());
        let choices = Choices {
            severity: scheme,
            ..Choices::default()
        };
        let severity = severity_of(&ap_only(&tracing), &choices);
        for probabilities in [
            severity.probabilities,
            severity.hallux_valgus.probabilities,
            severity.intermetatarsal.probabilities,
        ] {
            assert_close(probabilities.iter().sum(), 1.0, 1e-12, scheme.name());
            assert!(
                probabilities
                    .iter()
                    .all(|share| (0.0..=1.0).contains(share)),
                "{probabilities:?}"
            );
        }
    }
}

#[test]
fn the_worse_of_the_two_angles_decides_and_their_disagreement_is_said() {
    let severity = of_certain_tracing(18.0, 17.0, ReaderError::NONE);
    assert_eq!(severity.hallux_valgus.class, Mild, "by the toe");
    assert_eq!(severity.class, Severe, "by the ray, which is worse");
    assert!(severity.disagree, "they differ");
    let certain = severity.probabilities[3];
    assert_close(certain, 1.0, 0.0, "without any error it is certain");
}

#[test]
fn a_likeliest_class_that_is_not_that_of_the_angles_is_told_beside_it() {
    let severity = of_certain_tracing(19.8, 10.3, ReaderError::default());
    assert_eq!(severity.class, Mild, "as the angles were read");
    assert_eq!(severity.likely_classes()[0].0, Moderate, "the likeliest");
    let remarks = severity.remarks().join(" ");
    assert!(remarks.contains("as they were read say mild"), "{remarks}");
    assert!(remarks.contains("moderate is likelier"), "{remarks}");
    let clear = of_certain_tracing(30.0, 12.5, ReaderError::NONE).remarks();
    assert!(clear.is_empty(), "nothing to tell: {clear:?}");
}

#[test]
fn the_worse_of_two_uncertain_angles_follows_from_both() {
    let severity = of_certain_tracing(39.0, 15.0, ReaderError::default());
    let [toe, ray] =
        [severity.hallux_valgus, severity.intermetatarsal].map(|graded| graded.probabilities[3]);
    let neither = (1.0 - toe) * (1.0 - ray);
    assert_close(
        severity.probabilities[3],
        1.0 - neither,
        1e-12,
        "either is severe",
    );
}

#[test]
fn a_hallux_varus_is_flagged_whatever_its_class() {
    let severity = of_certain_tracing(-8.0, 5.0, ReaderError::NONE);
    assert_eq!(severity.class, Normal, "by the limits");
    assert!(severity.hallux_varus, "but it is a varus");
}

#[test]
fn one_angle_alone_gives_no_class() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing
        .cortices
        .remove(&plumbray_anatomy::LongBone::ProximalPhalanx);
    let SeverityOutcome::Ungraded(rows) =
        worksheet(&ap_only(&tracing), &Choices::default()).severity
    else {
        panic!("the hallux valgus angle is missing");
    };
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert_eq!(
        rows[0].measurement,
        Measurement::HalluxValgusAngle,
        "which one"
    );
}

#[test]
fn an_impossible_readers_error_is_refused() {
    let tracing = ap_tracing(MadeAngles::default());
    for sd in [-1.0, f64::NAN, f64::INFINITY] {
        let choices = Choices {
            reader_error: ReaderError {
                hallux_valgus_sd_degrees: sd,
                ..ReaderError::NONE
            },
            ..Choices::default()
        };
        assert_eq!(
            worksheet(&ap_only(&tracing), &choices).severity,
            SeverityOutcome::ImpossibleReaderError,
            "{sd}"
        );
    }
}
