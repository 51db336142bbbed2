//! How long a chart runs before it signals, by simulation, and the limit that makes it run as long as wanted.

use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

use crate::{AgreementError, Chart, MissRates, Scores};

use super::{chart::usable_limit, rates::share};

/// How many readers are simulated: enough for a mean run to about 1 %.
pub const RUNS: u32 = 10_000;

/// What the generator (ChaCha with 8 rounds) starts from; the number of the run is its stream. The same question
/// always gets the same answer, and every limit is tried on the same simulated readers. That these are usual ones
/// is tested against exact run lengths.
pub const SEED: u64 = 2026;

/// A simulated reader stops after so many readings without a signal.
pub const MOST_READINGS: u32 = 100_000;

/// The longest mean run for which a limit is looked for, in readings.
pub const LONGEST_WANTED_RUN: f64 = 2_000.0;

/// The limit is found to so much.
const FINENESS: f64 = 1e-4;

/// How many readings a chart takes to its first signal, over simulated readers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunLength {
    /// The true rate of misses of the simulated readers.
    pub miss_rate: f64,
    /// The mean number of readings to the first signal. Where runs are unfinished, it is at least this.
    pub mean: f64,
    /// The standard error of the mean from the number of simulated readers.
    pub standard_error: f64,
    /// How many readers were simulated.
    pub runs: u32,
    /// How many of them had no signal within [`MOST_READINGS`] readings, and count with these.
    pub unfinished: u32,
}

/// A decision limit and how long the chart then runs before a false signal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct DecisionLimit {
    /// The limit, for [`follow`](crate::follow).
    pub limit: f64,
    /// How many readings pass on average before the chart signals falsely.
    pub to_false_signal: RunLength,
    /// How many readings pass on average before it signals rightly.
    pub to_true_signal: RunLength,
}

/// The smallest limit with which a chart runs on average at least `wanted` readings before it signals falsely.
///
/// False is, for [`Chart::Misses`], a signal at the acceptable rate of misses; for [`Chart::Competence`], one at the
/// unacceptable rate. The mean run grows in steps with the limit, so that it may be longer than wanted. It is ours to
/// simulate [`RUNS`] readers from a fixed [`SEED`]; papers simulate likewise.
///
/// # Errors
/// [`AgreementError::Unusable`] unless `wanted` lies between the mean run of the least limit, which one miss or one
/// hit exceeds, and [`LONGEST_WANTED_RUN`].
pub fn decision_limit(
    chart: Chart,
    rates: MissRates,
    wanted: f64,
) -> Result<DecisionLimit, AgreementError> {
    let (false_rate, true_rate) = match chart {
        Chart::Misses => (rates.acceptable(), rates.unacceptable()),
        Chart::Competence => (rates.unacceptable(), rates.acceptable()),
    };
    let scores = rates.scores(chart);
    let lasts = |limit| lasts(chart, scores, limit, false_rate, wanted);
    if !(wanted > 0.0 && wanted <= LONGEST_WANTED_RUN) || lasts(FINENESS) {
        return Err(AgreementError::Unusable {
            what: "the wanted mean number of readings to a false signal",
            value: wanted,
            allowed: "longer than a chart takes that signals at once, and at most 2000",
        });
    }
    let (mut short, mut long) = (FINENESS, scores.miss.abs());
    while !lasts(long) {
        (short, long) = (long, 2.0 * long);
    }
    while long - short > FINENESS {
        let middle = f64::midpoint(short, long);
        if lasts(middle) {
            long = middle;
        } else {
            short = middle;
        }
    }
    Ok(DecisionLimit {
        limit: long,
        to_false_signal: run_length(chart, rates, long, false_rate)?,
        to_true_signal: run_length(chart, rates, long, true_rate)?,
    })
}

