//! A reader's own spread: what it widens, what it takes the place of, and what it leaves alone.

use plumbray_anatomy::testing::assert_close;
use plumbray_measure::{
    AxisConvention, Choices, Measurement, OwnDeviation, OwnSpread, Severity, SeverityOutcome,
    Spread, TWO_SIDED_95, worksheet,
};
use proptest::prelude::{ProptestConfig, proptest};

use crate::made_feet::{MadeAngles, ap_only, ap_tracing, by, reading};

const AXES: AxisConvention = AxisConvention::HeadBase;
const VALGUS: Measurement = Measurement::HalluxValgusAngle;
const RAY: Measurement = Measurement::IntermetatarsalAngle12;

/// Choices by the axes from head to base, of a reader of whom this much is known.
fn of_reader(known: &[(Measurement, f64)], found_by: AxisConvention) -> Choices {
    let own = known
        .iter()
        .fold(OwnSpread::NONE, |own, (measurement, sd)| {
            let deviation = OwnDeviation {
                sd: *sd,
                convention: Some(found_by),
            };
            own.with(*measurement, deviation).expect("possible")
        });
    Choices {
        own_spread: own,
        ..by(AXES)
    }
}

fn severity(choices: &Choices) -> Severity {
    let tracing = ap_tracing(MadeAngles::default());
    match worksheet(&ap_only(&tracing), choices).severity {
        SeverityOutcome::Graded(severity) => severity,
        other => panic!("{other:?}"),
    }
}

#[test]
fn an_interval_with_the_readers_own_spread_is_that_of_both_variances() {
    let tracing = ap_tracing(MadeAngles::default());
    let foot = ap_only(&tracing);
    let before = reading(&foot, &by(AXES), VALGUS);
    // The worked numbers of docs/measurements.md follow the same formula: √(0.5² + 1.2²) = 1.3.
    let own = 2.4 * before.sd;
    let after = reading(&foot, &of_reader(&[(VALGUS, own)], AXES), VALGUS);
    assert_close(after.sd, before.sd, 0.0, "the tracing's spread stays apart");
    assert_close(after.value, before.value, 0.0, "the number is the same");
    let half = TWO_SIDED_95 * 2.6 * before.sd;
    assert_close(after.interval.0, after.value - half, 1e-9, "lower end");
    assert_close(after.interval.1, after.value + half, 1e-9, "upper end");
    assert_close(after.interval_sd(), 2.6 * before.sd, 1e-12, "5, 12, 13");
    let Spread::Even(told) = after.spread() else {
        panic!("{:?}", after.spread());
    };
    assert_close(told, half, 1e-9, "and it is told as even");
    let other = reading(&foot, &of_reader(&[(VALGUS, own)], AXES), RAY);
    assert_eq!(other, reading(&foot, &by(AXES), RAY), "another row");
}

#[test]
fn a_spread_that_was_found_by_other_axes_changes_nothing() {
    let elsewhere = of_reader(
        &[(VALGUS, 3.0), (RAY, 3.0)],
        AxisConvention::MidDiaphysealQuarters,
    );
    let tracing = ap_tracing(MadeAngles::default());
    let with = worksheet(&ap_only(&tracing), &elsewhere);
    let without = worksheet(&ap_only(&tracing), &by(AXES));
    assert_eq!(with, without, "by head and base");
}

#[test]
fn agreeing_with_oneself_makes_no_class_surer_than_published_readers_are() {
    let published = severity(&by(AXES));
    assert!(!published.hallux_valgus.by_own_spread, "of others");
    let steady = severity(&of_reader(&[(VALGUS, 0.5)], AXES));
    for (steady, published) in steady.probabilities.iter().zip(published.probabilities) {
        assert_close(
            *steady,
            published,
            0.0,
            "the published 2.38° stays the least",
        );
    }
    let unsteady = severity(&of_reader(&[(VALGUS, 5.0)], AXES));
    let tracing = ap_tracing(MadeAngles::default());
    let sd = reading(&ap_only(&tracing), &by(AXES), VALGUS).sd;
    assert_close(
        unsteady.hallux_valgus.sd_degrees,
        sd.hypot(5.0),
        1e-12,
        "the reader's own where it is larger",
    );
    assert_eq!(
        unsteady.intermetatarsal, published.intermetatarsal,
        "the other angle"
    );
    let words = [published.reader_words(), steady.reader_words()];
    assert!(words[0].contains("this tracing’s spread only"), "{words:?}");
    assert!(
        words[1].contains("hallux valgus angle holds the reader’s own"),
        "{words:?}"
    );
}

#[test]
fn the_grade_of_a_sesamoid_follows_an_own_spread_that_is_larger_than_the_published_one() {
    let tracing = ap_tracing(MadeAngles {
        sesamoid_share: 55.0,
        ..MadeAngles::default()
    });
    let surest = |choices: &Choices| {
        let grade = reading(
            &ap_only(&tracing),
            choices,
            Measurement::TibialSesamoidGrade,
        );
        let shares = grade.classes.into_iter().map(|(_, share)| share);
        shares.fold(0.0, f64::max)
    };
    let published = surest(&by(AXES));
    let steady = surest(&of_reader(&[(RAY, 0.2)], AXES));
    assert_close(steady, published, 0.0, "no surer than published readers");
    let unsteady = surest(&of_reader(&[(RAY, 6.0)], AXES));
    assert!(unsteady < published, "{unsteady} and {published}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_own_spread_makes_an_interval_narrower_or_moves_its_middle(own in 0.0..20.0_f64, more in 0.0..5.0_f64) {
        let tracing = ap_tracing(MadeAngles::default());
        let foot = ap_only(&tracing);
        let width = |choices: &Choices| {
            let found = reading(&foot, choices, VALGUS);
            let middle = f64::midpoint(found.interval.0, found.interval.1);
            assert_close(middle, found.value, 1e-9, "its middle");
            found.interval.1 - found.interval.0
        };
        let (none, some) = (width(&by(AXES)), width(&of_reader(&[(VALGUS, own)], AXES)));
        let wider = width(&of_reader(&[(VALGUS, own + more)], AXES));
        assert!(some >= none - 1e-12, "{own}: {some} after {none}");
        assert!(wider >= some - 1e-12, "{more} more: {wider} after {some}");
        assert!(
            some <= none + 2.0 * TWO_SIDED_95 * own + 1e-9,
            "{own}: two spreads never add up to more than their sum"
        );
    }
}
