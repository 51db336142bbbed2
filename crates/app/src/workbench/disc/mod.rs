//! A disc, or a folder of films with names that say nothing: its patients, studies, series and films, of which two are
//! ticked and opened. Patients are named here and nowhere else: nothing of it is kept.

mod command;
mod listing;
mod small_pictures;
mod ticks;
mod work;

use std::{
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
};

pub use command::DiscCommand;
pub use listing::{DiscListing, DiscRow};
pub(crate) use small_pictures::SmallFilm;
pub(super) use work::{CopiedFilms, DECODING, ListedDisc};

use super::{Workbench, state::Request};
use crate::words::counted;
use small_pictures::SmallFilms;

/// A disc that is looked at.
#[derive(Debug)]
pub struct OpenDisc {
    /// The folder, or the disc's directory, as it was named.
    place: PathBuf,
    folder: PathBuf,
    /// Nothing while it is being listed, or where it could not be.
    listing: Option<DiscListing>,
    /// Why it could not be listed.
    problem: Option<String>,
    work: Option<Listing>,
    filter: String,
    rows: Vec<DiscRow>,
    ticked: Vec<usize>,
    small: SmallFilms,
    /// Where copies go, as it was written.
    copies: String,
    copying: bool,
}

/// How far the listing is, and whether it is to stop.
#[derive(Clone, Debug, Default)]
struct Listing {
    files: Arc<AtomicUsize>,
    films: Arc<AtomicUsize>,
    stop: Arc<AtomicBool>,
}

impl OpenDisc {
    fn new(place: PathBuf) -> Self {
        Self {
            folder: folder_of(&place),
            place,
            listing: None,
            problem: None,
            work: None,
            filter: String::new(),
            rows: Vec::new(),
            ticked: Vec::new(),
            small: SmallFilms::default(),
            copies: String::new(),
            copying: false,
        }
    }

    /// The folder in which the films lie.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What it holds; nothing while it is being listed, or where it could not be.
    #[must_use]
    pub const fn listing(&self) -> Option<&DiscListing> {
        self.listing.as_ref()
    }

    /// Why it could not be listed.
    #[must_use]
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    /// How far the listing is, while it goes on: "Listing: 120 files, 12 films".
    #[must_use]
    pub fn work_under_way(&self) -> Option<String> {
        let work = self.work.as_ref()?;
        let files = counted(work.files.load(Ordering::Relaxed), "file", "files");
        let films = counted(work.films.load(Ordering::Relaxed), "film", "films");
        Some(format!("Listing: {files}, {films}"))
    }

    /// Whether films are being copied from it.
    #[must_use]
    pub const fn is_copying(&self) -> bool {
        self.copying
    }

    /// The words of which each has to be said of a film that is listed.
    #[must_use]
    pub fn filter(&self) -> &str {
        &self.filter
    }

    /// The rows that are listed.
    #[must_use]
    pub fn rows(&self) -> &[DiscRow] {
        &self.rows
    }

    /// The films that are ticked, in the order in which they were.
    #[must_use]
    pub fn ticked(&self) -> &[usize] {
        &self.ticked
    }

    /// Where copies go, as it was written; empty where it is asked.
    #[must_use]
    pub fn copies(&self) -> &str {
        &self.copies
    }

    /// The small picture of a film, once it was decoded.
    pub(crate) fn small(&self, film: usize) -> Option<&SmallFilm> {
        self.small.of(film)
    }

    /// The films that were last said to be on the screen.
    #[must_use]
    pub fn in_view(&self) -> &[usize] {
        self.small.in_view()
    }

    fn stop(&self) {
        if let Some(work) = &self.work {
            work.stop.store(true, Ordering::Relaxed);
        }
    }
}

/// The folder of a disc that may be named by its directory.
fn folder_of(place: &Path) -> PathBuf {
    match place.parent().filter(|_| place.is_file()) {
        Some(parent) if parent.as_os_str().is_empty() => PathBuf::from("."),
        Some(parent) => parent.to_owned(),
        None => place.to_owned(),
    }
}

