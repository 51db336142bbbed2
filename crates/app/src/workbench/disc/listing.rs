//! The films of a disc in the order of the list, and the rows that a filter leaves.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
};

use plumbray_film::{Disc, DiscFilm, DiscPatient, DiscSeries, DiscStudy};

use crate::disc::{
    can_be_written,
    words::{film_words, one_line, patient_facts, patient_name, series_words, study_words},
};

/// What a disc holds, with what is needed to sift it.
pub struct DiscListing {
    pub(crate) disc: Disc,
    /// Whether a study can be saved beside each of the films.
    pub(crate) can_be_written: bool,
    films: Vec<ListedFilm>,
}

/// A film in the list.
struct ListedFilm {
    /// Its patient, study, series and place therein.
    place: [usize; 4],
    /// Its path below the folder.
    name: String,
    /// All that is said of it, in small letters.
    said: String,
}

/// A row of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiscRow {
    /// The patient of the film of this number and those after it.
    Patient(usize),
    /// Its study.
    Study(usize),
    /// Its series.
    Series(usize),
    /// The film of this number.
    Film(usize),
}

impl DiscListing {
    /// Puts a disc in order for the list. Finds out whether the films' folders can be written: call it on a worker's
    /// thread.
    pub(super) fn of(disc: Disc, folder: &Path) -> Self {
        let root = folder.canonicalize();
        let root = root.unwrap_or_else(|_gone| folder.to_owned());
        let mut films = Vec::with_capacity(disc.film_count());
        for (p, patient) in disc.patients.iter().enumerate() {
            for (s, study) in patient.studies.iter().enumerate() {
                for (q, series) in study.series.iter().enumerate() {
                    let group = said_of_group(patient, study, series);
                    for (f, film) in series.films.iter().enumerate() {
                        let name = film.path.strip_prefix(&root).unwrap_or(&film.path);
                        let name = one_line(&name.to_string_lossy());
                        let own = film_words(&film.about);
                        films.push(ListedFilm {
                            place: [p, s, q, f],
                            said: format!("{group} {own} {name}").to_lowercase(),
                            name,
                        });
                    }
                }
            }
        }
        Self {
            can_be_written: are_written(disc.films().filter_map(|film| film.path.parent())),
            disc,
            films,
        }
    }

    /// How many films there are.
    pub(crate) const fn film_count(&self) -> usize {
        self.films.len()
    }

    /// The patient, the study, the series and the film of a number.
    pub(crate) fn film(
        &self,
        number: usize,
    ) -> Option<(&DiscPatient, &DiscStudy, &DiscSeries, &DiscFilm)> {
        let [p, s, q, f] = self.films.get(number)?.place;
        let patient = self.disc.patients.get(p)?;
        let study = patient.studies.get(s)?;
        let series = study.series.get(q)?;
        Some((patient, study, series, series.films.get(f)?))
    }

    /// A film's path below the folder; empty for a number that no film has.
    pub(crate) fn name(&self, number: usize) -> &str {
        self.films.get(number).map_or("", |film| &film.name)
    }

    /// The file of a film.
    pub(super) fn path(&self, number: usize) -> Option<PathBuf> {
        self.film(number).map(|(.., film)| film.path.clone())
    }

    /// Whether two films are of one patient.
    pub(super) fn are_of_one_patient(&self, one: usize, other: usize) -> bool {
        let patient = |number: usize| self.films.get(number).map(|film| film.place[0]);
        patient(one) == patient(other)
    }

    /// The films of which every word is said, under their patients, studies and series.
    pub(super) fn rows(&self, filter: &str) -> Vec<DiscRow> {
        let filter = filter.to_lowercase();
        let words: Vec<&str> = filter.split_whitespace().collect();
        let mut rows = Vec::new();
        let mut before: Option<[usize; 4]> = None;
        for (number, film) in self.films.iter().enumerate() {
            if !words.iter().all(|word| film.said.contains(word)) {
                continue;
            }
            let same = before.map_or(0, |before| {
                let alike = before.iter().zip(&film.place);
                alike.take_while(|(one, other)| one == other).count()
            });
            let heads = [
                DiscRow::Patient(number),
                DiscRow::Study(number),
                DiscRow::Series(number),
            ];
            rows.extend(heads.into_iter().skip(same));
            rows.push(DiscRow::Film(number));
            before = Some(film.place);
        }
        rows
    }
}

