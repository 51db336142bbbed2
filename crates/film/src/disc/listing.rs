//! Films put in order by patient, study and series.

use std::path::PathBuf;

use crate::{
    patient::PatientIdentity,
    summary::{FilmSummary, SeriesSummary, StudySummary},
};

/// What a disc or folder holds. It names patients: it is for the screen, and is kept nowhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Disc {
    /// By name.
    pub patients: Vec<DiscPatient>,
    /// DICOM objects that are no films, such as reports.
    pub other_objects: usize,
    /// Files that are something else.
    pub other_files: usize,
    /// What could not be read, a sentence each.
    pub problems: Vec<String>,
    /// How many more such sentences there would be.
    pub more_problems: usize,
}

/// A patient of a disc.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscPatient {
    /// Whom the films name.
    pub identity: PatientIdentity,
    /// The latest first.
    pub studies: Vec<DiscStudy>,
}

/// A study of a disc.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscStudy {
    /// As its films describe it.
    pub about: StudySummary,
    /// By number.
    pub series: Vec<DiscSeries>,
}

/// A series of a disc.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscSeries {
    /// As its films describe it.
    pub about: SeriesSummary,
    /// By number.
    pub films: Vec<DiscFilm>,
}

/// A film of a disc.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscFilm {
    /// Where it lies.
    pub path: PathBuf,
    /// What it says of itself.
    pub about: FilmSummary,
}

impl Disc {
    /// How many films there are.
    #[must_use]
    pub fn film_count(&self) -> usize {
        self.films().count()
    }

    /// Every film, in the order of the list.
    pub fn films(&self) -> impl Iterator<Item = &DiscFilm> {
        let studies = self.patients.iter().flat_map(|patient| &patient.studies);
        let series = studies.flat_map(|study| &study.series);
        series.flat_map(|series| &series.films)
    }

    pub(super) fn add(&mut self, path: PathBuf, about: FilmSummary) {
        let patient = found_or_new(
            &mut self.patients,
            |patient| patient.identity == about.patient,
            || DiscPatient {
                identity: about.patient.clone(),
                studies: Vec::new(),
            },
        );
        let study = found_or_new(
            &mut patient.studies,
            |study| study.about.uid == about.study.uid,
            || DiscStudy {
                about: about.study.clone(),
                series: Vec::new(),
            },
        );
        let series = found_or_new(
            &mut study.series,
            |series| series.about.uid == about.series.uid,
            || DiscSeries {
                about: about.series.clone(),
                films: Vec::new(),
            },
        );
        series.films.push(DiscFilm { path, about });
    }

    pub(super) fn sorted(mut self) -> Self {
        self.patients.sort_by(|one, other| {
            let key = |patient: &DiscPatient| {
                (
                    patient.identity.name.clone(),
                    patient.identity.identifier.clone(),
                )
            };
            key(one).cmp(&key(other))
        });
        for patient in &mut self.patients {
            patient
                .studies
                .sort_by(|one, other| other.about.date.cmp(&one.about.date));
            for study in &mut patient.studies {
                study.series.sort_by_key(|series| series.about.number);
                for series in &mut study.series {
                    series.films.sort_by(|one, other| {
                        let key = |film: &DiscFilm| (film.about.number, film.path.clone());
                        key(one).cmp(&key(other))
                    });
                }
            }
        }
        self
    }
}

/// The last that fits, since films of a series mostly follow each other; else a new one.
fn found_or_new<T>(all: &mut Vec<T>, fits: impl Fn(&T) -> bool, new: impl FnOnce() -> T) -> &mut T {
    let place = all.iter().rposition(fits).unwrap_or_else(|| {
        all.push(new());
        all.len() - 1
    });
    &mut all[place]
}
