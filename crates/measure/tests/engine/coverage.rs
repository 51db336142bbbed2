//! Stated intervals hold the truth as often as they say, and stated probabilities come true.

use plumbray_anatomy::{FilmTracing, Proportions};
use plumbray_measure::{
    Choices, Class, Measurement, ReaderError, SeverityOutcome, Worksheet, worksheet,
};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::{
    made_feet::{
        MadeAngles, ap_tracing, calibration, lateral_tracing, put_further_ap, put_further_lateral,
    },
    spread::{both_films, is_smooth, recalibrated, redrawn},
};

const TRACINGS: usize = 4_000;

/// Of as many intervals of 95 % between 93 and 97 % hold the truth: nearly six standard deviations of chance,
/// since first order alone takes some angles of short bones to 96.5 %.
const HONEST: std::ops::RangeInclusive<f64> = 0.93..=0.97;

/// What a foot is, and what a reader who spreads as stated makes of it.
struct Traced {
    truth: Worksheet,
    read: Worksheet,
}

/// Of what a cortex lies off, up to `most_together` is shared by all of it.
fn traced(random: &mut ChaCha8Rng, most_together: f64) -> Traced {
    let mut between = |low: f64, high: f64| random.random_range(low..high);
    let mut ap = ap_tracing(MadeAngles {
        hallux_valgus: between(0.0, 55.0),
        intermetatarsal: between(2.0, 22.0),
        articular: between(-5.0, 25.0),
        interphalangeal: between(-5.0, 20.0),
        sesamoid_share: between(10.0, 90.0),
    });
    let mut lateral = lateral_tracing(between(15.0, 35.0), between(10.0, 30.0), between(8.0, 32.0));
    put_further_ap(&mut ap);
    put_further_lateral(&mut lateral);
    // Beyond it, cortices become saws whose steps add to the spread what first order leaves out.
    let (sd_px, together) = (between(0.5, 2.5), between(0.0, most_together));
    for tracing in [&mut ap, &mut lateral] {
        spread_by(tracing, sd_px, together);
    }
    let scale = calibration(0.15, Proportions::SQUARE);
    let choices = Choices {
        reader_error: ReaderError::NONE,
        ..Choices::default()
    };
    let truth = worksheet(
        &both_films([&ap, &lateral], &scale, Proportions::SQUARE),
        &choices,
    );
    let again = [&ap, &lateral].map(|tracing| redrawn(tracing, Proportions::SQUARE, random));
    // What the reader takes for the scale is off; the spread of it is stated of what was taken.
    let scale = recalibrated(&scale, random);
    let read = worksheet(
        &both_films([&again[0], &again[1]], &scale, Proportions::SQUARE),
        &choices,
    );
    Traced { truth, read }
}

/// `together` is the share of a cortex's spread by which all of it lies off.
fn spread_by(tracing: &mut FilmTracing, sd_px: f64, together: f64) {
    for placed in tracing.points.values_mut() {
        placed.sd_px = sd_px;
    }
    for cortices in tracing.cortices.values_mut() {
        cortices.sd_px = sd_px;
        cortices.together_sd_px = together * sd_px;
    }
}

fn all_traced(most_together: f64) -> Vec<Traced> {
    let mut random = ChaCha8Rng::seed_from_u64(20_261_127);
    (0..TRACINGS)
        .map(|_| traced(&mut random, most_together))
        .collect()
}

#[test]
fn intervals_of_four_thousand_tracings_hold_the_truth_in_nineteen_of_twenty() {
    let all = all_traced(1.0);
    let mut counted = 0;
    for measurement in Measurement::ALL.into_iter().filter(|one| is_smooth(*one)) {
        let held: Vec<bool> = all
            .iter()
            .filter_map(|traced| {
                let truth = traced.truth.outcome(measurement)?.reading()?.value;
                let (low, high) = traced.read.outcome(measurement)?.reading()?.interval;
                Some((low..=high).contains(&truth))
            })
            .collect();
        assert!(held.len() > TRACINGS * 9 / 10, "{}", measurement.name());
        let share = held.iter().filter(|holds| **holds).count() as f64 / held.len() as f64;
        assert!(
            HONEST.contains(&share),
            "{}: {share} of {}",
            measurement.name(),
            held.len()
        );
        counted += 1;
    }
    assert!(counted > 35, "{counted} measurements");
}

#[test]
fn classes_come_true_as_often_as_their_probability_says() {
    let mut bins = [(0.0_f64, 0.0_f64, 0.0_f64); 10];
    // Cortices that lie off at random turn their axes most: every probability is met.
    for traced in all_traced(f64::MIN_POSITIVE) {
        let (SeverityOutcome::Graded(truth), SeverityOutcome::Graded(read)) =
            (&traced.truth.severity, &traced.read.severity)
        else {
            panic!("both angles are there");
        };
        for (class, probability) in Class::ALL.into_iter().zip(read.probabilities) {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a probability times ten"
            )]
            let bin = ((probability * 10.0) as usize).min(9);
            let (count, said, came_true) = &mut bins[bin];
            *count += 1.0;
            *said += probability;
            *came_true += f64::from(truth.class == class);
        }
    }
    for (count, said, came_true) in bins.into_iter().filter(|(count, ..)| *count >= 50.0) {
        let (said, came_true) = (said / count, came_true / count);
        // Three and a half standard deviations of chance.
        let chance = 3.5 * (said * (1.0 - said) / count).sqrt();
        assert!(
            (said - came_true).abs() < chance.max(0.02),
            "said {said}, came true {came_true}, of {count}"
        );
    }
    let used = bins.iter().filter(|(count, ..)| *count >= 50.0).count();
    assert!(used >= 9, "{used} bins are filled: {bins:?}");
}
