//! The list of a foot's visits, in a small file that moves with its folder.

mod file;
mod gathering;

use std::path::{Path, PathBuf};

use plumbray_study::Study;
use serde::{Deserialize, Serialize};

use crate::visit::{Occasion, Visit};

pub use gathering::GatherError;

pub use file::{MAX_TIMELINE_BYTES, TIMELINE_ENDING, TimelineError, timelines_in};

/// The list of a foot's visits, in their order.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Timeline {
    /// The visits, the earliest first unless a person ordered them otherwise.
    pub visits: Vec<TimelineVisit>,
}

/// A visit of a time line: where its study lies, and when it was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimelineVisit {
    /// The study's file, relative to the folder of the time line, with `/` between folders.
    pub study: String,
    /// When it was, where a person said so; else the study says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub occasion: Option<Occasion>,
    /// How it is called, where a person named it here; else the study says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

/// Puts visits into the order of time: by occasion, then by day, those without a day first.
pub fn sort_by_time<T>(visits: &mut [T], visit: impl Fn(&T) -> Visit<'_>) {
    visits.sort_by_key(|one| {
        let visit = visit(one);
        (visit.occasion, visit.date())
    });
}

impl Timeline {
    /// A time line of these studies, by their paths, for a file in `folder`: ordered by occasion, then by day,
    /// then as they are given.
    ///
    /// # Errors
    /// When a path cannot be written relative to the folder.
    pub fn of_studies(folder: &Path, studies: &[(PathBuf, &Study)]) -> Result<Self, TimelineError> {
        let mut ordered: Vec<&(PathBuf, &Study)> = studies.iter().collect();
        sort_by_time(&mut ordered, |(_, study)| Visit {
            study,
            occasion: Occasion::of(study),
            called: None,
        });
        let visits = ordered
            .into_iter()
            .map(|(path, _)| TimelineVisit::of(folder, path))
            .collect::<Result<_, TimelineError>>()?;
        Ok(Self { visits })
    }

    /// Adds the visits of another time line of the same folder that this one lacks, in their order, after its
    /// own ones.
    pub fn join(&mut self, other: Self) {
        for visit in other.visits {
            if !self.has(&visit.study) {
                self.visits.push(visit);
            }
        }
    }

    /// Whether one of its visits has this study, as [`TimelineVisit::study`] names it.
    #[must_use]
    pub fn has(&self, study: &str) -> bool {
        self.visits.iter().any(|visit| visit.study == study)
    }
}

impl TimelineVisit {
    /// The visit of a study, by its path, for a time line in `folder`; occasion and name are the study's.
    ///
    /// # Errors
    /// When the path cannot be written relative to the folder.
    pub fn of(folder: &Path, study: &Path) -> Result<Self, TimelineError> {
        Ok(Self {
            study: file::relative(study, folder)?,
            occasion: None,
            name: None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn timeline(studies: &[&str]) -> Timeline {
        let visit = |study: &&str| TimelineVisit {
            study: (*study).to_owned(),
            occasion: None,
            name: None,
        };
        Timeline {
            visits: studies.iter().map(visit).collect(),
        }
    }

    #[test]
    fn visits_that_were_not_known_join_behind_and_the_order_stays() {
        let mut kept = timeline(&["b", "a"]);
        kept.visits[0].name = Some("first".to_owned());
        kept.join(timeline(&["a", "b", "c"]));
        let studies: Vec<&str> = kept.visits.iter().map(|one| one.study.as_str()).collect();
        assert_eq!(studies, ["b", "a", "c"], "a person's order first");
        assert_eq!(kept.visits[0].name.as_deref(), Some("first"), "kept");
    }
}
