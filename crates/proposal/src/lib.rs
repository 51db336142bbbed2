//! Proposes the tracing of a whole film, from no click at all or from a rough reader's hints.
#![deny(missing_docs)]

mod hints;
mod proposal;
mod sight;

pub use hints::{HintError, Hints};
pub use proposal::{Doubt, Proposal, ProposalError};
pub use sight::Sight;
