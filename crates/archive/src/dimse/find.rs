//! Questions to an archive (C-FIND, PS3.4 C.4.1), in the Study Root model.

use std::collections::BTreeMap;

use dicom_core::{
    Tag, VR,
    dictionary::{DataDictionary, DataDictionaryEntry, VirtualVr},
};
use dicom_dictionary_std::{StandardDataDictionary, tags, uids};
use plumbray_film::Encoding;

use super::{
    association::{Association, other_message},
    command::{self, Command, padded, written_implicitly},
    status::StatusKind,
};
use crate::{attributes::Attributes, error::ArchiveError, limits};

/// The service that answers questions.
pub(crate) const CLASS: &str = uids::STUDY_ROOT_QUERY_RETRIEVE_INFORMATION_MODEL_FIND;

/// What is asked at one level: conditions with values, and attributes that are asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Identifier(BTreeMap<Tag, String>);

impl Identifier {
    /// An identifier at a level: STUDY, SERIES or IMAGE.
    pub(crate) fn at(level: &str) -> Self {
        Self(BTreeMap::from([(
            tags::QUERY_RETRIEVE_LEVEL,
            level.to_owned(),
        )]))
    }

    /// Attributes that are asked for.
    pub(crate) fn asking(mut self, answers: &[Tag]) -> Self {
        for tag in answers {
            self.0.entry(*tag).or_default();
        }
        self
    }

    /// A condition.
    pub(crate) fn with(mut self, tag: Tag, value: impl Into<String>) -> Self {
        self.0.insert(tag, value.into());
        self
    }

    /// The identifier as implicit little endian.
    pub(crate) fn written(&self) -> Vec<u8> {
        let mut values: BTreeMap<Tag, Vec<u8>> = self
            .0
            .iter()
            .map(|(tag, value)| (*tag, padded(value, padding(*tag))))
            .collect();
        if self.0.values().any(|value| !value.is_ascii()) {
            values.insert(tags::SPECIFIC_CHARACTER_SET, padded("ISO_IR 192", b' '));
        }
        written_implicitly(values.iter().map(|(tag, value)| (*tag, value.as_slice())))
    }
}

fn padding(tag: Tag) -> u8 {
    let vr = StandardDataDictionary
        .by_tag(tag)
        .map(DataDictionaryEntry::vr);
    if vr == Some(VirtualVr::Exact(VR::UI)) {
        b'\0'
    } else {
        b' '
    }
}

/// Asks, and reads all answers; the second value says whether these are all of them.
pub(crate) fn find(
    association: &mut Association,
    identifier: &Identifier,
) -> Result<(Vec<Attributes>, bool), ArchiveError> {
    let context = association.required(
        CLASS,
        "questions about studies (C-FIND, Study Root)",
        "have this workstation allowed to ask, or use another of its addresses",
    )?;
    let request = (command::FIND_REQUEST, CLASS);
    let message = association.ask(context, request, &identifier.written(), None)?;
    let mut answers = Vec::new();
    let mut is_cancelled = false;
    let mut ignored = 0;
    loop {
        let (came_in, response) = association.receive_command()?;
        if came_in != context || !response.answers(command::FIND_REQUEST, message) {
            return Err(other_message());
        }
        if response.has_data_set() {
            let bytes = association.receive_answer(context)?;
            if answers.len() < limits::ANSWERS {
                answers.push(Attributes::of_data_set(&bytes, Encoding::IMPLICIT_LITTLE)?);
            } else {
                ignored += 1;
            }
        }
        let status = response.status()?;
        match status.kind() {
            StatusKind::Pending => {}
            StatusKind::Success | StatusKind::Warning => {
                return Ok((answers, !is_cancelled && ignored == 0));
            }
            StatusKind::Cancelled if is_cancelled => return Ok((answers, false)),
            StatusKind::Cancelled | StatusKind::Failure => {
                return Err(status.refused());
            }
        }
        if answers.len() >= limits::ANSWERS && !is_cancelled {
            is_cancelled = true;
            association.send_command(context, &Command::cancel(message))?;
        }
        if ignored > limits::ANSWERS {
            // It goes on although it was asked to stop: what came will do.
            return Ok((answers, false));
        }
    }
}

#[cfg(test)]
mod tests {
    use plumbray_film::DataSet;

    use super::*;

    #[test]
    fn an_identifier_is_written_in_order_with_even_values() {
        let written = Identifier::at("STUDY")
            .with(tags::STUDY_INSTANCE_UID, "1.2.3")
            .with(tags::PATIENT_NAME, "Sömple*")
            .asking(&[tags::STUDY_DATE, tags::PATIENT_NAME])
            .written();
        let read = DataSet::read(&written, Encoding::IMPLICIT_LITTLE).expect("a data set");
        let order: Vec<Tag> = read.elements.iter().map(|element| element.tag).collect();
        assert!(order.is_sorted(), "{order:?}");
        assert!(
            read.elements
                .iter()
                .all(|element| element.bytes.len() % 2 == 0),
            "even"
        );
        assert_eq!(
            read.text(tags::PATIENT_NAME).as_deref(),
            Some("Sömple*"),
            "name"
        );
        assert_eq!(
            read.text(tags::SPECIFIC_CHARACTER_SET).as_deref(),
            Some("ISO_IR 192"),
            "its character set"
        );
        let uid = read.element(tags::STUDY_INSTANCE_UID).expect("asked");
        assert_eq!(uid.bytes, b"1.2.3\0", "padded by a zero byte");
    }
}
