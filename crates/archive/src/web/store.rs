//! Sending over the web (STOW-RS, PS3.18 10.5): one object a request, so that each answer is about one object.

use std::io::{self, Read};

use dicom_dictionary_std::tags;
use rand::Rng as _;

use super::{
    client::Client,
    failure,
    json::{self, JsonDataSet},
};
use crate::{
    archive::{Accepted, SendError},
    dimse::{DUPLICATE, Status},
    error::ArchiveError,
    object::StoredObject,
};

/// Sends an object as its file stands.
pub(crate) fn send(client: &Client, object: &StoredObject) -> Result<Accepted, SendError> {
    let bytes = object.file_bytes();
    let boundary = unused_boundary();
    let head = format!("--{boundary}\r\nContent-Type: application/dicom\r\n\r\n");
    let tail = format!("\r\n--{boundary}--\r\n");
    let length = (head.len() + bytes.len() + tail.len()) as u64;
    let mut body = Counted {
        reader: head.as_bytes().chain(bytes).chain(tail.as_bytes()),
        left: length,
    };
    let content_type =
        format!("multipart/related; type=\"application/dicom\"; boundary={boundary}");
    let answer = client.post("studies", &content_type, length, &mut body);
    let has_all = body.left == 0;
    let in_doubt = |error| SendError {
        error,
        is_in_doubt: has_all,
    };
    let response = answer.map_err(in_doubt)?;
    let status = response.status();
    // A refusal of one object comes as 409 or as 202, with the reason inside (PS3.18 table 10.5.3-1).
    if !status.is_success() && status.as_u16() != 409 {
        let error = failure::of_status(status, None);
        return Err(SendError {
            is_in_doubt: has_all && status.is_server_error(),
            error,
        });
    }
    let content = client.body(response).map_err(in_doubt)?;
    match json::data_set(&content) {
        Ok(answer) => judged(&answer, object),
        Err(_unreadable) if status.as_u16() == 409 => Err(failure::of_status(status, None).into()),
        Err(unreadable) => Err(in_doubt(unreadable)),
    }
}

/// What the answer says of the object.
fn judged(answer: &JsonDataSet, object: &StoredObject) -> Result<Accepted, SendError> {
    let instance = object.identity().instance.as_str();
    let named = |tag| {
        answer.items(tag).iter().find(|item| {
            let uid = item.attributes.text(tags::REFERENCED_SOP_INSTANCE_UID);
            uid.as_deref() == Some(instance)
        })
    };
    let code_of = |item: &JsonDataSet, tag| {
        let number = item.attributes.number(tag)?;
        u16::try_from(number).ok()
    };
    if let Some(failed) = named(tags::FAILED_SOP_SEQUENCE) {
        let code = code_of(failed, tags::FAILURE_REASON).unwrap_or(0x0110);
        let status = Status::new(code, None);
        if code == DUPLICATE {
            return Ok(Accepted {
                warning: Some(status.in_words()),
            });
        }
        return Err(status.refused().into());
    }
    match named(tags::REFERENCED_SOP_SEQUENCE) {
        Some(taken) => Ok(Accepted {
            warning: code_of(taken, tags::WARNING_REASON)
                .filter(|code| *code != 0)
                .map(|code| Status::new(code, None).in_words()),
        }),
        None => Err(SendError {
            error: ArchiveError::protocol("an answer that does not name the object that was sent"),
            is_in_doubt: true,
        }),
    }
}

/// A boundary that does not occur in the object.
fn unused_boundary() -> String {
    // By chance and not by the object, so whoever made the object cannot have put it there.
    format!("plumbray-{:032x}", rand::rng().random::<u128>())
}

/// Counts down to the last byte that was taken for sending.
struct Counted<R> {
    reader: R,
    left: u64,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.reader.read(buffer)?;
        self.left = self.left.saturating_sub(count as u64);
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::object::tests::sample;

    #[test]
    fn an_answer_is_about_the_object_that_it_names() {
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        let uid = object.identity().instance.as_str();
        let item = format!("\"00081155\":{{\"vr\":\"UI\",\"Value\":[\"{uid}\"]}}");
        let read = |text: String| json::data_set(text.as_bytes()).expect("read");

        let taken = read(format!("{{\"00081199\":{{\"Value\":[{{{item}}}]}}}}"));
        assert_eq!(
            judged(&taken, &object).expect("taken").warning,
            None,
            "plainly"
        );

        let changed = read(format!(
            "{{\"00081199\":{{\"Value\":[{{{item},\"00081196\":{{\"Value\":[45056]}}}}]}}}}"
        ));
        let warning = judged(&changed, &object).expect("taken").warning;
        assert!(
            warning.is_some_and(|text| text.contains("B000H")),
            "changed values"
        );

        let failed = read(format!(
            "{{\"00081198\":{{\"Value\":[{{{item},\"00081197\":{{\"Value\":[42752]}}}}]}}}}"
        ));
        let error = judged(&failed, &object).expect_err("refused");
        assert!(error.to_string().contains("no room"), "{error}");
        assert!(!error.is_in_doubt, "a clear answer");

        let other = read("{\"00081199\":{\"Value\":[]}}".to_owned());
        assert!(
            judged(&other, &object).expect_err("unnamed").is_in_doubt,
            "in doubt"
        );
    }
}
