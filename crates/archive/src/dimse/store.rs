//! Sending one object (C-STORE, PS3.4 annex B), written as it is stored.

use dicom_dictionary_std::{tags, uids};

use super::{
    association::Association,
    command::{self, Command},
    negotiation::Proposal,
    status::{DUPLICATE, StatusKind},
};
use crate::{
    address::DimseAddress,
    archive::{Accepted, SendError},
    error::ArchiveError,
    limits::Patience,
    object::StoredObject,
    sop_class::{self, STORAGE_CLASSES},
};

/// Sends an object over an association of its own.
pub(crate) fn send(
    address: &DimseAddress,
    object: &StoredObject,
    patience: Patience,
) -> Result<Accepted, SendError> {
    let proposals = proposals(object)?;
    let mut association = Association::request(address, &proposals, patience)?;
    let accepted = store(&mut association, object)?;
    association.release();
    Ok(accepted)
}

/// The syntax in which the object is stored, and beside an explicit one the implicit one, each in a context
/// of its own, so that the peer can accept both.
fn proposals(object: &StoredObject) -> Result<Vec<Proposal>, ArchiveError> {
    let class = object.identity().class.as_str();
    let class = STORAGE_CLASSES
        .iter()
        .find(|known| known.uid == class)
        .ok_or_else(|| ArchiveError::NotAccepted {
            what: format!("objects of the class {class} from this program"),
            remedy: "send films, reports, presentation states and PDF documents only",
        })?
        .uid;
    let stored = object.transfer_syntax();
    let mut syntaxes = vec![stored];
    if stored == uids::EXPLICIT_VR_LITTLE_ENDIAN {
        syntaxes.push(uids::IMPLICIT_VR_LITTLE_ENDIAN);
    }
    Ok(syntaxes
        .into_iter()
        .map(|syntax| Proposal {
            class,
            transfer_syntaxes: vec![syntax.to_owned()],
            is_received: false,
        })
        .collect())
}

fn store(association: &mut Association, object: &StoredObject) -> Result<Accepted, SendError> {
    let identity = object.identity();
    let class = identity.class.as_str();
    let stored = object.transfer_syntax();
    let rewritten;
    let (context, data_set) = if let Some(context) = association.context(class, Some(stored)) {
        (context.id, object.data_set())
    } else if let Some(context) = association.context(class, None) {
        // Only the implicit syntax can be it.
        let id = context.id;
        rewritten = object.implicit().ok_or_else(|| not_accepted(object))??;
        (id, rewritten.as_slice())
    } else {
        return Err(not_accepted(object).into());
    };
    let message = association.next_message();
    let mut request = Command::request(command::STORE_REQUEST, class, message, true);
    request.set_word(tags::PRIORITY, 0);
    request.set_uid(tags::AFFECTED_SOP_INSTANCE_UID, identity.instance.as_str());
    association.send_command(context, &request)?;
    // When this fails the archive lacks at least the last byte, unless encryption kept an error for later.
    let sent = association.send_data(context, data_set);
    sent.map_err(|error| SendError {
        is_in_doubt: association.connection().is_encrypted(),
        error,
    })?;
    let in_doubt = |error| SendError {
        error,
        is_in_doubt: true,
    };
    let response = association.receive_response(command::STORE_REQUEST, message);
    let response = response.map_err(in_doubt)?;
    let status = response.status().map_err(in_doubt)?;
    match status.kind() {
        StatusKind::Success => Ok(Accepted { warning: None }),
        StatusKind::Warning => Ok(Accepted {
            warning: Some(status.in_words()),
        }),
        StatusKind::Failure if status.code() == DUPLICATE => Ok(Accepted {
            warning: Some(status.in_words()),
        }),
        _ => Err(status.refused().into()),
    }
}

fn not_accepted(object: &StoredObject) -> ArchiveError {
    ArchiveError::NotAccepted {
        what: format!(
            "“{}” written as {}",
            sop_class::class_name(object.identity().class.as_str()),
            sop_class::transfer_syntax_name(object.transfer_syntax())
        ),
        remedy: "have it allowed there, or export the film uncompressed and send that",
    }
}
