//! What a study remembers of a film: where it lies, its content, its pixels' size.

use std::{
    fmt, io,
    num::NonZeroU32,
    path::{Component, Path, PathBuf},
};

use jiff::civil::Date;
use plumbray_anatomy::{Calibration, Proportions, View};

use crate::{content_hash::ContentHash, error::FilmError, study::Study};

/// What a study remembers of a film.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmRecord {
    /// Where the film lies, relative to the study's folder, with `/` between folders: a plain file
    /// name unless the two films of a foot lie in different folders.
    pub file: String,
    /// The content of the film's file when it was traced.
    pub hash: ContentHash,
    /// Which picture of the file was traced, from 1; the first where the file holds only one.
    pub picture: NonZeroU32,
    /// The film's width in pixels.
    pub width_px: u32,
    /// The film's height in pixels.
    pub height_px: u32,
    /// The shape of its pixels, which angles need even without a calibration.
    pub proportions: Proportions,
    /// The size of its pixels; nothing while the film is not calibrated.
    pub calibration: Option<Calibration>,
    /// The day on which the film was taken; nothing when unknown.
    pub date: Option<Date>,
}

impl FilmRecord {
    /// The record of a file's first picture for a study in `study_folder`: reads the file for its hash. The
    /// film is not calibrated, its pixels are square and its date is unknown.
    ///
    /// # Errors
    /// When the file cannot be read, or when its name cannot be written into a text.
    pub fn of_file(
        film: &Path,
        study_folder: &Path,
        width_px: u32,
        height_px: u32,
    ) -> Result<Self, FilmError> {
        let unreadable = |cause: io::Error| FilmError::Unreadable {
            path: film.to_owned(),
            cause,
        };
        Ok(Self {
            file: relative_name(film, study_folder)?,
            hash: ContentHash::of_file(film).map_err(unreadable)?,
            picture: NonZeroU32::MIN,
            width_px,
            height_px,
            proportions: Proportions::SQUARE,
            calibration: None,
            date: None,
        })
    }

    /// Whether both are the same picture of files with the same content, wherever these lie.
    #[must_use]
    pub fn is_same_picture(&self, other: &Self) -> bool {
        self.hash == other.hash && self.picture == other.picture
    }

    /// A text that two records share exactly where they are of the same picture.
    #[must_use]
    pub fn picture_identity(&self) -> String {
        format!("{} picture {}", self.hash, self.picture)
    }

    /// Where the film should be, for a study in `study_folder`.
    #[must_use]
    pub fn path_in(&self, study_folder: &Path) -> PathBuf {
        study_folder.join(&self.file)
    }
}

/// The name of a film relative to a study's folder, with `/` between folders.
fn relative_name(film: &Path, study_folder: &Path) -> Result<String, FilmError> {
    let canonical = |path: &Path| {
        std::fs::canonicalize(if path.as_os_str().is_empty() {
            Path::new(".")
        } else {
            path
        })
        .map_err(|cause| FilmError::Unreadable {
            path: path.to_owned(),
            cause,
        })
    };
    let name_not_text = || FilmError::NameNotText {
        path: film.to_owned(),
    };
    // A film that is a link keeps the name under which it was opened.
    let name = film.file_name().ok_or_else(name_not_text)?;
    let film_folder = canonical(film.parent().unwrap_or(Path::new("")))?;
    let study_folder = canonical(study_folder)?;

    let from: Vec<Component> = study_folder.components().collect();
    let to: Vec<Component> = film_folder.components().collect();
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..".as_ref(), from.len() - shared);
    let down = to[shared..].iter().map(|component| component.as_os_str());
    let parts: Option<Vec<&str>> = up
        .chain(down)
        .chain([name])
        .map(std::ffi::OsStr::to_str)
        .collect();
    let parts = parts.ok_or_else(name_not_text)?;
    Ok(parts.join("/"))
}

/// How a film's file differs from what a study remembers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FilmState {
    /// There is no such file.
    Missing,
    /// The file has other bytes than when it was traced.
    Changed,
    /// The file is there and cannot be read.
    Unreadable(io::ErrorKind),
}

/// A film that is no longer what it was when it was traced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilmChange {
    /// Which of the study's films.
    pub view: View,
    /// Where it was looked for.
    pub path: PathBuf,
    /// What is the matter with it.
    pub state: FilmState,
}

