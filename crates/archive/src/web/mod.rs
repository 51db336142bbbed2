//! Archives that speak `DICOMweb` (PS3.18): QIDO-RS, WADO-RS and STOW-RS.

mod client;
mod failure;
#[cfg(test)]
mod hostile;
mod json;
mod multipart;
mod query;
mod retrieve;
mod store;

use std::path::Path;

use self::client::Client;
use crate::{
    address::WebAddress,
    archive::{Accepted, Archive, Echoed, Fetched, SendError, WantedFilms, Watch},
    error::ArchiveError,
    found::{FoundSeries, FoundStudies},
    limits::Patience,
    object::{ObjectIdentity, StoredObject},
    secret::Secret,
    uid::Uid,
    wanted::Wanted,
};

/// An archive that speaks `DICOMweb`.
#[derive(Debug)]
pub struct WebArchive {
    client: Client,
}

impl WebArchive {
    /// An archive at an address that was checked, with the secret that its login needs.
    ///
    /// # Errors
    /// When the certificates of the address cannot be read.
    pub fn new(
        address: &WebAddress,
        secret: Option<&Secret>,
        patience: Patience,
    ) -> Result<Self, ArchiveError> {
        Ok(Self {
            client: Client::new(address, secret, patience)?,
        })
    }
}

impl Archive for WebArchive {
    fn echo(&self) -> Result<Echoed, ArchiveError> {
        query::echo(&self.client)
    }

    fn find_studies(&self, wanted: &Wanted) -> Result<FoundStudies, ArchiveError> {
        query::find_studies(&self.client, wanted)
    }

    fn find_films(&self, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
        query::find_films(&self.client, study)
    }

    fn fetch(
        &self,
        wanted: &WantedFilms,
        into: &Path,
        watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError> {
        retrieve::fetch(&self.client, wanted, into, watch)
    }

    fn send(&self, object: &StoredObject) -> Result<Accepted, SendError> {
        store::send(&self.client, object)
    }

    fn holds(&self, object: &ObjectIdentity) -> Result<Option<bool>, ArchiveError> {
        query::holds(&self.client, object)
    }
}
