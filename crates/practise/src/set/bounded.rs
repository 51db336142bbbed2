//! What practice files hold, checked while it is read, so that an error names the line.

use std::{fs::File, io::Read as _, path::Path};

use plumbray_anatomy::{Calibration, CalibrationBasis, PixelSpacing, Proportions};
use plumbray_measure::Measurement;
use plumbray_study::ContentHash;
use serde::{Deserialize, Serialize, de::DeserializeOwned};

use super::error::{Damage, SetError};

/// The longest text that a set may hold, in bytes.
const LONGEST_TEXT_BYTES: usize = 1000;

/// The longest name of a file within a set, in bytes.
const LONGEST_NAME_BYTES: usize = 200;

/// A text that a person reads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(crate) struct Text(pub(crate) String);

impl TryFrom<String> for Text {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        if text.len() <= LONGEST_TEXT_BYTES {
            Ok(Self(text))
        } else {
            Err(format!(
                "a text of {} bytes is too long; {LONGEST_TEXT_BYTES} are allowed",
                text.len()
            ))
        }
    }
}

impl From<Text> for String {
    fn from(text: Text) -> Self {
        text.0
    }
}

/// The name of a file within a set's folder, which it may not leave.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(crate) struct FileName(pub(crate) String);

impl TryFrom<String> for FileName {
    type Error = String;

    fn try_from(name: String) -> Result<Self, String> {
        // A backslash or a colon leaves the folder on some systems, and no film needs one.
        let forbidden = |letter: char| matches!(letter, '\\' | ':') || letter.is_control();
        let stays = name.split('/').all(|part| !matches!(part, "" | "." | ".."));
        if stays && name.len() <= LONGEST_NAME_BYTES && !name.contains(forbidden) {
            Ok(Self(name))
        } else {
            let start: String = name.chars().take(80).collect();
            Err(format!(
                "“{start}” is not the name of a file within the set's folder"
            ))
        }
    }
}

impl From<FileName> for String {
    fn from(name: FileName) -> Self {
        name.0
    }
}

/// A measurement by its identifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "&'static str")]
pub(crate) struct MeasurementName(pub(crate) Measurement);

impl TryFrom<String> for MeasurementName {
    type Error = String;

    fn try_from(name: String) -> Result<Self, String> {
        Measurement::from_identifier(&name)
            .map(Self)
            .ok_or_else(|| {
                let start: String = name.chars().take(80).collect();
                format!("“{start}” is not the name of a measurement")
            })
    }
}

impl From<MeasurementName> for &'static str {
    fn from(name: MeasurementName) -> Self {
        name.0.identifier()
    }
}

/// A content hash as 64 hexadecimal digits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(crate) struct Hash(pub(crate) ContentHash);

impl TryFrom<String> for Hash {
    type Error = plumbray_study::NotAContentHash;

    fn try_from(text: String) -> Result<Self, plumbray_study::NotAContentHash> {
        text.parse().map(Self)
    }
}

impl From<Hash> for String {
    fn from(hash: Hash) -> Self {
        hash.0.to_string()
    }
}

/// The shape of a film's pixels.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub(crate) struct PixelShape(pub(crate) Proportions);

impl TryFrom<f64> for PixelShape {
    type Error = String;

    fn try_from(height_over_width: f64) -> Result<Self, String> {
        Proportions::new(height_over_width)
            .map(Self)
            .ok_or_else(|| format!("no pixel is {height_over_width} times as high as wide"))
    }
}

impl From<PixelShape> for f64 {
    fn from(shape: PixelShape) -> Self {
        shape.0.height_over_width()
    }
}

/// A film's calibration as a file holds it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CalibrationFields {
    between_rows_mm: f64,
    between_columns_mm: f64,
    basis: CalibrationBasis,
    relative_sd: f64,
}

/// A film's calibration.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "CalibrationFields", into = "CalibrationFields")]
pub(crate) struct PixelSize(pub(crate) Calibration);

