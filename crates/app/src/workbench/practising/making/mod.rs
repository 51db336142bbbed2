//! A supervisor makes a practice set of studies: which of them, every film looked at, where to.

mod command;
mod reading;
mod work;

use std::{
    path::PathBuf,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use plumbray_anatomy::View;
use plumbray_film::Pyramid;
use plumbray_practise::{
    Difficulty, LessonDefaults, SeenPicture, StudyFitness, StudyForSet, SupervisedSet,
};

pub use command::MakingCommand;
pub(in crate::workbench) use reading::{FilmRead, StudiesRead};

use crate::workbench::FilmView;

/// A set of studies that is being made.
#[derive(Debug)]
pub struct SetInMaking {
    /// Where the studies lie; nothing while nobody said so.
    pub folder: Option<PathBuf>,
    /// The studies that were found; nothing while none were read.
    pub studies: Option<Vec<OfferedStudy>>,
    /// What the set is called.
    pub name: String,
    /// Who makes the set; each reference is its study's reader's.
    pub supervisor: String,
    /// Whether residents may let the program move points to edges from the start.
    pub snapping: bool,
    /// The folder that the set is to have, as it was written.
    pub target: String,
    /// The film that is looked at.
    pub looked_at: Option<Box<LookedAtFilm>>,
    /// The work that is under way.
    work: Option<WorkOnSet>,
    /// Which work was begun last: what comes of earlier work is let go.
    number: u64,
}

/// A study that may go into the set.
#[derive(Clone, Debug)]
pub struct OfferedStudy {
    /// What it offers, or why it cannot be taken.
    pub fitness: StudyFitness,
    /// The study's path below the folder.
    pub name: String,
    /// Whether it goes into the set.
    pub is_taken: bool,
    /// Its films.
    pub films: Vec<FilmOfStudy>,
}

/// A film of a study that may go into the set.
#[derive(Clone, Debug)]
pub struct FilmOfStudy {
    /// Which film.
    pub view: View,
    /// The film, small.
    pub picture: Arc<GreyPicture>,
    /// The picture that was shown large, where one was: names cannot be read in the small one.
    pub seen: Option<SeenPicture>,
    /// Whether the supervisor said that nothing in it tells who the patient is.
    pub is_clear: bool,
}

impl FilmOfStudy {
    /// The picture that was looked at and found clear of names.
    fn found_clear(&self) -> Option<SeenPicture> {
        self.seen.clone().filter(|_| self.is_clear)
    }
}

/// A picture in greys, row by row from the upper left corner.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct GreyPicture {
    /// Width and height in pixels.
    pub size: [usize; 2],
    /// A grey for each pixel, 0 being black.
    pub greys: Vec<u8>,
}

/// A film that is looked at for names.
#[derive(Debug)]
pub struct LookedAtFilm {
    /// Its study's place in the list.
    pub place: usize,
    /// Which film.
    pub view: View,
    /// Its picture.
    pub pyramid: Arc<Pyramid>,
    /// How it is shown.
    pub shown: FilmView,
}

/// Work under way on a worker's thread.
#[derive(Clone, Debug)]
struct WorkOnSet {
    what: &'static str,
    done: Arc<AtomicUsize>,
    of: Option<usize>,
}

impl SetInMaking {
    /// A set of which nothing is known yet but where studies may lie and who is at the desk.
    pub(super) fn new(reader: &str) -> Self {
        Self {
            folder: None,
            studies: None,
            name: String::new(),
            supervisor: reader.trim().to_owned(),
            snapping: LessonDefaults::default().snapping,
            target: String::new(),
            looked_at: None,
            work: None,
            number: 0,
        }
    }

    /// What is being done, with how far it has come: "Reading the studies: 3".
    #[must_use]
    pub fn work_under_way(&self) -> Option<String> {
        let work = self.work.as_ref()?;
        let done = work.done.load(Ordering::Relaxed);
        Some(match work.of {
            Some(all) => format!("{}: {done} of {all}", work.what),
            None => format!("{}: {done}", work.what),
        })
    }

    /// The studies that go into the set.
    pub fn taken(&self) -> impl Iterator<Item = &OfferedStudy> {
        let studies = self.studies.iter().flatten();
        studies.filter(|study| study.is_taken)
    }

    /// What is still missing before the set can be written, in a sentence; nothing when it can.
    #[must_use]
    pub fn what_is_missing(&self) -> Option<String> {
        let feet = self.taken().count();
        let unclear = self
            .taken()
            .flat_map(|study| &study.films)
            .filter(|film| !film.is_clear)
            .count();
        let blank = |text: &str| text.trim().is_empty();
        let missing = match () {
            () if self.studies.is_none() => "Choose the folder of the studies.".to_owned(),
            () if feet == 0 => "Take at least one study into the set.".to_owned(),
            () if unclear == 1 => "Look at 1 more film for names.".to_owned(),
            () if unclear > 0 => format!("Look at {unclear} more films for names."),
            () if blank(&self.name) => "Name the set.".to_owned(),
            () if blank(&self.supervisor) => "Say who makes the set.".to_owned(),
            () if blank(&self.target) => "Say where to write the set.".to_owned(),
            () => return None,
        };
        Some(missing)
    }