impl fmt::Display for FilmChange {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let view = self.view.name_in_sentence();
        let path = self.path.display();
        match self.state {
            FilmState::Missing => write!(
                formatter,
                "the {view} film is not where the study expects it; put it back under this name: {path}"
            ),
            FilmState::Changed => write!(
                formatter,
                "the {view} film was changed since it was traced; check that the tracing still \
                 lies on the bones: {path}"
            ),
            FilmState::Unreadable(kind) => write!(
                formatter,
                "the {view} film cannot be read ({kind}); check its permissions: {path}"
            ),
        }
    }
}

/// The films of a study that are missing, changed or unreadable; `study_folder` is the folder of
/// the study's file. Reads every film whole, so call it off the window's thread.
#[must_use]
pub fn verify_films(study: &Study, study_folder: &Path) -> Vec<FilmChange> {
    View::ALL
        .into_iter()
        .filter_map(|view| {
            let film = study.film(view)?;
            let path = film.path_in(study_folder);
            let state = match ContentHash::of_file(&path) {
                Ok(hash) if hash == film.hash => return None,
                Ok(_) => FilmState::Changed,
                Err(error) if error.kind() == io::ErrorKind::NotFound => FilmState::Missing,
                Err(error) => FilmState::Unreadable(error.kind()),
            };
            Some(FilmChange { view, path, state })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn films_that_are_missing_or_changed_are_named() {
        let folder = tempfile::tempdir().expect("a folder");
        let record = |name: &str| {
            let path = folder.path().join(name);
            std::fs::write(&path, name).expect("written");
            FilmRecord::of_file(&path, folder.path(), 4, 3).expect("recorded")
        };
        let study = Study {
            ap: Some(record("ap.png")),
            lateral: Some(record("lateral.png")),
            ..Study::default()
        };
        assert_eq!(verify_films(&study, folder.path()), [], "both unchanged");

        std::fs::write(folder.path().join("ap.png"), "another film").expect("written");
        std::fs::remove_file(folder.path().join("lateral.png")).expect("removed");
        let changes = verify_films(&study, folder.path());
        let states: Vec<(View, FilmState)> = changes
            .iter()
            .map(|change| (change.view, change.state))
            .collect();
        assert_eq!(
            states,
            [
                (View::Ap, FilmState::Changed),
                (View::Lateral, FilmState::Missing)
            ],
            "states"
        );
        assert!(
            changes[0].to_string().contains("ap.png"),
            "the message names the film: {}",
            changes[0]
        );
    }

    #[test]
    fn a_film_beside_the_study_goes_by_its_file_name() {
        let folder = tempfile::tempdir().expect("a folder");
        let film = folder.path().join("ap.png");
        std::fs::write(&film, "film").expect("written");
        let record = FilmRecord::of_file(&film, folder.path(), 4, 3).expect("recorded");
        assert_eq!(record.file, "ap.png", "name");
    }

    #[test]
    fn a_film_in_another_folder_goes_by_a_relative_name_and_is_found_again() {
        let root = tempfile::tempdir().expect("a folder");
        let [studies, films] = ["studies/ap", "films/lateral"].map(|name| {
            let folder = root.path().join(name);
            std::fs::create_dir_all(&folder).expect("made");
            folder
        });
        let film = films.join("lateral.png");
        std::fs::write(&film, "film").expect("written");
        let record = FilmRecord::of_file(&film, &studies, 4, 3).expect("recorded");
        assert_eq!(record.file, "../../films/lateral/lateral.png", "name");
        let study = Study {
            lateral: Some(record),
            ..Study::default()
        };
        assert_eq!(verify_films(&study, &studies), [], "found");
    }

    #[test]
    fn two_pictures_of_one_file_are_told_apart_and_the_same_picture_is_known_by_any_name() {
        let folder = tempfile::tempdir().expect("a folder");
        let record = |name: &str, picture: u32| {
            let path = folder.path().join(name);
            std::fs::write(&path, "one content").expect("written");
            let first = FilmRecord::of_file(&path, folder.path(), 4, 3).expect("recorded");
            FilmRecord {
                picture: NonZeroU32::new(picture).expect("from 1"),
                ..first
            }
        };
        let (one, copy, other) = (record("a.dcm", 2), record("b.dcm", 2), record("a.dcm", 3));
        assert!(one.is_same_picture(&copy), "a copy");
        assert_eq!(one.picture_identity(), copy.picture_identity(), "a copy");
        assert!(!one.is_same_picture(&other), "another picture");
        assert_ne!(
            one.picture_identity(),
            other.picture_identity(),
            "another picture"
        );
    }
}
