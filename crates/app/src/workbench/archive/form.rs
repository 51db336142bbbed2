//! The address of an archive, as it is typed.

use std::path::PathBuf;

use plumbray_archive::{
    Address, AddressError, AeTitle, DimseAddress, Encryption, Login, OwnCertificate, Place,
    WebAddress,
};

/// How an archive is spoken to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// DICOM associations.
    #[default]
    Associations,
    /// `DICOMweb`.
    Web,
}

/// How an archive of the web learns who asks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WayIn {
    /// Not at all.
    #[default]
    Open,
    /// By a user name and a password.
    Password,
    /// By a token.
    Token,
}

/// The address of an archive, as it is typed. No secret is part of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AddressForm {
    /// The name by which to call it.
    pub name: String,
    /// How it is spoken to.
    pub way: Way,
    /// Its host.
    pub host: String,
    /// Its port.
    pub port: String,
    /// Its AE title.
    pub called: String,
    /// This workstation's AE title.
    pub calling: String,
    /// The port on which this workstation receives; may be empty.
    pub receive_port: String,
    /// Whether associations are encrypted.
    pub is_encrypted: bool,
    /// What comes before `/studies`.
    pub url: String,
    /// How it learns who asks.
    pub way_in: WayIn,
    /// The user name.
    pub user: String,
    /// The file of the clinic's own certificate; may be empty.
    pub ca_file: String,
    /// The file of this workstation's own certificate; may be empty.
    pub certificate: String,
    /// The file of the key that belongs to it; may be empty.
    pub key: String,
}

/// Why an address cannot be kept.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnfitAddress {
    /// What the archive's crate says of it.
    #[error(transparent)]
    Address(#[from] AddressError),
    /// A certificate without its key, or a key alone.
    #[error(
        "a certificate of this workstation's own needs the file of its key, and the key that of its certificate"
    )]
    HalfACertificate,
    /// A port that is none.
    #[error("“{0}” is no port; it is a number from 1 to 65535")]
    Port(String),
}

impl Default for AddressForm {
    /// The usual port and titles, as the command line has them.
    fn default() -> Self {
        Self {
            name: String::new(),
            way: Way::default(),
            host: String::new(),
            port: DimseAddress::USUAL_PORT.to_string(),
            called: DimseAddress::USUAL_CALLED.to_owned(),
            calling: DimseAddress::USUAL_CALLING.to_owned(),
            receive_port: String::new(),
            is_encrypted: false,
            url: String::new(),
            way_in: WayIn::default(),
            user: String::new(),
            ca_file: String::new(),
            certificate: String::new(),
            key: String::new(),
        }
    }
}

impl AddressForm {
    /// The form of an address that is known.
    #[must_use]
    pub fn of(address: &Address) -> Self {
        let file = |path: &Option<PathBuf>| {
            let path = path.as_ref();
            path.map_or_else(String::new, |path| path.display().to_string())
        };
        let mut form = Self {
            name: address.name.clone(),
            ..Self::default()
        };
        match &address.place {
            Place::Dimse(dimse) => {
                form.host.clone_from(&dimse.host);
                form.port = dimse.port.to_string();
                form.called = dimse.called.to_string();
                form.calling = dimse.calling.to_string();
                let port = dimse.receive_port;
                form.receive_port = port.map_or_else(String::new, |port| port.to_string());
                if let Encryption::Tls { ca_file, own } = &dimse.encryption {
                    form.is_encrypted = true;
                    form.ca_file = file(ca_file);
                    if let Some(own) = own {
                        form.certificate = own.certificate.display().to_string();
                        form.key = own.key.display().to_string();
                    }
                }
            }
            Place::Web(web) => {
                form.way = Way::Web;
                form.url.clone_from(&web.url);
                form.ca_file = file(&web.ca_file);
                match &web.login {
                    Login::None => {}
                    Login::Basic { user } => {
                        form.way_in = WayIn::Password;
                        form.user.clone_from(user);
                    }
                    Login::Bearer => form.way_in = WayIn::Token,
                }
            }
        }
        form
    }

