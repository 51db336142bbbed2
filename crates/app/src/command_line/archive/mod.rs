//! The clinic's archive: `plumbray archives`, `plumbray find`, `plumbray fetch`, `plumbray send`.

mod addresses;
mod fetch;
mod find;
mod secret;
mod send;

use std::path::PathBuf;

use anyhow::Context as _;
use plumbray_archive::{Address, AddressBook, Archive, Uid, open};

use crate::archive_files;

pub(super) use self::{
    addresses::{ArchivesArguments, archives},
    fetch::{FetchArguments, fetch},
    find::{FindArguments, find},
    send::{SendArguments, send},
};

/// What is told where the system has no place for what is kept of archives.
const NO_FOLDER: &str = "this user has no folder for settings";

/// The file in which the archives are kept.
fn book_path() -> anyhow::Result<PathBuf> {
    archive_files::book().context(NO_FOLDER)
}

/// The folder of what waits to be sent.
fn queue_path() -> anyhow::Result<PathBuf> {
    archive_files::queue().context(NO_FOLDER)
}

fn book() -> anyhow::Result<AddressBook> {
    Ok(AddressBook::read(&book_path()?)?)
}

/// The archive of a name, with the secret that it wants.
fn archive(name: &str) -> anyhow::Result<Box<dyn Archive>> {
    let book = book()?;
    let address: &Address = book.named(name)?;
    let secret = secret::of(address)?;
    Ok(open(address, secret.as_ref())?)
}

/// A DICOM identifier on the command line.
fn uid(text: &str) -> Result<Uid, String> {
    Uid::new(text).ok_or_else(|| "it has digits and dots only, 64 at most".to_owned())
}
