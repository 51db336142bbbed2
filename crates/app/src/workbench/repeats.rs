//! Tracing the same films again without seeing how they were traced before.

use plumbray_agreement::{
    AgreementError, ConfidenceLevel, USUAL_MULTIPLIER, WithinSubject, within_subject,
};
use plumbray_anatomy::Tracing;
use plumbray_measure::{Foot, Measurement, measure};
use plumbray_study::{EarlierTracing, Study};

use plumbray_compare::foot_with;

use super::{Workbench, command::Command, state::Selection};

/// What several tracings of the same films come to for one number, in its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeated {
    /// How many of them gave the number.
    pub count: usize,
    /// Its mean.
    pub mean: f64,
    /// How the readings scatter; nothing where all are exactly equal.
    pub scatter: Option<WithinSubject>,
}

impl Workbench {
    /// Whether there is a tracing to put by, and room for it.
    #[must_use]
    pub fn can_trace_again(&self) -> bool {
        let study = self.study();
        let is_traced = study.tracing != Tracing::default();
        is_traced && study.earlier_tracings.len() < EarlierTracing::MOST
    }

    /// Puts the tracing by; gives back other commands.
    pub(super) fn apply_to_repeats(&mut self, command: Command) -> Option<Command> {
        if command != Command::TraceAgain {
            return Some(command);
        }
        self.change(&Command::TraceAgain.text(), |study| {
            let tracing = std::mem::take(&mut study.tracing);
            let reader = std::mem::take(&mut study.reader);
            study
                .earlier_tracings
                .push(EarlierTracing { tracing, reader });
        });
        self.view.selection = Selection::Nothing;
        self.view.chosen_step = [None, None];
        let count = self.study().earlier_tracings.len() + 1;
        self.note(format!(
            "Tracing number {count}. What was traced before is put by and not shown; each row tells in \
             the end how far its readings lie apart."
        ));
        None
    }

    /// What the readings of a number by all tracings of these films come to; nothing before there are two.
    #[must_use]
    pub fn repeated(&self, measurement: Measurement) -> Option<Repeated> {
        let study = self.study();
        if study.earlier_tracings.is_empty() {
            return None;
        }
        let earlier = study.earlier_tracings.iter();
        let readings: Vec<f64> = earlier
            .map(|earlier| &earlier.tracing)
            .chain(std::iter::once(&study.tracing))
            .filter_map(|tracing| reading(study, tracing, measurement, &self.choices()))
            .collect();
        repeated(&readings)
    }
}

/// Nothing from fewer than two readings, or where one is no number.
fn repeated(readings: &[f64]) -> Option<Repeated> {
    let scatter = match within_subject(&[readings], USUAL_MULTIPLIER, ConfidenceLevel::NINETY_FIVE)
    {
        Ok(scatter) => Some(scatter),
        Err(AgreementError::NoVariance { .. }) => None,
        Err(_) => return None,
    };
    Some(Repeated {
        count: readings.len(),
        mean: readings.iter().sum::<f64>() / readings.len() as f64,
        scatter,
    })
}

fn reading(
    study: &Study,
    tracing: &Tracing,
    measurement: Measurement,
    choices: &plumbray_measure::Choices,
) -> Option<f64> {
    let foot: Foot<'_> = foot_with(study, tracing);
    let outcome = measure(&foot, choices, measurement);
    outcome.reading().map(|reading| reading.value)
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn two_readings_scatter_by_their_difference_over_the_root_of_two() {
        let two = repeated(&[494.0, 490.0]).expect("two readings");
        assert_close(two.mean, 492.0, 1e-12, "mean");
        let scatter = two.scatter.expect("they differ");
        assert_close(
            scatter.standard_deviation,
            4.0 / 2.0_f64.sqrt(),
            1e-12,
            "standard deviation",
        );
    }

    #[test]
    fn equal_readings_have_no_scatter_and_one_says_nothing() {
        let equal = repeated(&[3.0, 3.0]).expect("two readings");
        assert_eq!(equal.scatter, None, "equal");
        assert_eq!(repeated(&[3.0]), None, "one");
        assert_eq!(repeated(&[3.0, f64::NAN]), None, "no number");
    }
}
