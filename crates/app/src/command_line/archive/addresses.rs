//! `plumbray archives`: the archives that this workstation knows.

use std::{io::Write, path::PathBuf};

use clap::{ArgGroup, Args, Subcommand};
use plumbray_archive::{
    Address, AeTitle, DimseAddress, Encryption, Login, Place, WebAddress, forget_secret,
    keep_secret,
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
    #[arg(long, default_value_t = 104, requires = "host")]
    port: u16,
    /// Its AE title.
    #[arg(
        long,
        value_name = "TITLE",
        requires = "host",
        default_value = "ARCHIVE"
    )]
    called: AeTitleArgument,
    /// This workstation's AE title.
    #[arg(
        long,
        value_name = "TITLE",
        requires = "host",
        default_value = "PLUMBRAY"
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
                    Encryption::Tls {
                        ca_file: self.ca_file.clone(),
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
            book.put(add.address())?;
            book.write(&book_path()?)?;
        }
        Some(What::Remove { name }) => {
            let mut book = book()?;
            let had_secret = book.named(name)?.needs_secret();
            book.remove(name)?;
            book.write(&book_path()?)?;
            if had_secret {
                forget_secret(name)?;
            }
        }
        Some(What::Echo { name }) => {
            writeln!(output, "{name}: {}", archive(name)?.echo()?.answer)?;
        }
        Some(What::KeepSecret { name }) => {
            book()?.named(name)?;
            keep_secret(name, &secret::new(name)?)?;
        }
    }
    Ok(())
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
