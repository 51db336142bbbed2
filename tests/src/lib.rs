//! End-to-end tests of Plumbray, and checks of it against values from outside the project.
//!
//! The tests themselves are in `tests/tests`, one file a subject; the programs that compute the same
//! numbers by another way are in `tests/outside`. Here is what those tests share.
#![deny(missing_docs)]

mod workspace;

pub use workspace::{
    answered_outside, outside_python, outside_script, plumbray_program, read_text, repository,
    repository_files, workspace_metadata,
};
