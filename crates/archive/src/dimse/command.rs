//! Command sets (PS3.7 6.3 and annex E): the first part of each message of an association.

use std::collections::BTreeMap;

use dicom_core::Tag;
use dicom_dictionary_std::tags;
use plumbray_film::{DataSet, Encoding};

use super::status::Status;
use crate::error::ArchiveError;

/// Command fields (PS3.7 E.1-1).
pub(crate) const STORE_REQUEST: u16 = 0x0001;
pub(crate) const GET_REQUEST: u16 = 0x0010;
pub(crate) const FIND_REQUEST: u16 = 0x0020;
pub(crate) const MOVE_REQUEST: u16 = 0x0021;
pub(crate) const ECHO_REQUEST: u16 = 0x0030;
pub(crate) const CANCEL_REQUEST: u16 = 0x0FFF;
/// What is added to a request's field in its response.
pub(crate) const RESPONSE: u16 = 0x8000;

/// Command Data Set Type when no data set follows.
const NO_DATA_SET: u16 = 0x0101;
const A_DATA_SET: u16 = 0x0001;

/// A command set: elements of the group 0000 with their values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Command(BTreeMap<Tag, Vec<u8>>);

impl Command {
    /// A request.
    pub(crate) fn request(field: u16, class: &str, message: u16, has_data_set: bool) -> Self {
        let mut command = Self(BTreeMap::new());
        command.set_word(tags::COMMAND_FIELD, field);
        command.set_uid(tags::AFFECTED_SOP_CLASS_UID, class);
        command.set_word(tags::MESSAGE_ID, message);
        command.set_word(tags::COMMAND_DATA_SET_TYPE, data_set_type(has_data_set));
        command
    }

    /// The request to cancel another one.
    pub(crate) fn cancel(message: u16) -> Self {
        let mut command = Self(BTreeMap::new());
        command.set_word(tags::COMMAND_FIELD, CANCEL_REQUEST);
        command.set_word(tags::MESSAGE_ID_BEING_RESPONDED_TO, message);
        command.set_word(tags::COMMAND_DATA_SET_TYPE, NO_DATA_SET);
        command
    }

    /// The response to a request, without data set.
    pub(crate) fn response_to(request: &Self, status: u16) -> Self {
        let mut command = Self(BTreeMap::new());
        let field = request.word(tags::COMMAND_FIELD).unwrap_or_default();
        command.set_word(tags::COMMAND_FIELD, field | RESPONSE);
        for tag in [
            tags::AFFECTED_SOP_CLASS_UID,
            tags::AFFECTED_SOP_INSTANCE_UID,
        ] {
            if let Some(value) = request.0.get(&tag) {
                command.0.insert(tag, value.clone());
            }
        }
        let message = request.word(tags::MESSAGE_ID).unwrap_or_default();
        command.set_word(tags::MESSAGE_ID_BEING_RESPONDED_TO, message);
        command.set_word(tags::COMMAND_DATA_SET_TYPE, NO_DATA_SET);
        command.set_word(tags::STATUS, status);
        command
    }

    pub(crate) fn set_word(&mut self, tag: Tag, word: u16) {
        self.0.insert(tag, word.to_le_bytes().to_vec());
    }

    pub(crate) fn set_uid(&mut self, tag: Tag, uid: &str) {
        self.0.insert(tag, padded(uid, b'\0'));
    }

    pub(crate) fn set_title(&mut self, tag: Tag, title: &str) {
        self.0.insert(tag, padded(title, b' '));
    }

    /// A value of 16 bits.
    pub(crate) fn word(&self, tag: Tag) -> Option<u16> {
        let bytes = self.0.get(&tag)?.first_chunk()?;
        Some(u16::from_le_bytes(*bytes))
    }

    /// A text of ASCII, its padding left out and control characters with it.
    pub(crate) fn text(&self, tag: Tag) -> Option<String> {
        let text = String::from_utf8_lossy(self.0.get(&tag)?);
        let shown: String = text.chars().filter(|c| !c.is_control()).take(64).collect();
        let shown = shown.trim().to_owned();
        (!shown.is_empty()).then_some(shown)
    }

    /// The command field.
    pub(crate) fn field(&self) -> u16 {
        self.word(tags::COMMAND_FIELD).unwrap_or_default()
    }

    /// Whether a data set follows.
    pub(crate) fn has_data_set(&self) -> bool {
        self.word(tags::COMMAND_DATA_SET_TYPE)
            .is_some_and(|kind| kind != NO_DATA_SET)
    }

