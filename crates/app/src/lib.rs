//! Plumbray: a workstation that measures standing radiographs of the foot.
//!
//! The program is a library so that every action can be driven and tested without a window.
#![deny(missing_docs)]

mod agreeing;
mod archive_files;
pub mod canvas;
pub mod command_line;
pub mod comparing;
mod disc;
mod exporting;
mod files;
pub mod own_spread;
mod planning;
pub mod printing;
mod series;
mod user_folders;
pub mod window;
mod words;
pub mod workbench;