/// It names nobody where the state of the program is printed.
impl std::fmt::Debug for DiscListing {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("DiscListing")
            .field("films", &self.films.len())
            .field("can_be_written", &self.can_be_written)
            .finish_non_exhaustive()
    }
}

/// Whether each of these folders can be written; on a disc the first says no.
fn are_written<'a>(folders: impl Iterator<Item = &'a Path>) -> bool {
    let folders: BTreeSet<&Path> = folders.collect();
    folders.into_iter().all(can_be_written)
}

fn said_of_group(patient: &DiscPatient, study: &DiscStudy, series: &DiscSeries) -> String {
    [
        patient_name(&patient.identity),
        patient_facts(&patient.identity),
        study_words(&study.about),
        series_words(&series.about),
    ]
    .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use plumbray_film::{FilmSummary, PatientIdentity};

    fn film(path: &str, patient: &str, series: &str) -> (DiscPatient, DiscStudy, DiscSeries) {
        let mut about = FilmSummary::default();
        about.patient.name = Some(patient.to_owned());
        about.series.description = series.to_owned();
        let film = DiscFilm {
            path: path.into(),
            about: about.clone(),
        };
        (
            DiscPatient {
                identity: PatientIdentity {
                    name: Some(patient.to_owned()),
                    ..PatientIdentity::default()
                },
                studies: Vec::new(),
            },
            DiscStudy {
                about: about.study.clone(),
                series: Vec::new(),
            },
            DiscSeries {
                about: about.series,
                films: vec![film],
            },
        )
    }

    fn two_patients() -> DiscListing {
        let patients =
            [("a", "Alder", "Feet"), ("b", "Birch", "Hands")].map(|(path, who, what)| {
                let (mut patient, mut study, mut series) = film(path, who, what);
                let again = series.films[0].clone();
                series.films.push(again);
                study.series.push(series);
                patient.studies.push(study);
                patient
            });
        let disc = Disc {
            patients: patients.to_vec(),
            ..Disc::default()
        };
        DiscListing::of(disc, Path::new("."))
    }

    #[test]
    fn films_stand_under_their_patient_study_and_series() {
        use DiscRow::{Film, Patient, Series, Study};
        let listing = two_patients();
        assert_eq!(listing.film_count(), 4, "all films");
        let all = [
            Patient(0),
            Study(0),
            Series(0),
            Film(0),
            Film(1),
            Patient(2),
            Study(2),
            Series(2),
            Film(2),
            Film(3),
        ];
        assert_eq!(listing.rows(""), all, "all rows");
        assert!(listing.are_of_one_patient(2, 3), "both Birch");
        assert!(!listing.are_of_one_patient(1, 2), "Alder and Birch");
    }

    #[test]
    fn every_word_of_a_filter_has_to_be_said_in_any_case() {
        let listing = two_patients();
        assert_eq!(listing.rows("BIRCH hands").len(), 5, "Birch's hands");
        assert_eq!(listing.rows("birch feet"), [], "no such film");
    }

    #[test]
    fn films_lie_where_nothing_can_be_written_as_soon_as_one_does() {
        let home = tempfile::tempdir().expect("a folder");
        let absent = home.path().join("absent");
        let here = home.path();
        assert!(are_written([here, here].into_iter()), "all of them");
        assert!(!are_written([here, &absent].into_iter()), "not all");
    }

    #[test]
    fn printing_the_state_names_nobody() {
        let printed = format!("{:?}", two_patients());
        assert!(!printed.contains("Birch"), "{printed}");
        assert!(printed.contains("films: 4"), "{printed}");
    }
}