impl TryFrom<CalibrationFields> for PixelSize {
    type Error = String;

    fn try_from(fields: CalibrationFields) -> Result<Self, String> {
        let spacing = PixelSpacing::new(fields.between_rows_mm, fields.between_columns_mm)
            .map_err(|error| error.to_string())?;
        let size = match fields.basis {
            CalibrationBasis::EstimatedMagnification { factor: size }
            | CalibrationBasis::RoundObject { diameter_mm: size }
            | CalibrationBasis::KnownDistance { distance_mm: size } => size,
            CalibrationBasis::FileByGeometry
            | CalibrationBasis::FileByFiducial
            | CalibrationBasis::FileOriginUnsaid
            | CalibrationBasis::FileAcceptedByUser
            | CalibrationBasis::AtDetector => 1.0,
        };
        let possible = size.is_finite() && size > 0.0 && (0.0..=1.0).contains(&fields.relative_sd);
        let shape = Proportions::new(fields.between_rows_mm / fields.between_columns_mm);
        if !possible || shape.is_none() {
            return Err("this calibration is not possible".to_owned());
        }
        Ok(Self(Calibration {
            spacing,
            basis: fields.basis,
            relative_sd: fields.relative_sd,
        }))
    }
}

impl From<PixelSize> for CalibrationFields {
    fn from(size: PixelSize) -> Self {
        let Calibration {
            spacing,
            basis,
            relative_sd,
        } = size.0;
        Self {
            between_rows_mm: spacing.between_rows_mm(),
            between_columns_mm: spacing.between_columns_mm(),
            basis,
            relative_sd,
        }
    }
}

/// The bytes of an ordinary file, which may have no more than `most`.
pub(crate) fn read_bytes(path: &Path, most: u64) -> Result<Vec<u8>, SetError> {
    let refused = |cause: std::io::Error| match cause.kind() {
        std::io::ErrorKind::NotFound => SetError::Missing {
            path: path.to_owned(),
        },
        _ => SetError::Unreadable {
            path: path.to_owned(),
            cause,
        },
    };
    // A pipe or a device may never end.
    if !std::fs::metadata(path).map_err(refused)?.is_file() {
        return Err(SetError::Missing {
            path: path.to_owned(),
        });
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(refused)?;
    if bytes.len() as u64 > most {
        return Err(SetError::Content {
            path: path.to_owned(),
            damage: Damage::TooLarge { most },
        });
    }
    Ok(bytes)
}

/// What a RON text says, after a look at its format number alone.
pub(crate) fn parse<T: DeserializeOwned>(
    text: &str,
    known: u32,
    expected: &'static str,
) -> Result<T, Damage> {
    #[derive(Deserialize)]
    struct OnlyVersion {
        format_version: u32,
    }
    let malformed = |error: ron::error::SpannedError| Damage::Malformed {
        line: error.span.end.line,
        column: error.span.end.col,
        what: error.code.to_string(),
    };
    let OnlyVersion { format_version } = ron::from_str(text).map_err(|error| {
        if text.contains("format_version") {
            malformed(error)
        } else {
            Damage::Foreign { expected }
        }
    })?;
    if format_version > known {
        return Err(Damage::Newer {
            found: format_version,
            known,
        });
    }
    ron::from_str(text).map_err(malformed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_may_not_leave_the_folder() {
        for name in [
            "",
            "/etc/film.png",
            "../film.png",
            "a/../../b.png",
            "a//b.png",
            "./a.png",
            "a/",
            "C:film.png",
            "a\\..\\b.png",
            "a\0b",
        ] {
            assert!(FileName::try_from(name.to_owned()).is_err(), "{name:?}");
        }
        for name in ["foot-01-ap.jpg", "films/foot 1/ap.png"] {
            assert!(FileName::try_from(name.to_owned()).is_ok(), "{name:?}");
        }
    }
}
