//! What films a disc or a folder holds: patients, their studies, series and films.
//!
//! A disc with a directory (DICOMDIR) is listed by it, anything else by looking at every file's beginning; names of
//! files do not matter. A directory's paths cannot lead out of the disc.

mod listing;
mod paths;

use std::{
    collections::BTreeSet,
    fs,
    ops::ControlFlow,
    path::{Path, PathBuf},
};

pub use listing::{Disc, DiscFilm, DiscPatient, DiscSeries, DiscStudy};

use crate::{
    dicom,
    error::{FilmError, FilmProblem},
    film::read_file,
    summary::{FilmSummary, film_summary},
};

/// Folders deeper than this are not looked into.
const DEEPEST_FOLDER: usize = 24;
/// More files than this are not looked at.
const MOST_FILES: usize = 200_000;
/// More sentences than this about files that cannot be read say nothing more.
const MOST_PROBLEMS: usize = 50;

/// How far the listing is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DiscProgress {
    /// Files that were looked at.
    pub files: usize,
    /// Films among them.
    pub films: usize,
}

/// Why a disc or folder cannot be listed.
#[derive(Debug, thiserror::Error)]
pub enum DiscError {
    /// The folder itself.
    #[error("the folder cannot be read ({cause}); check that the disc is in and can be read: {}", folder.display())]
    Unreadable {
        /// The folder.
        folder: PathBuf,
        /// What the operating system says.
        #[source]
        cause: std::io::Error,
    },
    /// The caller had enough.
    #[error("the listing was stopped")]
    Stopped,
}

/// Lists the films of a disc, or of a folder with everything in it. `place` is the folder, or the file DICOMDIR in
/// it. Call it on a worker thread; `progress` is told of every file and can stop it.
///
/// Files that cannot be read are counted and said, and do not stop the listing.
///
/// # Errors
/// [`DiscError`] when there is no such folder, or when `progress` stops it.
pub fn list_disc(
    place: &Path,
    progress: &mut dyn FnMut(DiscProgress) -> ControlFlow<()>,
) -> Result<Disc, DiscError> {
    let folder = if place.is_file() {
        place.parent().unwrap_or(Path::new("."))
    } else {
        place
    };
    let unreadable = |cause| DiscError::Unreadable {
        folder: folder.to_owned(),
        cause,
    };
    let root = folder.canonicalize().map_err(unreadable)?;
    fs::read_dir(&root).map_err(unreadable)?;
    let mut gathering = Gathering {
        root: &root,
        progress,
        so_far: DiscProgress::default(),
        disc: Disc::default(),
    };
    if let Some(directory) = directory_in(&root) {
        gathering.by_directory(&directory)?;
    }
    if gathering.so_far.films == 0 {
        // What the directory led to is found again among all files.
        gathering.so_far = DiscProgress::default();
        (gathering.disc.other_objects, gathering.disc.other_files) = (0, 0);
        gathering.by_files()?;
    }
    Ok(gathering.disc.sorted())
}

/// The directory of a disc, whatever case its name is in.
fn directory_in(root: &Path) -> Option<PathBuf> {
    let found = paths::child_named(root, "DICOMDIR")?;
    found.is_file().then_some(found)
}

struct Gathering<'a> {
    root: &'a Path,
    progress: &'a mut dyn FnMut(DiscProgress) -> ControlFlow<()>,
    so_far: DiscProgress,
    disc: Disc,
}

impl Gathering<'_> {
    fn by_directory(&mut self, directory: &Path) -> Result<(), DiscError> {
        let named = read_file(directory).and_then(|bytes| dicom::directory_films(&bytes));
        let named = match named {
            Ok(named) => named,
            Err(problem) => {
                self.say(&format!(
                    "the directory of the disc is of no use: {problem}"
                ));
                return Ok(());
            }
        };
        let mut seen = BTreeSet::new();
        for parts in named.into_iter().take(MOST_FILES) {
            match paths::on_disc(self.root, &parts) {
                Ok(path) if seen.insert(path.clone()) => self.look_at(path)?,
                Ok(_named_twice) => {}
                Err(problem) => self.say(&problem.to_string()),
            }
        }
        Ok(())
    }

    fn by_files(&mut self) -> Result<(), DiscError> {
        let mut folders = vec![(self.root.to_owned(), 0)];
        while let Some((folder, depth)) = folders.pop() {
            let Ok(entries) = fs::read_dir(&folder) else {
                self.say(&format!("this folder cannot be read: {}", folder.display()));
                continue;
            };
            let mut entries: Vec<_> = entries.flatten().collect();
            entries.sort_by_key(fs::DirEntry::file_name);
            for entry in entries {
                // Links are not followed: they could lead out of the disc, or around in a ring.
                let Ok(kind) = entry.file_type() else {
                    continue;
                };
                if kind.is_dir() && depth < DEEPEST_FOLDER {
                    folders.push((entry.path(), depth + 1));
                } else if kind.is_file() && self.so_far.files < MOST_FILES {
                    self.look_at(entry.path())?;
                }
            }
        }
        Ok(())
    }

    fn look_at(&mut self, path: PathBuf) -> Result<(), DiscError> {
        self.so_far.files += 1;
        match film_summary(&path) {
            Ok(summary) if summary.has_pixels => {
                self.so_far.films += 1;
                self.disc.add(path, summary);
            }
            Ok(FilmSummary { .. }) => self.disc.other_objects += 1,
            Err(FilmError {
                problem: FilmProblem::NotAFilm | FilmProblem::Empty,
                ..
            }) => self.disc.other_files += 1,
            Err(problem) => self.say(&problem.to_string()),
        }
        match (self.progress)(self.so_far) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(DiscError::Stopped),
        }
    }

    fn say(&mut self, problem: &str) {
        if self.disc.problems.len() < MOST_PROBLEMS {
            self.disc.problems.push(problem.to_owned());
        } else {
            self.disc.more_problems += 1;
        }
    }
}
