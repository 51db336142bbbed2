//! Proposes the tracing of a whole film, from no click at all or from a rough reader's hints.
#![deny(missing_docs)]
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "places on a picture are counted in pixels, far below 2^52 and checked where they are read"
)]

mod bones;
mod corners;
mod head_centre;
mod hints;
mod look;
mod network;
mod picture;
mod picture_map;
mod proposal;
mod sight;
mod spread;
mod whereabouts;

pub use hints::{HintError, Hints};
pub use proposal::{Doubt, Proposal, ProposalError};
pub use sight::Sight;
