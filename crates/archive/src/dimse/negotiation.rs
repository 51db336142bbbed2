//! What two ends of an association agree on before anything else (PS3.8 9.3): kinds of objects and services, how they are
//! written, how long messages may be, and how it is broken off.

use dicom_dictionary_std::uids;
use dicom_ul::pdu::{
    AbortRQServiceProviderReason, AbortRQSource, AssociationAC, AssociationRQ, Pdu,
    PresentationContextProposed, PresentationContextResult, RequestorRoles, UserVariableItem,
};
use plumbray_film::{PROGRAM_NAME, PROGRAM_UID};

use crate::{address::DimseAddress, error::ArchiveError, limits};

/// The one application context (PS3.7 A.2.1).
pub(crate) const APPLICATION_CONTEXT: &str = "1.2.840.10008.3.1.1.1";

/// What a peer may send in one protocol data unit when it names no limit.
const UNLIMITED: usize = limits::SENT_PDU as usize;

/// The smallest limit that is respected; a peer that names less is sent this much.
const SMALLEST_PDU: usize = 1024;

/// One kind of object or service, and the ways of writing it, that an association is asked for.
#[derive(Clone, Debug)]
pub(crate) struct Proposal {
    pub(crate) class: &'static str,
    pub(crate) transfer_syntaxes: Vec<String>,
    /// Whether the peer shall send objects of this class, as a fetch wants it (PS3.7 D.3.3.4).
    pub(crate) is_received: bool,
}

impl Proposal {
    /// A service: questions, retrievals, whether somebody is there. Implicit little endian, which every peer takes
    /// (PS3.5 10.1).
    pub(crate) fn service(class: &'static str) -> Self {
        Self {
            class,
            transfer_syntaxes: vec![uids::IMPLICIT_VR_LITTLE_ENDIAN.to_owned()],
            is_received: false,
        }
    }
}

/// A presentation context that the peer accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Context {
    pub(crate) id: u8,
    pub(crate) class: String,
    pub(crate) transfer_syntax: String,
}

/// The message that breaks an association off.
pub(crate) const fn abort() -> Pdu {
    Pdu::AbortRQ {
        source: AbortRQSource::ServiceUser,
    }
}

/// The message that breaks an association off because of what the peer sent.
pub(crate) const fn abort_unexpected() -> Pdu {
    Pdu::AbortRQ {
        source: AbortRQSource::ServiceProvider(AbortRQServiceProviderReason::UnexpectedPdu),
    }
}

/// The request for an association with these proposals.
pub(super) fn request(address: &DimseAddress, proposals: &[Proposal]) -> AssociationRQ {
    let mut user_variables = own_variables();
    let mut received: Vec<&str> = Vec::new();
    for proposal in proposals.iter().filter(|proposal| proposal.is_received) {
        if received.contains(&proposal.class) {
            continue;
        }
        received.push(proposal.class);
        user_variables.push(UserVariableItem::ScuScpRoleSelectionSubItem(
            proposal.class.to_owned(),
            RequestorRoles {
                scu: false,
                scp: true,
            },
        ));
    }
    let contexts = proposals.iter().zip((1..=u8::MAX).step_by(2));
    AssociationRQ {
        protocol_version: 1,
        calling_ae_title: address.calling.as_str().to_owned(),
        called_ae_title: address.called.as_str().to_owned(),
        application_context_name: APPLICATION_CONTEXT.to_owned(),
        presentation_contexts: contexts
            .map(|(proposal, id)| PresentationContextProposed {
                id,
                abstract_syntax: proposal.class.to_owned(),
                transfer_syntaxes: proposal.transfer_syntaxes.clone(),
            })
            .collect(),
        user_variables,
    }
}

/// The answer that accepts some of what a peer proposed.
pub(crate) fn acceptance(
    request: &AssociationRQ,
    results: Vec<PresentationContextResult>,
) -> AssociationAC {
    AssociationAC {
        protocol_version: 1,
        calling_ae_title: request.calling_ae_title.clone(),
        called_ae_title: request.called_ae_title.clone(),
        application_context_name: APPLICATION_CONTEXT.to_owned(),
        presentation_contexts: results,
        user_variables: own_variables(),
    }
}

fn own_variables() -> Vec<UserVariableItem> {
    vec![
        UserVariableItem::MaxLength(limits::RECEIVED_PDU),
        UserVariableItem::ImplementationClassUID(PROGRAM_UID.to_owned()),
        UserVariableItem::ImplementationVersionName(PROGRAM_NAME.to_owned()),
    ]
}

/// How much the peer takes in one protocol data unit; 0 stands for any amount (PS3.8 D.1).
pub(super) fn largest_sent(variables: &[UserVariableItem]) -> usize {
    let named = variables.iter().find_map(|variable| match variable {
        UserVariableItem::MaxLength(length) if *length > 0 => usize::try_from(*length).ok(),
        _ => None,
    });
    named.unwrap_or(UNLIMITED).clamp(SMALLEST_PDU, UNLIMITED)
}

/// What is wrong with a message that does not belong there.
pub(super) fn unexpected(unit: &Pdu) -> ArchiveError {
    let name = match unit {
        Pdu::Unknown { .. } => "an unknown message",
        Pdu::AssociationRQ(_) | Pdu::AssociationAC(_) | Pdu::AssociationRJ(_) => {
            "a message about associations in the wrong place"
        }
        Pdu::PData { .. } => "data in the wrong place",
        _ => "a message in the wrong place",
    };
    ArchiveError::protocol(name)
}
