//! Changes of the study: what is known of the foot, who read it, and what follows from it.

use plumbray_anatomy::Tracing;
use plumbray_measure::{implausible, worksheet};
use plumbray_study::{SideChoice, SideSource, Study};

use super::{Command, Workbench};

/// A text that is no day.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("“{0}” is not a day. Write it as year, month and day, such as 2026-11-25.")]
pub struct NotADay(pub(crate) String);

/// The day that a text says; nothing where it says none because nobody knows it.
///
/// # Errors
/// When something else than a day stands there.
pub(crate) fn day_of(text: &str) -> Result<Option<jiff::civil::Date>, NotADay> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let day = text.parse().map(Some);
    day.map_err(|_no_day| NotADay(text.to_owned()))
}

impl Workbench {
    /// Commands that change what is known of the foot; gives back those that do not.
    pub(super) fn apply_to_study(&mut self, command: Command) -> Option<Command> {
        let what = command.text();
        match command {
            Command::ConfirmSide(side) => {
                self.change(&what, |study| study.side = Some(SideChoice::entered(side)));
            }
            Command::SetOperated(operated) => {
                self.change(&what, |study| study.visit.operated = operated);
            }
            Command::SetStance(stance) => {
                self.change(&what, |study| study.visit.stance = stance);
            }
            Command::JudgeHeadEdge(shape) => {
                self.change(&what, |study| study.judged.lateral_head_edge = shape);
            }
            Command::SetVisitLabel(label) => {
                self.change(&what, |study| study.visit.label = label);
            }
            Command::SetFilmDate(view, text) => self.set_date(&what, &text, move |study, date| {
                if let Some(film) = study.film_mut(view) {
                    film.date = date;
                }
            }),
            Command::SetOperationDate(text) => self.set_date(&what, &text, |study, date| {
                let operation = study.visit.operation.unwrap_or_default();
                study.visit.operation = Some(plumbray_study::Operation {
                    date,
                    side: operation.side,
                });
            }),
            Command::SetOperationSide(side) => self.change(&what, |study| {
                let operation = study.visit.operation.unwrap_or_default();
                study.visit.operation = Some(plumbray_study::Operation {
                    date: operation.date,
                    side,
                });
            }),
            Command::SetConvention(convention) => {
                self.change(&what, |study| {
                    study.choices.axis_convention =
                        convention.map(|convention| convention.identifier().to_owned());
                });
                self.say_instead(format!("{what}."));
            }
            Command::SetSeverityScheme(scheme) => {
                self.change(&what, |study| {
                    study.choices.severity_scheme = Some(scheme.identifier().to_owned());
                });
                self.say_instead(format!("{what}."));
            }
            other => return Some(other),
        }
        None
    }

    fn set_date(
        &mut self,
        what: &str,
        text: &str,
        set: impl FnOnce(&mut Study, Option<jiff::civil::Date>),
    ) {
        match day_of(text) {
            Ok(day) => self.change(what, |study| set(study, day)),
            Err(problem) => self.warn(problem.to_string()),
        }
    }

    /// Changes the study as one step that can be undone, and saves it.
    pub(crate) fn change(&mut self, what: &str, edit: impl FnOnce(&mut Study)) {
        let before = self.study.clone();
        edit(&mut self.study);
        if self.study != before {
            let retraced = self.study.tracing != before.tracing;
            self.note_change(what, retraced);
            self.undo.remember(what, before, &self.study);
        }
        self.refresh();
        self.save();
    }

    /// A traced study that names nobody gets the name of who reads; one that names somebody keeps it.
    pub(super) fn name_reader_of_study(&mut self) {
        let name = self.settings.reader.trim().to_owned();
        let is_nameless = self.study.reader.name.trim().is_empty();
        let is_traced = self.study.tracing != Tracing::default();
        if self.has_foot() && is_traced && is_nameless && !name.is_empty() {
            self.change("Name the reader", |study| study.reader.name = name);
        }
    }

    /// Whoever changes the tracing is its reader from then on; to confirm the side of what the program traced is no
    /// reading.
    pub(super) fn note_change(&mut self, what: &str, retraced: bool) {
        self.study.history.record(&self.settings.reader, what);
        if !retraced {
            return;
        }
        // Who names nobody takes nobody's name away.
        if !self.settings.reader.trim().is_empty() {
            self.study.reader.name.clone_from(&self.settings.reader);
        }
        self.study.reader.traced_at = self.study.history.entries().last().map(|entry| entry.last);
    }

    /// Everything that follows from the study is worked out again.
    pub(crate) fn refresh(&mut self) {
        if self
            .study
            .side
            .is_none_or(|choice| !choice.confirmed && choice.source == SideSource::Bones)
            && let Some(side) = self.side_by_bones()
        {
            self.study.side = Some(SideChoice::proposed(side, SideSource::Bones));
        }
        self.worksheet = worksheet(&self.foot(), &self.choices());
        let side = self.study.side.map(|choice| choice.side);
        self.implausible = implausible(&self.foot(), side);
        self.follow_plans();
    }
}
