//! The films of a study with their files, and the same without whom they show.

use std::{fs, path::PathBuf};

use anyhow::{Context as _, ensure};
use plumbray_anatomy::View;
use plumbray_film::{Film, Pyramid};
use plumbray_report::{
    DicomError, NewUids, TextInPicture, film_without_identity, study_without_identity,
};
use plumbray_study::Study;

use super::WithoutIdentity;

/// A film of the study with its file.
pub(super) struct OpenedFilm {
    /// The whole file.
    pub bytes: Vec<u8>,
    /// The same, opened.
    pub film: Pyramid,
}

/// The films at these places, in the order of [`View::ALL`], each the picture of its file that the study traced.
pub(super) fn opened_films(
    study: &Study,
    films: &[Option<PathBuf>; 2],
) -> anyhow::Result<[Option<OpenedFilm>; 2]> {
    let open = |view: View| -> anyhow::Result<Option<OpenedFilm>> {
        let Some(path) = &films[view as usize] else {
            return Ok(None);
        };
        let bytes = fs::read(path).with_context(|| {
            format!(
                "the {} film cannot be read; put its file back there: {}",
                view.name_in_sentence(),
                path.display()
            )
        })?;
        let film = Film::from_bytes_of_frame(&bytes, picture_of(study, view))
            .with_context(|| format!("in the film {}", path.display()))?
            .pyramid();
        Ok(Some(OpenedFilm { bytes, film }))
    };
    Ok([open(View::Ap)?, open(View::Lateral)?])
}

/// Which picture of its file the film of a view is, from 1.
fn picture_of(study: &Study, view: View) -> u32 {
    study.film(view).map_or(1, |record| record.picture.get())
}

/// Takes the identity of films away; gives back a study about them that names nobody.
pub(super) fn take_identity_away(
    study: &Study,
    films: &mut [Option<OpenedFilm>; 2],
    how: &WithoutIdentity,
) -> anyhow::Result<Study> {
    let mut uids = NewUids::default();
    for (view, film) in View::ALL.into_iter().zip(films.iter_mut()) {
        let masks = &how.masks[view as usize];
        let letters = if how.looked[view as usize] {
            TextInPicture::NoneLeft
        } else {
            TextInPicture::NotLookedAt
        };
        let Some(film) = film else {
            ensure!(
                masks.is_empty(),
                "a mask is for the {} film, and the study has none",
                view.name_in_sentence()
            );
            continue;
        };
        let record = study.film(view);
        ensure!(
            record.is_some_and(|record| film.film.film().content_hash() == record.hash.to_string()),
            DicomError::FilmChanged { view }
        );
        film.bytes = film_without_identity(&film.bytes, masks, letters, &mut uids)?;
        film.film = Film::from_bytes_of_frame(&film.bytes, picture_of(study, view))?.pyramid();
    }
    let bytes = films
        .each_ref()
        .map(|film| film.as_ref().map(|film| film.bytes.as_slice()));
    Ok(study_without_identity(study, bytes))
}
