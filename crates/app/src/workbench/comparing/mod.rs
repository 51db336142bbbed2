//! Comparing the visits of a foot.

mod command;
mod compared;
mod time_line;
mod wires;
mod writing;

use std::{path::Path, sync::Arc};

use plumbray_anatomy::View;
use plumbray_measure::AxisConvention;

pub use command::{CompareCommand, CompareView, ComparisonFile, TimeLineEdit};
use compared::{Asked, Known};
pub use compared::{Comparing, Looking};
pub use wires::{MarkedWire, WireAgainstPlan, WireMarking, Wires};

use super::{Command, Finished, Workbench, going_back::Way, state::Request, undo::UndoHistory};
use crate::{
    canvas::Placement,
    comparing::{FootOverTime, OpenedFilms},
};

impl Workbench {
    /// The visits that are being compared, if any.
    #[must_use]
    pub const fn comparing(&self) -> Option<&Comparing> {
        self.comparing.as_ref()
    }

    /// Does what belongs to comparing.
    pub(super) fn apply_to_comparing(&mut self, command: CompareCommand) {
        match command {
            CompareCommand::Begin => self.begin_comparing(),
            CompareCommand::AskForVisits => self.requests.push(Request::AskForVisits),
            CompareCommand::AskForMoreVisits => self.requests.push(Request::AskForMoreVisits),
            CompareCommand::Open(paths) => self.start_comparing(move || FootOverTime::read(&paths)),
            CompareCommand::Leave => {
                self.comparing = None;
                // What is still being worked out is of no use any more.
                self.comparison_number += 1;
            }
            CompareCommand::Edit(edit) => self.edit_time_line(&edit),
            CompareCommand::Between(pair) => self.compare_again(|asked| asked.pair = pair),
            CompareCommand::By(convention) => {
                self.compare_again(|asked| asked.convention = convention);
            }
            CompareCommand::Films(view) => self.show_films(view),
            CompareCommand::AskWhere(file) => self.ask_where_to_write(file),
            CompareCommand::Write(file, path) => self.start_writing_comparison(file, path),
            CompareCommand::Show(_)
            | CompareCommand::Cover(_)
            | CompareCommand::Look(..)
            | CompareCommand::Place(_)
            | CompareCommand::HoldPlan(_)
            | CompareCommand::NextWindow
            | CompareCommand::Invert
            | CompareCommand::MarkWire
            | CompareCommand::WireAt(_)
            | CompareCommand::ForgetWire
            | CompareCommand::TakeWire(_)
            | CompareCommand::Recur(_) => self.look_at_comparison(command),
        }
    }

    /// Does what takes no time.
    fn look_at_comparison(&mut self, command: CompareCommand) {
        let Some(now) = &mut self.comparing else {
            return;
        };
        match command {
            CompareCommand::Show(shown) => {
                now.looking.shown = shown;
                if !shown.shows_later_by_itself() {
                    now.looking.wires.marking = WireMarking::Nothing;
                }
            }
            CompareCommand::Cover(cover) => now.looking.cover = cover.clamp(0.0, 1.0),
            CompareCommand::Look(place, look) => {
                if let Some(one) = now.looking.looks.get_mut(place) {
                    *one = Some(*look);
                }
            }
            CompareCommand::Place(placement) => now.looking.placement = placement,
            CompareCommand::HoldPlan(place) => now.looking.plan = place,
            CompareCommand::NextWindow => now.next_windows(),
            CompareCommand::Invert => now.invert(),
            CompareCommand::MarkWire => now.begin_wire(),
            CompareCommand::WireAt(at) => now.mark_wire_at(at),
            CompareCommand::ForgetWire => now.looking.wires.marking = WireMarking::Nothing,
            CompareCommand::TakeWire(place) => {
                now.looking.wires.marked.remove(place);
            }
            CompareCommand::Recur(limit) => now.limit = limit,
            _ => {}
        }
    }

