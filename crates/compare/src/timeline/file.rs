//! The file of a time line.

use std::{
    fs::{self, File},
    io::{self, Read as _},
    path::{Component, Path, PathBuf},
};

use plumbray_study::files_ending;
use serde::{Deserialize, Serialize};

use super::{Timeline, TimelineVisit};

/// The end of a time line's file name.
pub const TIMELINE_ENDING: &str = ".visits.ron";

/// The largest time line that is read, in bytes.
pub const MAX_TIMELINE_BYTES: u64 = 256 << 10;

/// No time line has more visits.
const MOST_VISITS: usize = 200;

/// The version that this program writes, and the newest that it reads.
const VERSION: u32 = 1;

const HEADING: &str = "\
// A Plumbray time line: the visits of one foot, in their order.
// docs/time-line.md of the program explains every field. Comments are not kept.
";

/// Why a time line was not read or written. Nothing on disk was changed.
#[derive(Debug, thiserror::Error)]
pub enum TimelineError {
    /// The file system refused.
    #[error("the time line cannot be {} ({cause}); check the folder: {}", if *.writing { "written" } else { "read" }, path.display())]
    FileSystem {
        /// The file.
        path: PathBuf,
        /// Whether it was to be written.
        writing: bool,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file is larger than any time line.
    #[error("the file is too large to be a time line (at most {MAX_TIMELINE_BYTES} bytes); check that it is the right one: {}", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
    },
    /// A newer program wrote it.
    #[error("a newer Plumbray wrote this time line (format version {found}, this program knows up to {VERSION}); update Plumbray to open it: {}", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The version that it names.
        found: u32,
    },
    /// The text is no time line.
    #[error("the time line is damaged at line {line}, column {column}: {what}. Correct it there, or delete it and gather the visits again: {}", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// The line, counted from 1.
        line: usize,
        /// The character in that line, counted from 1.
        column: usize,
        /// What is wrong.
        what: String,
    },
    /// A visit's study lies where a time line does not reach.
    #[error("the study cannot be named in the time line of this folder; keep all visits of a foot in one folder or its subfolders: {}", study.display())]
    OutOfReach {
        /// The study.
        study: PathBuf,
    },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format_version: u32,
    visits: Vec<TimelineVisit>,
}

#[derive(Deserialize)]
struct OnlyVersion {
    format_version: u32,
}

impl Timeline {
    /// Reads a time line.
    ///
    /// # Errors
    /// When the file cannot be read, is too large, is damaged or of a newer version.
    pub fn read(path: &Path) -> Result<Self, TimelineError> {
        let refused = |cause| TimelineError::FileSystem {
            path: path.to_owned(),
            writing: false,
            cause,
        };
        let metadata = fs::metadata(path).map_err(refused)?;
        if !metadata.is_file() {
            return Err(refused(io::Error::new(
                io::ErrorKind::InvalidInput,
                "this is not an ordinary file",
            )));
        }
        let mut text = String::new();
        File::open(path)
            .and_then(|file| file.take(MAX_TIMELINE_BYTES + 1).read_to_string(&mut text))
            .map_err(refused)?;
        if text.len() as u64 > MAX_TIMELINE_BYTES {
            return Err(TimelineError::TooLarge {
                path: path.to_owned(),
            });
        }
        of_text(&text, path)
    }

    /// Writes a time line, so that at every moment either the old or the new one is there, whole.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn write(&self, path: &Path) -> Result<(), TimelineError> {
        let refused = |cause| TimelineError::FileSystem {
            path: path.to_owned(),
            writing: true,
            cause,
        };
        let document = Document {
            format_version: VERSION,
            visits: self.visits.clone(),
        };
        let layout = ron::ser::PrettyConfig::new().depth_limit(2).new_line("\n");
        let body = ron::ser::to_string_pretty(&document, layout)
            .map_err(|error| refused(io::Error::other(error.to_string())))?;
        let text = format!("{HEADING}{body}\n");
        plumbray_study::write_whole(path, text.as_bytes()).map_err(refused)
    }
}

