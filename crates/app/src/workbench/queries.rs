//! What the views read of the workbench.

use std::path::PathBuf;

use plumbray_anatomy::{Calibration, Side, View};
use plumbray_compare::foot_of;
use plumbray_measure::{Choices, Foot, Implausible, Worksheet, side_from_bones};
use plumbray_report::{Contradiction, contradictions};
use plumbray_study::{SideSource, Study};

use super::{
    Notice, OpenFilm, Request, Settings, ViewState, Workbench, archive::ASKING, disc::DECODING,
    opening::StudyPlace, proposing::LOOKING, recent::RECENT, saving::SAVING,
};
use crate::own_spread::choices_by;

impl Workbench {
    /// Whether a foot is open, or its films are on their way.
    #[must_use]
    pub fn has_foot(&self) -> bool {
        self.films.iter().any(Option::is_some) || !matches!(self.place, StudyPlace::Nowhere)
    }

    /// The study.
    #[must_use]
    pub const fn study(&self) -> &Study {
        &self.study
    }

    /// The film of a view.
    #[must_use]
    pub const fn film(&self, view: View) -> Option<&OpenFilm> {
        self.films[view as usize].as_ref()
    }

    /// The attribute of a film's file that proposes which foot it is; nothing where something else does.
    #[must_use]
    pub fn side_attribute(&self) -> Option<&'static str> {
        let proposed = self.study.side?;
        if proposed.confirmed || proposed.source != SideSource::FilmFile {
            return None;
        }
        View::ALL.into_iter().find_map(|view| {
            let said = self.film(view)?.film.facts().side?;
            (said.value == proposed.side).then_some(said.source)
        })
    }

    /// Whether the file of the active film lays graphics over it.
    #[must_use]
    pub fn has_graphics(&self) -> bool {
        let active = self.view.active.and_then(|view| self.film(view));
        active.is_some_and(|open| open.graphics.is_some())
    }

    /// What is shown and selected.
    #[must_use]
    pub const fn view(&self) -> &ViewState {
        &self.view
    }

    /// The worksheet of the tracing as it is.
    #[must_use]
    pub const fn worksheet(&self) -> &Worksheet {
        &self.worksheet
    }

    /// The reader's choices, as the engine takes them.
    #[must_use]
    pub fn choices(&self) -> Choices {
        choices_by(&self.study, self.own_spread())
    }

    /// What looks wrong about the tracing as a whole.
    #[must_use]
    pub fn implausible(&self) -> &[Implausible] {
        &self.implausible
    }

    /// The foot as the engine takes it.
    #[must_use]
    pub fn foot(&self) -> Foot<'_> {
        foot_of(&self.study)
    }

    /// Which foot the bones make it, where two metatarsals are traced.
    #[must_use]
    pub fn side_by_bones(&self) -> Option<Side> {
        side_from_bones(self.foot().ap?)
    }

    /// Whether the order of the bones contradicts the side that was chosen.
    #[must_use]
    pub fn side_is_contradicted(&self) -> bool {
        let chosen = self.study.foot();
        self.side_by_bones()
            .is_some_and(|side| chosen.is_some_and(|chosen| chosen != side))
    }

    /// What the files of the open films say against the study: the other foot, or the other view.
    #[must_use]
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let facts = View::ALL.map(|view| Some(self.film(view)?.film.facts()));
        contradictions(&self.study, facts)
    }

    /// The calibration of a film.
    #[must_use]
    pub fn calibration(&self, view: View) -> Option<&Calibration> {
        self.study.film(view)?.calibration.as_ref()
    }

    /// The calibration that a film's file offers and the reader may take instead.
    #[must_use]
    pub fn file_spacing_on_request(&self, view: View) -> Option<Calibration> {
        self.film(view)?
            .film
            .facts()
            .spacing
            .calibration_on_request()
    }

    /// Studies of the same film, one for each foot.
    #[must_use]
    pub fn feet_of_film(&self) -> &[PathBuf] {
        &self.feet_of_film
    }

    /// Lines that tell the reader something, oldest first.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// What workers are doing, as a person reads it.
    #[must_use]
    pub fn work_under_way(&self) -> &[String] {
        self.jobs.running()
    }

    /// The work for which the reader waits: neither saving, nor looking at a film for a proposal, nor a small
    /// picture, nor asking an archive, nor what recent feet are.
    #[must_use]
    pub fn awaited_work(&self) -> Option<&str> {
        let is_awaited = |name: &&String| {
            ![SAVING, DECODING, ASKING, RECENT].contains(&name.as_str())
                && !name.starts_with(LOOKING)
        };
        self.jobs
            .running()
            .iter()
            .find(is_awaited)
            .map(String::as_str)
    }

    /// What the program remembers between starts.
    #[must_use]
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The name of the change that undo takes back: of the study, or of the list of visits while they are compared.
    #[must_use]
    pub fn next_undo(&self) -> Option<&str> {
        match &self.comparing {
            Some(now) => now.next_undo(),
            None => self.undo.next_undo(),
        }
    }

    /// The name of the change that redo makes again.
    #[must_use]
    pub fn next_redo(&self) -> Option<&str> {
        match &self.comparing {
            Some(now) => now.next_redo(),
            None => self.undo.next_redo(),
        }
    }

    /// What the window has to do, once.
    pub fn take_requests(&mut self) -> Vec<Request> {
        std::mem::take(&mut self.requests)
    }
}
