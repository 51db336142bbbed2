//! Whom a DICOM file names as its patient. Read only when asked for, apart from the film itself.

use dicom_dictionary_std::tags;

use super::{element::DataSet, header};
use crate::{error::FilmProblem, patient::PatientIdentity};

/// Reads what a DICOM file says of its patient; pixels are not decoded.
pub(crate) fn read(bytes: &[u8]) -> Result<PatientIdentity, FilmProblem> {
    let located = header::locate(bytes)?;
    let data_set = DataSet::read(&located.data_set, located.encoding)?;
    Ok(identity(&data_set))
}

/// What a data set says of its patient.
pub(super) fn identity(data_set: &DataSet<'_>) -> PatientIdentity {
    PatientIdentity {
        name: data_set
            .readable(tags::PATIENT_NAME)
            .map(|name| name_in_words(&name))
            .filter(|name| !name.is_empty()),
        identifier: data_set.readable(tags::PATIENT_ID),
        birth_date: data_set
            .text(tags::PATIENT_BIRTH_DATE)
            .map(|date| date_in_digits(&date)),
    }
}

/// A person name (PS3.5 6.2.1.1) as it is written in a line: family name first. Of its groups (alphabetic,
/// ideographic, phonetic) the first that is there is taken.
#[must_use]
pub fn name_in_words(name: &str) -> String {
    let group = name.split('=').find(|group| !group.trim().is_empty());
    let parts: Vec<&str> = group
        .unwrap_or_default()
        .split('^')
        .map(str::trim)
        .filter(|part| !part.is_empty())
        .collect();
    match parts.as_slice() {
        [] => String::new(),
        [family] => (*family).to_owned(),
        [family, others @ ..] => format!("{family}, {}", others.join(" ")),
    }
}

/// `20260105` as `2026-01-05`; anything else as it stands.
fn date_in_digits(date: &str) -> String {
    let is_plain = date.len() == 8 && date.bytes().all(|digit| digit.is_ascii_digit());
    if is_plain {
        format!("{}-{}-{}", &date[..4], &date[4..6], &date[6..])
    } else {
        date.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_written_in_a_line() {
        for (name, expected) in [
            ("Sample^Foot", "Sample, Foot"),
            ("Sample^Foot^Maria^Dr^", "Sample, Foot Maria Dr"),
            ("Sample", "Sample"),
            ("=山田^太郎=", "山田, 太郎"),
            ("^^^", ""),
        ] {
            assert_eq!(name_in_words(name), expected, "{name}");
        }
    }

    #[test]
    fn a_date_has_hyphens() {
        assert_eq!(date_in_digits("20260105"), "2026-01-05", "a date");
        assert_eq!(date_in_digits("2026/1/5"), "2026/1/5", "something else");
    }
}