    /// The address.
    ///
    /// # Errors
    /// [`UnfitAddress`] when a port or a title is none, or the address cannot be used.
    pub fn address(&self) -> Result<Address, UnfitAddress> {
        let ca_file = self.ca_file.trim();
        let ca_file = (!ca_file.is_empty()).then(|| PathBuf::from(ca_file));
        let place = match self.way {
            Way::Associations => Place::Dimse(self.associations(ca_file)?),
            Way::Web => Place::Web(WebAddress {
                url: self.url.trim().to_owned(),
                login: match self.way_in {
                    WayIn::Open => Login::None,
                    WayIn::Password => Login::Basic {
                        user: self.user.trim().to_owned(),
                    },
                    WayIn::Token => Login::Bearer,
                },
                ca_file,
            }),
        };
        let address = Address {
            name: self.name.trim().to_owned(),
            place,
        };
        address.check()?;
        Ok(address)
    }

    fn own_certificate(&self) -> Result<Option<OwnCertificate>, UnfitAddress> {
        match (self.certificate.trim(), self.key.trim()) {
            ("", "") => Ok(None),
            ("", _) | (_, "") => Err(UnfitAddress::HalfACertificate),
            (certificate, key) => Ok(Some(OwnCertificate {
                certificate: certificate.into(),
                key: key.into(),
            })),
        }
    }

    fn associations(&self, ca_file: Option<PathBuf>) -> Result<DimseAddress, UnfitAddress> {
        let receives = !self.receive_port.trim().is_empty();
        Ok(DimseAddress {
            host: self.host.trim().to_owned(),
            port: port(&self.port)?,
            called: AeTitle::new(&self.called)?,
            calling: AeTitle::new(&self.calling)?,
            receive_port: receives.then(|| port(&self.receive_port)).transpose()?,
            encryption: if self.is_encrypted {
                let own = self.own_certificate()?;
                Encryption::Tls { ca_file, own }
            } else {
                Encryption::None
            },
        })
    }
}

fn port(text: &str) -> Result<u16, UnfitAddress> {
    let number = text.trim().parse().ok().filter(|port| *port > 0);
    number.ok_or_else(|| UnfitAddress::Port(text.trim().to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_becomes_an_address_and_the_address_the_same_form() {
        let associations = AddressForm {
            name: "Clinic".to_owned(),
            host: "archive.example".to_owned(),
            receive_port: "11112".to_owned(),
            is_encrypted: true,
            ca_file: "/etc/clinic.pem".to_owned(),
            certificate: "/etc/own.pem".to_owned(),
            key: "/etc/own.key".to_owned(),
            ..AddressForm::default()
        };
        let web = AddressForm {
            name: "Web".to_owned(),
            way: Way::Web,
            url: "https://archive.example/web".to_owned(),
            way_in: WayIn::Password,
            user: "ann".to_owned(),
            ..AddressForm::default()
        };
        for form in [associations, web] {
            let address = form.address().expect("an address");
            assert_eq!(AddressForm::of(&address), form, "{address:?}");
        }
    }

    #[test]
    fn a_certificate_without_its_key_is_told() {
        let form = AddressForm {
            name: "Clinic".to_owned(),
            host: "archive.example".to_owned(),
            is_encrypted: true,
            certificate: "/etc/own.pem".to_owned(),
            ..AddressForm::default()
        };
        assert_eq!(form.address(), Err(UnfitAddress::HalfACertificate), "half");
    }

    #[test]
    fn a_port_that_is_none_is_told() {
        for port in ["", "0", "70000", "http"] {
            let form = AddressForm {
                name: "Clinic".to_owned(),
                host: "archive.example".to_owned(),
                port: port.to_owned(),
                ..AddressForm::default()
            };
            let told = form.address();
            assert_eq!(told, Err(UnfitAddress::Port(port.to_owned())), "{port}");
        }
    }
}