/// How many readings a chart takes to its first signal when the true rate of misses is `miss_rate`.
///
/// # Errors
/// [`AgreementError::Unusable`] for a limit that is not above 0 and finite or a rate that is not between 0 and 1.
pub fn run_length(
    chart: Chart,
    rates: MissRates,
    limit: f64,
    miss_rate: f64,
) -> Result<RunLength, AgreementError> {
    usable_limit(limit)?;
    share("the true rate of misses", miss_rate)?;
    let scores = rates.scores(chart);
    let most = f64::from(MOST_READINGS);
    let (mut sum, mut squares, mut unfinished) = (0.0, 0.0, 0);
    for run in 0..RUNS {
        let length = one_run(chart, scores, limit, miss_rate, run).unwrap_or_else(|| {
            unfinished += 1;
            most
        });
        sum += length;
        squares += length.powi(2);
    }
    let runs = f64::from(RUNS);
    let mean = sum / runs;
    let variance = (squares - runs * mean.powi(2)) / (runs - 1.0);
    Ok(RunLength {
        miss_rate,
        mean,
        standard_error: (variance.max(0.0) / runs).sqrt(),
        runs: RUNS,
        unfinished,
    })
}

/// Whether the mean run is at least as long as wanted; looks no further than it must.
fn lasts(chart: Chart, scores: Scores, limit: f64, miss_rate: f64, wanted: f64) -> bool {
    let enough = wanted * f64::from(RUNS);
    let mut total = 0.0;
    (0..RUNS).any(|run| {
        let most = f64::from(MOST_READINGS);
        total += one_run(chart, scores, limit, miss_rate, run).unwrap_or(most);
        total >= enough
    })
}

