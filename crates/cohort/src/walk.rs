//! The studies and time lines below a folder, one after another.

use std::{
    ffi::OsStr,
    fs,
    path::{Path, PathBuf},
};

use plumbray_compare::TIMELINE_ENDING;
use plumbray_study::STUDY_ENDING;

use crate::{reading::stamp_of, row::FileStamp};

/// What kind of file was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A study.
    Study,
    /// A time line.
    TimeLine,
}

/// A file of the series.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundFile {
    /// What it is by its name.
    pub kind: Kind,
    /// Its path relative to the folder, with `/` between folders.
    pub relative: String,
    /// Where it lies.
    pub path: PathBuf,
    /// Its size and time.
    pub stamp: FileStamp,
}

/// A folder of which the files could not be listed, with what the file system said.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the folder cannot be read ({cause}); ask for the right to read it, or leave it out: {}", folder.display())]
pub struct UnreadableFolder {
    /// The folder.
    pub folder: PathBuf,
    /// What the file system said.
    pub cause: String,
}

/// Walks through a folder and everything below it: in each folder first its files, then the folders in it, by name.
///
/// Folders whose names begin with a dot are left out, and so are links to folders, which might lead in a circle;
/// links to files are followed. No more than the names of one folder and the folders that are still to come are held
/// at a time.
#[derive(Debug)]
pub struct Walk {
    files: std::vec::IntoIter<FoundFile>,
    /// Folders still to come, the next one last.
    folders: Vec<(PathBuf, String)>,
}

impl Walk {
    /// A walk through this folder.
    #[must_use]
    pub fn through(folder: &Path) -> Self {
        let folder = if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        };
        Self {
            files: Vec::new().into_iter(),
            folders: vec![(folder.to_owned(), String::new())],
        }
    }

    fn enter(&mut self, folder: &Path, relative: &str) -> Result<(), UnreadableFolder> {
        let refused = |cause: std::io::Error| UnreadableFolder {
            folder: folder.to_owned(),
            cause: cause.to_string(),
        };
        let mut files = Vec::new();
        let mut folders = Vec::new();
        for entry in fs::read_dir(folder).map_err(refused)? {
            let entry = entry.map_err(refused)?;
            let name = entry.file_name();
            let below = joined(relative, &name);
            if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
                if !name.as_encoded_bytes().starts_with(b".") {
                    folders.push((entry.path(), below));
                }
            } else if let Some(kind) = kind_of(&name) {
                // A file that has gone again meanwhile is none.
                if let Ok(metadata) = fs::metadata(entry.path()) {
                    files.push(FoundFile {
                        kind,
                        relative: below,
                        path: entry.path(),
                        stamp: stamp_of(&metadata),
                    });
                }
            }
        }
        files.sort_by(|one, other| one.relative.cmp(&other.relative));
        folders.sort_by(|one, other| other.1.cmp(&one.1));
        self.files = files.into_iter();
        self.folders.extend(folders);
        Ok(())
    }
}

impl Iterator for Walk {
    type Item = Result<FoundFile, UnreadableFolder>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some(file) = self.files.next() {
                return Some(Ok(file));
            }
            let (folder, relative) = self.folders.pop()?;
            if let Err(problem) = self.enter(&folder, &relative) {
                return Some(Err(problem));
            }
        }
    }
}

fn joined(folder: &str, name: &OsStr) -> String {
    let name = name.to_string_lossy();
    if folder.is_empty() {
        name.into_owned()
    } else {
        format!("{folder}/{name}")
    }
}

fn kind_of(name: &OsStr) -> Option<Kind> {
    let name = name.as_encoded_bytes();
    if name.ends_with(STUDY_ENDING.as_bytes()) {
        Some(Kind::Study)
    } else if name.ends_with(TIMELINE_ENDING.as_bytes()) {
        Some(Kind::TimeLine)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        Walk::through(folder)
            .map(|file| file.expect("readable").relative)
            .collect()
    }

    #[test]
    fn files_come_before_folders_and_both_by_name() {
        let folder = tempfile::tempdir().expect("a folder");
        for below in ["b/c", "a", ".hidden"] {
            fs::create_dir_all(folder.path().join(below)).expect("made");
        }
        for name in [
            "z.study.ron",
            "a/2.study.ron",
            "a/1.study.ron",
            "b/c/foot.visits.ron",
            "a/film.png",
            ".hidden/x.study.ron",
        ] {
            fs::write(folder.path().join(name), b"").expect("written");
        }
        assert_eq!(
            names(folder.path()),
            [
                "z.study.ron",
                "a/1.study.ron",
                "a/2.study.ron",
                "b/c/foot.visits.ron"
            ],
            "in order"
        );
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leads_in_a_circle_is_not_followed() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("a.study.ron"), b"").expect("written");
        std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).expect("a link");
        std::os::unix::fs::symlink("a.study.ron", folder.path().join("b.study.ron"))
            .expect("a link");
        assert_eq!(names(folder.path()), ["a.study.ron", "b.study.ron"], "once");
    }

    #[test]
    fn a_folder_that_is_not_there_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut walk = Walk::through(&folder.path().join("nowhere"));
        let problem = walk.next().expect("told").expect_err("no folder");
        assert!(problem.to_string().contains("nowhere"), "{problem}");
        assert!(walk.next().is_none(), "nothing more");
    }
}
