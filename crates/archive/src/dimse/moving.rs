//! Fetching by asking the archive to send to this workstation (C-MOVE, PS3.4 C.4.2). The receiver listens only
//! while something is being moved.

use std::path::Path;

use dicom_dictionary_std::uids;

use super::{
    association::{Association, Proposal, other_message},
    command,
    incoming::Reception,
    receiver::Receiver,
    retrieval::{self, Remaining},
};
use crate::{
    address::DimseAddress,
    archive::{Fetched, Progress, WantedFilms, Watch, tell},
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
    let receiver = Receiver::listen(own_address, port, address.calling.clone(), patience)?;
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
