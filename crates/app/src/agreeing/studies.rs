//! The studies that were named, or that lie in a folder, and who traced what in them.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use anyhow::ensure;
use plumbray_anatomy::{Side, Tracing, View};
use plumbray_compare::foot_of;
use plumbray_measure::side_from_bones;
use plumbray_study::{STUDY_ENDING, Study, StudyError, is_same_file, load};

use crate::files::studies_below;

/// What stands for a reader who gave no name.
pub(crate) const NO_NAME: &str = "(no name)";

/// No more studies than this are read at once.
const MOST_STUDIES: usize = 10_000;

/// One study and where it lies.
#[derive(Debug)]
pub(crate) struct ReadStudy {
    pub path: PathBuf,
    pub study: Study,
    /// Which foot it shows: as it says, or else by the order of its metatarsals.
    pub side: Option<Side>,
}

/// One tracing of a study's films.
#[derive(Debug)]
pub(crate) struct OneTracing {
    /// Its study's place in [`Gathered::studies`].
    pub study: usize,
    /// Its reader's place in [`Gathered::readers`].
    pub reader: usize,
    pub tracing: Tracing,
}

/// All studies, in the order in which they were traced.
#[derive(Debug)]
pub(crate) struct Gathered {
    pub studies: Vec<ReadStudy>,
    /// The readers' names in the order of the alphabet.
    pub readers: Vec<String>,
    /// In the order in which they were made, as far as the studies tell.
    pub tracings: Vec<OneTracing>,
    /// What could not be read, a sentence each.
    pub problems: Vec<String>,
}

/// How much a reader read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ReaderCounts {
    pub tracings: usize,
    /// Films of one foot; an AP and a lateral film are two.
    pub films: usize,
    /// Those that were traced more than once.
    pub films_again: usize,
}

impl ReadStudy {
    fn of(path: PathBuf) -> Result<Self, StudyError> {
        let study = load(&path)?;
        let side = side(&study);
        Ok(Self { path, study, side })
    }
}

impl Gathered {
    /// Reads studies, and those in folders and the folders within.
    ///
    /// # Errors
    /// When something cannot be read, or a folder holds no study.
    pub(crate) fn read(inputs: &[PathBuf]) -> anyhow::Result<Self> {
        let mut paths: Vec<PathBuf> = Vec::new();
        for input in inputs {
            let found = if input.is_dir() {
                studies_in(input)?
            } else {
                vec![input.clone()]
            };
            for path in found {
                // One study may be named and lie in a folder that is named too.
                if !paths.iter().any(|known| is_same_file(known, &path)) {
                    paths.push(path);
                }
            }
            ensure!(
                paths.len() <= MOST_STUDIES,
                "there are more than {MOST_STUDIES} studies; name fewer at once"
            );
        }
        let read = paths.into_iter().map(ReadStudy::of);
        Ok(Self::of(read.collect::<Result<_, _>>()?, Vec::new()))
    }

    /// Reads the studies of a folder and the folders within; one that cannot be read is told and keeps no other out.
    ///
    /// # Errors
    /// When the folder cannot be read or holds no study.
    pub(crate) fn below(folder: &Path) -> anyhow::Result<Self> {
        let paths = studies_in(folder)?;
        ensure!(
            paths.len() <= MOST_STUDIES,
            "there are more than {MOST_STUDIES} studies; open a folder that holds fewer"
        );
        let (mut studies, mut problems) = (Vec::new(), Vec::new());
        for path in paths {
            match ReadStudy::of(path) {
                Ok(read) => studies.push(read),
                Err(problem) => problems.push(problem.to_string()),
            }
        }
        Ok(Self::of(studies, problems))
    }

    fn of(mut studies: Vec<ReadStudy>, problems: Vec<String>) -> Self {
        // A study without a time comes last.
        studies.sort_by_key(|read| {
            let traced_at = read.study.reader.traced_at;
            (traced_at.is_none(), traced_at, read.path.clone())
        });
        let mut readers: Vec<String> = studies
            .iter()
            .flat_map(|read| tracings_of(&read.study).map(|(name, _)| name.to_owned()))
            .collect();
        readers.sort();
        readers.dedup();
        let place = |name: &str| readers.iter().position(|known| known == name);
        let tracings = studies
            .iter()
            .enumerate()
            .flat_map(|(study, read)| {
                tracings_of(&read.study).filter_map(move |(name, tracing)| {
                    Some(OneTracing {
                        study,
                        reader: place(name)?,
                        tracing: tracing.clone(),
                    })
                })
            })
            .collect();
        Self {
            readers,
            tracings,
            studies,
            problems,
        }
    }

    /// How many tracings a reader made, of how many films of one foot, and how many of these more than once.
    pub(crate) fn counts_of(&self, reader: usize) -> ReaderCounts {
        let mut films: BTreeMap<(String, Option<Side>), usize> = BTreeMap::new();
        let mut tracings = 0;
        for one in self.tracings.iter().filter(|one| one.reader == reader) {
            let read = &self.studies[one.study];
            tracings += 1;
            let placed = View::ALL
                .into_iter()
                .filter(|view| !one.tracing.on(*view).is_empty());
            for film in placed.filter_map(|view| read.study.film(view)) {
                *films
                    .entry((film.picture_identity(), read.side))
                    .or_default() += 1;
            }
        }
        ReaderCounts {
            tracings,
            films: films.len(),
            films_again: films.values().filter(|times| **times > 1).count(),
        }
    }

    /// Where the studies' films lie.
    pub(crate) fn film_paths(&self) -> Vec<PathBuf> {
        let of_study = |read: &ReadStudy| {
            let folder = read.path.parent().unwrap_or(Path::new("")).to_owned();
            let films =
                View::ALL.map(|view| read.study.film(view).map(|film| film.path_in(&folder)));
            films.into_iter().flatten().collect::<Vec<_>>()
        };
        self.studies.iter().flat_map(of_study).collect()
    }
}

/// Each tracing of a study with its reader, the oldest first. A tracing that was put by has a reader of its own; where
/// that one gave no name, it is the study's.
fn tracings_of(study: &Study) -> impl Iterator<Item = (&str, &Tracing)> {
    let of_study = named(&study.reader.name).unwrap_or(NO_NAME);
    let earlier = study.earlier_tracings.iter();
    earlier
        .map(move |earlier| {
            let own = named(&earlier.reader.name);
            (own.unwrap_or(of_study), &earlier.tracing)
        })
        .chain(std::iter::once((of_study, &study.tracing)))
}

fn named(name: &str) -> Option<&str> {
    let name = name.trim();
    (!name.is_empty()).then_some(name)
}

fn side(study: &Study) -> Option<Side> {
    study
        .foot()
        .or_else(|| side_from_bones(foot_of(study).film(View::Ap)?))
}

/// The studies below a folder, at least one.
fn studies_in(folder: &Path) -> anyhow::Result<Vec<PathBuf>> {
    let found = studies_below(folder, None)?;
    ensure!(
        !found.is_empty(),
        "there is no study (…{STUDY_ENDING}) in this folder; name one that holds the readers’ studies: {}",
        folder.display()
    );
    Ok(found)
}
