//! Who may vouch for an archive: those whom a file names, or those whom the system trusts.

use std::{fs, path::Path, sync::Arc};

use rustls::{
    ClientConfig, RootCertStore, ServerConfig,
    crypto::{CryptoProvider, ring},
    pki_types::{CertificateDer, PrivateKeyDer, pem::PemObject as _},
};

use crate::{address::OwnCertificate, error::ArchiveError};

/// The way of encrypting, for associations and the web alike.
pub(crate) fn provider() -> Arc<CryptoProvider> {
    Arc::new(ring::default_provider())
}

/// The certificates of those who may vouch.
///
/// # Errors
/// When the file holds none, or the system trusts nobody.
pub(crate) fn trusted(
    ca_file: Option<&Path>,
) -> Result<Vec<CertificateDer<'static>>, ArchiveError> {
    let certificates = match ca_file {
        Some(path) => of_file(path)?,
        None => rustls_native_certs::load_native_certs().certs,
    };
    if certificates.is_empty() {
        return Err(ArchiveError::Insecure {
            reason: "this system trusts nobody to vouch for an archive".to_owned(),
        });
    }
    Ok(certificates)
}

/// What an encrypted association needs to know: who may vouch for the archive, and by what this workstation shows who it
/// is where the archive asks for that.
///
/// # Errors
/// As [`trusted`], and when the own certificate or its key cannot be used.
pub(crate) fn client(
    ca_file: Option<&Path>,
    own: Option<&OwnCertificate>,
) -> Result<Arc<ClientConfig>, ArchiveError> {
    let mut roots = RootCertStore::empty();
    // The system may trust some that cannot be read; those vouch for nobody.
    roots.add_parsable_certificates(trusted(ca_file)?);
    let config = ClientConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()
        .map_err(|error| insecure(&error))?
        .with_root_certificates(roots);
    let config = match own {
        None => config.with_no_client_auth(),
        Some(own) => {
            let (certificates, key) = read_own(own)?;
            let config = config.with_client_auth_cert(certificates, key);
            config.map_err(|error| unfit(own, &error))?
        }
    };
    Ok(Arc::new(config))
}

/// What the receiver of an encrypted association needs to know. Who sends need not show who it is: nothing is taken that
/// was not asked for.
///
/// # Errors
/// When the own certificate or its key cannot be used.
pub(crate) fn server(own: &OwnCertificate) -> Result<Arc<ServerConfig>, ArchiveError> {
    let (certificates, key) = read_own(own)?;
    let config = ServerConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()
        .map_err(|error| insecure(&error))?
        .with_no_client_auth()
        .with_single_cert(certificates, key)
        .map_err(|error| unfit(own, &error))?;
    Ok(Arc::new(config))
}

fn insecure(error: &rustls::Error) -> ArchiveError {
    ArchiveError::Insecure {
        reason: error.to_string(),
    }
}

/// What is wrong with a certificate and a key that do not belong together.
fn unfit(own: &OwnCertificate, error: &rustls::Error) -> ArchiveError {
    let reason = format!("this certificate and its key cannot be used ({error})");
    ArchiveError::file(&own.certificate, reason)
}

/// The workstation's own certificate, with those that vouch for it, and its key.
fn read_own(
    own: &OwnCertificate,
) -> Result<(Vec<CertificateDer<'static>>, PrivateKeyDer<'static>), ArchiveError> {
    let certificates = of_file(&own.certificate)?;
    // What is wrong with a key is not quoted: it might hold a part of it.
    let key = PrivateKeyDer::from_pem_file(&own.key).map_err(|_error| {
        let reason =
            "this file cannot be read as a key; it must be a key without a password, as PEM";
        ArchiveError::file(&own.key, reason)
    })?;
    Ok((certificates, key))
}

fn of_file(path: &Path) -> Result<Vec<CertificateDer<'static>>, ArchiveError> {
    let text = fs::read(path).map_err(|error| ArchiveError::file(path, error))?;
    let certificates: Vec<CertificateDer<'static>> = CertificateDer::pem_slice_iter(&text)
        .filter_map(Result::ok)
        .collect();
    if certificates.is_empty() {
        return Err(ArchiveError::file(
            path,
            "this file holds no certificate; it must be one as PEM",
        ));
    }
    Ok(certificates)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_without_certificates_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("ca.pem");
        assert!(trusted(Some(&path)).is_err(), "no file");
        fs::write(&path, "no certificate").expect("written");
        let problem = trusted(Some(&path)).expect_err("none").to_string();
        assert!(problem.contains("holds no certificate"), "{problem}");
    }
}
