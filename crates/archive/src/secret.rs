//! Passwords and tokens: kept in the system's keyring or given by the caller, never written by us.

use std::fmt;

use zeroize::Zeroizing;

use crate::address::SecretPlace;

/// The name under which the keyring lists our secrets.
const SERVICE: &str = "plumbray-archive";

/// A password or token. It has no text of its own for logs, and its memory is wiped when it is dropped.
#[derive(Clone)]
pub struct Secret(Zeroizing<String>);

/// Why a secret is not at hand.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SecretError {
    /// No keyring on this system, or it is locked.
    #[error(
        "this system's keyring cannot be used ({reason}); unlock or install one, or give the secret each time"
    )]
    NoKeyring {
        /// What the keyring says.
        reason: String,
    },
    /// The address wants a secret and none was given.
    #[error("the archive “{archive}” wants a secret, and none is kept for it; give it once")]
    Missing {
        /// The archive's name.
        archive: String,
    },
    /// A secret that cannot be sent.
    #[error("a secret is not empty and has no line ends or other control characters")]
    Unsendable,
}

impl Secret {
    /// A secret that a person gave.
    ///
    /// # Errors
    /// When it is empty or could not stand in a line of a request.
    pub fn new(text: String) -> Result<Self, SecretError> {
        let text = Zeroizing::new(text);
        if text.is_empty() || text.chars().any(char::is_control) {
            return Err(SecretError::Unsendable);
        }
        Ok(Self(text))
    }

    /// The secret itself, for the one place that sends it.
    pub(crate) fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("Secret(…)")
    }
}

/// The secret that the system's keyring keeps for an archive's address and user; nothing when it keeps none.
///
/// # Errors
/// When there is no keyring, or it is locked.
pub fn kept_secret(place: &SecretPlace) -> Result<Option<Secret>, SecretError> {
    match entry(place)?.get_password() {
        Ok(text) => Secret::new(text).map(Some),
        Err(keyring::Error::NoEntry) => Ok(None),
        Err(error) => Err(no_keyring(&error)),
    }
}

/// Keeps an archive's secret in the system's keyring.
///
/// # Errors
/// When there is no keyring, or it is locked.
pub fn keep_secret(place: &SecretPlace, secret: &Secret) -> Result<(), SecretError> {
    entry(place)?
        .set_password(secret.reveal())
        .map_err(|error| no_keyring(&error))
}

/// Takes an archive's secret out of the system's keyring; one that is not there is no error.
///
/// # Errors
/// When there is no keyring, or it is locked.
pub fn forget_secret(place: &SecretPlace) -> Result<(), SecretError> {
    match entry(place)?.delete_credential() {
        Ok(()) | Err(keyring::Error::NoEntry) => Ok(()),
        Err(error) => Err(no_keyring(&error)),
    }
}

fn entry(place: &SecretPlace) -> Result<keyring::Entry, SecretError> {
    keyring::Entry::new(SERVICE, place.as_str()).map_err(|error| no_keyring(&error))
}

/// The keyring's error in words. Only kinds whose text cannot hold the secret are quoted.
fn no_keyring(error: &keyring::Error) -> SecretError {
    let reason = match error {
        keyring::Error::NoDefaultStore | keyring::Error::NoStorageAccess(_) => {
            "there is none, or it is locked".to_owned()
        }
        keyring::Error::PlatformFailure(inner) => inner.to_string(),
        _ => "it did not keep or give the secret".to_owned(),
    };
    SecretError::NoKeyring { reason }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_not_printed() {
        let secret = Secret::new("open sesame".to_owned()).expect("a secret");
        assert!(!format!("{secret:?}").contains("sesame"), "{secret:?}");
    }

    #[test]
    fn a_secret_cannot_smuggle_a_header_in() {
        assert!(
            Secret::new("a\r\nHost: other".to_owned()).is_err(),
            "a line end"
        );
        assert!(Secret::new(String::new()).is_err(), "nothing");
    }
}