impl Workbench {
    /// The disc that is looked at, if any. It is shown while no foot is open.
    #[must_use]
    pub const fn disc(&self) -> Option<&OpenDisc> {
        self.disc.as_ref()
    }

    /// Does what belongs to a disc.
    pub(super) fn apply_to_disc(&mut self, command: DiscCommand) {
        match command {
            DiscCommand::Ask => self.requests.push(Request::AskForDisc),
            DiscCommand::Open(place) => {
                self.close_foot();
                self.leave_disc();
                self.leave_archives();
                self.disc = Some(OpenDisc::new(place));
                self.list_disc();
            }
            DiscCommand::ListAgain => self.list_disc(),
            DiscCommand::LookForStudies => self.look_for_studies_of_disc(),
            DiscCommand::NoDialogs => self.warn(if self.disc.is_some() {
                "This desktop has no file dialogs. Write at the right into which folder the films are copied, then \
                 choose “Copy and open” again."
                    .to_owned()
            } else {
                "This desktop has no file dialogs. Drop the folder, or its file DICOMDIR, on the window, or start \
                 the program with its name: plumbray FOLDER."
                    .to_owned()
            }),
            DiscCommand::Leave => {
                self.leave_disc();
                self.notices.clear();
            }
            DiscCommand::Tick(film, ticked) => self.tick(film, ticked),
            DiscCommand::OpenTicked => self.open_ticked(),
            DiscCommand::CopyAndOpen => self.copy_and_open(),
            DiscCommand::CopyInto(folder) => self.copy_ticked(folder),
            other => self.apply_to_list_of_disc(other),
        }
    }

    /// What changes nothing but the list.
    fn apply_to_list_of_disc(&mut self, command: DiscCommand) {
        let Some(disc) = &mut self.disc else { return };
        match command {
            DiscCommand::Stop => disc.stop(),
            DiscCommand::Filter(filter) => {
                disc.filter = filter;
                disc.sift();
            }
            DiscCommand::UntickAll => {
                disc.ticked.clear();
                self.notices.clear();
            }
            DiscCommand::WhereToCopy(folder) => disc.copies = folder,
            DiscCommand::InView(films) => {
                disc.small.look_at(films);
                self.decode_next();
            }
            _ => {}
        }
    }

    /// Lets the disc go; what is still read of it comes to nothing.
    pub(super) fn leave_disc(&mut self) {
        if let Some(disc) = self.disc.take() {
            disc.stop();
        }
        self.disc_number += 1;
    }

    /// Whether what a command does can be done now.
    pub(super) fn can_use_disc(&self, command: &DiscCommand) -> bool {
        let Some(disc) = &self.disc else {
            return matches!(
                command,
                DiscCommand::Ask | DiscCommand::Open(_) | DiscCommand::NoDialogs
            );
        };
        let is_listed = disc.listing.is_some();
        let is_shown = !self.has_foot();
        match command {
            DiscCommand::Ask | DiscCommand::Open(_) | DiscCommand::NoDialogs => true,
            DiscCommand::Leave | DiscCommand::WhereToCopy(_) => is_shown,
            DiscCommand::LookForStudies => is_shown && disc.work.is_none(),
            DiscCommand::ListAgain => is_shown && disc.work.is_none() && !disc.copying,
            DiscCommand::Stop => disc.work.is_some(),
            DiscCommand::Filter(_) | DiscCommand::InView(_) | DiscCommand::Tick(..) => {
                is_shown && is_listed
            }
            DiscCommand::UntickAll
            | DiscCommand::OpenTicked
            | DiscCommand::CopyAndOpen
            | DiscCommand::CopyInto(_) => is_shown && !disc.ticked.is_empty() && !disc.copying,
        }
    }
}
