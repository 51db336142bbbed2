//! Commands that change how a film is shown, and calibration by hand.

use plumbray_anatomy::{Angle, Calibration, View};
use plumbray_trace::{CircleFit, TraceError};

use super::{
    Workbench,
    calibrating::{Calibrating, FittedScale},
    command::Command,
    state::FilmView,
};
use crate::canvas::{FilmLook, Placement};

impl Workbench {
    /// Commands that calibrate; gives back those that do not.
    pub(super) fn apply_to_calibration(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::StartCalibration(view, method) => {
                self.view.calibrating = Some(Calibrating::begin(view, method));
                self.view.first_click = None;
                self.view.active = Some(view);
            }
            Command::SetKnownSize(millimetres) => {
                if let Some(calibrating) = &mut self.view.calibrating {
                    calibrating.known_size_mm = millimetres;
                }
            }
            Command::FinishCalibration => {
                let fitted = self.fitted_calibration();
                if let Some((view, calibration)) = fitted {
                    self.view.calibrating = None;
                    self.set_calibration("Calibrate by hand", view, Some(calibration));
                }
            }
            Command::CancelCalibration => {
                self.view.calibrating = None;
                self.view.first_click = None;
            }
            Command::AcceptFileSpacing(view) => {
                let offered = self.file_spacing_on_request(view);
                self.set_calibration("Use the file’s spacing", view, offered);
            }
            Command::RemoveCalibration(view) => {
                self.set_calibration("Remove the calibration", view, None);
            }
            other => return Some(other),
        }
        None
    }

    fn set_calibration(&mut self, what: &str, view: View, calibration: Option<Calibration>) {
        self.change(what, |study| {
            if let Some(film) = study.film_mut(view) {
                film.calibration = calibration;
            }
        });
    }

    /// What the calibration under way would come to, and for which film.
    #[must_use]
    pub fn fitted_calibration(&self) -> Option<(View, Calibration)> {
        let calibrating = self.view.calibrating?;
        let proportions = self.film(calibrating.view)?.film.proportions();
        Some((calibrating.view, calibrating.calibration(proportions)?))
    }

    pub(super) fn circle_was_fitted(&mut self, view: View, result: Result<CircleFit, TraceError>) {
        match result {
            Ok(circle) => {
                if let Some(calibrating) = &mut self.view.calibrating
                    && calibrating.view == view
                {
                    calibrating.fitted = Some(FittedScale::Circle(circle));
                }
            }
            Err(problem) => self.warn(format!("No ball or coin: {problem}")),
        }
    }

    /// Whether a command that changes how a film is shown can be done now; nothing for any other.
    pub(super) fn can_look(&self, command: &Command) -> Option<bool> {
        let compares = self.comparing().is_some();
        let measures = !compares && self.planning().is_none();
        let possible = match command {
            Command::NextWindow | Command::Invert | Command::WholeFilm if compares => true,
            // They would turn the film that is traced, which nobody sees then.
            Command::Zoom(_) | Command::Turn(_) | Command::Mirror if compares => false,
            Command::Look(view, _) | Command::NoteDrawn(view, _) | Command::ShowWindow(view, _) => {
                self.film(*view).is_some()
            }
            Command::Graphics => measures && self.has_graphics(),
            Command::NextPicture | Command::PreviousPicture => {
                let is_next = *command == Command::NextPicture;
                measures && self.picture_beside(is_next).is_some()
            }
            Command::ShowPicture(view, number) => self
                .several_pictures(*view)
                .is_some_and(|frame| measures && (1..=frame.count).contains(number)),
            _ => return None,
        };
        Some(possible)
    }

    /// Commands that change how a film is shown.
    pub(super) fn apply_to_look(&mut self, command: Command) {
        match command {
            Command::Look(view, shown) => self.with_view(view, |old| *old = *shown),
            Command::NoteDrawn(view, placement) => {
                if let Some(open) = &mut self.films[view as usize] {
                    open.drawn = Some(placement);
                }
            }
            Command::Activate(view) => self.view.active = Some(view),
            Command::WholeFilm => self.with_active_view(|view| view.placement = Placement::Fit),
            Command::Zoom(factor) => self.zoom(factor),
            Command::Turn(angle) => self.turn(angle),
            Command::Mirror => {
                self.with_active_view(|view| view.orientation = view.orientation.mirrored());
            }
            Command::Invert => {
                self.with_active_view(|view| view.look.inverted = !view.look.inverted);
            }
            Command::NextWindow => self.next_window(),
            Command::ShowWindow(view, index) => self.show_window(view, index),
            Command::Graphics => {
                self.with_active_view(|view| view.shows_graphics = !view.shows_graphics);
            }
            Command::ShowPicture(view, number) => self.show_picture(view, number),
            Command::NextPicture | Command::PreviousPicture => {
                let beside = self.picture_beside(command == Command::NextPicture);
                if let Some((view, number)) = beside {
                    self.show_picture(view, number);
                }
            }
            _ => {}
        }
    }

    fn with_view(&mut self, view: View, edit: impl FnOnce(&mut FilmView)) {
        if let Some(open) = &mut self.films[view as usize] {
            edit(&mut open.view);
        }
    }

    fn with_active_view(&mut self, edit: impl FnOnce(&mut FilmView)) {
        if let Some(view) = self.view.active {
            self.with_view(view, edit);
        }
    }

    fn turn(&mut self, angle: Angle) {
        self.with_active_view(|view| view.orientation = view.orientation.turned_by(angle));
    }

    /// Zooms about the middle of the film zone. A film that is fitted to its zone starts at the zoom at
    /// which the window has drawn it.
    fn zoom(&mut self, factor: f64) {
        let Some(open) = self
            .view
            .active
            .and_then(|view| self.films[view as usize].as_mut())
        else {
            return;
        };
        let start = match open.view.placement {
            Placement::Fit | Placement::Part(_) => open.drawn,
            at @ Placement::At { .. } => Some(at),
        };
        if let Some(Placement::At { centre, zoom }) = start {
            open.view.placement = Placement::At {
                centre,
                zoom: zoom * factor,
            };
        }
    }

    fn next_window(&mut self) {
        let Some(view) = self.view.active else {
            return;
        };
        let Some(open) = self.film(view) else {
            return;
        };
        let count = open.film.grey().windows.len();
        let next = open.view.named_window.map_or(0, |at| (at + 1) % count);
        self.show_window(view, next);
    }

    /// Shows a film through one of its own windows, as dark or bright as it was; nothing where it has no such window.
    fn show_window(&mut self, view: View, index: usize) {
        let Some(open) = &mut self.films[view as usize] else {
            return;
        };
        if let Some(window) = open.film.grey().windows.get(index) {
            open.view.look = FilmLook {
                inverted: open.view.look.inverted,
                ..FilmLook::of_window(window)
            };
            open.view.named_window = Some(index);
        }
    }
}
