//! Reads the studies of a folder and their films, on a worker's thread.

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use plumbray_anatomy::{View, capitalised};
use plumbray_film::{Film, Pyramid, Window};
use plumbray_practise::{MOST_FEET, StudyFitness, study_fitness};
use plumbray_study::{STUDY_ENDING, load};
use rayon::prelude::*;

use super::{FilmOfStudy, GreyPicture, LookedAtFilm, OfferedStudy};
use crate::{files::studies_below, workbench::FilmView};

/// A small picture in the list is at most so many pixels wide and high.
const SMALL_PICTURE_PX: usize = 192;

/// The studies of a folder, or why there are none.
pub(in crate::workbench) type StudiesRead = Result<Vec<OfferedStudy>, String>;
/// A film to look at, or why it cannot be looked at.
pub(in crate::workbench) type FilmRead = Result<Box<LookedAtFilm>, String>;

/// Reads every study of a folder and the folders below it, with a small picture of each film. What lies below `but`
/// is left out: there the residents' own attempts are kept.
pub(super) fn read_studies(folder: &Path, but: &Path, read: &Arc<AtomicUsize>) -> StudiesRead {
    let refused = |problem: anyhow::Error| capitalised(&format!("{problem:#}"));
    let paths = studies_below(folder, Some(but)).map_err(refused)?;
    if paths.is_empty() {
        return Err(format!(
            "No study lies in this folder or below it. Studies end in {STUDY_ENDING}; trace films and they are \
             saved beside them: {}",
            folder.display()
        ));
    }
    if paths.len() > MOST_FEET {
        return Err(format!(
            "{} studies lie below this folder, and a set has at most {MOST_FEET} feet. Choose a folder within: {}",
            paths.len(),
            folder.display()
        ));
    }
    let offered = paths.par_iter().map(|path| {
        let name = path.strip_prefix(folder).unwrap_or(path);
        let study = offered(path, name.to_string_lossy().into_owned());
        read.fetch_add(1, Ordering::Relaxed);
        study
    });
    Ok(offered.collect())
}

fn offered(path: &Path, name: String) -> OfferedStudy {
    let (fitness, films): (StudyFitness, _) = study_fitness(path);
    OfferedStudy {
        is_taken: fitness.refusal.is_none(),
        films: films
            .into_iter()
            .map(|(view, film)| FilmOfStudy {
                view,
                picture: Arc::new(small_picture(&film)),
                seen: None,
                is_clear: false,
            })
            .collect(),
        name,
        fitness,
    }
}

/// A film's greys, bone bright, from the darkest to the brightest, small.
fn small_picture(film: &Film) -> GreyPicture {
    let pyramid = film.pyramid();
    let is_small =
        |level: &plumbray_film::Level<'_>| level.width.max(level.height) <= SMALL_PICTURE_PX;
    let level = pyramid.levels().find(is_small);
    let Some(level) = level else {
        return GreyPicture::default();
    };
    let [low, high] = extremes(level.samples);
    let span = u32::from(high - low).max(1);
    let grey = |sample: &u16| {
        let share = u32::from(sample.saturating_sub(low)) * 255 / span;
        let grey = u8::try_from(share).unwrap_or(u8::MAX);
        if film.bone_is_bright() {
            grey
        } else {
            u8::MAX - grey
        }
    };
    GreyPicture {
        size: [level.width, level.height],
        greys: level.samples.iter().map(grey).collect(),
    }
}

/// The lowest and the highest sample.
fn extremes(samples: &[u16]) -> [u16; 2] {
    samples
        .iter()
        .fold([u16::MAX, u16::MIN], |[low, high], sample| {
            [low.min(*sample), high.max(*sample)]
        })
}

/// Reads a film of a study, shown from its darkest to its brightest grey as the set will have it: in the film's own
/// window, text that is burnt in could be hidden.
pub(super) fn read_film(study: &Path, place: usize, view: View) -> FilmRead {
    let film = load(study)
        .map_err(|problem| problem.to_string())
        .and_then(|own| {
            let record = own.film(view).ok_or("the study has no such film")?;
            let folder = study.parent().unwrap_or(Path::new(""));
            plumbray_film::open_frame(&record.path_in(folder), record.picture.get())
                .map_err(|problem| problem.to_string())
        })?;
    let [low, high] = extremes(film.samples()).map(|code| film.value_of_code(f32::from(code)));
    let mut shown = FilmView::of(&film);
    shown.look = shown.look.with_window(Window {
        centre: f32::midpoint(low, high),
        width: (high - low).abs().max(1.0),
    });
    shown.named_window = None;
    let pyramid: Arc<Pyramid> = Arc::new(film.pyramid());
    Ok(Box::new(LookedAtFilm {
        place,
        view,
        pyramid,
        shown,
    }))
}
