//! Unique identifiers, checked where they come in, because they become names of files and parts of addresses.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A DICOM unique identifier (PS3.5 9.1): digits and dots, at most 64 of them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Uid(String);

impl Uid {
    /// The identifier in a text, padding at its end left out; nothing when it is none.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let text = text.trim_end_matches(['\0', ' ']);
        let is_one = (1..=64).contains(&text.len())
            && text
                .split('.')
                .all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit()));
        is_one.then(|| Self(text.to_owned()))
    }

    /// The identifier as it is written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Uid {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

impl TryFrom<String> for Uid {
    type Error = String;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::new(&text).ok_or_else(|| format!("“{text}” is no DICOM identifier"))
    }
}

impl From<Uid> for String {
    fn from(uid: Uid) -> Self {
        uid.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_is_digits_and_dots() {
        for text in ["1.2.840.10008.1.1", "1", "2.25.0\0", "1.2 "] {
            assert!(Uid::new(text).is_some(), "{text:?}");
        }
        let long = "1.".repeat(32) + "12";
        for text in ["", "1..2", ".1", "1.", "../../etc", "1.2/3", "1.a", &long] {
            assert!(Uid::new(text).is_none(), "{text:?}");
        }
    }
}
