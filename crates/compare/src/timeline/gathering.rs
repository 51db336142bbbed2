//! The studies of one foot, gathered from a folder and the folders in it.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::{Side, View};
use plumbray_film::patient_identity;
use plumbray_study::{STUDY_ENDING, Study, files_ending, is_same_file, load};

use super::{Timeline, TimelineError};

/// No more folders than this are looked into, and no more studies read.
const MOST_FOLDERS: usize = 200;
const MOST_STUDIES: usize = 500;

/// A study in the folder.
struct Found {
    path: PathBuf,
    study: Study,
}

impl Timeline {
    /// The visits of the foot that a study shows, from a folder and the folders just below it: every study of
    /// the same side whose films do not name another patient. Pictures name none, so that a folder of pictures
    /// holds one patient. Takes as long as reading the films does; belongs on a worker's thread.
    ///
    /// # Errors
    /// When the study itself cannot be read, or lies outside the folder.
    pub fn gathered(folder: &Path, with: &Path) -> Result<Self, GatherError> {
        let study = load(with)?;
        let (side, patient) = (study.foot(), patient_of(with, &study));
        let mut studies: Vec<Found> = studies_below(folder)
            .into_iter()
            .filter(|path| !is_same_file(path, with))
            .filter_map(|path| {
                Some(Found {
                    study: load(&path).ok()?,
                    path,
                })
            })
            .filter(|found| is_of(found, side, patient.as_deref()))
            .collect();
        studies.push(Found {
            path: with.to_owned(),
            study,
        });
        let listed: Vec<(PathBuf, &Study)> = studies
            .iter()
            .map(|found| (found.path.clone(), &found.study))
            .collect();
        Ok(Self::of_studies(folder, &listed)?)
    }
}

/// Why visits were not gathered.
#[derive(Debug, thiserror::Error)]
pub enum GatherError {
    /// The study that they are gathered around cannot be read.
    #[error(transparent)]
    Study(#[from] plumbray_study::StudyError),
    /// It cannot be named in a time line of the folder.
    #[error(transparent)]
    Timeline(#[from] TimelineError),
}

fn is_of(found: &Found, side: Option<Side>, patient: Option<&str>) -> bool {
    if found.study.foot() != side {
        return false;
    }
    match (patient, patient_of(&found.path, &found.study)) {
        (Some(one), Some(other)) => one == other,
        _ => true,
    }
}

/// Whom the film of a study names as its patient, by number, else by name; nothing where it names nobody or
/// is not there.
fn patient_of(path: &Path, study: &Study) -> Option<String> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let film = study.film(View::Ap).or(study.film(View::Lateral))?;
    let identity = patient_identity(&film.path_in(folder)).ok()?;
    identity.identifier.or(identity.name)
}

fn studies_below(folder: &Path) -> Vec<PathBuf> {
    let listed = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let mut folders: Vec<PathBuf> = fs::read_dir(listed)
        .into_iter()
        .flatten()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()))
        .map(|entry| folder.join(entry.file_name()))
        .take(MOST_FOLDERS)
        .collect();
    folders.sort();
    folders.insert(0, folder.to_owned());
    let mut studies: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| files_ending(folder, STUDY_ENDING))
        .collect();
    studies.truncate(MOST_STUDIES);
    studies
}
