//! Commands that place, move and take away points, and what comes next.

use std::path::Path;

use plumbray_anatomy::{Calibration, FilmPoint, FilmTracing, Landmark, View};
use plumbray_study::landmark_table;
use plumbray_trace::{Hand, TraceError, fit_round_object};

use super::{
    Finished, Workbench,
    calibrating::{CalibrationMethod, FittedScale},
    command::{Command, Gesture, Snapping},
    guided::guided_edit,
    mistaken_bone::mistake_about,
    opening::{OpenFilm, short_name},
    state::{Request, Selection},
    step::{self, GestureKind, Progress, TraceStep},
    tracing_edit::{TracingEdit, edit_for},
};

impl Workbench {
    /// Commands that change the tracing; gives back those that do not.
    pub(super) fn apply_to_tracing(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::Gesture(view, gesture, snapping) => {
                let snapping = self.allowed(snapping);
                self.gesture(view, gesture, snapping);
            }
            Command::ForgetFirstClick => self.view.first_click = None,
            Command::GoTo(step) => self.go_to(step),
            Command::SetAdjusting(adjusting) => {
                self.view.adjusting = adjusting;
                self.view.first_click = None;
                self.leave_steps_before_offers();
                // While a row is selected its construction is drawn in place of the points.
                if adjusting && matches!(self.view.selection, Selection::Measurement(_)) {
                    self.view.selection = Selection::Nothing;
                }
            }
            Command::NextStep => self.walk_steps(1),
            Command::PreviousStep => self.walk_steps(-1),
            Command::MovePoint {
                view,
                landmark,
                to,
                finished,
            } => {
                self.move_point(view, landmark, to, finished);
            }
            Command::DeletePoint(view, landmark) => {
                if !self.study.tracing.on(view).points.contains_key(&landmark) {
                    self.strike_out(view, landmark);
                }
                self.change(&format!("Delete: {}", landmark.name()), |study| {
                    study.tracing.on_mut(view).points.remove(&landmark);
                });
                self.view.selection = Selection::Nothing;
            }
            Command::DeleteStep(step) => {
                self.change(&format!("Delete: {}", step.name()), |study| {
                    let tracing = study.tracing.on_mut(step.view());
                    for landmark in step.landmarks() {
                        tracing.points.remove(&landmark);
                    }
                    if let TraceStep::Shaft(_, bone) = step {
                        tracing.cortices.remove(&bone);
                    }
                });
            }
            Command::DeleteTracing(view) => {
                self.change(&command.text(), |study| {
                    *study.tracing.on_mut(view) = FilmTracing::default();
                });
                if matches!(self.view.selection, Selection::Point(on, _) if on == view) {
                    self.view.selection = Selection::Nothing;
                }
            }
            Command::SelectPoint(view, landmark) => {
                self.view.selection = Selection::Point(view, landmark);
                self.view.active = Some(view);
            }
            Command::NextPoint => self.walk_points(true),
            Command::PreviousPoint => self.walk_points(false),
            Command::Select(measurement) => {
                self.view.selection = Selection::Measurement(measurement);
            }
            Command::SelectNothing => self.view.selection = Selection::Nothing,
            Command::AskExportLandmarks(view) => {
                let film = self.film(view)?.path.clone();
                let table = format!("{}.landmarks.csv", short_name(&film));
                self.requests
                    .push(Request::AskWhereToExport(view, film.with_file_name(table)));
            }
            Command::ExportLandmarks(view, path) => self.export_landmarks(view, &path),
            Command::AskImportLandmarks(view) => {
                self.requests.push(Request::AskWhatToImport(view));
            }
            Command::ImportLandmarks(view, path) => self.import_landmarks(view, &path),
            other => return Some(other),
        }
        None
    }

    /// The step that a gesture on this film serves: the chosen one, or the first that is missing.
    #[must_use]
    pub fn step(&self, view: View) -> Option<TraceStep> {
        let film = self.film(view)?;
        let longer_side = film.longer_side_px();
        let operated = self.study.visit.operated;
        let missing =
            || step::first_missing(self.study.tracing.on(view), view, operated, longer_side);
        let left = || {
            let steps = TraceStep::of_view(view, operated).into_iter();
            let mut left = steps.filter(|step| !self.left_to_reader(*step).is_empty());
            left.next()
        };
        self.view.chosen_step[view as usize]
            .or_else(missing)
            .or_else(left)
    }

    /// The step that the prompt line asks for: that of the active film, or of the other film when
    /// the active one is complete.
    #[must_use]
    pub fn next_step(&self) -> Option<TraceStep> {
        let active = self.view.active?;
        let other = active.other();
        self.step(active).or_else(|| self.step(other))
    }

    /// How far a step has come.
    #[must_use]
    pub fn progress(&self, step: TraceStep) -> Progress {
        self.film(step.view()).map_or(Progress::Missing, |open| {
            let longer_side = open.longer_side_px();
            let by_tracing = step.progress(self.study.tracing.on(step.view()), longer_side);
            self.progress_with_proposal(step, by_tracing)
        })
    }

    fn go_to(&mut self, step: TraceStep) {
        *self.view.chosen_step_mut(step.view()) = Some(step);
        self.view.active = Some(step.view());
        self.view.first_click = None;
        self.view.calibrating = None;
        self.view.adjusting = false;
    }

    fn walk_steps(&mut self, direction: isize) {
        let operated = self.study.visit.operated;
        let steps: Vec<TraceStep> = View::ALL
            .into_iter()
            .filter(|view| self.film(*view).is_some())
            .flat_map(|view| TraceStep::of_view(view, operated))
            .collect();
        let here = self
            .next_step()
            .and_then(|step| steps.iter().position(|other| *other == step));
        let to = match here {
            Some(at) => at
                .saturating_add_signed(direction)
                .min(steps.len().saturating_sub(1)),
            None => 0,
        };
        if let Some(step) = steps.get(to) {
            self.go_to(*step);
        }
    }

    fn walk_points(&mut self, forward: bool) {
        let points: Vec<(View, Landmark)> = View::ALL
            .into_iter()
            .flat_map(|view| {
                let placed = self.study.tracing.on(view).points.keys().copied();
                let offered = self.offered_tracing(view).unwrap_or_default();
                let mut names: Vec<Landmark> = placed.chain(offered.points.into_keys()).collect();
                names.sort_unstable();
                names.into_iter().map(move |name| (view, name))
            })
            .collect();
        let Some(last) = points.len().checked_sub(1) else {
            return;
        };
        let here = match self.view.selection {
            Selection::Point(view, name) => points.iter().position(|point| *point == (view, name)),
            _ => None,
        };
        let to = match (here, forward) {
            (Some(at), true) => {
                if at == last {
                    0
                } else {
                    at + 1
                }
            }
            (Some(at), false) => at.checked_sub(1).unwrap_or(last),
            (None, true) => 0,
            (None, false) => last,
        };
        let (view, landmark) = points[to];
        self.view.selection = Selection::Point(view, landmark);
        self.view.active = Some(view);
    }

    fn gesture(&mut self, view: View, gesture: Gesture, snapping: Snapping) {
        self.view.active = Some(view);
        if self
            .view
            .calibrating
            .is_some_and(|calibrating| calibrating.view == view)
        {
            self.calibration_gesture(view, gesture);
            return;
        }
        let Some(step) = self.step(view).filter(|_| !self.view.adjusting) else {
            return;
        };
        match self.completed(view, step.gesture(), gesture) {
            Some(gesture) => self.start_tracing(view, step, gesture, snapping),
            None => self.note_first_click(view, gesture),
        }
    }

    /// The gesture that a step asks for, where this one makes it up: a second click completes a
    /// sweep, and a sweep where one click is asked for counts as a click at its end.
    fn completed(&self, view: View, wanted: GestureKind, gesture: Gesture) -> Option<Gesture> {
        match (wanted, gesture) {
            (GestureKind::Sweep, Gesture::Click(to)) => match self.view.first_click {
                Some((first_view, from)) if first_view == view => Some(Gesture::Sweep { from, to }),
                _ => None,
            },
            (GestureKind::Click, Gesture::Sweep { to, .. }) => Some(Gesture::Click(to)),
            (GestureKind::Sweep, Gesture::Sweep { .. })
            | (GestureKind::Click, Gesture::Click(_)) => Some(gesture),
        }
    }

    fn note_first_click(&mut self, view: View, gesture: Gesture) {
        if let Gesture::Click(at) = gesture {
            self.view.first_click = Some((view, at));
        }
    }

    fn start_tracing(&mut self, view: View, step: TraceStep, gesture: Gesture, snapping: Snapping) {
        let Some(open) = self.film(view) else {
            return;
        };
        let film = open.film.clone();
        let sight = open.look.seen().and_then(|seen| seen.sight.clone());
        let hand = self.hand_on(view, open);
        self.view.first_click = None;
        let existing = self.study.tracing.on(view).clone();
        let worked_on = self.works_on(view);
        self.jobs
            .start(&format!("Tracing: {}", step.name()), move || {
                let grey = film.grey_view();
                let guided = sight
                    .filter(|_| snapping == Snapping::On)
                    .and_then(|sight| guided_edit(&sight, &grey, step, gesture, &existing));
                let edit = guided.map_or_else(
                    || edit_for(step, gesture, snapping, &grey, &existing, hand),
                    Ok,
                );
                Finished::Traced(worked_on, view, step, edit)
            });
    }

    pub(super) fn was_traced(
        &mut self,
        view: View,
        step: TraceStep,
        result: Result<TracingEdit, TraceError>,
    ) {
        match result {
            Ok(edit) => {
                self.change(&format!("Trace: {}", step.name()), |study| {
                    edit.apply(study.tracing.on_mut(view));
                });
                self.notices
                    .retain(|notice| !notice.text.starts_with(step.name()));
                for remark in &edit.remarks {
                    self.note(format!("{}: {remark}", step.name()));
                }
                if let TraceStep::Shaft(_, bone) = step
                    && let Some(mistake) = mistake_about(bone, self.study.tracing.on(view))
                {
                    self.warn(format!("{}: {mistake}", step.name()));
                }
                if self.view.chosen_step[view as usize] == Some(step) {
                    *self.view.chosen_step_mut(view) = None;
                }
                self.go_to_other_film_if_complete(view);
            }
            Err(problem) => self.warn(format!("{}: {problem}", step.name())),
        }
    }

    /// Nothing more is asked for on this film: the other one, if it is not complete, is next.
    pub(super) fn go_to_other_film_if_complete(&mut self, view: View) {
        let other = view.other();
        if self.step(view).is_none() && self.step(other).is_some() {
            self.view.active = Some(other);
        }
    }

    /// The hand that puts points on an open film.
    fn hand_on(&self, view: View, open: &OpenFilm) -> Hand {
        let scale = self.calibration(view).map(Calibration::mm_per_pixel_width);
        Hand::on(&open.film.grey_view(), scale)
    }

    fn move_point(&mut self, view: View, landmark: Landmark, to: FilmPoint, finished: bool) {
        let Some(open) = self.film(view) else {
            return;
        };
        let moved = self.hand_on(view, open).placed(to);
        let before = self
            .before_drag
            .take()
            .unwrap_or_else(|| self.study.clone());
        self.study
            .tracing
            .on_mut(view)
            .points
            .insert(landmark, moved);
        self.view.selection = Selection::Point(view, landmark);
        if finished {
            let what = format!("Move: {}", landmark.name());
            if self.study != before {
                self.note_change(&what, true);
                self.undo.remember(&what, before, &self.study);
            }
            self.refresh();
            self.save();
        } else {
            self.before_drag = Some(before);
            self.refresh();
        }
    }

    fn calibration_gesture(&mut self, view: View, gesture: Gesture) {
        let Some(calibrating) = self.view.calibrating else {
            return;
        };
        let Some(Gesture::Sweep { from, to }) = self.completed(view, GestureKind::Sweep, gesture)
        else {
            self.note_first_click(view, gesture);
            return;
        };
        self.view.first_click = None;
        match calibrating.method {
            CalibrationMethod::RoundObject => self.start_fitting(view, from, to),
            CalibrationMethod::KnownDistance => self.distance_was_swept(view, from, to),
        }
    }

    /// A sweep from the middle of a ball or coin to its edge tells where it is and how large.
    fn start_fitting(&mut self, view: View, middle: FilmPoint, edge: FilmPoint) {
        let Some(open) = self.film(view) else {
            return;
        };
        let (film, worked_on) = (open.film.clone(), self.works_on(view));
        self.jobs.start("Fitting the ball or coin", move || {
            let proportions = film.proportions();
            let radius = (proportions.physical(edge) - proportions.physical(middle)).length();
            Finished::Fitted(
                worked_on,
                view,
                fit_round_object(&film.grey_view(), middle, radius),
            )
        });
    }

    fn distance_was_swept(&mut self, view: View, from: FilmPoint, to: FilmPoint) {
        let Some(open) = self.film(view) else {
            return;
        };
        let sd_px = self.hand_on(view, open).sd_px;
        if let Some(calibrating) = &mut self.view.calibrating {
            calibrating.fitted = Some(FittedScale::Distance { from, to, sd_px });
        }
    }

    fn export_landmarks(&mut self, view: View, path: &Path) {
        let table = landmark_table::export(self.study.tracing.on(view));
        match std::fs::write(path, table) {
            Ok(()) => self.note(format!("The landmarks are in {}.", path.display())),
            Err(problem) => self.warn(format!(
                "The landmarks could not be written ({problem}); choose another folder: {}",
                path.display()
            )),
        }
    }

    fn import_landmarks(&mut self, view: View, path: &Path) {
        let read = std::fs::read_to_string(path)
            .map_err(|problem| problem.to_string())
            .and_then(|text| {
                landmark_table::import(&text, view).map_err(|problem| problem.to_string())
            });
        match read {
            Ok(imported) => {
                self.change("Import landmarks", |study| {
                    let tracing = study.tracing.on_mut(view);
                    tracing.points.extend(imported.points);
                    tracing.cortices.extend(imported.cortices);
                });
            }
            Err(problem) => self.warn(format!(
                "No landmarks were read: {problem}: {}",
                path.display()
            )),
        }
    }
}
