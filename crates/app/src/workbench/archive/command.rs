//! What a person can do with archives, as data.

use std::{fmt, path::PathBuf, sync::Arc};

use plumbray_archive::{JobId, Request as QueueRequest, Secret, Uid, WantedFilms};

use super::{AddressForm, Question};

/// What a person can do with archives.
#[derive(Clone, Debug, PartialEq)]
pub enum ArchiveCommand {
    /// Show the page on which archives are asked; a foot that is open is put away.
    Show,
    /// Put the page away, with all that archives answered.
    Leave,
    /// Ask the archive of this name from now on.
    Choose(String),
    /// Write the address of an archive that is not known yet.
    AddAddress,
    /// Change the address of the chosen archive.
    ChangeAddress,
    /// Leave the addresses as they are.
    LeaveAddress,
    /// Keep this address.
    KeepAddress(Box<AddressForm>),
    /// Want to take the chosen archive out of the list, or no longer: it is asked first.
    AskToRemove(bool),
    /// Take the chosen archive out of the list, and its secret out of the keyring.
    RemoveAddress,
    /// Ask whether the archive is there.
    Echo,
    /// Ask for studies.
    Find(Box<Question>),
    /// Use this secret for the chosen archive, and do what waits for it. Ticked, it is kept in the system's keyring.
    GiveSecret(GivenSecret, bool),
    /// List the series of a study.
    ListSeries(Uid),
    /// List them no longer.
    HideSeries,
    /// Ask into which folder the films of a study, or of one of its series, are fetched.
    AskWhereToFetch(WantedFilms),
    /// Fetch them into a folder.
    Fetch(WantedFilms, PathBuf),
    /// Fetch them into this user's own folder, because this desktop has no dialogs.
    FetchWithoutDialog(WantedFilms),
    /// Wait no longer for what was asked.
    Stop,
    /// Tick or untick a film that was fetched, by its file.
    Tick(PathBuf, bool),
    /// Open the films that are ticked as a foot.
    OpenTicked,
    /// Want something of an object that waits to be sent.
    OfQueue(JobId, QueueRequest),
}

/// A secret on its way from its field to the archive. It has no text of its own.
#[derive(Clone)]
pub struct GivenSecret(pub(super) Arc<Secret>);

impl GivenSecret {
    /// A secret that was typed.
    #[must_use]
    pub fn new(secret: Secret) -> Self {
        Self(Arc::new(secret))
    }
}

impl PartialEq for GivenSecret {
    /// Whether both are the very same; what they hold is not looked at.
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl fmt::Debug for GivenSecret {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("GivenSecret(…)")
    }
}

impl ArchiveCommand {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Show => "Films of an archive…",
            Self::Leave => "Put the archive away",
            Self::Choose(_) => "Ask this archive",
            Self::AddAddress => "Add an archive…",
            Self::ChangeAddress => "Change the archive’s address…",
            Self::LeaveAddress => "Leave the addresses as they are",
            Self::KeepAddress(_) => "Keep this address",
            Self::AskToRemove(true) => "Take this archive out of the list…",
            Self::AskToRemove(false) => "Leave this archive in the list",
            Self::RemoveAddress => "Take this archive out of the list",
            Self::ListSeries(_) => "List the series of this study",
            Self::HideSeries => "List the series no longer",
            Self::Echo => "Ask whether the archive is there",
            Self::Find(_) => "Ask the archive for studies",
            Self::GiveSecret(..) => "Use this secret",
            Self::AskWhereToFetch(_) => "Fetch these films…",
            Self::Fetch(..) | Self::FetchWithoutDialog(_) => "Fetch these films",
            Self::Stop => "Wait no longer for the archive",
            Self::Tick(..) => "Choose a film to open",
            Self::OpenTicked => "Open the ticked films",
            Self::OfQueue(_, QueueRequest::TryNow) => "Try to send it now",
            Self::OfQueue(_, QueueRequest::Cancel) => "Do not send it",
        }
        .to_owned()
    }
}