    fn begin_comparing(&mut self) {
        let Some(study) = self.study_path().map(Path::to_owned) else {
            return;
        };
        self.start_comparing(move || FootOverTime::around(&study));
    }

    fn start_comparing(
        &mut self,
        read: impl FnOnce() -> anyhow::Result<FootOverTime> + Send + 'static,
    ) {
        self.start_comparison(move || {
            let foot = read().map_err(|problem| format!("{problem:#}"))?;
            let pair = foot.usual_pair().ok_or_else(|| {
                "There is only this visit of the foot. Trace and save the films of another \
                 one in this folder or one below it, or choose its studies."
                    .to_owned()
            })?;
            let asked = Asked {
                foot: Arc::new(foot),
                pair,
                convention: AxisConvention::HeadBase,
                view: None,
                films: OpenedFilms::default(),
                looking: Looking::default(),
                limit: plumbray_compare::Recurrence::default(),
                edits: UndoHistory::default(),
                known: None,
            };
            Ok(asked.compared())
        });
    }

    fn compare_again(&mut self, change: impl FnOnce(&mut Asked)) {
        let Some(now) = &self.comparing else { return };
        let mut asked = now.asked();
        change(&mut asked);
        self.start_comparison(move || Ok(asked.compared()));
    }

    /// Shows the films of a view; the numbers stay, unless the visits have changed since.
    fn show_films(&mut self, view: View) {
        let Some(now) = &self.comparing else { return };
        let is_same = Arc::ptr_eq(&now.foot, &now.edited);
        let known = is_same.then(|| Known {
            comparison: Arc::clone(&now.comparison),
            plans: Arc::clone(&now.plans),
        });
        self.compare_again(|asked| {
            asked.view = Some(view);
            asked.known = known;
            asked.looking.placement = Placement::Fit;
            asked.looking.looks = [None, None];
        });
    }

    fn start_comparison(
        &mut self,
        work: impl FnOnce() -> Result<Comparing, String> + Send + 'static,
    ) {
        self.comparison_number += 1;
        let number = self.comparison_number;
        self.jobs.start("Comparing visits", move || {
            Finished::Compared(number, work().map(Box::new))
        });
    }

    /// Takes a comparison in. One that is not the last that was asked for comes too late.
    pub(super) fn was_compared(&mut self, number: u64, result: Result<Box<Comparing>, String>) {
        if number != self.comparison_number {
            return;
        }
        match result {
            Ok(mut comparing) => {
                // The first of two clicks was on a film that may be gone.
                if let Some(before) = &mut self.comparing {
                    before.looking.wires.marking = WireMarking::Nothing;
                }
                comparing.looking.wires.marking = WireMarking::Nothing;
                for problem in comparing.films.problems() {
                    self.warn(problem.to_owned());
                }
                match &self.comparing {
                    // While it was worked out, the person may have looked elsewhere.
                    Some(before) if before.view == comparing.view => {
                        comparing.looking = before.looking.clone();
                        comparing.limit = before.limit;
                    }
                    Some(_) => {}
                    None => self.show_page(None),
                }
                self.leave_planning();
                self.comparing = Some(*comparing);
            }
            Err(problem) => self.warn(problem),
        }
    }

    /// Changes the list of visits as one step that can be taken back, keeps it on disk and compares again.
    fn edit_time_line(&mut self, edit: &TimeLineEdit) {
        let Some(now) = &self.comparing else {
            return;
        };
        match time_line::edited(&now.edited, edit) {
            Ok(foot) => {
                let old = Arc::clone(&now.edited);
                let foot = Arc::new(foot);
                if self.compare_list(Arc::clone(&foot), |edits| {
                    edits.remember(&edit.text(), old, &foot);
                }) {
                    self.keep_list();
                }
            }
            Err(problem) => self.warn(problem),
        }
    }