/// The readings to the first signal of one simulated reader; nothing if there is none.
///
/// It goes from miss to miss: the hits between them, whose number is geometrically distributed, move the sum evenly.
fn one_run(chart: Chart, scores: Scores, limit: f64, miss_rate: f64, run: u32) -> Option<f64> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    generator.set_stream(u64::from(run));
    let log_of_hit = (-miss_rate).ln_1p();
    let (mut readings, mut sum) = (0.0_f64, 0.0_f64);
    loop {
        // Above 0 and at most 1, so that its logarithm is finite.
        let chance = 1.0 - generator.random::<f64>();
        let hits = (chance.ln() / log_of_hit).floor();
        if chart == Chart::Competence {
            let needed = ((limit - sum) / scores.hit).floor() + 1.0;
            if needed <= hits {
                readings += needed;
                return (readings <= f64::from(MOST_READINGS)).then_some(readings);
            }
        }
        readings += hits + 1.0;
        if readings > f64::from(MOST_READINGS) {
            return None;
        }
        sum = match chart {
            Chart::Misses => (sum + hits * scores.hit).max(0.0) + scores.miss,
            Chart::Competence => (sum + hits * scores.hit + scores.miss).max(0.0),
        };
        if chart == Chart::Misses && sum > limit {
            return Some(readings);
        }
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::follow;

    /// Rates whose score of a miss is exactly six times that of a hit, so that sums lie on a grid.
    fn rates_on_a_grid() -> MissRates {
        let acceptable = 0.1_f64;
        let (mut low, mut high) = (acceptable + 1e-6, 0.9);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            let scores = MissRates::new(acceptable, middle)
                .expect("rates")
                .scores(Chart::Misses);
            if scores.miss > -6.0 * scores.hit {
                low = middle;
            } else {
                high = middle;
            }
        }
        MissRates::new(acceptable, low).expect("rates")
    }

    /// The exact mean run of a sum on a grid that signals above `most`, from the linear equations of its states
    /// (Brook, Evans, Biometrika 1972;59:539–549), solved by going round until nothing changes.
    fn exact_run(chart: Chart, most: usize, miss_rate: f64) -> f64 {
        let mut to_go = vec![0.0_f64; most + 1];
        loop {
            let mut change = 0.0_f64;
            for state in 0..=most {
                let (after_miss, after_hit) = match chart {
                    Chart::Misses => (state + 6, state.saturating_sub(1)),
                    Chart::Competence => (state.saturating_sub(6), state + 1),
                };
                let rest = |state: usize| to_go.get(state).copied().unwrap_or_default();
                let now = 1.0 + miss_rate * rest(after_miss) + (1.0 - miss_rate) * rest(after_hit);
                change = change.max((now - to_go[state]).abs());
                to_go[state] = now;
            }
            if change < 1e-9 {
                return to_go[0];
            }
        }
    }

    #[test]
    fn simulated_runs_are_as_long_as_the_exact_chain_says() {
        let rates = rates_on_a_grid();
        let step = rates.scores(Chart::Competence).hit;
        for (chart, most) in [
            (Chart::Misses, 14),
            (Chart::Misses, 20),
            (Chart::Competence, 12),
        ] {
            for miss_rate in [rates.acceptable(), rates.unacceptable()] {
                let limit = (most as f64 + 0.5) * step;
                let found = run_length(chart, rates, limit, miss_rate).expect("a run");
                let exact = exact_run(chart, most, miss_rate);
                let what = format!("{chart:?} above {most} steps at {miss_rate}");
                assert_eq!(found.unfinished, 0, "{what}");
                assert_close(found.mean, exact, 4.0 * found.standard_error, &what);
                assert!(found.standard_error < 0.02 * exact, "{what}: {found:?}");
            }
        }
    }

    #[test]
    fn a_chart_that_one_miss_exceeds_runs_to_the_first_miss() {
        let found = run_length(Chart::Misses, MissRates::OF_BIAU, 0.1, 0.1).expect("a run");
        assert_close(found.mean, 10.0, 4.0 * found.standard_error, "one in ten");
    }

    #[test]
    fn the_limit_found_makes_the_chart_run_as_long_as_wanted() {
        for (chart, wanted) in [(Chart::Misses, 200.0), (Chart::Competence, 100.0)] {
            let found = decision_limit(chart, MissRates::OF_BIAU, wanted).expect("a limit");
            assert!(found.to_false_signal.mean >= wanted, "{found:?}");
            assert!(found.to_false_signal.mean <= 1.2 * wanted, "{found:?}");
            assert!(found.to_true_signal.mean < 0.6 * wanted, "{found:?}");
            let below = run_length(
                chart,
                MissRates::OF_BIAU,
                found.limit - 2e-4,
                found.to_false_signal.miss_rate,
            );
            assert!(
                below.expect("a run").mean < wanted,
                "no smaller limit does: {found:?}"
            );
            let again = decision_limit(chart, MissRates::OF_BIAU, wanted);
            assert_eq!(again, Ok(found), "the same question, the same answer");
        }
    }

    #[test]
    fn a_simulated_run_signals_where_the_chart_does() {
        // The shortest way to a signal: misses only, and hits only.
        let limit = 2.5;
        for (chart, missed, miss_rate) in [
            (Chart::Misses, true, 1.0 - 1e-12),
            (Chart::Competence, false, 1e-12),
        ] {
            let curve = follow(chart, &[missed; 60], MissRates::OF_BIAU, limit).expect("a curve");
            let found = run_length(chart, MissRates::OF_BIAU, limit, miss_rate).expect("a run");
            assert_close(
                found.mean,
                curve.signals[0] as f64 + 1.0,
                0.0,
                &format!("{chart:?}"),
            );
        }
    }

    #[test]
    fn what_cannot_be_simulated_is_refused_and_what_never_signals_is_counted() {
        for wanted in [0.0, 5.0, 1e9, f64::NAN] {
            let found = decision_limit(Chart::Misses, MissRates::OF_BIAU, wanted);
            assert!(
                matches!(found, Err(AgreementError::Unusable { .. })),
                "{wanted} gives {found:?}"
            );
        }
        let rates = MissRates::OF_BIAU;
        assert!(
            run_length(Chart::Misses, rates, 1.0, 0.0).is_err(),
            "never a miss"
        );
        assert!(
            run_length(Chart::Misses, rates, f64::NAN, 0.1).is_err(),
            "no limit"
        );
        let never = run_length(Chart::Misses, rates, 50.0, 0.01).expect("a run");
        assert_eq!(
            never.unfinished, RUNS,
            "one miss in a hundred never adds up"
        );
    }
}
