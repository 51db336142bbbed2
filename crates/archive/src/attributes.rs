//! One answer of an archive: what it says of a study, a series or an object, whichever way it came.

use std::collections::BTreeMap;

use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;
use plumbray_film::{DataSet, Encoding, name_in_words, text_in_character_sets};

use crate::{error::ArchiveError, uid::Uid};

/// The attributes of one answer that have text or a whole number, each with its values.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Attributes(BTreeMap<Tag, Vec<String>>);

impl Attributes {
    /// Reads an answer that came as a data set of an association.
    ///
    /// # Errors
    /// When it is no data set.
    pub(crate) fn of_data_set(bytes: &[u8], encoding: Encoding) -> Result<Self, ArchiveError> {
        let data_set = DataSet::read(bytes, encoding).map_err(ArchiveError::protocol)?;
        let sets = data_set.texts(tags::SPECIFIC_CHARACTER_SET);
        let mut attributes = BTreeMap::new();
        for element in &data_set.elements {
            let values = match element.vr {
                VR::US | VR::UL => data_set
                    .numbers(element.tag)
                    .iter()
                    .map(ToString::to_string)
                    .collect(),
                VR::SQ | VR::OB | VR::OW | VR::UN => continue,
                VR::LT | VR::ST | VR::UT => {
                    vec![trimmed(&text_in_character_sets(element.bytes, &sets))]
                }
                _ => text_in_character_sets(element.bytes, &sets)
                    .split('\\')
                    .map(trimmed)
                    .collect(),
            };
            attributes.insert(element.tag, values);
        }
        Ok(Self(attributes))
    }

    pub(crate) fn insert(&mut self, tag: Tag, values: Vec<String>) {
        self.0.insert(tag, values);
    }

    /// The first value, if it is not empty.
    pub(crate) fn text(&self, tag: Tag) -> Option<String> {
        self.0
            .get(&tag)?
            .first()
            .filter(|text| !text.is_empty())
            .cloned()
    }

    /// All values that are not empty.
    pub(crate) fn texts(&self, tag: Tag) -> Vec<String> {
        let values = self.0.get(&tag).into_iter().flatten();
        values.filter(|text| !text.is_empty()).cloned().collect()
    }

    /// A person's name as it is written in a line, family name first.
    pub(crate) fn name(&self, tag: Tag) -> Option<String> {
        let name = name_in_words(&self.text(tag)?);
        (!name.is_empty()).then_some(name)
    }

    pub(crate) fn uid(&self, tag: Tag) -> Option<Uid> {
        Uid::new(&self.text(tag)?)
    }

    pub(crate) fn number(&self, tag: Tag) -> Option<u32> {
        self.text(tag)?.parse().ok()
    }

    /// A date (PS3.5 6.2, DA), also in the retired form with dots.
    pub(crate) fn date(&self, tag: Tag) -> Option<jiff::civil::Date> {
        let digits: String = self.text(tag)?.chars().filter(|c| *c != '.').collect();
        if digits.len() != 8 || !digits.bytes().all(|digit| digit.is_ascii_digit()) {
            return None;
        }
        let year = digits[..4].parse().ok()?;
        let month = digits[4..6].parse().ok()?;
        jiff::civil::Date::new(year, month, digits[6..].parse().ok()?).ok()
    }

    /// A time of day (PS3.5 6.2, TM) as hours and minutes: `14:05`.
    pub(crate) fn time(&self, tag: Tag) -> Option<String> {
        let text = self.text(tag)?;
        let digits: String = text.chars().filter(char::is_ascii_digit).take(4).collect();
        (digits.len() == 4).then(|| format!("{}:{}", &digits[..2], &digits[2..]))
    }
}

fn trimmed(text: &str) -> String {
    let is_padding = |letter: char| letter == '\0' || letter.is_whitespace();
    let shown = text.trim_matches(is_padding);
    shown.chars().filter(|c| !c.is_control()).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn element(tag: Tag, value: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        bytes.extend(tag.group().to_le_bytes());
        bytes.extend(tag.element().to_le_bytes());
        bytes.extend(u32::try_from(value.len()).expect("short").to_le_bytes());
        bytes.extend(value);
        bytes
    }

    #[test]
    fn an_answer_says_names_dates_and_times_in_words() {
        let bytes = [
            element(tags::SPECIFIC_CHARACTER_SET, b"ISO_IR 100"),
            element(tags::STUDY_DATE, b"20260105"),
            element(tags::STUDY_TIME, b"140509.25 "),
            element(tags::MODALITIES_IN_STUDY, b"DX\\SR "),
            element(tags::PATIENT_NAME, b"Sample^J\xe9r\xf4me "),
            element(tags::STUDY_INSTANCE_UID, b"1.2.3\0"),
        ]
        .concat();
        let answer = Attributes::of_data_set(&bytes, Encoding::IMPLICIT_LITTLE).expect("read");
        assert_eq!(
            answer.name(tags::PATIENT_NAME).as_deref(),
            Some("Sample, Jérôme"),
            "name"
        );
        assert_eq!(
            answer.date(tags::STUDY_DATE),
            Some(jiff::civil::date(2026, 1, 5)),
            "date"
        );
        assert_eq!(
            answer.time(tags::STUDY_TIME).as_deref(),
            Some("14:05"),
            "time"
        );
        assert_eq!(
            answer.texts(tags::MODALITIES_IN_STUDY),
            ["DX", "SR"],
            "two values"
        );
        assert_eq!(
            answer.uid(tags::STUDY_INSTANCE_UID),
            Uid::new("1.2.3"),
            "padded"
        );
    }

    proptest! {
        #[test]
        fn any_answer_is_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            if let Ok(answer) = Attributes::of_data_set(&bytes, Encoding::IMPLICIT_LITTLE) {
                let _dates = (answer.date(tags::STUDY_DATE), answer.time(tags::STUDY_TIME));
            }
        }

        #[test]
        fn any_date_and_time_are_read_or_left_out(text in "\\PC{0,12}") {
            let mut answer = Attributes::default();
            answer.insert(tags::STUDY_DATE, vec![text.clone()]);
            answer.insert(tags::STUDY_TIME, vec![text]);
            let _dates = (answer.date(tags::STUDY_DATE), answer.time(tags::STUDY_TIME));
        }
    }
}
