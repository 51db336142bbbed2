//! Requests over HTTP: encrypted where the address says so, never redirected, each wait with an end.

use std::{fmt, io::Read, path::Path, sync::Arc};

use base64::{Engine as _, engine::general_purpose::STANDARD};
use ureq::{
    Agent, Body, SendBody,
    http::{HeaderValue, Response, header},
    tls::{Certificate, RootCerts, TlsConfig},
};
use zeroize::Zeroizing;

use super::failure;
use crate::{
    address::{Login, WebAddress},
    certificates,
    error::ArchiveError,
    limits::{self, Patience},
    secret::Secret,
};

/// One archive's web address with what is needed to ask it.
pub(crate) struct Client {
    agent: Agent,
    base: String,
    authorization: Option<HeaderValue>,
    patience: Patience,
}

impl fmt::Debug for Client {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Client")
            .field("base", &self.base)
            .finish_non_exhaustive()
    }
}

impl Client {
    pub(crate) fn new(
        address: &WebAddress,
        secret: Option<&Secret>,
        patience: Patience,
    ) -> Result<Self, ArchiveError> {
        let mut config = Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            .proxy(None)
            .user_agent("plumbray")
            .max_response_header_size(1 << 16)
            .timeout_connect(Some(patience.connect))
            .timeout_resolve(Some(patience.connect))
            .timeout_per_read(Some(patience.silence))
            .timeout_per_write(Some(patience.silence))
            .timeout_recv_response(Some(patience.silence))
            .timeout_global(Some(patience.whole));
        if address.url.starts_with("https") {
            config = config.tls_config(encryption(address.ca_file.as_deref())?);
        }
        Ok(Self {
            agent: config.build().new_agent(),
            base: address.url.trim_end_matches('/').to_owned(),
            authorization: authorization(&address.login, secret)?,
            patience,
        })
    }

    pub(crate) const fn patience(&self) -> Patience {
        self.patience
    }

    /// Asks for what lies at a path below the archive's address.
    pub(crate) fn get(&self, path: &str, accept: &str) -> Result<Response<Body>, ArchiveError> {
        let mut request = self
            .agent
            .get(format!("{}/{path}", self.base))
            .header(header::ACCEPT, accept);
        if let Some(authorization) = &self.authorization {
            request = request.header(header::AUTHORIZATION, authorization);
        }
        request
            .call()
            .map_err(|error| failure::of_transport(error, &self.base, self.patience))
    }

    /// Sends what a reader gives, of a length known before.
    pub(crate) fn post(
        &self,
        path: &str,
        content_type: &str,
        length: u64,
        body: &mut dyn Read,
    ) -> Result<Response<Body>, ArchiveError> {
        let mut request = self
            .agent
            .post(format!("{}/{path}", self.base))
            .header(header::ACCEPT, "application/dicom+json")
            .header(header::CONTENT_TYPE, content_type)
            .header(header::CONTENT_LENGTH, length);
        if let Some(authorization) = &self.authorization {
            request = request.header(header::AUTHORIZATION, authorization);
        }
        request
            .send(SendBody::from_reader(body))
            .map_err(|error| failure::of_transport(error, &self.base, self.patience))
    }

    /// The whole body of an answer, which is short.
    pub(crate) fn body(&self, mut response: Response<Body>) -> Result<Vec<u8>, ArchiveError> {
        let reader = response.body_mut().with_config().limit(u64::MAX).reader();
        let mut bytes = Vec::new();
        reader
            .take(limits::JSON_BYTES + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| failure::of_reading(error, self.patience))?;
        if bytes.len() as u64 > limits::JSON_BYTES {
            return Err(ArchiveError::TooLarge {
                what: "an answer",
                limit: limits::JSON_BYTES,
            });
        }
        Ok(bytes)
    }
}

/// The header by which the workstation says who it is. It is marked so that nobody prints it.
fn authorization(
    login: &Login,
    secret: Option<&Secret>,
) -> Result<Option<HeaderValue>, ArchiveError> {
    let text = match (login, secret) {
        (Login::Basic { user }, Some(secret)) => {
            let both = Zeroizing::new(format!("{user}:{}", secret.reveal()));
            Zeroizing::new(format!("Basic {}", STANDARD.encode(both.as_bytes())))
        }
        (Login::Bearer, Some(secret)) => Zeroizing::new(format!("Bearer {}", secret.reveal())),
        _ => return Ok(None),
    };
    let mut value = HeaderValue::from_str(&text)
        .map_err(|_unsendable| crate::secret::SecretError::Unsendable)?;
    value.set_sensitive(true);
    Ok(Some(value))
}

/// Encryption that trusts those whom a file names, or those whom the system trusts.
fn encryption(ca_file: Option<&Path>) -> Result<TlsConfig, ArchiveError> {
    let trusted = certificates::trusted(ca_file)?
        .iter()
        .map(|certificate| Certificate::from_der(certificate).to_owned())
        .collect();
    Ok(TlsConfig::builder()
        .unversioned_rustls_crypto_provider(certificates::provider())
        .root_certs(RootCerts::Specific(Arc::new(trusted)))
        .build())
}

/// A text as part of an address (RFC 3986 2.1).
pub(crate) fn escaped(text: &str) -> String {
    let mut escaped = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~*".contains(&byte) {
            escaped.push(char::from(byte));
        } else {
            escaped.push_str(&format!("%{byte:02X}"));
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_cannot_leave_its_place_in_an_address() {
        assert_eq!(
            escaped("Müller^A* &x=/?#"),
            "M%C3%BCller%5EA*%20%26x%3D%2F%3F%23",
            "escaped"
        );
    }

    #[test]
    fn the_header_of_a_login_is_that_of_the_standard_and_is_not_printed() {
        // The example of RFC 7617, 2.
        let login = Login::Basic {
            user: "Aladdin".to_owned(),
        };
        let secret = Secret::new("open sesame".to_owned()).expect("a secret");
        let header = authorization(&login, Some(&secret))
            .expect("made")
            .expect("one");
        assert_eq!(
            header.to_str().expect("text"),
            "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==",
            "header"
        );
        assert!(!format!("{header:?}").contains("QWxh"), "{header:?}");
    }
}
