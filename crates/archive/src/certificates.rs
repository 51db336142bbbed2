//! Who may vouch for an archive: those whom a file names, or those whom the system trusts.

use std::{fs, path::Path, sync::Arc};

use rustls::{
    ClientConfig, RootCertStore,
    crypto::{CryptoProvider, ring},
    pki_types::{CertificateDer, pem::PemObject as _},
};

use crate::error::ArchiveError;

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

/// What an encrypted association needs to know.
///
/// # Errors
/// As [`trusted`].
pub(crate) fn client(ca_file: Option<&Path>) -> Result<Arc<ClientConfig>, ArchiveError> {
    let mut roots = RootCertStore::empty();
    // The system may trust some that cannot be read; those vouch for nobody.
    roots.add_parsable_certificates(trusted(ca_file)?);
    let config = ClientConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()
        .map_err(|error| ArchiveError::Insecure {
            reason: error.to_string(),
        })?
        .with_root_certificates(roots)
        .with_no_client_auth();
    Ok(Arc::new(config))
}

fn of_file(path: &Path) -> Result<Vec<CertificateDer<'static>>, ArchiveError> {
    let text = fs::read(path).map_err(|error| ArchiveError::file(path, error))?;
    let certificates: Vec<CertificateDer<'static>> = CertificateDer::pem_slice_iter(&text)
        .filter_map(Result::ok)
        .collect();
    if certificates.is_empty() {
        return Err(ArchiveError::file(
            path,
            "this file holds no certificate; it must be the clinic's CA certificate as PEM",
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