fn of_text(text: &str, path: &Path) -> Result<Timeline, TimelineError> {
    let damaged = |line, column, what| TimelineError::Damaged {
        path: path.to_owned(),
        line,
        column,
        what,
    };
    let spanned = |error: ron::error::SpannedError| {
        let at = error.span.end;
        damaged(at.line, at.col, error.code.to_string())
    };
    let OnlyVersion { format_version } = ron::from_str(text).map_err(spanned)?;
    if format_version > VERSION {
        return Err(TimelineError::Newer {
            path: path.to_owned(),
            found: format_version,
        });
    }
    let document: Document = ron::from_str(text).map_err(spanned)?;
    if document.visits.len() > MOST_VISITS {
        let what = format!("more than {MOST_VISITS} visits");
        return Err(damaged(1, 1, what));
    }
    if let Some(visit) = document
        .visits
        .iter()
        .find(|visit| !is_within(Path::new(&visit.study)))
    {
        let what = format!(
            "“{}” does not lie in this folder or one below it",
            visit.study
        );
        return Err(damaged(1, 1, what));
    }
    Ok(Timeline {
        visits: document.visits,
    })
}

/// Whether a relative path stays in its folder.
fn is_within(path: &Path) -> bool {
    let mut parts = path.components().peekable();
    parts.peek().is_some() && parts.all(|part| matches!(part, Component::Normal(_)))
}

/// A study's path relative to the folder of a time line, with `/` between folders.
pub(super) fn relative(study: &Path, folder: &Path) -> Result<String, TimelineError> {
    let out_of_reach = || TimelineError::OutOfReach {
        study: study.to_owned(),
    };
    let whole = |path: &Path| {
        let path = if path.as_os_str().is_empty() {
            Path::new(".")
        } else {
            path
        };
        fs::canonicalize(path)
    };
    let name = study.file_name().ok_or_else(out_of_reach)?;
    let parent = study.parent().unwrap_or(Path::new(""));
    let (folder, parent) = whole(folder)
        .and_then(|folder| Ok((folder, whole(parent)?)))
        .map_err(|_missing| out_of_reach())?;
    let within = parent
        .strip_prefix(folder)
        .map_err(|_elsewhere| out_of_reach())?;
    let parts: Option<Vec<&str>> = within
        .components()
        .map(|part| part.as_os_str().to_str())
        .chain([name.to_str()])
        .collect();
    parts.map(|parts| parts.join("/")).ok_or_else(out_of_reach)
}

/// The time lines in a folder, by name.
#[must_use]
pub fn timelines_in(folder: &Path) -> Vec<PathBuf> {
    files_ending(folder, TIMELINE_ENDING)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::visit::Occasion;

    fn timeline(names: &[&str]) -> Timeline {
        Timeline {
            visits: names
                .iter()
                .map(|name| TimelineVisit {
                    study: (*name).to_owned(),
                    occasion: None,
                    name: None,
                })
                .collect(),
        }
    }

    #[test]
    fn a_time_line_comes_back_as_it_was_written() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("foot.visits.ron");
        let mut written = timeline(&["a.dcm.study.ron", "later/ä “b”.dcm.study.ron"]);
        written.visits[1].occasion = Some(Occasion::InTheatre);
        written.visits[1].name = Some("“half way”".to_owned());
        written.write(&path).expect("a folder of our own");
        assert_eq!(Timeline::read(&path).expect("just written"), written);
        let text = fs::read_to_string(&path).expect("text");
        assert!(text.contains("in_theatre"), "a person can read it: {text}");
        assert_eq!(timelines_in(folder.path()), [path], "found");
    }

    #[test]
    fn what_is_no_time_line_is_told_with_its_place() {
        for (text, word) in [
            ("(format_version: 1, visits: [", "line"),
            ("(format_version: 7, visits: [])", "newer"),
            (
                "(format_version: 1, visits: [(study: \"../../etc/x\")])",
                "folder",
            ),
            (
                "(format_version: 1, visits: [(study: \"/etc/x\")])",
                "folder",
            ),
            ("(format_version: 1, visits: [(study: \"\")])", "folder"),
        ] {
            let error = of_text(text, Path::new("foot.visits.ron")).expect_err(text);
            assert!(error.to_string().contains(word), "{text}: {error}");
        }
    }

    #[test]
    fn a_file_as_large_as_a_film_is_not_read() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("foot.visits.ron");
        let size = usize::try_from(MAX_TIMELINE_BYTES).expect("small") + 1;
        fs::write(&path, vec![b' '; size]).expect("written");
        let error = Timeline::read(&path).expect_err("too large");
        assert!(matches!(error, TimelineError::TooLarge { .. }), "{error}");
        let error = Timeline::read(folder.path()).expect_err("a folder");
        assert!(error.to_string().contains("ordinary"), "{error}");
    }
}
