//! What is done with a disc on workers' threads, and what comes of it.

use std::{
    ops::ControlFlow,
    path::{Path, PathBuf},
    sync::{Arc, atomic::Ordering},
};

use plumbray_film::{DiscError, DiscFilm, DiscProgress, list_disc};

use super::{DiscListing, Listing, OpenDisc, SmallFilm};
use crate::{
    disc::{copying::copy_film, small_picture::small_picture, words::one_line},
    workbench::{Command, Finished, SeriesCommand, Workbench, opening::short_name, state::Request},
};

/// The work of listing, as a person reads it.
const LISTING: &str = "Listing films";
/// The work of copying, as a person reads it.
const COPYING: &str = "Copying films";
/// The work of making small pictures, as a person reads it. Nobody waits for it.
pub(in super::super) const DECODING: &str = "Making a small picture";

/// A disc that a worker has listed, or why not.
pub(in super::super) type ListedDisc = Result<Box<DiscListing>, String>;
/// The copies that a worker has made, or why not.
pub(in super::super) type CopiedFilms = Result<Vec<PathBuf>, String>;

impl OpenDisc {
    /// Works out the rows again.
    pub(super) fn sift(&mut self) {
        let listing = self.listing.as_ref();
        self.rows = listing.map_or_else(Vec::new, |listing| listing.rows(&self.filter));
    }
}

impl Workbench {
    /// Lists the disc on a worker's thread.
    pub(super) fn list_disc(&mut self) {
        self.disc_number += 1;
        let number = self.disc_number;
        let Some(disc) = &mut self.disc else { return };
        let work = Listing::default();
        let (place, folder) = (disc.place.clone(), disc.folder().to_owned());
        *disc = OpenDisc {
            filter: std::mem::take(&mut disc.filter),
            copies: std::mem::take(&mut disc.copies),
            work: Some(work.clone()),
            ..OpenDisc::new(place.clone())
        };
        self.notices.clear();
        self.jobs.start(LISTING, move || {
            let listed = list_disc(&place, &mut |now| work.goes_on(now));
            let listed = listed.map(|disc| Box::new(DiscListing::of(disc, &folder)));
            Finished::DiscListed(number, listed.map_err(|problem| in_words(&problem)))
        });
    }

    pub(in super::super) fn disc_was_listed(&mut self, number: u64, listed: ListedDisc) {
        if number != self.disc_number {
            return;
        }
        let Some(disc) = &mut self.disc else { return };
        disc.work = None;
        match listed {
            Ok(listing) => disc.listing = Some(*listing),
            Err(problem) => disc.problem = Some(problem),
        }
        disc.sift();
    }

    /// Decodes the next film in view, unless one is being decoded.
    pub(super) fn decode_next(&mut self) {
        let number = self.disc_number;
        let Some(disc) = &mut self.disc else { return };
        let Some(film) = disc.small.begin_next() else {
            return;
        };
        let path = disc.listing.as_ref().and_then(|listing| listing.path(film));
        self.jobs.start(DECODING, move || {
            let picture = path.ok_or_else(|| "it is gone".to_owned());
            let picture = picture.and_then(|path| small_picture(&path));
            Finished::FilmOfDiscDecoded(number, picture.map(Arc::new))
        });
    }

    pub(in super::super) fn film_of_disc_was_decoded(&mut self, number: u64, picture: SmallFilm) {
        if number != self.disc_number {
            return;
        }
        if let Some(disc) = &mut self.disc {
            disc.small.take_in(picture);
        }
        if !self.has_foot() {
            self.decode_next();
        }
    }

    /// A worker of the disc ended by a fault of the program.
    pub(in super::super) fn work_on_disc_failed(&mut self, name: &str) {
        let number = self.disc_number;
        let Some(disc) = &mut self.disc else { return };
        let fault = || "the program failed at it; try it again".to_owned();
        match name {
            LISTING => self.disc_was_listed(number, Err(fault())),
            DECODING if disc.small.decoding().is_some() => {
                self.film_of_disc_was_decoded(number, Err(fault()));
            }
            COPYING => disc.copying = false,
            _ => {}
        }
    }

