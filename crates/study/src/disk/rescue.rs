//! Kept work that goes with copies of its films into another folder, because its own place cannot be written: a CD.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use plumbray_anatomy::View;

use super::{
    reading::read, recovery::RecoveredCopy, study_file::StudyFile, user_folders::UserFolders,
};
use crate::{
    content_hash::ContentHash,
    error::{PutBackProblem, StudyError},
};

impl RecoveredCopy {
    /// Copies the films of the work into a folder, writes the study beside them, and removes the kept copy; gives the
    /// study's path. Nothing is written over: a film that lies there already, content and all, is taken as it is, and
    /// another file of its name gives the copy a number.
    ///
    /// # Errors
    /// When the kept copy cannot be read, a film is not where the work belongs or is another one, a study of that name
    /// lies in the folder, or the folder cannot be written. The kept copy stays then; films that were copied stay too.
    pub fn put_into(
        &self,
        folder: &Path,
        folders: &UserFolders,
    ) -> Result<PathBuf, PutBackProblem> {
        let missing = || StudyError::Missing {
            path: self.copy.clone(),
        };
        let copied = read(&self.copy)?.ok_or_else(missing)?.document;
        let mut study = copied.study;
        let name = self.original.file_name().ok_or_else(missing)?;
        let place = folder.join(name);
        if fs::symlink_metadata(&place).is_ok() {
            return Err(PutBackProblem::StudyThere { path: place });
        }
        let home = self.original.parent().unwrap_or(Path::new("."));
        for view in View::ALL {
            let Some(record) = study.film_mut(view) else {
                continue;
            };
            let film = record.path_in(home);
            let problem = |cause: io::Error| PutBackProblem::FilmNotCopied {
                film: film.clone(),
                cause,
            };
            let found = ContentHash::of_file(&film).map_err(problem)?;
            if found != record.hash {
                let other = io::Error::other("it is not the film that was traced");
                return Err(problem(other));
            }
            let copy = copied_into(folder, &film, found).map_err(problem)?;
            let name = copy.file_name().unwrap_or_default();
            record.file = name.to_string_lossy().into_owned();
        }
        let (mut file, _) = StudyFile::open_with(&place, folders)?;
        file.take_home(&self.copy, None, &study)?;
        Ok(place)
    }
}

/// A copy of a film in a folder, under its own name or with a number behind it.
fn copied_into(folder: &Path, film: &Path, hash: ContentHash) -> io::Result<PathBuf> {
    let name = film.file_name().unwrap_or_default().to_string_lossy();
    let (stem, ending) = match name.rsplit_once('.') {
        Some((stem, ending)) => (stem, format!(".{ending}")),
        None => (name.as_ref(), String::new()),
    };
    let mut number = 1_u32;
    loop {
        let copy = if number == 1 {
            folder.join(name.as_ref())
        } else {
            folder.join(format!("{stem} {number}{ending}"))
        };
        match fs::File::create_new(&copy) {
            Ok(mut to) => {
                let written = fs::File::open(film)
                    .and_then(|mut from| io::copy(&mut from, &mut to))
                    .and_then(|_bytes| to.sync_all());
                if let Err(cause) = written {
                    // Half a film is none.
                    drop(fs::remove_file(&copy));
                    return Err(cause);
                }
                return Ok(copy);
            }
            Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists => {
                if ContentHash::of_file(&copy).is_ok_and(|found| found == hash) {
                    return Ok(copy);
                }
                number += 1;
            }
            Err(cause) => return Err(cause),
        }
    }
}
