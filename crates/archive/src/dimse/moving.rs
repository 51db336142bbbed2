//! Fetching by asking the archive to send to this workstation (C-MOVE, PS3.4 C.4.2). The receiver listens only
//! while something is being moved.

use std::{path::Path, sync::Arc};

use dicom_dictionary_std::uids;
use rustls::ServerConfig;

use super::{
    association::{Association, other_message},
    command,
    incoming::Reception,
    negotiation::Proposal,
    receiver::Receiver,
    retrieval::{self, Remaining},
};
use crate::{
    address::{DimseAddress, Encryption},
    archive::{Fetched, Progress, WantedFilms, Watch, tell},
    certificates,
    error::ArchiveError,
    limits::Patience,
};

const CLASS: &str = uids::STUDY_ROOT_QUERY_RETRIEVE_INFORMATION_MODEL_MOVE;

/// Fetches films into a folder.
pub(crate) fn fetch(
    address: &DimseAddress,
    port: u16,
    wanted: &WantedFilms,
    into: &Path,
    patience: Patience,
    watch: &mut Watch<'_>,
) -> Result<Fetched, ArchiveError> {
    let encryption = encryption(address)?;
    let mut association = Association::request(address, &[Proposal::service(CLASS)], patience)?;
    let context = association.required(
        CLASS,
        "moving films (C-MOVE, Study Root)",
        "have it allowed there for this workstation",
    )?;
    let own_address = association
        .connection()
        .own_address()
        .ok_or_else(|| ArchiveError::protocol("a connection without an address"))?;
    let title = address.calling.clone();
    let receiver = Receiver::listen(own_address, port, title, encryption, patience)?;
    let reception = Reception {
        wanted,
        folder: into,
        source: address.called.as_str(),
    };
    std::thread::scope(|scope| {
        let receiving = scope.spawn(|| receiver.receive(&reception));
        let moved = ask(&mut association, context, address, wanted, &receiver, watch);
        receiver.stop();
        let mut fetched = receiving
            .join()
            .map_err(|_panic| ArchiveError::protocol("an object that cannot be read"))?;
        let outcome = moved?;
        association.release();
        fetched.complaints.extend(outcome.complaints);
        Ok(fetched)
    })
}

/// By what the films that are moved here are encrypted: they never come in the clear when the questions do not go so.
fn encryption(address: &DimseAddress) -> Result<Option<Arc<ServerConfig>>, ArchiveError> {
    match &address.encryption {
        Encryption::None => Ok(None),
        Encryption::Tls { own: Some(own), .. } => certificates::server(own).map(Some),
        Encryption::Tls { own: None, .. } => Err(ArchiveError::NotAccepted {
            what: "moving films, which would come in the clear although its line is encrypted"
                .to_owned(),
            remedy: "name this workstation's own certificate and key in its address, or have fetching over the same \
                     association (C-GET) allowed there",
        }),
    }
}

/// Asks the archive to move the films here, and waits until it says that it is done.
fn ask(
    association: &mut Association,
    context: u8,
    address: &DimseAddress,
    wanted: &WantedFilms,
    receiver: &Receiver,
    watch: &mut Watch<'_>,
) -> Result<Fetched, ArchiveError> {
    let identifier = retrieval::identifier(wanted).written();
    let request = (command::MOVE_REQUEST, CLASS);
    let destination = Some(address.calling.as_str());
    let message = association.ask(context, request, &identifier, destination)?;
    let mut outcome = Fetched::default();
    let mut remaining = None;
    loop {
        tell(
            watch,
            Progress {
                arrived: receiver.arrived(),
                remaining,
            },
        )?;
        let (came_in, response) = association.receive_command()?;
        if !response.answers(command::MOVE_REQUEST, message) {
            return Err(other_message());
        }
        if response.has_data_set() {
            association.receive_answer(came_in)?;
        }
        match retrieval::judge(&response, &mut outcome)? {
            Remaining::Films(count) => remaining = count,
            Remaining::Nothing { failed } => {
                retrieval::complain(&mut outcome, failed);
                return Ok(outcome);
            }
        }
    }
}
