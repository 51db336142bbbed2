//! `plumbray archives`: the archives that this workstation knows.

use std::{io::Write, path::PathBuf};

use anyhow::Context as _;
use clap::{ArgGroup, Args, Subcommand};
use plumbray_archive::{
    Address, AddressBook, AeTitle, DimseAddress, Encryption, Login, OwnCertificate, Place,
    SecretPlace, WebAddress, forget_secret, keep_secret,
};

use super::{archive, book, book_path, secret};

#[derive(Debug, Args)]
pub(in crate::command_line) struct ArchivesArguments {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Add an archive, or change the one of that name.
    Add(AddArguments),
    /// Take an archive out, and its secret out of the keyring.
    Remove {
        /// Its name.
        name: String,
    },
    /// Ask an archive whether it is there.
    Echo {
        /// Its name.
        name: String,
    },
    /// Keep an archive's secret in the system's keyring. It is asked for, or taken from `PLUMBRAY_ARCHIVE_SECRET`.
    KeepSecret {
        /// Its name.
        name: String,
    },
}

#[derive(Debug, Args)]
#[command(group = ArgGroup::new("place").required(true).args(["host", "url"]))]
struct AddArguments {
    /// The name by which to call it.
    name: String,
    /// Its host, for one that speaks over DICOM associations. Without --tls these are not encrypted.
    #[arg(long)]
    host: Option<String>,
    /// Its port.
    #[arg(long, default_value_t = DimseAddress::USUAL_PORT, requires = "host")]
    port: u16,
    /// Its AE title.
    #[arg(
        long,
        value_name = "TITLE",
        requires = "host",
        default_value = DimseAddress::USUAL_CALLED
    )]
    called: AeTitleArgument,
    /// This workstation's AE title.
    #[arg(
        long,
        value_name = "TITLE",
        requires = "host",
        default_value = DimseAddress::USUAL_CALLING
    )]
    calling: AeTitleArgument,
    /// The port on which this workstation receives, for archives that only move films.
    #[arg(long, value_name = "PORT", requires = "host")]
    receive_port: Option<u16>,
    /// Its address, for one that speaks `DICOMweb`: what comes before /studies.
    #[arg(long)]
    url: Option<String>,
    /// The user name, for an archive that wants a password.
    #[arg(long, requires = "url", conflicts_with = "bearer")]
    user: Option<String>,
    /// The archive wants a token.
    #[arg(long, requires = "url")]
    bearer: bool,
    /// Associations are encrypted.
    #[arg(long, requires = "host")]
    tls: bool,
    /// The certificate of the clinic's own authority, as PEM.
    #[arg(long, value_name = "FILE")]
    ca_file: Option<PathBuf>,
    /// This workstation's own certificate, as PEM: films are moved here encrypted, and an archive learns who asks.
    #[arg(long, value_name = "FILE", requires_all = ["tls", "key"])]
    certificate: Option<PathBuf>,
    /// The key that belongs to it, as PEM.
    #[arg(long, value_name = "FILE", requires = "certificate")]
    key: Option<PathBuf>,
}

/// An AE title on the command line.
#[derive(Clone, Debug)]
struct AeTitleArgument(AeTitle);

impl std::str::FromStr for AeTitleArgument {
    type Err = plumbray_archive::AddressError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        AeTitle::new(text).map(Self)
    }
}

impl AddArguments {
    fn address(&self) -> Address {
        let place = match (&self.host, &self.url) {
            (Some(host), _) => Place::Dimse(DimseAddress {
                host: host.clone(),
                port: self.port,
                called: self.called.0.clone(),
                calling: self.calling.0.clone(),
                receive_port: self.receive_port,
                encryption: if self.tls {
                    let own = self.certificate.clone().zip(self.key.clone());
                    Encryption::Tls {
                        ca_file: self.ca_file.clone(),
                        own: own.map(|(certificate, key)| OwnCertificate { certificate, key }),
                    }
                } else {
                    Encryption::None
                },
            }),
            (None, url) => Place::Web(WebAddress {
                url: url.clone().unwrap_or_default(),
                login: match &self.user {
                    Some(user) => Login::Basic { user: user.clone() },
                    None if self.bearer => Login::Bearer,
                    None => Login::None,
                },
                ca_file: self.ca_file.clone(),
            }),
        };
        Address {
            name: self.name.clone(),
            place,
        }
    }
}

pub(in crate::command_line) fn archives(
    arguments: &ArchivesArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    match &arguments.what {
        None => {
            for address in book()?.archives() {
                writeln!(output, "{}", in_words(address))?;
            }
        }
        Some(What::Add(add)) => {
            let mut book = book()?;
            let before = book.named(&add.name).ok().and_then(Address::secret_place);
            book.put(add.address())?;
            book.write(&book_path()?)?;
            forget_unused(&book, before);
        }
        Some(What::Remove { name }) => {
            let mut book = book()?;
            let place = book.named(name)?.secret_place();
            book.remove(name)?;
            book.write(&book_path()?)?;
            forget_unused(&book, place);
        }
        Some(What::Echo { name }) => {
            writeln!(output, "{name}: {}", archive(name)?.echo()?.answer)?;
        }
        Some(What::KeepSecret { name }) => {
            let place = book()?.named(name)?.secret_place();
            let place = place.with_context(|| format!("{name} wants no secret"))?;
            keep_secret(&place, &secret::new(name)?)?;
        }
    }
    Ok(())
}

/// Takes a secret out of the keyring that no archive of the list has any more. The list is changed already, so that a
/// keyring that cannot be used is told and no failure.
fn forget_unused(book: &AddressBook, place: Option<SecretPlace>) {
    let unused = place.filter(|place| !book.uses_secret_of(place));
    if let Some(Err(problem)) = unused.map(|place| forget_secret(&place)) {
        eprintln!("plumbray: a secret that was kept for it was not forgotten: {problem}");
    }
}

/// An archive in one line.
fn in_words(address: &Address) -> String {
    let name = &address.name;
    match &address.place {
        Place::Dimse(dimse) => {
            let port = dimse.receive_port;
            let receives = port.map_or_else(String::new, |port| format!(", receives on {port}"));
            let encrypted = match dimse.encryption {
                Encryption::None => "not encrypted",
                Encryption::Tls { .. } => "encrypted",
            };
            format!(
                "{name}: {} at {}:{}, called by {}{receives}; {encrypted}",
                dimse.called, dimse.host, dimse.port, dimse.calling
            )
        }
        Place::Web(web) => {
            let login = match &web.login {
                Login::None => String::new(),
                Login::Basic { user } => format!(", as {user}"),
                Login::Bearer => ", by a token".to_owned(),
            };
            format!("{name}: {}{login}", web.url)
        }
    }
}
