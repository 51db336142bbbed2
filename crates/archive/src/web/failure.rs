//! What went wrong on the web, in words.

use std::io;

use ureq::{
    Body, Timeout,
    http::{Response, StatusCode, header},
};

use crate::{error::ArchiveError, limits::Patience};

/// Why a request got no answer.
pub(crate) fn of_transport(error: ureq::Error, base: &str, patience: Patience) -> ArchiveError {
    let unreachable = |reason: String| ArchiveError::Unreachable {
        place: base.to_owned(),
        reason,
    };
    match error {
        ureq::Error::HostNotFound => unreachable("its name stands for no address".to_owned()),
        ureq::Error::ConnectionFailed => unreachable("nobody answers".to_owned()),
        ureq::Error::Timeout(Timeout::Connect | Timeout::Resolve) => {
            unreachable("nobody answers in time".to_owned())
        }
        ureq::Error::Timeout(Timeout::Global | Timeout::PerCall) => ArchiveError::TooSlow {
            seconds: patience.whole.as_secs(),
        },
        ureq::Error::Timeout(_) => ArchiveError::Silent {
            seconds: patience.silence.as_secs(),
        },
        ureq::Error::Rustls(error) => ArchiveError::Insecure {
            reason: error.to_string(),
        },
        ureq::Error::Tls(reason) => ArchiveError::Insecure {
            reason: reason.to_owned(),
        },
        ureq::Error::Io(error) => of_io(&error, patience, &unreachable),
        ureq::Error::LargeResponseHeader(_, limit) => ArchiveError::TooLarge {
            what: "the head of an answer",
            limit: limit as u64,
        },
        // Their texts name what was wrong with the answer, never what was sent.
        other => ArchiveError::protocol(other),
    }
}

fn of_io(
    error: &io::Error,
    patience: Patience,
    unreachable: &dyn Fn(String) -> ArchiveError,
) -> ArchiveError {
    let inner = error.get_ref();
    if let Some(secure) = inner.and_then(|inner| inner.downcast_ref::<rustls::Error>()) {
        return ArchiveError::Insecure {
            reason: secure.to_string(),
        };
    }
    match error.kind() {
        io::ErrorKind::ConnectionRefused
        | io::ErrorKind::HostUnreachable
        | io::ErrorKind::NetworkUnreachable
        | io::ErrorKind::AddrNotAvailable => unreachable(error.to_string()),
        io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock => ArchiveError::Silent {
            seconds: patience.silence.as_secs(),
        },
        _ => ArchiveError::cut("talking to the archive", error),
    }
}

/// Why an answer could not be read to its end.
pub(crate) fn of_reading(error: io::Error, patience: Patience) -> ArchiveError {
    let unreachable = |reason: String| ArchiveError::Cut {
        during: "reading an answer",
        reason,
    };
    match ureq::Error::from(error) {
        ureq::Error::Io(error) => of_io(&error, patience, &unreachable),
        other => of_transport(other, "", patience),
    }
}

/// An answer that is no error, or what its status means.
pub(crate) fn checked(response: Response<Body>) -> Result<Response<Body>, ArchiveError> {
    if response.status().is_success() {
        return Ok(response);
    }
    Err(of_status(response.status(), elsewhere(&response)))
}

/// The host to which an answer points.
fn elsewhere(response: &Response<Body>) -> Option<String> {
    let location = response.headers().get(header::LOCATION)?.to_str().ok()?;
    let uri: ureq::http::Uri = location.parse().ok()?;
    uri.host().map(ToOwned::to_owned)
}

/// What a status means and what to do (PS3.18 8.5; RFC 9110).
pub(crate) fn of_status(status: StatusCode, elsewhere: Option<String>) -> ArchiveError {
    let code = status.as_u16();
    let answer = match code {
        300..=399 => {
            let where_to = elsewhere.unwrap_or_else(|| "another path".to_owned());
            format!(
                "look elsewhere, at {where_to} ({code}); this is not followed, so that no secret goes \
                 astray: correct the address"
            )
        }
        400 => "it does not understand the request (400); check the conditions".to_owned(),
        401 => return ArchiveError::LoginRefused { code },
        403 => "this user may not do this (403); ask whoever runs the archive".to_owned(),
        404 | 410 => format!("there is nothing of that kind ({code}); check the address"),
        405 | 501 => format!("it does not offer this ({code})"),
        406 | 415 => format!("it cannot give or take films in this form ({code})"),
        409 => "it did not take the objects (409)".to_owned(),
        413 => "the object is larger than it takes (413)".to_owned(),
        429 => "it has too many requests just now (429); try again later".to_owned(),
        507 => "it has no room left (507)".to_owned(),
        500..=599 => format!("it has a fault of its own ({code}); its own log says why"),
        _ => format!("something unexpected ({code})"),
    };
    let is_transient = matches!(code, 408 | 429 | 500 | 502..=504 | 507);
    ArchiveError::Refused {
        answer,
        is_transient,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_status_has_words_and_some_may_pass() {
        for code in 100..1000 {
            let status = StatusCode::from_u16(code).expect("a status");
            let error = of_status(status, None);
            assert!(error.to_string().contains(&code.to_string()), "{error}");
        }
        let may_pass =
            |code| of_status(StatusCode::from_u16(code).expect("a status"), None).may_pass();
        assert!(may_pass(503) && may_pass(507) && may_pass(429), "later");
        assert!(
            !may_pass(401) && !may_pass(403) && !may_pass(413),
            "never by itself"
        );
    }
}
