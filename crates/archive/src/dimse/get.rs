//! Fetching over the same association (C-GET, PS3.4 C.4.3).

use std::path::Path;

use dicom_dictionary_std::uids;

use super::{
    association::{Association, other_message},
    command,
    incoming::Reception,
    negotiation::Proposal,
    retrieval::{self, Remaining},
};
use crate::{
    address::DimseAddress,
    archive::{Fetched, Progress, WantedFilms, Watch, tell},
    error::ArchiveError,
    limits::Patience,
    sop_class::{COMPRESSED, STORAGE_CLASSES, UNCOMPRESSED},
};

const CLASS: &str = uids::STUDY_ROOT_QUERY_RETRIEVE_INFORMATION_MODEL_GET;

/// In which syntaxes films are offered to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Offer {
    /// Uncompressed in one context, and each compression in a context of its own, so that the archive can
    /// send a film as it is stored.
    AsStored,
    /// Compressed alone. Some archives take the first context of a class that they find, and cannot send a
    /// compressed film in it when that is an uncompressed one.
    Compressed,
}

/// The service itself, and each kind of object.
fn proposals(offer: Offer) -> Vec<Proposal> {
    let uncompressed = UNCOMPRESSED.map(|syntax| syntax.uid.to_owned());
    let mut proposals = vec![Proposal::service(CLASS)];
    for class in &STORAGE_CLASSES {
        if offer == Offer::AsStored || !class.has_pixels {
            proposals.push(Proposal {
                class: class.uid,
                transfer_syntaxes: uncompressed.to_vec(),
                is_received: true,
            });
        }
        for syntax in COMPRESSED.iter().filter(|_| class.has_pixels) {
            proposals.push(Proposal {
                class: class.uid,
                transfer_syntaxes: vec![syntax.uid.to_owned()],
                is_received: true,
            });
        }
    }
    proposals
}

/// What one try brought.
struct Attempt {
    fetched: Fetched,
    /// How many objects the archive could not send.
    failed: usize,
}

/// Fetches films into a folder. What the archive cannot send at first is asked for once more, compressed.
pub(crate) fn fetch(
    address: &DimseAddress,
    wanted: &WantedFilms,
    into: &Path,
    patience: Patience,
    watch: &mut Watch<'_>,
) -> Result<Fetched, ArchiveError> {
    let mut attempt = |offer| attempt(address, wanted, into, patience, offer, watch);
    let first = match attempt(Offer::AsStored) {
        Ok(first) if first.failed == 0 => return Ok(first.fetched),
        Ok(first) => first,
        Err(refused @ ArchiveError::Refused { .. }) => {
            return match attempt(Offer::Compressed) {
                Ok(second) if !second.fetched.files.is_empty() => Ok(told(second)),
                Err(ArchiveError::Stopped) => Err(ArchiveError::Stopped),
                _ => Err(refused),
            };
        }
        Err(problem) => return Err(problem),
    };
    match attempt(Offer::Compressed) {
        Ok(second) => Ok(told(joined(first, second))),
        Err(ArchiveError::Stopped) => Err(ArchiveError::Stopped),
        Err(_as_before) => Ok(told(first)),
    }
}

/// What two tries brought together: the second came upon what the first had brought.
fn joined(first: Attempt, second: Attempt) -> Attempt {
    let Attempt {
        mut fetched,
        failed,
    } = first;
    let expected = fetched.files.len() + failed;
    second
        .fetched
        .files
        .into_iter()
        .for_each(|file| fetched.add(file));
    let failed = expected.saturating_sub(fetched.files.len());
    Attempt { fetched, failed }
}

fn told(attempt: Attempt) -> Fetched {
    let mut fetched = attempt.fetched;
    retrieval::complain(&mut fetched, attempt.failed);
    fetched
}

fn attempt(
    address: &DimseAddress,
    wanted: &WantedFilms,
    into: &Path,
    patience: Patience,
    offer: Offer,
    watch: &mut Watch<'_>,
) -> Result<Attempt, ArchiveError> {
    let mut association = Association::request(address, &proposals(offer), patience)?;
    let context = association.required(
        CLASS,
        "fetching over the same association (C-GET, Study Root)",
        "give this workstation a port to receive on, so that it can be asked to move films",
    )?;
    let identifier = retrieval::identifier(wanted).written();
    let request = (command::GET_REQUEST, CLASS);
    let message = association.ask(context, request, &identifier, None)?;
    let reception = Reception {
        wanted,
        folder: into,
        source: address.called.as_str(),
    };
    let mut fetched = Fetched::default();
    let mut remaining = None;
    loop {
        tell(
            watch,
            Progress {
                arrived: fetched.files.len(),
                remaining,
            },
        )?;
        let (came_in, command) = association.receive_command()?;
        if command.field() == command::STORE_REQUEST {
            fetched.check_room()?;
            let storage = association.context_by_id(came_in)?;
            reception.receive(&mut association, &storage, &command, &mut fetched)?;
            continue;
        }
        if !command.answers(command::GET_REQUEST, message) {
            return Err(other_message());
        }
        if command.has_data_set() {
            // The identifiers of what failed; the counts say as much.
            association.receive_answer(came_in)?;
        }
        match retrieval::judge(&command, &mut fetched)? {
            Remaining::Films(count) => remaining = count,
            Remaining::Nothing { failed } => {
                association.release();
                return Ok(Attempt { fetched, failed });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_is_proposed_fits_into_one_association() {
        // Identifiers of contexts are odd numbers up to 255 (PS3.8 9.3.2.2).
        for offer in [Offer::AsStored, Offer::Compressed] {
            let count = proposals(offer).len();
            assert!(count <= 128, "{count}");
        }
    }
}
