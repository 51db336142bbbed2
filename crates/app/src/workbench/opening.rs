//! Opening films and studies: which film is which view, and which study belongs to it.

use std::{
    num::NonZeroU32,
    path::{Path, PathBuf},
    sync::Arc,
};

use jiff::civil::Date;
use plumbray_anatomy::View;
use plumbray_film::{Film, FilmError, FilmFacts, Notice as FilmNotice, Pyramid};
use plumbray_study::{
    FilmRecord, STUDY_ENDING, SideChoice, SideSource, Stance, Study, StudyError, StudyFile, load,
    studies_of, study_path,
};
use rayon::prelude::*;

use super::{
    DiscCommand, MakingCommand, PracticeCommand, Workbench,
    laying_out::{is_wide, layout_of},
    practising::is_practice_set,
    seen::{Look, Seen},
    state::FilmView,
};
use crate::{
    canvas::{FileGraphics, Placement},
    disc::{has_disc_directory, is_disc_directory},
};

/// Said of a wide AP film, until a look at it tells how many feet it shows.
pub(super) const IF_BOTH_FEET: &str = "If this film shows both feet, choose in the menu Foot which \
                                       one is read: each has a study of its own.";

/// A film that is open.
#[derive(Clone, Debug)]
pub struct OpenFilm {
    /// Where it lies.
    pub path: PathBuf,
    /// Its pixels and what its file says.
    pub film: Film,
    /// The film with its reduced copies, for drawing.
    pub pyramid: Arc<Pyramid>,
    /// How it is shown.
    pub view: FilmView,
    /// Where the film lay in its zone when the window last drew it fitted to that zone.
    pub drawn: Option<Placement>,
    /// The graphics that its file lays over it; nothing where there are none.
    pub(crate) graphics: Option<Arc<FileGraphics>>,
    /// The picture that was asked for last, while one is being read.
    pub(crate) asked_picture: Option<u32>,
    /// What was seen on it before anybody pointed.
    pub(crate) look: Look,
}

impl OpenFilm {
    /// The number of pixels along the film's longer side.
    #[must_use]
    pub fn longer_side_px(&self) -> usize {
        self.film.width().max(self.film.height())
    }
}

/// A film that a worker has read.
#[derive(Debug)]
pub struct ReadFilm {
    pub(crate) path: PathBuf,
    pub(crate) film: Film,
    pub(crate) pyramid: Arc<Pyramid>,
    pub(crate) graphics: Option<Arc<FileGraphics>>,
    pub(crate) record: FilmRecord,
    pub(crate) studies: Vec<PathBuf>,
}

