//! Why an archive could not do what was asked.

use std::{
    io,
    path::{Path, PathBuf},
};

use crate::{address::AddressError, address_book::AddressBookError, secret::SecretError};

/// Why an archive could not do what was asked: what happened, and what to do. Never holds a secret.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ArchiveError {
    /// The address cannot be used as it stands.
    #[error(transparent)]
    Address(#[from] AddressError),
    /// The archive is not known, or the list of archives cannot be read.
    #[error(transparent)]
    Unknown(#[from] AddressBookError),
    /// The secret that the address needs is not at hand.
    #[error(transparent)]
    Secret(#[from] SecretError),
    /// Nobody takes up the connection.
    #[error(
        "the archive at {place} cannot be reached ({reason}); check its address and that it runs"
    )]
    Unreachable {
        /// Host and port.
        place: String,
        /// What the operating system says.
        reason: String,
    },
    /// Nothing comes on an open connection.
    #[error("the archive did not answer within {seconds} seconds; try again later")]
    Silent {
        /// How long it was waited for.
        seconds: u64,
    },
    /// The operation did not end.
    #[error(
        "the archive took longer than {seconds} seconds, so this was given up; try again later"
    )]
    TooSlow {
        /// How long it was waited for.
        seconds: u64,
    },
    /// The connection ended in between.
    #[error("the connection was cut while {during} ({reason}); try again")]
    Cut {
        /// What was going on.
        during: &'static str,
        /// What the operating system says.
        reason: String,
    },
    /// The archive does not want to talk to us.
    #[error("the archive refused the association: {reason}")]
    Rejected {
        /// Why, and what to do.
        reason: String,
        /// Whether the archive says that this may pass.
        is_transient: bool,
    },
    /// The archive ended the association.
    #[error("the archive broke off the association ({reason}); its own log says why")]
    Aborted {
        /// Who did so, and why.
        reason: String,
    },
    /// The archive does not do what is asked.
    #[error("the archive does not accept {what}; {remedy}")]
    NotAccepted {
        /// The service, kind of object or transfer syntax by its name.
        what: String,
        /// What to do.
        remedy: &'static str,
    },
    /// The archive said no.
    #[error("the archive answered: {answer}")]
    Refused {
        /// What it answered, in words.
        answer: String,
        /// Whether this may pass, as a full disk or a busy server may.
        is_transient: bool,
    },
    /// Something else than the standard asks for came.
    #[error(
        "the archive sent what the standard does not allow ({detail}); check that the address is an archive's"
    )]
    Protocol {
        /// What is wrong.
        detail: String,
    },
    /// More than is taken.
    #[error("{what} exceeds {limit}, the most that is taken")]
    TooLarge {
        /// What is too large.
        what: &'static str,
        /// The limit in bytes or in pieces.
        limit: u64,
    },
    /// Encryption could not be agreed on.
    #[error(
        "no secure connection to the archive ({reason}); if it has a certificate of the clinic's own, name the clinic's CA file in its address"
    )]
    Insecure {
        /// What is wrong.
        reason: String,
    },
    /// The secret was not accepted.
    #[error("the archive does not accept the user name or secret ({code}); give them again")]
    LoginRefused {
        /// The status of the answer.
        code: u16,
    },
    /// A file here cannot be read or written.
    #[error("{reason}: {}", path.display())]
    File {
        /// What is wrong.
        reason: String,
        /// Which file or folder.
        path: PathBuf,
    },
    /// The person stopped it.
    #[error("stopped")]
    Stopped,
}

impl ArchiveError {
    pub(crate) fn protocol(detail: impl std::fmt::Display) -> Self {
        Self::Protocol {
            detail: detail.to_string(),
        }
    }

    pub(crate) fn file(path: &Path, reason: impl std::fmt::Display) -> Self {
        Self::File {
            reason: reason.to_string(),
            path: path.to_owned(),
        }
    }

    pub(crate) fn cut(during: &'static str, error: &io::Error) -> Self {
        Self::Cut {
            during,
            reason: error.to_string(),
        }
    }

    /// Whether trying the same again later can help, without anybody changing anything here.
    #[must_use]
    pub const fn may_pass(&self) -> bool {
        match self {
            Self::Unreachable { .. }
            | Self::Silent { .. }
            | Self::TooSlow { .. }
            | Self::Cut { .. }
            | Self::Aborted { .. }
            | Self::Protocol { .. }
            | Self::Stopped => true,
            Self::Rejected { is_transient, .. } | Self::Refused { is_transient, .. } => {
                *is_transient
            }
            Self::Address(_)
            | Self::Unknown(_)
            | Self::Secret(_)
            | Self::NotAccepted { .. }
            | Self::TooLarge { .. }
            | Self::Insecure { .. }
            | Self::LoginRefused { .. }
            | Self::File { .. } => false,
        }
    }
}