    /// The next film after the one at this place that is taken and was not found clear.
    #[must_use]
    pub fn next_to_look_at(&self, after: Option<(usize, View)>) -> Option<(usize, View)> {
        let open: Vec<(usize, View)> = self
            .studies
            .iter()
            .flatten()
            .enumerate()
            .filter(|(_, study)| study.is_taken)
            .flat_map(|(place, study)| study.films.iter().map(move |film| (place, film)))
            .filter(|(_, film)| !film.is_clear)
            .map(|(place, film)| (place, film.view))
            .collect();
        let behind = |at: &&(usize, View)| after.is_some_and(|after| **at > after);
        open.iter().find(behind).or(open.first()).copied()
    }

    /// A film of a study.
    #[must_use]
    pub fn film(&self, place: usize, view: View) -> Option<&FilmOfStudy> {
        let study = self.studies.as_ref()?.get(place)?;
        study.films.iter().find(|film| film.view == view)
    }

    fn film_mut(&mut self, place: usize, view: View) -> Option<&mut FilmOfStudy> {
        let study = self.studies.as_mut()?.get_mut(place)?;
        study.films.iter_mut().find(|film| film.view == view)
    }

    /// Whether what a command does can be done now.
    pub(super) fn can(&self, command: &MakingCommand) -> bool {
        match command {
            MakingCommand::Leave => true,
            _ if self.work.is_some() => false,
            MakingCommand::Write => self.what_is_missing().is_none(),
            MakingCommand::Take(place, _) => self
                .studies
                .as_ref()
                .and_then(|studies| studies.get(*place))
                .is_some_and(|study| study.fitness.refusal.is_none()),
            MakingCommand::LookAt(place, view) => self.film(*place, *view).is_some(),
            // In the small picture no name can be read.
            MakingCommand::Clear(place, view, clear) => self
                .film(*place, *view)
                .is_some_and(|film| film.seen.is_some() && film.is_clear != *clear),
            MakingCommand::Show(_) | MakingCommand::ToList => self.looked_at.is_some(),
            MakingCommand::AskForStudies
            | MakingCommand::ReadStudies(_)
            | MakingCommand::Name(_)
            | MakingCommand::Supervisor(_)
            | MakingCommand::Snapping(_)
            | MakingCommand::AskWhere
            | MakingCommand::Where(_) => true,
        }
    }

    /// Takes in the studies of a folder; what can be guessed is filled in.
    fn take_in(&mut self, studies: Vec<OfferedStudy>) {
        let traced_by = |study: &&OfferedStudy| !study.fitness.traced_by.trim().is_empty();
        if let Some(study) = studies.iter().find(traced_by)
            && self.supervisor.is_empty()
        {
            study
                .fitness
                .traced_by
                .trim()
                .clone_into(&mut self.supervisor);
        }
        if self.target.is_empty()
            && let Some(folder) = &self.folder
            && let Some(name) = folder.file_name()
        {
            let name = format!("{}-practice-set", name.to_string_lossy());
            self.target = folder.with_file_name(name).display().to_string();
        }
        if self.name.is_empty() && !self.supervisor.is_empty() {
            self.name = format!("Feet traced by {}", self.supervisor);
        }
        self.studies = Some(studies);
    }

    fn request(&self) -> SupervisedSet {
        let supervisor = self.supervisor.trim().to_owned();
        SupervisedSet {
            name: self.name.trim().to_owned(),
            made_by: supervisor.clone(),
            supervisor,
            defaults: LessonDefaults {
                snapping: self.snapping,
                ..LessonDefaults::default()
            },
            studies: self
                .taken()
                .map(|study| StudyForSet {
                    path: study.fitness.path.clone(),
                    difficulty: Difficulty::by_reasons(Vec::new()),
                    tags: Vec::new(),
                    looked_at: Some(
                        study
                            .films
                            .iter()
                            .filter_map(FilmOfStudy::found_clear)
                            .collect(),
                    ),
                })
                .collect(),
        }
    }

    /// Begins work of which only the latest counts; gives its number and where to tell how far it has come.
    fn begin(&mut self, what: &'static str, of: Option<usize>) -> (u64, Arc<AtomicUsize>) {
        let done = Arc::new(AtomicUsize::new(0));
        self.number += 1;
        self.work = Some(WorkOnSet {
            what,
            done: Arc::clone(&done),
            of,
        });
        (self.number, done)
    }
}
