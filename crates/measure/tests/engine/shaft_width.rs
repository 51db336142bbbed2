//! How wide a shaft is at a level.

use plumbray_anatomy::{
    Cortices, FilmTracing, Landmark, LongBone, Origin, View, testing::assert_close,
};
use plumbray_measure::{Outcome, shaft_width_px};

use crate::made_feet::{ap_only, film_point, put};

const BONE: LongBone = LongBone::M2;

/// A bone that stands upright on the film: one cortex straight, the other leaning away distally.
fn upright() -> FilmTracing {
    let mut tracing = FilmTracing::default();
    put(&mut tracing, Landmark::BaseCentre(BONE), [100.0, 500.0]);
    put(&mut tracing, Landmark::Tip(BONE), [100.0, 100.0]);
    for placed in tracing.points.values_mut() {
        placed.sd_px = 0.0;
    }
    let line = |ends: [[f64; 2]; 2]| ends.map(film_point).to_vec();
    tracing.cortices.insert(
        BONE,
        Cortices {
            one: line([[112.0, 480.0], [112.0, 120.0]]),
            two: line([[90.0, 500.0], [86.0, 100.0]]),
            sd_px: 0.5,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        },
    );
    tracing
}

#[test]
fn the_width_is_that_between_the_cortices_at_the_level() {
    let tracing = upright();
    for (share, width) in [(0.25, 23.0), (0.5, 24.0), (0.75, 25.0)] {
        let outcome = shaft_width_px(&ap_only(&tracing), View::Ap, BONE, share);
        let reading = outcome.reading().expect("both cortices reach the level");
        assert_close(reading.value, width, 1e-9, "by hand");
    }
}

#[test]
fn both_cortices_share_in_the_spread_of_the_width() {
    let tracing = upright();
    let outcome = shaft_width_px(&ap_only(&tracing), View::Ap, BONE, 0.5);
    // Midway between two vertices a cortex spreads by half of √2 of theirs; two of them by √2 of that.
    let reading = outcome.reading().expect("a width");
    assert_close(reading.sd, 0.5, 1e-4, "by hand");
}

#[test]
fn a_cortex_that_ends_before_the_level_gives_no_width_and_says_so() {
    let tracing = upright();
    let outcome = shaft_width_px(&ap_only(&tracing), View::Ap, BONE, 0.97);
    let Outcome::Degenerate { reason, .. } = outcome else {
        panic!("no width: {outcome:?}");
    };
    assert!(reason.contains("97 %"), "{reason}");
    let missing = shaft_width_px(&ap_only(&tracing), View::Ap, LongBone::M3, 0.5);
    assert!(matches!(missing, Outcome::Needs(_)), "{missing:?}");
}
