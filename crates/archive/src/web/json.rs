//! The JSON form of data sets (PS3.18 annex F), read into answers within limits.

use std::fmt;

use dicom_core::Tag;
use serde::{
    Deserialize, Deserializer,
    de::{IgnoredAny, MapAccess, SeqAccess, Visitor},
};

use crate::{attributes::Attributes, error::ArchiveError, limits};

/// One data set: its attributes with text, and its sequences.
#[derive(Debug, Default)]
pub(crate) struct JsonDataSet {
    pub(crate) attributes: Attributes,
    pub(crate) sequences: Vec<(Tag, Vec<Self>)>,
}

impl JsonDataSet {
    /// The items of a sequence.
    pub(crate) fn items(&self, tag: Tag) -> &[Self] {
        self.sequences
            .iter()
            .find(|(known, _)| *known == tag)
            .map_or(&[], |(_, items)| items)
    }
}

/// The answers to a question, at most one more than are read, so that it shows whether there are more.
pub(crate) fn answers(bytes: &[u8]) -> Result<Vec<Attributes>, ArchiveError> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Ok(Vec::new());
    }
    let Answers(data_sets) = serde_json::from_slice(bytes).map_err(ArchiveError::protocol)?;
    Ok(data_sets.into_iter().map(|one| one.attributes).collect())
}

/// A single data set, as the answer to a store is one.
pub(crate) fn data_set(bytes: &[u8]) -> Result<JsonDataSet, ArchiveError> {
    // Some archives wrap it into a list.
    match bytes.iter().find(|byte| !byte.is_ascii_whitespace()) {
        Some(b'[') => {
            let Answers(data_sets) =
                serde_json::from_slice(bytes).map_err(ArchiveError::protocol)?;
            let first = data_sets.into_iter().next();
            first.ok_or_else(|| ArchiveError::protocol("an answer without content"))
        }
        _ => serde_json::from_slice(bytes).map_err(ArchiveError::protocol),
    }
}

struct Answers(Vec<JsonDataSet>);

impl<'de> Deserialize<'de> for Answers {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> Visitor<'de> for List {
            type Value = Answers;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("a list of data sets")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Answers, A::Error> {
                let mut found = Vec::new();
                while found.len() <= limits::ANSWERS
                    && let Some(one) = list.next_element()?
                {
                    found.push(one);
                }
                while list.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Answers(found))
            }
        }
        deserializer.deserialize_seq(List)
    }
}

impl<'de> Deserialize<'de> for JsonDataSet {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Attribute;
        impl<'de> Visitor<'de> for Attribute {
            type Value = JsonDataSet;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("a data set")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<JsonDataSet, A::Error> {
                let mut data_set = JsonDataSet::default();
                while let Some(key) = map.next_key::<String>()? {
                    let Some(tag) = tag_of(&key) else {
                        map.next_value::<IgnoredAny>()?;
                        continue;
                    };
                    let element: Element = map.next_value()?;
                    let mut texts = Vec::new();
                    let mut items = Vec::new();
                    for value in element.values {
                        match value {
                            Value::Text(text) => texts.push(text),
                            Value::Item(item) => items.push(item),
                            Value::Other => texts.push(String::new()),
                        }
                    }
                    if !items.is_empty() {
                        data_set.sequences.push((tag, items));
                    } else if !texts.is_empty() {
                        data_set.attributes.insert(tag, texts);
                    }
                }
                Ok(data_set)
            }
        }
        deserializer.deserialize_map(Attribute)
    }
}

/// A tag as JSON keys write it: eight hexadecimal digits.
fn tag_of(key: &str) -> Option<Tag> {
    if key.len() != 8 || !key.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return None;
    }
    let number = u32::from_str_radix(key, 16).ok()?;
    let group = u16::try_from(number >> 16).ok()?;
    let element = u16::try_from(number & 0xFFFF).ok()?;
    Some(Tag(group, element))
}

/// One element; what is not among its values (a bulk data address, inline binary) is left out.
#[derive(Deserialize)]
struct Element {
    #[serde(rename = "Value", default)]
    values: Vec<Value>,
}

enum Value {
    Text(String),
    Item(JsonDataSet),
    Other,
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AnyValue)
    }
}

struct AnyValue;