    fn ticked_films(&self) -> Vec<DiscFilm> {
        let Some(disc) = &self.disc else {
            return Vec::new();
        };
        let film = |number: &usize| Some(disc.listing.as_ref()?.film(*number)?.3.clone());
        disc.ticked.iter().filter_map(film).collect()
    }

    /// Opens the films that are ticked where they lie, and says what that means where nothing can be saved there.
    pub(super) fn open_ticked(&mut self) {
        let films = self.ticked_films();
        let listing = self.disc.as_ref().and_then(OpenDisc::listing);
        let can_be_written = listing.is_none_or(|listing| listing.can_be_written);
        self.apply(Command::Open(
            films.into_iter().map(|film| film.path).collect(),
        ));
        if !can_be_written {
            self.warn(
                "These films lie where nothing can be written. What you trace is kept among this user’s own files \
                 and is not lost, but it is not beside the films; copy them into a folder to keep both together."
                    .to_owned(),
            );
        }
    }

    /// Copies where it was written that copies go, or asks where.
    pub(super) fn copy_and_open(&mut self) {
        let copies = self.disc.as_ref().map(|disc| disc.copies.trim().to_owned());
        match copies {
            Some(folder) if !folder.is_empty() && !Path::new(&folder).is_absolute() => {
                self.warn(format!(
                    "“{folder}” does not say where the folder lies. Write its whole path, such as {}.",
                    self.places.fetched.display()
                ));
            }
            Some(folder) if !folder.is_empty() => self.copy_ticked(PathBuf::from(folder)),
            _ => self.requests.push(Request::AskWhereToCopyFilms),
        }
    }

    /// Copies the films that are ticked, on a worker's thread.
    pub(super) fn copy_ticked(&mut self, folder: PathBuf) {
        let films = self.ticked_films();
        let number = self.disc_number;
        let Some(disc) = &mut self.disc else { return };
        disc.copying = true;
        disc.copies = folder.display().to_string();
        self.notices.clear();
        self.jobs.start(COPYING, move || {
            let copies = films.iter().map(|film| copy_film(film, &folder));
            let copies: Result<Vec<PathBuf>, _> = copies.collect();
            let copies = copies.map_err(|problem| one_line(&problem.to_string()));
            Finished::FilmsCopied(number, copies)
        });
    }

    pub(in super::super) fn films_were_copied(&mut self, number: u64, copied: CopiedFilms) {
        if number != self.disc_number {
            return;
        }
        let Some(disc) = &mut self.disc else { return };
        disc.copying = false;
        match copied {
            Ok(copies) => {
                let names: Vec<String> = copies.iter().map(|path| short_name(path)).collect();
                let folder = disc.copies.clone();
                // Another foot may have been opened meanwhile; it stays.
                if !self.has_foot() {
                    self.apply(Command::Open(copies));
                }
                self.note(format!(
                    "Copied as {} into {folder}. The copies are what the disc holds, with the patient’s name inside.",
                    names.join(" and ")
                ));
            }
            Err(problem) => self.warn(format!("The films were not copied: {problem}")),
        }
    }

    pub(super) fn look_for_studies_of_disc(&mut self) {
        let Some(disc) = &self.disc else { return };
        let folder = disc.folder().to_owned();
        self.apply_to_series(SeriesCommand::Open(folder));
    }
}

impl Listing {
    /// Notes how far the listing is; breaks where it is to stop.
    fn goes_on(&self, now: DiscProgress) -> ControlFlow<()> {
        self.files.store(now.files, Ordering::Relaxed);
        self.films.store(now.films, Ordering::Relaxed);
        if self.stop.load(Ordering::Relaxed) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

fn in_words(problem: &DiscError) -> String {
    match problem {
        DiscError::Stopped => "The listing was stopped. List again to see the films.".to_owned(),
        DiscError::Unreadable { .. } => {
            plumbray_anatomy::capitalised(&one_line(&problem.to_string()))
        }
    }
}
