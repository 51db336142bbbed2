//! What the program proposes for one foot on a film.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmTracing, Landmark, Side, View};

/// A tracing of one foot that a reader accepts, corrects or throws away.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The direction from which the film was taken, by the bones that were found.
    pub view: View,
    /// On an AP film, the side that the order of the bones shows, if the film is not mirrored; nothing on
    /// a lateral film, where it cannot be told.
    pub side: Option<Side>,
    /// What was found. Every point and shaft carries its spread.
    pub tracing: FilmTracing,
    /// Landmarks of the tracing that the reader should look at again, and why.
    pub doubts: BTreeMap<Landmark, Doubt>,
    /// Landmarks that were not found well enough and are left for the reader, and why.
    pub left_to_reader: BTreeMap<Landmark, Doubt>,
}

/// Why a landmark needs the reader's eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doubt {
    /// It is hidden behind other bones, or the film is too faint there.
    Faint,
    /// Two ways of looking at the film disagree about its place.
    Ambiguous,
    /// It lies at the edge of the film or of the exposed field.
    AtTheEdge,
    /// The bones around it are not where they are in a foot.
    Implausible,
    /// Metal lies on the bone: its outline is less sure, and its shaft may have been cut.
    Metal,
    /// It does not lie where the reader pointed.
    FarFromHint,
}

impl Doubt {
    /// The reason as the reader reads it, without a full stop.
    #[must_use]
    pub const fn reason(self) -> &'static str {
        match self {
            Self::Faint => "hidden behind other bones, or too faint",
            Self::Ambiguous => "two places are about as likely",
            Self::AtTheEdge => "at the edge of the film",
            Self::Implausible => "not where the other bones lead one to expect it",
            Self::Metal => "metal lies on it; if it was operated on, say so in the visit",
            Self::FarFromHint => "found far from where you pointed",
        }
    }
}

/// Why no tracing can be proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProposalError {
    /// Nothing on the film looks like a foot from above or from the side.
    #[error("no foot is recognised on this film; sweep along the bones yourself")]
    NoFoot,
    /// The film's samples and size do not fit together, or it is too small to show a foot.
    #[error("the film is too small to look for a foot; open the original film")]
    FilmTooSmall,
    /// The program was built with weights that do not fit it.
    #[error("the weights that came with the program cannot be used; install the program again")]
    BadWeights,
}
