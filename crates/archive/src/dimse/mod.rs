//! Archives that speak over DICOM associations (PS3.7, PS3.8), encrypted where their address says so.

mod association;
mod command;
mod connection;
mod find;
mod get;
#[cfg(test)]
mod hostile;
mod incoming;
mod moving;
mod negotiation;
mod receiver;
mod rejection;
mod retrieval;
mod status;
mod store;
mod stream;

use std::path::Path;

use dicom_dictionary_std::{tags, uids};

pub(crate) use self::status::DUPLICATE;
pub(crate) use self::status::{Status, StatusKind};
use self::{association::Association, command::Command, find::Identifier, negotiation::Proposal};
use crate::{
    address::DimseAddress,
    archive::{Accepted, Archive, Echoed, Fetched, SendError, WantedFilms, Watch},
    attributes::Attributes,
    error::ArchiveError,
    found::{self, FoundFilm, FoundSeries, FoundStudies},
    limits::Patience,
    object::{ObjectIdentity, StoredObject},
    uid::Uid,
    wanted::{FILM_ANSWERS, SERIES_ANSWERS, STUDY_ANSWERS, Wanted},
};

/// An archive that speaks over DICOM associations.
#[derive(Clone, Debug)]
pub struct DimseArchive {
    address: DimseAddress,
    patience: Patience,
}

impl DimseArchive {
    /// An archive at an address that was checked.
    #[must_use]
    pub const fn new(address: DimseAddress, patience: Patience) -> Self {
        Self { address, patience }
    }

    /// Fetches over the same association (C-GET), as [`Archive::fetch`] does where the archive can.
    ///
    /// # Errors
    /// As [`Archive::fetch`].
    pub fn fetch_by_get(
        &self,
        wanted: &WantedFilms,
        into: &Path,
        watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError> {
        get::fetch(&self.address, wanted, into, self.patience, watch)
    }

    /// Fetches by asking the archive to send here (C-MOVE), which needs a port to receive on, as
    /// [`Archive::fetch`] does where the archive does not do C-GET.
    ///
    /// # Errors
    /// As [`Archive::fetch`].
    pub fn fetch_by_move(
        &self,
        wanted: &WantedFilms,
        into: &Path,
        watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError> {
        let port = self
            .address
            .receive_port
            .ok_or_else(|| ArchiveError::NotAccepted {
                what: "moving films to a workstation without a port".to_owned(),
                remedy: "give this workstation a port to receive on",
            })?;
        moving::fetch(&self.address, port, wanted, into, self.patience, watch)
    }

    fn ask(&self) -> Result<Association, ArchiveError> {
        Association::request(
            &self.address,
            &[Proposal::service(find::CLASS)],
            self.patience,
        )
    }
}

fn series_of(association: &mut Association, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
    let identifier = Identifier::at("SERIES")
        .with(tags::STUDY_INSTANCE_UID, study.as_str())
        .asking(&SERIES_ANSWERS);
    let (answers, _is_complete) = find::find(association, &identifier)?;
    Ok(answers.iter().filter_map(FoundSeries::of).collect())
}

impl Archive for DimseArchive {
    fn echo(&self) -> Result<Echoed, ArchiveError> {
        let proposal = Proposal::service(uids::VERIFICATION);
        let mut association = Association::request(&self.address, &[proposal], self.patience)?;
        let context = association.required(
            uids::VERIFICATION,
            "being asked whether it is there (C-ECHO)",
            "have it allowed there for this workstation",
        )?;
        let message = association.next_message();
        let request = Command::request(command::ECHO_REQUEST, uids::VERIFICATION, message, false);
        association.send_command(context, &request)?;
        let response = association.receive_response(command::ECHO_REQUEST, message)?;
        let status = response.status()?;
        if status.kind() != StatusKind::Success {
            return Err(status.refused());
        }
        association.release();
        Ok(Echoed {
            answer: format!(
                "it answers when it is called {}, though some archives answer to any title",
                self.address.called
            ),
        })
    }

    fn find_studies(&self, wanted: &Wanted) -> Result<FoundStudies, ArchiveError> {
        let mut association = self.ask()?;
        let mut identifier = Identifier::at("STUDY").asking(&STUDY_ANSWERS);
        for (tag, value) in wanted.study_keys() {
            identifier = identifier.with(tag, value);
        }
        let (answers, is_complete) = find::find(&mut association, &identifier)?;
        let mut studies = found::studies_of(&answers, wanted, is_complete);
        if let Some(part) = wanted.wanted_body_part() {
            studies.keep_body_part(part, self.patience.whole, |study| {
                series_of(&mut association, study)
            })?;
        }
        association.release();
        Ok(studies)
    }

    fn find_films(&self, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
        let mut association = self.ask()?;
        let mut series = series_of(&mut association, study)?;
        for one in &mut series {
            let identifier = Identifier::at("IMAGE")
                .with(tags::STUDY_INSTANCE_UID, study.as_str())
                .with(tags::SERIES_INSTANCE_UID, one.series.as_str())
                .asking(&FILM_ANSWERS);
            let (answers, _is_complete) = find::find(&mut association, &identifier)?;
            one.films = answers.iter().filter_map(FoundFilm::of).collect();
        }
        association.release();
        Ok(found::series_in_order(series))
    }

    fn fetch(
        &self,
        wanted: &WantedFilms,
        into: &Path,
        watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError> {
        match self.fetch_by_get(wanted, into, watch) {
            Err(ArchiveError::NotAccepted { .. } | ArchiveError::Refused { .. })
                if self.address.receive_port.is_some() =>
            {
                self.fetch_by_move(wanted, into, watch)
            }
            outcome => outcome,
        }
    }

    fn send(&self, object: &StoredObject) -> Result<Accepted, SendError> {
        store::send(&self.address, object, self.patience)
    }

    fn holds(&self, object: &ObjectIdentity) -> Result<Option<bool>, ArchiveError> {
        let mut association = self.ask()?;
        let identifier = Identifier::at("IMAGE")
            .with(tags::STUDY_INSTANCE_UID, object.study.as_str())
            .with(tags::SERIES_INSTANCE_UID, object.series.as_str())
            .with(tags::SOP_INSTANCE_UID, object.instance.as_str());
        let answers = match find::find(&mut association, &identifier) {
            Ok((answers, _is_complete)) => answers,
            // It cannot be asked, or not for this.
            Err(
                ArchiveError::NotAccepted { .. }
                | ArchiveError::Refused {
                    is_transient: false,
                    ..
                },
            ) => {
                return Ok(None);
            }
            Err(problem) => return Err(problem),
        };
        association.release();
        let is_it = |answer: &Attributes| {
            answer.uid(tags::SOP_INSTANCE_UID).as_ref() == Some(&object.instance)
        };
        Ok(Some(answers.iter().any(is_it)))
    }
}
