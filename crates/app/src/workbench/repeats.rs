//! Tracing the same films again without seeing how they were traced before.

use plumbray_anatomy::Tracing;
use plumbray_measure::{Foot, Measurement, Repeatability, measure, repeatability};
use plumbray_study::{EarlierTracing, Study};

use plumbray_compare::foot_with;

use super::{Workbench, command::Command, state::Selection};

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
    pub fn repeated(&self, measurement: Measurement) -> Option<Repeatability> {
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
        repeatability(&readings)
    }
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
