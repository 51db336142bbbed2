//! Talks to a clinic's image archive: finds, fetches and sends films over DICOM associations and DICOMweb.
//!
//! An [`Address`] says where an archive is and how it is spoken to; [`open`] makes an [`Archive`] of it, the
//! same for both ways of speaking. A [`Queue`] on disk sends what must arrive, also when the program is
//! killed meanwhile. `docs/archive.md` says what is spoken, what is kept where, and what is not done.
//!
//! Whatever comes from the network is hostile until proven otherwise: every length is checked against a limit
//! before anything is allocated, every wait has an end, and parsers of others run behind a fence.
#![deny(missing_docs)]

mod address;
mod address_book;
mod archive;
mod attributes;
mod certificates;
mod dimse;
mod error;
mod folder;
mod found;
mod limits;
mod object;
mod origins;
mod queue;
mod secret;
mod sop_class;
mod uid;
mod wanted;
mod web;

pub use address::{
    Address, AddressError, AeTitle, DimseAddress, Encryption, Login, OwnCertificate, Place,
    SecretPlace, WebAddress,
};
pub use address_book::{AddressBook, AddressBookError};
pub use archive::{
    Accepted, Archive, Echoed, Fetched, Progress, SendError, WantedFilms, Watch, open, open_with,
};
pub use dimse::DimseArchive;
pub use error::ArchiveError;
pub use found::{FoundFilm, FoundSeries, FoundStudies, FoundStudy};
pub use limits::Patience;
pub use object::{ObjectIdentity, StoredObject};
pub use origins::Origins;
pub use queue::{
    Action, Damage, Delays, Job, JobId, JobState, Listing, OpenArchive, Queue, QueueError, Receipt,
    Request, Settled, Until, Worked, next_action,
};
pub use secret::{Secret, SecretError, forget_secret, keep_secret, kept_secret};
pub use sop_class::class_name;
pub use uid::Uid;
pub use wanted::{DateRange, Wanted, WantedError};
pub use web::WebArchive;
