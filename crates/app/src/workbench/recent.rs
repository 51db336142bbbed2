//! What the first page says of the feet that were opened lately. It is read from their studies each time: the settings
//! keep nothing but where they lie.

use std::path::{Path, PathBuf};

use plumbray_study::{STUDY_ENDING, load};

use super::{Finished, Workbench};
use crate::words::shortened_in_middle;

/// How the job is called that reads what recent feet are.
pub(super) const RECENT: &str = "Reading which feet were opened lately";

/// How many recent feet the first page lists.
const LISTED: usize = 6;

/// A longer name is shortened in its middle, so that what tells feet apart stays in the line.
const LONGEST_NAME: usize = 30;

/// A foot that was opened lately.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecentFoot {
    /// Its study.
    pub path: PathBuf,
    /// Which foot, of which day, called what; empty where the study does not say or cannot be read.
    pub what: Vec<String>,
}

impl RecentFoot {
    fn unread(path: &Path) -> Self {
        Self {
            path: path.to_owned(),
            what: Vec::new(),
        }
    }

    fn read(path: &Path) -> Self {
        let Ok(study) = load(path) else {
            return Self::unread(path);
        };
        let side = study
            .side
            .map(|choice| format!("{} foot", choice.side.identifier()));
        let films = [&study.ap, &study.lateral];
        let day = films.into_iter().flatten().find_map(|film| film.date);
        let label = study.visit.label.trim();
        let what = [
            side,
            day.map(|day| day.to_string()),
            (!label.is_empty()).then(|| label.to_owned()),
        ];
        Self {
            path: path.to_owned(),
            what: what.into_iter().flatten().collect(),
        }
    }

    /// The name of its study, shortened in the middle where it is long.
    #[must_use]
    pub fn name(&self) -> String {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        shortened_in_middle(name.trim_end_matches(STUDY_ENDING), LONGEST_NAME)
    }

    /// What tells it from others: which foot, of which day, which visit, in which folder.
    #[must_use]
    pub fn words(&self) -> String {
        let folder = self.path.parent().and_then(Path::file_name);
        let folder = folder.map(|folder| {
            format!(
                "in {}",
                shortened_in_middle(&folder.to_string_lossy(), LONGEST_NAME)
            )
        });
        let words: Vec<String> = self.what.iter().cloned().chain(folder).collect();
        words.join(" · ")
    }
}

impl Workbench {
    /// The feet that the first page lists, the latest first.
    #[must_use]
    pub fn recent_feet(&self) -> Vec<RecentFoot> {
        let listed = self.settings.recent.iter().take(LISTED);
        listed
            .map(|path| {
                let read = self.recent.iter().find(|foot| foot.path == *path);
                read.cloned().unwrap_or_else(|| RecentFoot::unread(path))
            })
            .collect()
    }

    /// Reads on a worker's thread what the recent feet are: a folder of the clinic may answer late.
    pub(super) fn read_recent_feet(&mut self) {
        let listed = self.settings.recent.iter().take(LISTED);
        let listed: Vec<PathBuf> = listed.cloned().collect();
        if !listed.is_empty() {
            self.jobs.start(RECENT, move || {
                Finished::RecentRead(listed.iter().map(|path| RecentFoot::read(path)).collect())
            });
        }
    }

    /// Puts a study at the head of the recent feet and writes the list at once, so that it outlasts a computer that is
    /// switched off; an attempt is no foot of anybody's.
    pub(super) fn remember_foot(&mut self, study: &Path) {
        if !study.starts_with(&self.places.practice) && self.settings.remember(study) {
            self.keep_settings();
        }
    }
}
