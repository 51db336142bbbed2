//! The secret of an archive: from the environment, from the system's keyring, or from whoever sits there.

use std::io::{IsTerminal as _, stdin};

use plumbray_archive::{Address, Secret, SecretError, kept_secret};

/// Scripts may give a secret in this variable.
const VARIABLE: &str = "PLUMBRAY_ARCHIVE_SECRET";

/// The secret that an archive wants; nothing when it wants none.
pub(super) fn of(address: &Address) -> Result<Option<Secret>, SecretError> {
    let Some(place) = address.secret_place() else {
        return Ok(None);
    };
    if let Ok(text) = std::env::var(VARIABLE) {
        return Secret::new(text).map(Some);
    }
    let kept = kept_secret(&place);
    if let Ok(Some(secret)) = kept {
        return Ok(Some(secret));
    }
    match asked(&address.name)? {
        Some(secret) => Ok(Some(secret)),
        // Nobody to ask: what is wrong with the keyring matters now.
        None => {
            kept?;
            Err(SecretError::Missing {
                archive: address.name.clone(),
            })
        }
    }
}

/// The secret that a person types, without showing it; nothing when nobody sits there.
pub(super) fn asked(archive: &str) -> Result<Option<Secret>, SecretError> {
    if !stdin().is_terminal() {
        return Ok(None);
    }
    match rpassword::prompt_password(format!("Secret of {archive}: ")) {
        Ok(text) => Secret::new(text).map(Some),
        Err(_no_terminal) => Ok(None),
    }
}

/// A new secret to keep: from the environment, or from whoever sits there.
pub(super) fn new(archive: &str) -> Result<Secret, SecretError> {
    if let Ok(text) = std::env::var(VARIABLE) {
        return Secret::new(text);
    }
    asked(archive)?.ok_or_else(|| SecretError::Missing {
        archive: archive.to_owned(),
    })
}
