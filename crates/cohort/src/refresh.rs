//! The index brought up to what lies on the disk.

use std::{
    collections::HashSet,
    hash::{DefaultHasher, Hash as _, Hasher as _},
    io,
    ops::ControlFlow,
    path::{Component, Path, PathBuf},
    time::{Duration, SystemTime},
};

use plumbray_compare::Timeline;
use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

use crate::{
    error::CohortError,
    index::{Batch, Index, Known, NamedVisit, PROGRAM, Table, TimeLineRow},
    reading::{nanoseconds, read_file},
    row::{FileStamp, StudyRow, folder_of},
    walk::{FoundFile, Kind, Walk},
};

/// So many files are looked up, read side by side and written at once.
const BATCH: usize = 256;

/// A file that was written so shortly before it was read may have been written again since without its time showing
/// it: some file systems keep time to two seconds.
const COARSEST_CLOCK: Duration = Duration::from_secs(2);

/// No more problems with folders are told one by one.
const MOST_PROBLEMS: usize = 20;

/// How far a refresh is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Progress {
    /// Studies found so far.
    pub studies: u64,
    /// Of them, those that were read and measured, since they were new or changed.
    pub measured: u64,
}

/// What a refresh came to.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Refreshed {
    /// Studies in the folder and below.
    pub studies: u64,
    /// Of them, those that were read and measured, since they were new or changed.
    pub measured: u64,
    /// Rows of studies that are no longer there.
    pub removed: u64,
    /// Time lines in the folder and below.
    pub time_lines: u64,
    /// Folders that could not be read, with what to do; at most twenty. Rows of their studies stay as they were.
    pub problems: Vec<String>,
    /// Time lines that cannot be read, with what to do; at most twenty. Their studies are grouped as if there were none.
    pub time_line_problems: Vec<String>,
    /// Whether it went to the end; otherwise it was told to stop, and the next one goes on from there.
    pub is_complete: bool,
}

/// Brings the index up to what lies below the folder: reads and measures what is new or changed, side by side, and
/// forgets what is gone. A file is taken for unchanged by its size and time, and where its time is doubtful by its
/// content. May be killed at any moment: what was written stays, and the next refresh goes on from there.
///
/// `progress` hears how far it is after every 256 files, and may stop it. What is held meanwhile is one batch, and eight
/// bytes for each file.
///
/// # Errors
/// When the folder itself cannot be read, or the index refuses.
pub fn refresh(
    index: &mut Index,
    folder: &Path,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Refreshed, CohortError> {
    std::fs::read_dir(folder).map_err(|cause| CohortError::Folder {
        folder: folder.to_owned(),
        cause,
    })?;
    let mut run = Run {
        index,
        seen: HashSet::new(),
        refreshed: Refreshed::default(),
    };
    let mut waiting = Vec::with_capacity(BATCH);
    for file in Walk::through(folder) {
        match file {
            Ok(file) => waiting.push(file),
            Err(problem) if run.refreshed.problems.len() < MOST_PROBLEMS => {
                run.refreshed.problems.push(problem.to_string());
            }
            Err(_) => {}
        }
        if waiting.len() == BATCH {
            run.take(std::mem::take(&mut waiting))?;
            if progress(run.progress()).is_break() {
                return Ok(run.refreshed);
            }
        }
    }
    run.take(waiting)?;
    run.forget_vanished(folder)?;
    let most = u32::try_from(MOST_PROBLEMS).unwrap_or(u32::MAX);
    run.refreshed.time_line_problems = run.index.time_line_problems(most)?;
    run.refreshed.is_complete = true;
    // Nothing is left to stop.
    let _done = progress(run.progress());
    Ok(run.refreshed)
}

struct Run<'a> {
    index: &'a mut Index,
    /// A number for each path that was found, so that those that were not can be told.
    seen: HashSet<u64>,
    refreshed: Refreshed,
}

/// What became of a file that could not be taken for unchanged by its time.
enum Read {
    Study(Box<StudyRow>),
    TimeLine(TimeLineRow),
    /// Its content is what it was.
    Touched(Table, String, FileStamp),
    Gone,
}