    /// The status of a response.
    pub(crate) fn status(&self) -> Result<Status, ArchiveError> {
        let code = self
            .word(tags::STATUS)
            .ok_or_else(|| ArchiveError::protocol("a response without status"))?;
        Ok(Status::new(code, self.text(tags::ERROR_COMMENT)))
    }

    /// Whether this answers a request.
    pub(crate) fn answers(&self, field: u16, message: u16) -> bool {
        self.field() == field | RESPONSE
            && self.word(tags::MESSAGE_ID_BEING_RESPONDED_TO) == Some(message)
    }

    /// The command as it goes over the line, always implicit little endian.
    pub(crate) fn written(&self) -> Vec<u8> {
        let body = written_implicitly(self.0.iter().map(|(tag, value)| (*tag, value.as_slice())));
        let length = u32::try_from(body.len()).unwrap_or(u32::MAX);
        let group = written_implicitly([(tags::COMMAND_GROUP_LENGTH, &length.to_le_bytes()[..])]);
        [group, body].concat()
    }

    /// Reads a command. What else stands among its elements is left out: Orthanc 1.10 puts the list of objects that it
    /// could not send there, which belongs into a data set of its own (PS3.4 C.4.3.1.3).
    ///
    /// # Errors
    /// When the bytes are no command set.
    pub(crate) fn read(bytes: &[u8]) -> Result<Self, ArchiveError> {
        let data_set =
            DataSet::read(bytes, Encoding::IMPLICIT_LITTLE).map_err(ArchiveError::protocol)?;
        let elements = data_set.elements.into_iter();
        let elements = elements.filter(|element| element.tag.group() == 0);
        let command = Self(
            elements
                .filter(|element| element.tag != tags::COMMAND_GROUP_LENGTH)
                .map(|element| (element.tag, element.bytes.to_vec()))
                .collect(),
        );
        if command.field() == 0 {
            return Err(ArchiveError::protocol("a command without its field"));
        }
        Ok(command)
    }
}

const fn data_set_type(has_data_set: bool) -> u16 {
    if has_data_set {
        A_DATA_SET
    } else {
        NO_DATA_SET
    }
}

/// A text of even length.
pub(crate) fn padded(text: &str, padding: u8) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    if bytes.len() % 2 == 1 {
        bytes.push(padding);
    }
    bytes
}

/// Elements as implicit little endian, in the order given.
pub(crate) fn written_implicitly<'a>(
    elements: impl IntoIterator<Item = (Tag, &'a [u8])>,
) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (tag, value) in elements {
        bytes.extend(tag.group().to_le_bytes());
        bytes.extend(tag.element().to_le_bytes());
        bytes.extend(u32::try_from(value.len()).unwrap_or(u32::MAX).to_le_bytes());
        bytes.extend(value);
    }
    bytes
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn store() -> Command {
        let mut command = Command::request(STORE_REQUEST, "1.2.840.10008.1.1", 7, true);
        command.set_uid(tags::AFFECTED_SOP_INSTANCE_UID, "1.2.3");
        command
    }

    #[test]
    fn a_command_is_read_as_it_was_written() {
        let command = store();
        assert_eq!(
            Command::read(&command.written()).expect("read"),
            command,
            "the same"
        );
        assert!(command.has_data_set(), "of a store");
        let answer = Command::response_to(&command, 0xB000);
        assert!(answer.answers(STORE_REQUEST, 7), "{answer:?}");
        assert!(!answer.has_data_set(), "of an answer");
        assert_eq!(answer.status().expect("one").code(), 0xB000, "its status");
    }

    #[test]
    fn what_is_no_part_of_a_command_is_left_out_and_alone_is_none() {
        let failed = written_implicitly([(tags::FAILED_SOP_INSTANCE_UID_LIST, &b"1.2.3\0"[..])]);
        let answer = [store().written(), failed.clone()].concat();
        assert_eq!(Command::read(&answer).expect("read"), store(), "the same");
        let problem = Command::read(&failed).expect_err("no command");
        assert!(
            problem.to_string().contains("without its field"),
            "{problem}"
        );
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_command_or_an_error(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let _either = Command::read(&bytes);
        }

        #[test]
        fn a_damaged_command_is_read_or_refused(at in any::<prop::sample::Index>(), bit in 0_u8..8, cut in any::<prop::sample::Index>()) {
            let mut bytes = store().written();
            let at = at.index(bytes.len());
            bytes[at] ^= 1 << bit;
            bytes.truncate(cut.index(bytes.len() + 1));
            if let Ok(command) = Command::read(&bytes) {
                let _texts = (command.text(tags::ERROR_COMMENT), command.status().is_ok());
            }
        }
    }
}
