//! Errors and misses over the attempts.

use plumbray_agreement::{AgreementError, Chart, Curve, MissRates, follow};
use plumbray_measure::Measurement;

use super::Progress;

/// The acceptable share of misses: supervisors who repeated the measurements of trainees allowed 10 % (Weerasinghe et
/// al., Ultrasound Obstet Gynecol 2006, doi 10.1002/uog.2828).
const ACCEPTABLE: f64 = 0.10;

/// The unacceptable share: three times the acceptable one, as in a study of residents with 5 % and 15 %
/// (PMC4188705). The number is ours.
const UNACCEPTABLE: f64 = 0.30;

/// The limit of the chart of misses by [`miss_rates`]: a resident who misses 10 % gets a false alarm once in about 100
/// attempts. The wanted run is ours; the limit is the one that [`plumbray_agreement::decision_limit`] finds for it.
pub const MISSES_LIMIT: f64 = 2.2;

/// The limit of the chart of competence by [`miss_rates`]: a resident who misses 30 % is called competent by chance
/// once in about 100 attempts. As [`MISSES_LIMIT`].
pub const COMPETENCE_LIMIT: f64 = 2.52;

/// The shares of misses that the charts tell apart where nobody chose others: 10 % and 30 %.
///
/// # Panics
/// Never: the two are possible.
#[must_use]
pub fn miss_rates() -> MissRates {
    MissRates::new(ACCEPTABLE, UNACCEPTABLE).expect("10 % and 30 % are possible")
}

impl Progress {
    /// Whether each attempt with or without snapping was missed, the oldest first. The two are not one curve: what the
    /// program placed says nothing about the hand.
    #[must_use]
    pub fn misses(&self, snapping: bool) -> Vec<bool> {
        self.attempts
            .iter()
            .filter(|attempt| attempt.snapping == snapping)
            .map(|attempt| attempt.missed)
            .collect()
    }

    /// The chart of the attempts with or without snapping: of misses, for a resident who is taken to be competent, or
    /// of competence, for one who is taken to learn still. Nothing where there is no such attempt.
    ///
    /// # Errors
    /// As [`follow`], for an impossible limit.
    pub fn chart(
        &self,
        chart: Chart,
        snapping: bool,
        rates: MissRates,
        limit: f64,
    ) -> Result<Option<Curve>, AgreementError> {
        let misses = self.misses(snapping);
        if misses.is_empty() {
            return Ok(None);
        }
        follow(chart, &misses, rates, limit).map(Some)
    }

    /// The error of a measurement over the attempts: the number of the attempt, counted from 0, and the attempt's number
    /// less the reference's, in the measurement's unit. Attempts without that number are left out.
    #[must_use]
    pub fn errors(&self, measurement: Measurement) -> Vec<(usize, f64)> {
        self.attempts
            .iter()
            .enumerate()
            .filter_map(|(index, attempt)| {
                let number = attempt
                    .numbers
                    .iter()
                    .find(|number| number.measurement == measurement)?;
                number.difference.map(|difference| (index, difference))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use plumbray_agreement::{decision_limit, run_length};
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn the_limits_are_those_that_give_a_false_alarm_in_a_hundred_attempts() {
        for (chart, own) in [
            (Chart::Misses, MISSES_LIMIT),
            (Chart::Competence, COMPETENCE_LIMIT),
        ] {
            let found = decision_limit(chart, miss_rates(), 100.0).expect("possible");
            assert!(own >= found.limit, "{own} is at least {}", found.limit);
            assert_close(own, found.limit, 0.01, "the limit");
            let rate = found.to_false_signal.miss_rate;
            let run = run_length(chart, miss_rates(), own, rate).expect("possible");
            assert_close(
                run.mean,
                found.to_false_signal.mean,
                1.0,
                "attempts to a false alarm",
            );
        }
    }
}