impl Run<'_> {
    const fn progress(&self) -> Progress {
        Progress {
            studies: self.refreshed.studies,
            measured: self.refreshed.measured,
        }
    }

    fn take(&mut self, files: Vec<FoundFile>) -> Result<(), CohortError> {
        let paths = |kind: Kind| -> Vec<&str> {
            let of_kind = files.iter().filter(|file| file.kind == kind);
            of_kind.map(|file| file.relative.as_str()).collect()
        };
        let (studies, time_lines) = (paths(Kind::Study), paths(Kind::TimeLine));
        self.refreshed.studies += studies.len() as u64;
        self.refreshed.time_lines += time_lines.len() as u64;
        let known = self.index.known(Table::Study, &studies)?;
        let known_lines = self.index.known(Table::TimeLine, &time_lines)?;
        let read_at = SystemTime::now();
        let mut to_read = Vec::new();
        for file in files {
            self.seen
                .insert(number_of(table_of(file.kind), &file.relative));
            let known = match file.kind {
                Kind::Study => known.get(&file.relative),
                Kind::TimeLine => known_lines.get(&file.relative),
            };
            if !known.is_some_and(|known| is_surely_unchanged(known, file.stamp)) {
                to_read.push((file, known.cloned()));
            }
        }
        let read: Vec<Read> = to_read
            .into_par_iter()
            .map(|(file, known)| read(&file, known.as_ref()))
            .collect();
        let mut batch = Batch {
            read_at: nanoseconds(read_at),
            ..Batch::default()
        };
        for one in read {
            match one {
                Read::Study(row) => batch.studies.push(*row),
                Read::TimeLine(row) => batch.time_lines.push(row),
                Read::Touched(table, path, stamp) => batch.touched.push((table, path, stamp)),
                // The end of the refresh forgets it, since it is not there.
                Read::Gone => {}
            }
        }
        self.refreshed.measured += batch.studies.len() as u64;
        if !batch.is_empty() {
            self.index.write(&batch)?;
        }
        Ok(())
    }

    /// Forgets rows of files that were not found, and are not there: another workstation may have added one since.
    fn forget_vanished(&mut self, folder: &Path) -> Result<(), CohortError> {
        for table in [Table::Study, Table::TimeLine] {
            let mut after: Option<String> = None;
            loop {
                let most = u32::try_from(BATCH * 8).unwrap_or(u32::MAX);
                let paths = self.index.paths_after(table, after.as_deref(), most)?;
                let Some(last) = paths.last().cloned() else {
                    break;
                };
                let vanished: Vec<String> = paths
                    .into_iter()
                    .filter(|path| !self.seen.contains(&number_of(table, path)))
                    .filter(|path| is_missing(&folder.join(path)))
                    .collect();
                if !vanished.is_empty() {
                    self.index.remove(table, &vanished)?;
                }
                if table == Table::Study {
                    self.refreshed.removed += vanished.len() as u64;
                }
                after = Some(last);
            }
        }
        Ok(())
    }
}

const fn table_of(kind: Kind) -> Table {
    match kind {
        Kind::Study => Table::Study,
        Kind::TimeLine => Table::TimeLine,
    }
}

/// A number by which a path is known again within this run.
fn number_of(table: Table, path: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    (table == Table::Study, path).hash(&mut hasher);
    hasher.finish()
}

/// Whether a file is certainly not there, rather than out of reach.
fn is_missing(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_err_and(|problem| {
        matches!(
            problem.kind(),
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
        )
    })
}

/// Whether a file need not be read to know that it is what the index says.
fn is_surely_unchanged(known: &Known, stamp: FileStamp) -> bool {
    let coarsest = i64::try_from(COARSEST_CLOCK.as_nanos()).unwrap_or(i64::MAX);
    // A file without a hash could not be read then, and perhaps can be now.
    known.hash.is_some()
        && known.program == PROGRAM
        && known.stamp == stamp
        && stamp.modified_nanoseconds.saturating_add(coarsest) < known.read_at
}

fn read(file: &FoundFile, known: Option<&Known>) -> Read {
    let Some(read) = read_file(&file.path, file.stamp) else {
        return Read::Gone;
    };
    let hash = read.hash();
    if let Some(known) = known
        && hash.is_some()
        && known.hash == hash
        && known.program == PROGRAM
    {
        return Read::Touched(table_of(file.kind), file.relative.clone(), read.stamp);
    }
    match file.kind {
        Kind::Study => Read::Study(Box::new(read.row(&file.relative))),
        Kind::TimeLine => {
            let (visits, problem) = match Timeline::read(&file.path) {
                Ok(time_line) => (visits_of(&file.relative, time_line), None),
                Err(problem) => {
                    // Where the series lies is the reader's business; the row tells what is wrong in it.
                    let full = file.path.display().to_string();
                    (
                        Vec::new(),
                        Some(problem.to_string().replace(&full, &file.relative)),
                    )
                }
            };
            Read::TimeLine(TimeLineRow {
                path: file.relative.clone(),
                stamp: read.stamp,
                hash,
                visits,
                problem,
            })
        }
    }
}

/// The visits of a time line, each study once, by paths relative to the series' folder.
fn visits_of(time_line: &str, visits: Timeline) -> Vec<NamedVisit> {
    let folder = folder_of(time_line);
    let mut named: Vec<NamedVisit> = Vec::new();
    for visit in visits.visits {
        let study = plain(&Path::new(folder).join(&visit.study));
        if named.iter().all(|one| one.study != study) {
            named.push(NamedVisit {
                study,
                occasion: visit.occasion,
                name: visit.name,
            });
        }
    }
    named
}

/// A relative path as rows name it: `/` between folders, no `.` on the way.
fn plain(path: &PathBuf) -> String {
    let parts: Vec<_> = Path::new(path)
        .components()
        .filter_map(|part| match part {
            Component::Normal(name) => Some(name.to_string_lossy()),
            _ => None,
        })
        .collect();
    parts.join("/")
}
