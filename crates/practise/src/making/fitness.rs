//! Whether a study can become a practice foot, found out before a set is made.

use std::path::{Path, PathBuf};

use plumbray_anatomy::{Side, View};
use plumbray_film::Film;
use plumbray_measure::{Choices, Measurement, Need, Outcome, measure};
use plumbray_study::{Study, load};

use super::{
    MakingError, StudyForSet,
    studies::{judged_foot, practice_film, side, traced_film},
};
use crate::{lesson::HEADLINES, set::Difficulty};

/// What a study offers a practice set.
#[derive(Clone, Debug, PartialEq)]
pub struct StudyFitness {
    /// The study's file.
    pub path: PathBuf,
    /// Who traced it, as the study says; empty where it says nothing.
    pub traced_by: String,
    /// Which foot it is, where that can be told.
    pub side: Option<Side>,
    /// The views of which it has a film.
    pub views: Vec<View>,
    /// The headline numbers that its films could give and its tracing does not, each with why: "needs M2".
    pub lacks: Vec<(Measurement, String)>,
    /// Why it cannot be a reference and what to do; nothing where it can.
    pub refusal: Option<String>,
}

/// What a study offers a practice set, with its films as they are; nothing is written. A study that cannot be
/// read, or whose film was changed since, says so as its refusal.
#[must_use]
pub fn study_fitness(path: &Path) -> (StudyFitness, Vec<(View, Film)>) {
    let mut fitness = StudyFitness {
        path: path.to_owned(),
        traced_by: String::new(),
        side: None,
        views: Vec::new(),
        lacks: Vec::new(),
        refusal: None,
    };
    let judged = load(path)
        .map_err(MakingError::from)
        .and_then(|study| judge(&mut fitness, study));
    match judged {
        Ok(films) => (fitness, films),
        Err(problem) => {
            fitness.refusal = Some(problem.to_string());
            (fitness, Vec::new())
        }
    }
}

fn judge(fitness: &mut StudyFitness, study: Study) -> Result<Vec<(View, Film)>, MakingError> {
    fitness.traced_by.clone_from(&study.reader.name);
    fitness.side = side(&study);
    fitness.views = View::ALL
        .into_iter()
        .filter(|view| study.film(*view).is_some())
        .collect();
    let folder = fitness.path.parent().unwrap_or(Path::new(""));
    let mut films = Vec::new();
    for view in View::ALL {
        if let Some(record) = study.film(view) {
            films.push((view, traced_film(record, folder)?));
        }
    }
    let as_it_is = |view: View| {
        let record = study.film(view)?;
        Some(practice_film(record, String::new(), record.hash))
    };
    let own = [as_it_is(View::Ap), as_it_is(View::Lateral)];
    let wanted = StudyForSet {
        path: fitness.path.clone(),
        difficulty: Difficulty::by_reasons(Vec::new()),
        tags: Vec::new(),
        looked_at: None,
    };
    let (foot, reference) = judged_foot("foot", &wanted, study, own)?;
    fitness.lacks = HEADLINES
        .into_iter()
        .filter_map(|measurement| {
            let traced = foot.traced(&reference.tracing);
            let outcome = measure(&traced, &Choices::default(), measurement);
            let lacks_film = |need: &Need| matches!(need, Need::Film(_));
            match &outcome {
                Outcome::Needs(needs) if needs.iter().any(lacks_film) => None,
                _ => Some((measurement, outcome.why_not()?)),
            }
        })
        .collect();
    Ok(films)
}