/// Why a film could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// The film's file.
    #[error(transparent)]
    Film(#[from] FilmError),
    /// Its record in the study.
    #[error(transparent)]
    Record(#[from] plumbray_study::FilmError),
}

/// Reads a picture of a film whole, on a worker's thread.
pub(crate) fn read_film(
    path: PathBuf,
    picture: NonZeroU32,
    study_folder: Option<&Path>,
) -> Result<ReadFilm, OpenError> {
    let film = plumbray_film::open_frame(&path, picture.get())?;
    let folder = study_folder.map_or_else(|| folder_of(&path), Path::to_owned);
    let width = u32::try_from(film.width()).unwrap_or(u32::MAX);
    let height = u32::try_from(film.height()).unwrap_or(u32::MAX);
    let mut record = FilmRecord::of_file(&path, &folder, width, height)?;
    record.picture = picture;
    record.proportions = film.proportions();
    record.calibration = film.facts().spacing.calibration();
    record.date = film
        .facts()
        .acquisition_date
        .as_deref()
        .and_then(|day| day.parse::<Date>().ok());
    let studies = studies_of(&path);
    Ok(ReadFilm {
        pyramid: Arc::new(film.pyramid()),
        graphics: FileGraphics::of(&film).map(Arc::new),
        path,
        film,
        record,
        studies,
    })
}

fn folder_of(film: &Path) -> PathBuf {
    match film.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Where a foot's study is kept.
#[derive(Debug)]
pub(crate) enum StudyPlace {
    /// Nothing is open.
    Nowhere,
    /// Open for writing.
    Here(Box<StudyFile>),
    /// With the worker that is saving it.
    Saving(PathBuf),
    /// Open to look at only, because another window has it or the file is not ours to change.
    ReadOnly(PathBuf),
}

impl Workbench {
    /// Opens a folder: a practice set is practised on, a disc with a directory is listed, any other is looked through
    /// for studies, and where it holds none for films.
    fn open_folder(&mut self, folder: PathBuf) {
        if is_practice_set(&folder) {
            self.apply_to_practising(PracticeCommand::OpenSet(folder));
        } else if self.practising.is_some() {
            self.apply_to_making(MakingCommand::ReadStudies(folder));
        } else if has_disc_directory(&folder) {
            self.apply_to_disc(DiscCommand::Open(folder));
        } else {
            self.look_through(folder);
        }
    }

    /// Opens a new foot from films, or from a study; a folder is looked through, and so is the disc of a directory.
    pub(super) fn open(&mut self, paths: Vec<PathBuf>) {
        if let [only] = paths.as_slice()
            && only.is_dir()
        {
            self.open_folder(only.clone());
            return;
        }
        if let [only] = paths.as_slice()
            && is_disc_directory(only)
        {
            self.apply_to_disc(DiscCommand::Open(only.clone()));
            return;
        }
        self.close_foot();
        let (studies, films): (Vec<PathBuf>, Vec<PathBuf>) = paths.into_iter().partition(|path| {
            path.as_os_str()
                .as_encoded_bytes()
                .ends_with(STUDY_ENDING.as_bytes())
        });
        for study in studies {
            self.open_study(&study);
        }
        if !films.is_empty() {
            self.start_reading(films, None);
        }
    }

    /// Starts to read films; `view` where the study says which it is, and so which of its pictures. They are taken in together, in
    /// the order in which they were named, so that it does not matter which is read faster.
    pub(super) fn start_reading(&mut self, paths: Vec<PathBuf>, view: Option<View>) {
        let names: Vec<String> = paths.iter().map(|path| short_name(path)).collect();
        let folder = self.study_folder();
        let foot = self.foot_number;
        let remembered = view.and_then(|view| self.study.film(view));
        let picture = remembered.map_or(NonZeroU32::MIN, |record| record.picture);
        self.jobs
            .start(&format!("Opening {}", names.join(", ")), move || {
                let films = paths
                    .into_par_iter()
                    .map(|path| read_film(path, picture, folder.as_deref()))
                    .collect();
                super::Finished::FilmsRead(foot, view, films)
            });
    }

    /// Opens a study and starts to read its films.
    pub(super) fn open_study(&mut self, path: &Path) {
        let opened = match StudyFile::open_with(path, &self.places.folders) {
            Ok((mut file, None)) => {
                let kept = file.kept_work();
                let study = kept.and_then(|kept| self.taken_up(&mut file, &kept));
                let Some(study) = study else {
                    let path = path.to_owned();
                    self.warn(StudyError::Missing { path }.to_string());
                    return;
                };
                (StudyPlace::Here(Box::new(file)), study)
            }
            Ok((file, Some(study))) => (StudyPlace::Here(Box::new(file)), study),
            Err(problem @ StudyError::OpenElsewhere { .. }) => {
                self.warn(problem.to_string());
                match load(path) {
                    Ok(study) => (StudyPlace::ReadOnly(path.to_owned()), study),
                    Err(problem) => {
                        self.warn(problem.to_string());
                        return;
                    }
                }
            }
            Err(problem) => {
                self.warn(problem.to_string());
                return;
            }
        };
        (self.place, self.study) = opened;
        self.remember_foot(path);
        self.read_films_of_study(&folder_of(path), |_| true);
        self.refresh();
    }

    /// Starts to read the films of the study that are not open, as far as their files are wanted.
    fn read_films_of_study(&mut self, folder: &Path, wanted: impl Fn(&Path) -> bool) {
        for view in View::ALL {
            let film = self.study.film(view).map(|record| record.path_in(folder));
            let is_open = |film: &PathBuf| self.film(view).is_some_and(|open| open.path == *film);
            if let Some(film) = film.filter(|film| !is_open(film) && wanted(film)) {
                self.start_reading(vec![film], Some(view));
            }
        }
    }

    /// Takes in a film that a worker has read.
    pub(super) fn film_was_read(&mut self, asked: Option<View>, read: Result<ReadFilm, OpenError>) {
        let read = match read {
            Ok(read) => read,
            Err(problem) => {
                self.warn(problem.to_string());
                return;
            }
        };
        // What is wrong with the picture of a practice film belongs to the exercise.
        if self.practising.is_none() {
            // Which of several pictures it is stands below the film, where another is chosen.
            let can_choose = read.film.frame().count > 1;
            let is_told = |notice: &&FilmNotice| {
                !(can_choose && matches!(notice, FilmNotice::OneOfSeveral { .. }))
            };
            for notice in read.film.notices().iter().filter(is_told) {
                self.note(format!("{}: {notice}", short_name(&read.path)));
            }
        }
        if let Some(view) = asked {
            self.check_unchanged(view, &read);
            self.show_film(view, read);
        } else if matches!(self.place, StudyPlace::Nowhere) {
            self.start_foot_with(read);
        } else {
            self.add_to_foot(read);
            self.name_after_ap_film();
            if self.study_path().is_some_and(Path::is_file) {
                self.save();
            }
        }
    }

    /// The first film of a foot: its study, if there is one, decides the rest.
    fn start_foot_with(&mut self, read: ReadFilm) {
        match read.studies.as_slice() {
            [] => {
                let path = study_path(&read.path, None);
                match StudyFile::open_with(&path, &self.places.folders) {
                    Ok((mut file, _)) => {
                        self.go_on_from_kept_work(&mut file, &read.record);
                        self.place = StudyPlace::Here(Box::new(file));
                    }
                    Err(problem) => {
                        self.warn(problem.to_string());
                        self.place = StudyPlace::ReadOnly(path.clone());
                    }
                }
                self.add_to_foot(read);
                // Kept work may have a film that was not opened with this one.
                self.read_films_of_study(&folder_of(&path), Path::is_file);
            }
            [only] => {
                let only = only.clone();
                self.open_study(&only);
                self.place_within_study(read);
            }
            [several, ..] => {
                let first = several.clone();
                self.feet_of_film = read.studies.clone();
                self.note(
                    "This film has more than one study. One is open; choose the other foot at the \
                     upper right."
                        .to_owned(),
                );
                self.open_study(&first);
                self.place_within_study(read);
            }
        }
    }

    /// Shows a film that was opened by itself and turned out to belong to a study.
    fn place_within_study(&mut self, read: ReadFilm) {
        let of_study = View::ALL.into_iter().find(|view| {
            self.study
                .film(*view)
                .is_some_and(|film| film.file == read.record.file)
        });
        match of_study {
            Some(view) => self.show_remembered(view, read),
            None => self.add_to_foot(read),
        }
    }

    /// Shows a film that the study has. Where the study measures another of its pictures, that one is open, or on its
    /// way already.
    fn show_remembered(&mut self, view: View, read: ReadFilm) {
        let measured = self.study.film(view).map(|film| film.picture);
        if measured == Some(read.record.picture) {
            self.check_unchanged(view, &read);
            self.show_film(view, read);
        }
    }

    /// Adds a film to the foot that is open, as the view that its file names or that is free.
    fn add_to_foot(&mut self, read: ReadFilm) {
        if let Some(view) = self.view_of_same_file(&read) {
            self.find_film_here_from_now_on(view, &read.record);
            self.show_remembered(view, read);
            return;
        }
        let Some(view) = self.free_view_for(&read) else {
            self.warn(format!(
                "This foot has an AP and a lateral film already, so {} was not added. Open it as a \
                 new foot.",
                short_name(&read.path)
            ));
            return;
        };
        *self.study.film_mut(view) = Some(read.record.clone());
        take_facts(&mut self.study, read.film.facts());
        self.show_film(view, read);
    }

    /// Work that goes on on a copy of its film finds the copy from now on, if the film is not where it was.
    fn find_film_here_from_now_on(&mut self, view: View, read: &FilmRecord) {
        let folder = self.study_folder().unwrap_or_default();
        if let Some(record) = self.study.film_mut(view)
            && !record.path_in(&folder).is_file()
        {
            record.file.clone_from(&read.file);
        }
    }

    fn view_of_same_file(&self, read: &ReadFilm) -> Option<View> {
        View::ALL.into_iter().find(|view| {
            self.study
                .film(*view)
                .is_some_and(|film| film.hash == read.record.hash)
        })
    }

    fn free_view_for(&self, read: &ReadFilm) -> Option<View> {
        let is_free = |view: View| self.study.film(view).is_none();
        let said = read.film.facts().view.map(|view| view.value);
        let named = short_name(&read.path)
            .to_lowercase()
            .contains("lat")
            .then_some(View::Lateral);
        said.into_iter()
            .chain(named)
            .chain(View::ALL)
            .find(|view| is_free(*view))
    }

    fn check_unchanged(&mut self, view: View, read: &ReadFilm) {
        let remembered = self.study.film(view);
        if remembered.is_some_and(|film| film.hash != read.record.hash) {
            self.warn(format!(
                "The {} film was changed on disk since it was traced. Check that the tracing still \
                 lies on the bones: {}",
                view.name(),
                short_name(&read.path)
            ));
        }
    }

    fn show_film(&mut self, view: View, read: ReadFilm) {
        let mut shown = FilmView::of(&read.film);
        let (orientation, words) = layout_of(read.film.facts(), view);
        shown.orientation = orientation;
        if let Some(words) = words {
            self.note(words);
        }
        if view == View::Ap && is_wide(&read.film, shown.orientation) && self.study.foot().is_none()
        {
            self.note(IF_BOTH_FEET.to_owned());
        }
        let open = OpenFilm {
            path: read.path,
            film: read.film,
            pyramid: read.pyramid,
            graphics: read.graphics,
            asked_picture: None,
            view: shown,
            drawn: None,
            look: Look::default(),
        };
        self.films[view as usize] = Some(open);
        if self.view.active.is_none() || view == View::Ap {
            self.view.active = Some(view);
        }
        // Who practises is not told what the program sees.
        if self.practising.is_none() {
            self.look_at(view, Seen::on);
        }
        self.refresh();
    }
}

/// Takes over what a film's file says of the foot, as far as nobody has said it.
pub(crate) fn take_facts(study: &mut Study, facts: &FilmFacts) {
    if let (None, Some(side)) = (study.side, facts.side) {
        study.side = Some(SideChoice::proposed(side.value, SideSource::FilmFile));
    }
    if let (Stance::Unknown, Some(stood)) = (study.visit.stance, facts.weight_bearing) {
        study.visit.stance = if stood.value {
            Stance::Standing
        } else {
            Stance::NotStanding
        };
    }
}

/// A path's last part, as a person reads it.
pub(crate) fn short_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
