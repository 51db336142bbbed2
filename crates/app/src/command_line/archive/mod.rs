//! The clinic's archive: `plumbray archives`, `plumbray find`, `plumbray fetch`, `plumbray send`.

mod addresses;
mod fetch;
mod find;
mod secret;
mod send;

use std::path::PathBuf;

use anyhow::Context as _;
use directories::ProjectDirs;
use plumbray_archive::{Address, AddressBook, Archive, Uid, open};

pub(super) use self::{
    addresses::{ArchivesArguments, archives},
    fetch::{FetchArguments, fetch},
    find::{FindArguments, find},
    send::{SendArguments, send},
};

fn folders() -> anyhow::Result<ProjectDirs> {
    ProjectDirs::from("", "", "plumbray").context("this user has no folder for settings")
}

/// The file in which the archives are kept.
fn book_path() -> anyhow::Result<PathBuf> {
    Ok(folders()?.config_dir().join("archives.ron"))
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
