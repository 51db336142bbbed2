//! What was traced, as a study: of one film or of a foot's two, and saved beside them.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use anyhow::bail;
use plumbray_anatomy::{Landmark, Origin, Side, View};
use plumbray_measure::side_from_bones;
use plumbray_study::{SideChoice, SideSource, Study, StudyFile, load, studies_of, study_path};

use super::traced_film::{TracedFilm, TracedFoot};
use crate::workbench::{foot_of, take_facts};

/// How the history of a study names this.
const CHANGE: &str = "Trace without a reader";

/// A foot that was traced, with what is doubtful on each of its films.
#[derive(Debug)]
pub(super) struct TracedStudy {
    /// Its films, AP first.
    pub films: Vec<FilmOfStudy>,
    /// As it would be saved.
    pub study: Study,
    /// Where it was saved.
    pub saved: Option<PathBuf>,
    several_feet: bool,
}

/// What is to be said of one film beside its tracing.
#[derive(Debug)]
pub(super) struct FilmOfStudy {
    pub path: PathBuf,
    pub view: View,
    /// Landmarks to look at again, and why.
    pub doubts: BTreeMap<Landmark, String>,
    /// Landmarks that were not found, and why.
    pub left: BTreeMap<Landmark, String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl TracedStudy {
    fn with(several_feet: bool) -> Self {
        Self {
            films: Vec::new(),
            study: Study::default(),
            saved: None,
            several_feet,
        }
    }

    fn add(&mut self, film: &TracedFilm, mut foot: TracedFoot) {
        let view = film.view;
        *self.study.film_mut(view) = Some(film.record.clone());
        let tracing = self.study.tracing.on_mut(view);
        *tracing = foot.tracing;
        for point in tracing.points.values_mut() {
            point.origin = Origin::Proposed;
        }
        for cortices in tracing.cortices.values_mut() {
            cortices.origin = Origin::Proposed;
        }
        foot.remarks
            .extend(self.settle_side(film, foot.said, foot.by_bones));
        self.films.push(FilmOfStudy {
            path: film.path.clone(),
            view,
            doubts: foot.doubts,
            left: foot.left,
            remarks: foot.remarks,
        });
        self.films.sort_by_key(|film| film.view as usize);
    }

    /// Which foot it is, as the caller says, or the film's file, or else the order of the bones; gives
    /// what is to be said where the bones contradict it.
    fn settle_side(
        &mut self,
        film: &TracedFilm,
        said: Option<Side>,
        by_bones: Option<Side>,
    ) -> Option<String> {
        let study = &mut self.study;
        study.side = study.side.or(said.map(SideChoice::entered));
        // The file of a film of both feet may name either.
        if !self.several_feet {
            take_facts(study, &film.facts);
        }
        let by_bones = by_bones.or_else(|| foot_of(study).ap.and_then(side_from_bones))?;
        let choice = study
            .side
            .get_or_insert(SideChoice::proposed(by_bones, SideSource::Bones));
        (choice.side != by_bones).then(|| {
            format!(
                "The order of the bones makes it a {} foot: the film is mirrored, or the side is \
                 wrong.",
                by_bones.identifier()
            )
        })
    }

    /// The film by whose name the study goes.
    pub(super) fn named_film(&self) -> &Path {
        self.films
            .first()
            .map_or(Path::new(""), |film| film.path.as_path())
    }
}

/// Whether two films are an AP and a lateral film of one foot, as far as they can tell.
pub(super) fn are_of_one_foot(first: &TracedFilm, second: &TracedFilm) -> bool {
    let lie_together = first.path.parent() == second.path.parent();
    let show_one_foot = first.feet.len() == 1 && second.feet.len() == 1;
    lie_together && show_one_foot && first.view != second.view
}

/// The study of one foot's two films.
pub(super) fn study_of_pair(first: TracedFilm, second: TracedFilm) -> TracedStudy {
    let mut study = TracedStudy::with(first.feet_on_film + second.feet_on_film > 2);
    let (ap, lateral) = if first.view == View::Ap {
        (first, second)
    } else {
        (second, first)
    };
    for film in [ap, lateral] {
        for foot in film.feet.clone() {
            study.add(&film, foot);
        }
    }
    study
}

/// The studies of a film: one for each foot.
pub(super) fn studies_of_film(film: &TracedFilm) -> Vec<TracedStudy> {
    let feet = film.feet.iter().cloned();
    feet.map(|foot| {
        let mut study = TracedStudy::with(film.feet_on_film > 1);
        study.add(film, foot);
        study
    })
    .collect()
}

/// Saves a study beside its film, or adds its landmarks to the study that is there, and notes where.
///
/// # Errors
/// When the study that is there holds landmarks of the same film, or is of other films, or cannot be
/// read or written. Nothing is changed then.
pub(super) fn save(traced: &mut TracedStudy) -> anyhow::Result<()> {
    let path = place_of(traced)?;
    let (mut file, existing) = StudyFile::open(&path)?;
    let mut study = existing.unwrap_or_else(|| Study {
        visit: traced.study.visit.clone(),
        ..Study::default()
    });
    for film in &traced.films {
        add_film(&mut study, &traced.study, film.view, &path)?;
    }
    study.side = study.side.or(traced.study.side);
    let who = study.reader.name.clone();
    study.history.record(&who, CHANGE);
    file.save(&study)?;
    traced.study = study;
    traced.saved = Some(path);
    Ok(())
}

/// Saves as [`save`] does, unless the study that is there holds the very tracing already: a run that was killed after it
/// saved a film, and starts again, finds its own work.
///
/// # Errors
/// As with [`save`].
pub(super) fn save_or_find(traced: &mut TracedStudy) -> anyhow::Result<()> {
    let path = place_of(traced)?;
    match load(&path) {
        Ok(study) if holds(&study, traced) => {
            traced.study = study;
            traced.saved = Some(path);
            Ok(())
        }
        _ => save(traced),
    }
}

/// Whether a study holds the very tracing of every film already.
fn holds(study: &Study, traced: &TracedStudy) -> bool {
    traced.films.iter().all(|film| {
        let records = study.film(film.view).zip(traced.study.film(film.view));
        records.is_some_and(|(own, new)| own.is_same_picture(new))
            && study.tracing.on(film.view) == traced.study.tracing.on(film.view)
    })
}

/// The study that is there already, or where a new one goes.
fn place_of(traced: &TracedStudy) -> anyhow::Result<PathBuf> {
    let film = traced.named_film();
    if !traced.several_feet {
        let mut existing = traced.films.iter().flat_map(|film| studies_of(&film.path));
        return Ok(existing.next().unwrap_or_else(|| study_path(film, None)));
    }
    let Some(side) = traced.study.foot() else {
        bail!("the film shows several feet, and which one this is cannot be told; give --side");
    };
    Ok(study_path(film, Some(side)))
}

fn add_film(study: &mut Study, traced: &Study, view: View, path: &Path) -> anyhow::Result<()> {
    let Some(record) = traced.film(view) else {
        return Ok(());
    };
    let other = study.film(view.other());
    if other.is_some_and(|film| film.is_same_picture(record)) {
        bail!(
            "the study that is there takes this film for the {} one; exchange the views in the \
             window first: {}",
            view.other().name(),
            path.display()
        );
    }
    if !study.tracing.on(view).is_empty() {
        bail!(
            "the study that is there has landmarks of the {} film already, which stay as they are. \
             Open it in the window to see what is proposed, or move it to another folder: {}",
            view.name(),
            path.display()
        );
    }
    if study
        .film(view)
        .is_some_and(|film| !film.is_same_picture(record))
    {
        bail!(
            "the study that is there is of another {} film, or of another picture of it; say --picture for that picture, \
             or move the study to another folder: {}",
            view.name(),
            path.display()
        );
    }
    if study.film(view).is_none() {
        *study.film_mut(view) = Some(record.clone());
    }
    *study.tracing.on_mut(view) = traced.tracing.on(view).clone();
    Ok(())
}