impl<'de> Visitor<'de> for AnyValue {
    type Value = Value;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a value of a data set")
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        let shown: String = text.chars().filter(|c| !c.is_control()).collect();
        Ok(Value::Text(shown.trim().to_owned()))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        Ok(Value::Text(number.to_string()))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Text(number.to_string()))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        Ok(Value::Text(number.to_string()))
    }

    fn visit_bool<E>(self, _truth: bool) -> Result<Value, E> {
        Ok(Value::Other)
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Other)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        while list.next_element::<IgnoredAny>()?.is_some() {}
        Ok(Value::Other)
    }

    /// A person's name by its groups, or an item of a sequence.
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut groups: [Option<String>; 3] = [None, None, None];
        let mut item = JsonDataSet::default();
        while let Some(key) = map.next_key::<String>()? {
            let group = ["Alphabetic", "Ideographic", "Phonetic"]
                .iter()
                .position(|name| *name == key);
            if let Some(group) = group {
                if let Value::Text(text) = map.next_value()? {
                    groups[group] = Some(text);
                }
            } else if let Some(tag) = tag_of(&key) {
                let element: Element = map.next_value()?;
                let texts = element.values.into_iter().filter_map(|value| match value {
                    Value::Text(text) => Some(text),
                    Value::Item(_) | Value::Other => None,
                });
                item.attributes.insert(tag, texts.collect());
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        if groups.iter().any(Option::is_some) {
            let groups = groups.map(Option::unwrap_or_default);
            return Ok(Value::Text(
                groups.join("=").trim_end_matches('=').to_owned(),
            ));
        }
        Ok(Value::Item(item))
    }
}

#[cfg(test)]
mod tests {
    use dicom_dictionary_std::tags;
    use proptest::prelude::*;

    use super::*;

    const STUDY: &str = r#"[{"00080005":{"vr":"CS","Value":["ISO_IR 192"]},
        "0020000D":{"vr":"UI","Value":["1.2.3"]},
        "00100010":{"vr":"PN","Value":[{"Alphabetic":"Yamada^Tarou","Ideographic":"山田^太郎"}]},
        "00201208":{"vr":"IS","Value":[2]},"00080061":{"vr":"CS","Value":["DX",null,"SR"]},
        "00080050":{"vr":"SH"},"7FE00010":{"vr":"OW","BulkDataURI":"x"}}]"#;

    #[test]
    fn an_answer_is_read() {
        let found = answers(STUDY.as_bytes()).expect("read");
        assert_eq!(
            found[0].name(tags::PATIENT_NAME).as_deref(),
            Some("Yamada, Tarou"),
            "name"
        );
        assert_eq!(
            found[0].texts(tags::MODALITIES_IN_STUDY),
            ["DX", "SR"],
            "two of three"
        );
        assert_eq!(
            found[0].number(tags::NUMBER_OF_STUDY_RELATED_INSTANCES),
            Some(2),
            "count"
        );
        assert_eq!(found[0].text(tags::ACCESSION_NUMBER), None, "without value");
    }

    #[test]
    fn no_answer_is_an_empty_list() {
        assert!(answers(b"").expect("read").is_empty(), "no content");
        assert!(answers(b"[]").expect("read").is_empty(), "an empty list");
    }

    #[test]
    fn bottomless_nesting_and_endless_lists_are_bounded() {
        let deep = "[".repeat(100_000);
        assert!(answers(deep.as_bytes()).is_err(), "too deep");
        let items = "{\"00081199\":{\"Value\":[".repeat(10_000);
        assert!(data_set(items.as_bytes()).is_err(), "too deep");
        let long = format!("[{}{{}}]", "{},".repeat(100_000));
        let found = answers(long.as_bytes()).expect("read");
        assert_eq!(found.len(), limits::ANSWERS + 1, "no more than that");
    }

    proptest! {
        #[test]
        fn a_damaged_answer_is_read_or_refused(at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<prop::sample::Index>()) {
            let mut bytes = STUDY.as_bytes().to_vec();
            let at = at.index(bytes.len());
            bytes[at] = byte;
            bytes.truncate(cut.index(bytes.len() + 1));
            let _either = (answers(&bytes).is_ok(), data_set(&bytes).is_ok());
        }
    }
}
