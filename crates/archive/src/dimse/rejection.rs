//! Why a peer refuses or breaks off an association, in words (PS3.8 9.3.4 and 9.3.8).

use dicom_ul::pdu::{
    AbortRQSource, AssociationRJ, AssociationRJResult, AssociationRJServiceProviderASCEReason,
    AssociationRJServiceProviderPresentationReason, AssociationRJServiceUserReason,
    AssociationRJSource,
};

use crate::{address::DimseAddress, error::ArchiveError};

/// What a refused association means.
pub(crate) fn rejected(answer: &AssociationRJ, address: &DimseAddress) -> ArchiveError {
    use AssociationRJServiceProviderASCEReason as Provider;
    use AssociationRJServiceProviderPresentationReason as Presentation;
    use AssociationRJServiceUserReason as User;
    let reason = match &answer.source {
        AssociationRJSource::ServiceUser(User::CalledAETitleNotRecognized) => format!(
            "it is not called {}; correct the archive's AE title",
            address.called
        ),
        AssociationRJSource::ServiceUser(User::CallingAETitleNotRecognized) => format!(
            "it does not know this workstation as {}; have that AE title entered there",
            address.calling
        ),
        AssociationRJSource::ServiceUser(User::ApplicationContextNameNotSupported) => {
            "it does not know the application context of DICOM".to_owned()
        }
        AssociationRJSource::ServiceProviderASCE(Provider::ProtocolVersionNotSupported) => {
            "it speaks another version of the protocol".to_owned()
        }
        AssociationRJSource::ServiceProviderPresentation(Presentation::TemporaryCongestion) => {
            "it is too busy just now; try again later".to_owned()
        }
        AssociationRJSource::ServiceProviderPresentation(Presentation::LocalLimitExceeded) => {
            "it has as many associations as it takes; try again later".to_owned()
        }
        AssociationRJSource::ServiceUser(User::NoReasonGiven | User::Reserved(_))
        | AssociationRJSource::ServiceProviderASCE(Provider::NoReasonGiven)
        | AssociationRJSource::ServiceProviderPresentation(Presentation::Reserved(_)) => {
            "it gives no reason; its own log says why".to_owned()
        }
    };
    let is_busy = matches!(
        answer.source,
        AssociationRJSource::ServiceProviderPresentation(_)
    );
    ArchiveError::Rejected {
        reason,
        is_transient: answer.result == AssociationRJResult::Transient || is_busy,
    }
}

/// What a broken-off association means.
pub(crate) fn aborted(source: &AbortRQSource) -> ArchiveError {
    let reason = match source {
        AbortRQSource::ServiceUser => "its application did".to_owned(),
        AbortRQSource::ServiceProvider(reason) => format!("its network layer did: {reason}"),
        AbortRQSource::Reserved => "it gives no reason".to_owned(),
    };
    ArchiveError::Aborted { reason }
}
