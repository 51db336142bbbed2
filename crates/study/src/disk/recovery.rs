//! Copies of work that could not be written beside its film.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use jiff::Timestamp;
use plumbray_anatomy::View;

use super::{
    atomic_write::{Readers, replace},
    leftover::settle_all,
    reading::read,
    study_file::StudyFile,
    user_folders::UserFolders,
};
use crate::{
    content_hash::ContentHash,
    error::{PutBackProblem, StudyError},
    film_record::FilmRecord,
    format::{self, Document, Recovery},
    location::{STUDY_ENDING, study_stem},
};

/// No more recovery copies than this are listed.
const MAX_LISTED_COPIES: usize = 1_000;

/// No more bytes of the study's name than this stand in the name of its copy.
const LONGEST_STEM_BYTES: usize = 100;

/// Work that could not be written beside its film, found again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecoveredCopy {
    /// The recovery copy; [`load`](crate::load) reads it.
    pub copy: PathBuf,
    /// Where the study belongs.
    pub original: PathBuf,
    /// When the copy was written; nothing when the file system does not say.
    pub written_at: Option<Timestamp>,
    /// The pictures that the work is on, by their identity.
    films: Vec<String>,
}

impl RecoveredCopy {
    /// Whether the work is on this picture, wherever its file lies.
    #[must_use]
    pub fn is_on(&self, film: &FilmRecord) -> bool {
        self.films.contains(&film.picture_identity())
    }

    /// Writes the work into its own place, if the study there is still the one that the work goes on
    /// from, and removes the copy.
    ///
    /// # Errors
    /// When the copy or the study cannot be read, the study is open in a window or was changed
    /// since, or the place still cannot be written. The copy stays then, and so does the study.
    pub fn put_back(&self, folders: &UserFolders) -> Result<(), PutBackProblem> {
        let missing = || StudyError::Missing {
            path: self.copy.clone(),
        };
        let copied = read(&self.copy)?.ok_or_else(missing)?.document;
        let recovery = copied.recovery.ok_or_else(missing)?;
        let (mut file, _) = StudyFile::open_with(&self.original, folders)?;
        file.take_home(&self.copy, recovery.based_on, &copied.study)?;
        Ok(())
    }

    /// Removes the copy: call it once the work is back in its place, or the user does not want it.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn discard(self) -> io::Result<()> {
        fs::remove_file(self.copy)
    }
}

/// The recovery copies of this user, oldest first. Copies that cannot be read are passed over and
/// left where they are.
#[must_use]
pub fn recovered_copies(folders: &UserFolders) -> Vec<RecoveredCopy> {
    let mut copies: Vec<RecoveredCopy> = folders
        .recovery
        .iter()
        .flat_map(|folder| {
            settle_all(folder);
            copies_in(folder)
        })
        .collect();
    copies.sort_by(|one, other| (one.written_at, &one.copy).cmp(&(other.written_at, &other.copy)));
    copies
}

fn copies_in(folder: &Path) -> Vec<RecoveredCopy> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .filter_map(Result::ok)
        .filter(|entry| {
            entry
                .file_name()
                .as_encoded_bytes()
                .ends_with(STUDY_ENDING.as_bytes())
        })
        .take(MAX_LISTED_COPIES)
        .filter_map(|entry| {
            let copy = entry.path();
            let document = read(&copy).ok()??.document;
            let original = document.recovery?.original;
            let films = View::ALL.into_iter();
            let films = films.filter_map(|view| document.study.film(view));
            let written_at = entry
                .metadata()
                .and_then(|metadata| metadata.modified())
                .ok()
                .and_then(|time| Timestamp::try_from(time).ok());
            Some(RecoveredCopy {
                copy,
                original: original.into(),
                written_at,
                films: films.map(FilmRecord::picture_identity).collect(),
            })
        })
        .collect()
}

/// Writes a recovery copy of the study that belongs at `original` and goes on from the file there
/// with the hash `based_on`: over `earlier`, the copy that this window wrote before, or to a new file
/// in the first folder that takes it. Returns where.
pub(super) fn keep(
    folders: &UserFolders,
    original: &Path,
    based_on: Option<ContentHash>,
    document: &Document,
    earlier: Option<&Path>,
) -> io::Result<PathBuf> {
    let document = Document {
        recovery: Some(Recovery {
            original: original.to_string_lossy().into_owned(),
            based_on,
        }),
        ..document.clone()
    };
    let text = format::write(&document)
        .map_err(|problem| io::Error::new(io::ErrorKind::InvalidData, problem))?;
    let new_places = folders
        .recovery
        .iter()
        .map(|folder| folder.join(copy_name(original)));
    let mut refusal = io::Error::new(
        io::ErrorKind::NotFound,
        "this user has no folder for recovery copies",
    );
    for copy in earlier.map(Path::to_owned).into_iter().chain(new_places) {
        let written = make_private_folder(copy.parent().unwrap_or(Path::new(".")))
            .and_then(|()| replace(&copy, text.as_bytes(), Readers::OnlyUser));
        match written {
            Ok(()) => return Ok(copy),
            Err(error) => refusal = error,
        }
    }
    Err(refusal)
}

fn make_private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// A name that no other window gives: the study's own, with the time and the process.
fn copy_name(original: &Path) -> String {
    let stem = study_stem(original);
    let mut end = stem.len().min(LONGEST_STEM_BYTES);
    while !stem.is_char_boundary(end) {
        end -= 1;
    }
    format!(
        "{}.{}-{}{STUDY_ENDING}",
        &stem[..end],
        Timestamp::now().as_nanosecond(),
        std::process::id()
    )
}
