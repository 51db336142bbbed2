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
}

/// Puts visits into the order of time: by occasion, then by day, those without a day first.
pub fn sort_by_time<T>(visits: &mut [T], visit: impl Fn(&T) -> Visit<'_>) {
    visits.sort_by_key(|one| {
        let visit = visit(one);
        (visit.occasion, visit.date())
    });
}

impl Timeline {
    /// A time line of these studies, by their paths, for a file in `folder`: ordered by day, then by occasion,
    /// then as they are given.
    ///
    /// # Errors
    /// When a path cannot be written relative to the folder.
    pub fn of_studies(folder: &Path, studies: &[(PathBuf, &Study)]) -> Result<Self, TimelineError> {
        let mut ordered: Vec<&(PathBuf, &Study)> = studies.iter().collect();
        sort_by_time(&mut ordered, |(_, study)| Visit {
            study,
            occasion: Occasion::of(study),
        });
        let visits = ordered
            .into_iter()
            .map(|(path, _)| {
                Ok(TimelineVisit {
                    study: file::relative(path, folder)?,
                    occasion: None,
                })
            })
            .collect::<Result<_, TimelineError>>()?;
        Ok(Self { visits })
    }
}
