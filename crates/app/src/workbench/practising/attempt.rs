//! An attempt on the disk: which foot is being traced, for how long already, and in which study.

use std::{
    fs,
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_practise::PracticeFoot;
use plumbray_study::{FilmRecord, STUDY_ENDING, Study, StudyFile, UserFolders, write_whole};
use serde::{Deserialize, Serialize};

/// An attempt that is under way, as it is remembered while the program is closed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AttemptRecord {
    /// The folder of the practice set.
    pub set: PathBuf,
    /// The foot's name in it.
    pub foot: String,
    /// The study in which it is traced, within the resident's folder.
    pub study: String,
    /// Whether the program may move points to edges.
    pub snapping: bool,
    /// How long it has been traced already, in seconds.
    pub seconds: f64,
}

impl AttemptRecord {
    /// Whether both are attempts at the same foot of the same set.
    pub(super) fn is_of_same_foot(&self, other: &Self) -> bool {
        self.set == other.set && self.foot == other.foot
    }
}

/// A file of this kind is never larger than this.
const LARGEST_RECORD_BYTES: u64 = 1 << 20;

/// An attempt whose foot is open.
#[derive(Clone, Debug)]
pub struct Attempt {
    pub(super) record: AttemptRecord,
    pub(super) since: Instant,
}

impl Attempt {
    pub(super) fn now(record: AttemptRecord) -> Self {
        Self {
            record,
            since: Instant::now(),
        }
    }

    /// The foot's name in its set.
    #[must_use]
    pub fn foot(&self) -> &str {
        &self.record.foot
    }

    /// Whether the program may move points to edges.
    #[must_use]
    pub const fn snapping(&self) -> bool {
        self.record.snapping
    }

    /// How long it has been traced, put by not counted.
    #[must_use]
    pub fn took(&self) -> Duration {
        let before = Duration::try_from_secs_f64(self.record.seconds).unwrap_or_default();
        before + self.since.elapsed()
    }

    /// The same as it is to be remembered now.
    pub(super) fn kept(&self) -> AttemptRecord {
        AttemptRecord {
            seconds: self.took().as_secs_f64(),
            ..self.record.clone()
        }
    }
}

/// The attempts that were put by, or were under way when the program ended, the latest last.
///
/// # Errors
/// When what is kept of it cannot be read.
pub(super) fn read(path: &Path) -> anyhow::Result<Vec<AttemptRecord>> {
    match fs::metadata(path) {
        Err(problem) if problem.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(problem) => return Err(problem.into()),
        Ok(about) if about.len() > LARGEST_RECORD_BYTES => bail!("it is too large to be ours"),
        Ok(_) => {}
    }
    let text = fs::read_to_string(path)?;
    Ok(ron::from_str(&text)?)
}

/// Remembers attempts, so that at every moment either the old or the new list is on the disk.
///
/// # Errors
/// When it cannot be written.
pub(super) fn write(path: &Path, records: &[AttemptRecord]) -> anyhow::Result<()> {
    let text = ron::ser::to_string_pretty(records, ron::ser::PrettyConfig::new())?;
    Ok(write_whole(path, text.as_bytes())?)
}

/// Lays out a new study for an attempt at a foot in a folder, with nothing traced yet; gives its name there.
///
/// # Errors
/// When a film of the set cannot be read, or the study not be written.
pub(super) fn new_study(
    foot: &PracticeFoot,
    set_folder: &Path,
    attempts: &Path,
    folders: &UserFolders,
) -> anyhow::Result<String> {
    fs::create_dir_all(attempts)
        .with_context(|| format!("the folder cannot be made: {}", attempts.display()))?;
    let mut study = foot.blank_study();
    for view in View::ALL {
        let Some((film, path)) = foot.film(view).zip(foot.film_path(view, set_folder)) else {
            continue;
        };
        let found = FilmRecord::of_file(&path, attempts, film.width_px, film.height_px)?;
        if found.hash != film.hash {
            bail!(
                "this film is not the one that belongs to the set; copy the set again: {}",
                path.display()
            );
        }
        if let Some(record) = study.film_mut(view) {
            record.file = found.file;
        }
    }
    let name = (1_u32..)
        .map(|number| format!("{}-{number}{STUDY_ENDING}", plain_name(&foot.identifier)))
        .find(|name| !attempts.join(name).exists())
        .context("there are too many attempts at this foot")?;
    keep(&attempts.join(&name), &study, folders)?;
    Ok(name)
}

fn keep(path: &Path, study: &Study, folders: &UserFolders) -> anyhow::Result<()> {
    let (mut file, _) = StudyFile::open_with(path, folders)?;
    file.save(study)
        .map_err(|problem| anyhow::anyhow!("{problem}"))?;
    Ok(())
}

/// A name that every file system takes: letters and digits of it, the rest as hyphens.
pub(super) fn plain_name(name: &str) -> String {
    let plain: String = name
        .trim()
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() {
                letter.to_lowercase().next().unwrap_or(letter)
            } else {
                '-'
            }
        })
        .collect();
    if plain.is_empty() {
        "reader".to_owned()
    } else {
        plain
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_becomes_one_that_every_file_system_takes() {
        for (name, plain) in [
            ("Dr Ada", "dr-ada"),
            ("../../etc", "------etc"),
            ("  ", "reader"),
            ("foot 3", "foot-3"),
        ] {
            assert_eq!(plain_name(name), plain, "{name}");
        }
    }

    #[test]
    fn a_record_comes_back_and_one_that_is_not_there_is_none() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("attempt.ron");
        assert_eq!(read(&path).expect("readable"), [], "nothing yet");
        let record = AttemptRecord {
            set: PathBuf::from("sets/first"),
            foot: "foot 3".to_owned(),
            study: "foot-3-1.study.ron".to_owned(),
            snapping: true,
            seconds: 12.5,
        };
        let other = AttemptRecord {
            foot: "foot 4".to_owned(),
            ..record.clone()
        };
        assert!(!record.is_of_same_foot(&other), "another foot");
        let records = [record, other];
        write(&path, &records).expect("written");
        assert_eq!(read(&path).expect("readable"), records, "the same");
        fs::write(&path, "nonsense").expect("written");
        assert!(read(&path).is_err(), "damaged");
    }
}
