//! What the program sees on a film before anybody points at it.

use plumbray_anatomy::View;
use plumbray_film::GreyView;

use crate::{
    hints::Hints,
    proposal::{Proposal, ProposalError},
};

/// What was seen on one film: made once per film, then asked as often as is needed.
#[derive(Debug)]
pub struct Sight {}

impl Sight {
    /// Looks at a film. Takes up to two seconds; belongs on a worker's thread.
    ///
    /// # Errors
    /// When no foot is recognised, or the film cannot be looked at; the message says what to do.
    pub fn of(_film: &GreyView<'_>) -> Result<Self, ProposalError> {
        Err(ProposalError::NoFoot)
    }

    /// What is proposed without any click: one for each foot, from left to right on the film.
    #[must_use]
    pub fn proposals(&self, _film: &GreyView<'_>) -> Vec<Proposal> {
        Vec::new()
    }

    /// Traces what the hints point at, and nothing else. Takes milliseconds.
    #[must_use]
    pub fn traced(&self, _film: &GreyView<'_>, view: View, _hints: &Hints) -> Proposal {
        Proposal {
            view,
            side: None,
            tracing: plumbray_anatomy::FilmTracing::default(),
            doubts: std::collections::BTreeMap::new(),
            left_to_reader: std::collections::BTreeMap::new(),
        }
    }
}
