//! End-to-end tests of Plumbray, and checks of it against values from outside the project.
//!
//! The tests themselves are in `tests/tests`, one file a subject; the programs that compute the same
//! numbers by another way are in `tests/outside`. Here is what those tests share.
#![deny(missing_docs)]

mod ports;
#[cfg(unix)]
mod servers;
mod workspace;

pub use ports::free_port;
#[cfg(unix)]
pub use servers::{Server, dcmqrscp, files, storescp, temporary};
pub use workspace::{
    answered_outside, plumbray_program, printed_outside, read_text, repository, repository_files,
    workspace_metadata,
};
