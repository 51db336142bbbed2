//! What the workbench does while a set is made, and what comes back from its workers.

use std::{path::PathBuf, sync::atomic::Ordering};

use plumbray_anatomy::View;
use plumbray_practise::{SeenPicture, set_from_studies};

use super::{FilmRead, LookedAtFilm, MakingCommand, SetInMaking, StudiesRead, reading};
use crate::workbench::{
    Finished, Workbench,
    practising::{PracticeStage, Practising},
    state::Request,
};

/// What the workers of a set do, as a person reads it.
const READING: &str = "Reading the studies";
const OPENING: &str = "Opening the film";
const WRITING: &str = "Writing the practice set";

impl Workbench {
    fn making_mut(&mut self) -> Option<&mut SetInMaking> {
        match &mut self.practising {
            Some(Practising {
                stage: PracticeStage::Making(making),
                ..
            }) => Some(making),
            _ => None,
        }
    }

    /// The set in making whose latest work has this number; that work has ended.
    fn making_after(&mut self, number: u64) -> Option<&mut SetInMaking> {
        let making = self.making_mut().filter(|own| own.number == number)?;
        making.work = None;
        Some(making)
    }

    /// Begins to make a set of the studies that were looked at last, if any.
    pub(in crate::workbench::practising) fn begin_making(&mut self) {
        let reader = self.settings.reader.clone();
        let Some(practising) = &mut self.practising else {
            return;
        };
        practising.stage = PracticeStage::Making(Box::new(SetInMaking::new(&reader)));
        self.notices.clear();
        if let Some(folder) = practising.studies.clone().filter(|folder| folder.is_dir()) {
            self.apply_to_making(MakingCommand::ReadStudies(folder));
        }
    }

    /// Does what belongs to making a set.
    pub(in crate::workbench) fn apply_to_making(&mut self, command: MakingCommand) {
        let Some(making) = self.making_mut() else {
            return;
        };
        match command {
            MakingCommand::AskForStudies => self.requests.push(Request::AskForStudiesOfSet),
            MakingCommand::ReadStudies(folder) => self.read_studies(folder),
            MakingCommand::Take(place, taken) => {
                if let Some(study) = making.studies.iter_mut().flatten().nth(place) {
                    study.is_taken = taken;
                }
                let of_it = |film: &LookedAtFilm| film.place == place;
                if !taken && making.looked_at.as_deref().is_some_and(of_it) {
                    self.look_at_next(place, View::Lateral);
                }
            }
            MakingCommand::LookAt(place, view) => self.read_film_of_study(place, view),
            MakingCommand::Show(shown) => {
                if let Some(film) = &mut making.looked_at {
                    film.shown = *shown;
                }
            }
            MakingCommand::ToList => making.looked_at = None,
            MakingCommand::Clear(place, view, clear) => {
                if let Some(film) = making.film_mut(place, view) {
                    film.is_clear = clear;
                }
                if clear && making.looked_at.is_some() {
                    self.look_at_next(place, view);
                }
            }
            MakingCommand::Name(name) => making.name = name,
            MakingCommand::Supervisor(name) => making.supervisor = name,
            MakingCommand::Snapping(snapping) => making.snapping = snapping,
            MakingCommand::AskWhere => {
                let proposal = PathBuf::from(making.target.trim());
                self.requests.push(Request::AskWhereToPutSet(proposal));
            }
            MakingCommand::Where(target) => making.target = target,
            MakingCommand::Write => self.write_set(),
            MakingCommand::Leave => self.show_overview(),
        }
    }

    /// Shows the next film that was not looked at, or the list when every film was.
    fn look_at_next(&mut self, place: usize, view: View) {
        let Some(making) = self.making_mut() else {
            return;
        };
        match making.next_to_look_at(Some((place, view))) {
            Some((place, view)) => self.read_film_of_study(place, view),
            None => making.looked_at = None,
        }
    }

    fn read_studies(&mut self, folder: PathBuf) {
        let but = self.places.practice.clone();
        if let Some(practising) = &mut self.practising {
            practising.studies = Some(folder.clone());
        }
        self.notices.clear();
        let Some(making) = self.making_mut() else {
            return;
        };
        making.folder = Some(folder.clone());
        making.studies = None;
        making.looked_at = None;
        let (number, read) = making.begin(READING, None);
        self.jobs.start(READING, move || {
            Finished::StudiesOfSetRead(number, reading::read_studies(&folder, &but, &read))
        });
    }

    pub(in crate::workbench) fn studies_of_set_were_read(
        &mut self,
        number: u64,
        read: StudiesRead,
    ) {
        let Some(making) = self.making_after(number) else {
            return;
        };
        match read {
            Ok(studies) => making.take_in(studies),
            Err(problem) => self.warn(problem),
        }
    }

    fn read_film_of_study(&mut self, place: usize, view: View) {
        let Some(making) = self.making_mut() else {
            return;
        };
        let study = making.studies.as_ref().and_then(|own| own.get(place));
        let Some(path) = study.map(|study| study.fitness.path.clone()) else {
            return;
        };
        let (number, _) = making.begin(OPENING, Some(1));
        self.jobs.start(OPENING, move || {
            Finished::FilmOfSetRead(number, reading::read_film(&path, place, view))
        });
    }

    pub(in crate::workbench) fn film_of_set_was_read(&mut self, number: u64, read: FilmRead) {
        let Some(making) = self.making_after(number) else {
            return;
        };
        match read {
            Ok(film) => {
                if let Some(own) = making.film_mut(film.place, film.view) {
                    let seen = SeenPicture::of(film.pyramid.film());
                    // What was found of another film does not hold for this one.
                    own.is_clear &= own.seen.as_ref() == Some(&seen);
                    own.seen = Some(seen);
                }
                making.looked_at = Some(film);
            }
            Err(problem) => self.warn(format!("The film cannot be looked at: {problem}")),
        }
    }

    fn write_set(&mut self) {
        let Some(making) = self.making_mut() else {
            return;
        };
        let request = making.request();
        let target = PathBuf::from(making.target.trim());
        let (number, done) = making.begin("Writing the set", Some(request.studies.len()));
        self.notices.clear();
        self.jobs.start(WRITING, move || {
            let mut written = |count| done.store(count, Ordering::Relaxed);
            let made = set_from_studies(&target, &request, &mut written);
            let made = made.map_err(|problem| problem.to_string());
            Finished::SetMade(number, made.map(|_| target))
        });
    }

    pub(in crate::workbench) fn set_was_made(
        &mut self,
        number: u64,
        made: Result<PathBuf, String>,
    ) {
        let is_waited_for = self.making_after(number).is_some();
        match made {
            Ok(folder) => {
                if is_waited_for {
                    self.open_practice_set(folder.clone());
                }
                self.note(format!("The practice set is written: {}", folder.display()));
            }
            Err(problem) => self.warn(format!("The set was not written: {problem}")),
        }
    }

    /// A fault of the program ended work on the set: nothing is waited for any more.
    pub(in crate::workbench) fn work_on_set_failed(&mut self, job: &str) {
        if [READING, OPENING, WRITING].contains(&job)
            && let Some(making) = self.making_mut()
        {
            making.work = None;
        }
    }
}