    /// Takes the last change of the list of visits back, or makes it again.
    pub(super) fn step_through_list(&mut self, way: Way) {
        let Some(now) = &self.comparing else {
            return;
        };
        let mut edits = now.edits.clone();
        let left = Arc::clone(&now.edited);
        let (stepped, said) = match way {
            Way::Back => (edits.undo(left), "Taken back"),
            Way::Forth => (edits.redo(left), "Made again"),
        };
        let Ok((what, foot)) = stepped else { return };
        if self.compare_list(foot, |known| *known = edits) {
            self.say_instead(format!("{said}: {what}."));
            self.keep_list();
        }
    }

    /// Compares the visits of another list; tells whether that list has two to compare.
    fn compare_list(
        &mut self,
        foot: Arc<FootOverTime>,
        note: impl FnOnce(&mut UndoHistory<Arc<FootOverTime>>),
    ) -> bool {
        let Some(now) = &mut self.comparing else {
            return false;
        };
        let pair = time_line::same_pair(&now.foot, now.pair(), &foot);
        let Some(pair) = pair.or_else(|| foot.usual_pair()) else {
            return false;
        };
        now.edited = foot;
        note(&mut now.edits);
        self.compare_again(|asked| asked.pair = pair);
        true
    }

    /// Keeps the list of visits on disk.
    fn keep_list(&mut self) {
        let Some(now) = &self.comparing else { return };
        if let Err(problem) = now.edited.keep_in(&now.edited.time_line) {
            self.warn(format!(
                "The list of visits holds for now and is not kept: {problem}"
            ));
        }
    }

    /// What a command about the film that is traced does while visits are compared: the same to both films.
    pub(super) fn while_comparing(&self, command: Command) -> Command {
        if self.comparing.is_none() {
            return command;
        }
        match command {
            Command::NextWindow => Command::Compare(CompareCommand::NextWindow),
            Command::Invert => Command::Compare(CompareCommand::Invert),
            Command::WholeFilm => Command::Compare(CompareCommand::Place(Placement::Fit)),
            Command::Activate(view) => Command::Compare(CompareCommand::Films(view)),
            other => other,
        }
    }

    /// Whether what a command does can be done now.
    pub(super) fn can_compare(&self, command: &CompareCommand) -> bool {
        let Some(now) = &self.comparing else {
            return match command {
                CompareCommand::Begin => self.study_path().is_some(),
                CompareCommand::AskForVisits | CompareCommand::Open(_) => true,
                _ => false,
            };
        };
        match command {
            CompareCommand::Begin => false,
            CompareCommand::Between(pair) => {
                pair.earlier < pair.later
                    && pair.later < now.foot.visits.len()
                    && now.pair() != *pair
            }
            CompareCommand::By(convention) => {
                now.comparison.convention != *convention
                    && now.foot.conventions().contains(convention)
            }
            CompareCommand::HoldPlan(place) => {
                *place < now.plans.len() && now.looking.plan != *place
            }
            CompareCommand::MarkWire => {
                now.looking.wires.marking == WireMarking::Nothing && now.marks_wires().is_ok()
            }
            CompareCommand::WireAt(_) | CompareCommand::ForgetWire => {
                now.looking.wires.marking != WireMarking::Nothing
            }
            CompareCommand::TakeWire(place) => *place < now.looking.wires.marked.len(),
            CompareCommand::Films(view) => now.view != *view && now.has_both(*view),
            CompareCommand::Edit(edit) => match edit {
                TimeLineEdit::TakeOut(_) => now.edited.visits.len() > 2,
                TimeLineEdit::ByDays => !now.edited.is_by_days(),
                TimeLineEdit::Earlier(place) => *place > 0,
                TimeLineEdit::Later(place) => place + 1 < now.edited.visits.len(),
                TimeLineEdit::Name(..) | TimeLineEdit::When(..) | TimeLineEdit::Add(_) => true,
            },
            _ => true,
        }
    }
}
