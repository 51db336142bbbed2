//! One way to talk to an archive, whichever way the archive talks.

use std::{
    ops::ControlFlow,
    path::{Path, PathBuf},
};

use crate::{
    address::{Address, Place},
    dimse::DimseArchive,
    error::ArchiveError,
    folder::Arrived,
    found::{FoundSeries, FoundStudies},
    limits::{self, Patience},
    object::{ObjectIdentity, StoredObject},
    secret::{Secret, SecretError},
    uid::Uid,
    wanted::Wanted,
    web::WebArchive,
};

/// What a long operation has done so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Objects that have arrived.
    pub arrived: usize,
    /// Objects that are still to come, where the archive says so.
    pub remaining: Option<usize>,
}

/// Told of progress, and asked whether to go on.
pub type Watch<'a> = dyn FnMut(Progress) -> ControlFlow<()> + 'a;

/// What is fetched: a study, one of its series, or one of its films.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WantedFilms {
    /// The study.
    pub study: Uid,
    /// Only this series of it.
    pub series: Option<Uid>,
    /// Only this film of the series.
    pub film: Option<Uid>,
}

impl WantedFilms {
    /// All films of a study.
    #[must_use]
    pub const fn of_study(study: Uid) -> Self {
        Self {
            study,
            series: None,
            film: None,
        }
    }

    /// The films of one series of a study.
    #[must_use]
    pub const fn of_series(study: Uid, series: Uid) -> Self {
        Self {
            study,
            series: Some(series),
            film: None,
        }
    }
}

/// An archive that answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Echoed {
    /// What it answered, in words.
    pub answer: String,
}

/// What a fetch brought.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fetched {
    /// The files, in the order of arrival; also those that were there already.
    pub files: Vec<PathBuf>,
    /// How many of the files were there already.
    pub were_there: usize,
    /// What did not come, in words.
    pub complaints: Vec<String>,
}

impl Fetched {
    /// Counts an object that arrived.
    pub(crate) fn take(&mut self, arrived: Arrived) {
        self.were_there += usize::from(arrived.was_there);
        self.add(arrived.path);
    }

    /// Adds a file, unless it is among them: an archive may send an object twice.
    pub(crate) fn add(&mut self, file: PathBuf) {
        if !self.files.contains(&file) {
            self.files.push(file);
        }
    }

    /// Whether one more object is taken. What was refused or came again counts as well, so that no archive goes on for
    /// ever.
    ///
    /// # Errors
    /// When as many came as one fetch takes.
    pub(crate) fn check_room(&self) -> Result<(), ArchiveError> {
        let came = self.files.len().max(self.were_there) + self.complaints.len();
        if came < limits::FETCHED_OBJECTS {
            return Ok(());
        }
        Err(ArchiveError::TooLarge {
            what: "the number of films of one fetch",
            limit: limits::FETCHED_OBJECTS as u64,
        })
    }
}

/// An object that an archive has taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// What the archive remarked, in words; nothing when it took the object as it is.
    pub warning: Option<String>,
}

/// An object that an archive has not taken, or perhaps has.
#[derive(Debug, thiserror::Error)]
#[error("{error}")]
pub struct SendError {
    /// What happened.
    #[source]
    pub error: ArchiveError,
    /// Whether the archive may have the object all the same: its last byte had gone out, and no answer came.
    pub is_in_doubt: bool,
}

impl From<ArchiveError> for SendError {
    fn from(error: ArchiveError) -> Self {
        Self {
            error,
            is_in_doubt: false,
        }
    }
}

/// An archive that can be asked. Every call waits for the network: make it on a worker thread.
pub trait Archive: Send + Sync {
    /// Asks whether the archive is there.
    ///
    /// # Errors
    /// When it does not answer as an archive does.
    fn echo(&self) -> Result<Echoed, ArchiveError>;

    /// The studies that the archive has of what is wanted.
    ///
    /// # Errors
    /// When the archive does not answer, or not to this question.
    fn find_studies(&self, wanted: &Wanted) -> Result<FoundStudies, ArchiveError>;

    /// The series of a study, with their films.
    ///
    /// # Errors
    /// As [`Self::find_studies`].
    fn find_films(&self, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError>;

    /// Fetches films into a folder, each a file named by its SOP Instance UID. A file is there as a whole or
    /// not at all; one that is there already stays.
    ///
    /// # Errors
    /// When the archive does not give them, or they cannot be written. What arrived before stays.
    fn fetch(
        &self,
        wanted: &WantedFilms,
        into: &Path,
        watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError>;

    /// Sends one object, written as it is stored.
    ///
    /// # Errors
    /// When the archive did not say that it took the object.
    fn send(&self, object: &StoredObject) -> Result<Accepted, SendError>;

    /// Whether the archive has an object; nothing when it cannot be asked for one.
    ///
    /// # Errors
    /// When the archive does not answer.
    fn holds(&self, object: &ObjectIdentity) -> Result<Option<bool>, ArchiveError>;
}

/// An archive at an address, waited for as long as is usual.
///
/// # Errors
/// When the address cannot be used, or the secret that it needs is not given.
pub fn open(address: &Address, secret: Option<&Secret>) -> Result<Box<dyn Archive>, ArchiveError> {
    open_with(address, secret, Patience::default())
}

/// An archive at an address.
///
/// # Errors
/// As [`open`].
pub fn open_with(
    address: &Address,
    secret: Option<&Secret>,
    patience: Patience,
) -> Result<Box<dyn Archive>, ArchiveError> {
    address.check()?;
    if address.needs_secret() && secret.is_none() {
        return Err(SecretError::Missing {
            archive: address.name.clone(),
        }
        .into());
    }
    Ok(match &address.place {
        Place::Dimse(dimse) => Box::new(DimseArchive::new(dimse.clone(), patience)),
        Place::Web(web) => Box::new(WebArchive::new(web, secret, patience)?),
    })
}

/// Whether an object that came is one that was wanted.
pub(crate) fn is_wanted(wanted: &WantedFilms, came: &ObjectIdentity) -> bool {
    came.study == wanted.study
        && wanted.series.as_ref().is_none_or(|one| *one == came.series)
        && wanted.film.as_ref().is_none_or(|one| *one == came.instance)
}

/// Tells of progress; an error when the person wants no more.
pub(crate) fn tell(watch: &mut Watch<'_>, progress: Progress) -> Result<(), ArchiveError> {
    match watch(progress) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(ArchiveError::Stopped),
    }
}
