//! The file in which readers' own spreads are kept: small, plain, versioned.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use plumbray_study::{Study, write_whole};
use serde::{Deserialize, Serialize};

use super::{KeptOfReader, KeptSpread, LEAST_DEGREES_OF_FREEDOM};
use crate::user_folders::settings_file;

/// The version that this program writes.
const VERSION: u32 = 1;

/// A larger file is not ours.
const LARGEST_BYTES: u64 = 1 << 20;

/// What is kept of every reader.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptSpreads {
    version: u32,
    readers: Vec<KeptOfReader>,
}

/// Why readers' own spreads cannot be read or kept. Nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum SpreadFileError {
    /// The file system refused to read it.
    #[error("the file of readers’ own spreads cannot be read ({cause}); name another or put it right: {}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// It is no such file, or damaged.
    #[error(
        "this is no file of readers’ own spreads ({problem}); name another, or move it away and keep the spread again: {}",
        path.display()
    )]
    NotOurs {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        problem: String,
    },
    /// A later version of the program made it.
    #[error(
        "a later Plumbray made this file of readers’ own spreads (version {version}, and this one reads {VERSION}); use that \
         program, or keep the spread in another file: {}",
        path.display()
    )]
    Later {
        /// The file.
        path: PathBuf,
        /// Its version.
        version: u32,
    },
    /// The file system refused to write it.
    #[error("the reader’s own spread cannot be kept ({cause}); choose another place: {}", path.display())]
    NotWritten {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
}

/// What every version says of itself.
#[derive(Deserialize)]
struct Versioned {
    version: u32,
}

impl Default for KeptSpreads {
    fn default() -> Self {
        Self {
            version: VERSION,
            readers: Vec::new(),
        }
    }
}

impl KeptSpreads {
    /// Where this user's are kept, if the system has such a place.
    #[must_use]
    pub fn usual_path() -> Option<PathBuf> {
        settings_file("readers-own-spread.ron")
    }

    /// Reads a file that must be there.
    ///
    /// # Errors
    /// When it cannot be read, is no such file, or a later version made it.
    pub fn read(path: &Path) -> Result<Self, SpreadFileError> {
        let unreadable = |cause| SpreadFileError::Unreadable {
            path: path.to_owned(),
            cause,
        };
        let not_ours = |problem: String| SpreadFileError::NotOurs {
            path: path.to_owned(),
            problem,
        };
        if fs::metadata(path).map_err(unreadable)?.len() > LARGEST_BYTES {
            return Err(not_ours("it is too large".to_owned()));
        }
        let bytes = fs::read(path).map_err(unreadable)?;
        let text = String::from_utf8(bytes).map_err(|problem| not_ours(problem.to_string()))?;
        let versioned: Versioned =
            ron::from_str(&text).map_err(|problem| not_ours(problem.to_string()))?;
        if versioned.version > VERSION {
            return Err(SpreadFileError::Later {
                path: path.to_owned(),
                version: versioned.version,
            });
        }
        let kept: Self = ron::from_str(&text).map_err(|problem| not_ours(problem.to_string()))?;
        kept.checked().map_err(not_ours)
    }

    /// The same; none where there is no file yet.
    ///
    /// # Errors
    /// When there is a file and it cannot be read.
    pub fn read_if_there(path: &Path) -> Result<Self, SpreadFileError> {
        match Self::read(path) {
            Err(SpreadFileError::Unreadable { cause, .. })
                if cause.kind() == io::ErrorKind::NotFound =>
            {
                Ok(Self::default())
            }
            read => read,
        }
    }

    /// Writes the file, whole or not at all.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn write(&self, path: &Path) -> Result<(), SpreadFileError> {
        let refused = |cause| SpreadFileError::NotWritten {
            path: path.to_owned(),
            cause,
        };
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(refused)?;
        }
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(|problem| refused(io::Error::other(problem)))?;
        write_whole(path, text.as_bytes()).map_err(refused)
    }

    /// Keeps spreads of a reader, each in place of the one that was kept of its measurement before.
    pub fn keep(&mut self, reader: &str, spreads: Vec<KeptSpread>) {
        let reader = reader.trim();
        let place = self.readers.iter().position(|kept| kept.reader == reader);
        let place = place.unwrap_or_else(|| {
            self.readers.push(KeptOfReader {
                reader: reader.to_owned(),
                spreads: Vec::new(),
            });
            self.readers.len() - 1
        });
        if let Some(kept) = self.readers.get_mut(place) {
            kept.spreads.retain(|old| {
                let replaced = |new: &KeptSpread| new.measurement == old.measurement;
                !spreads.iter().any(replaced)
            });
            kept.spreads.extend(spreads);
        }
    }

    /// What is kept of a reader of this name; nothing for an empty name.
    #[must_use]
    pub fn of(&self, reader: &str) -> Option<&KeptOfReader> {
        let reader = reader.trim();
        let mut readers = self.readers.iter();
        readers.find(|kept| kept.reader == reader && !reader.is_empty())
    }

    /// What is kept of the reader who traced a study; nothing where the study names nobody.
    #[must_use]
    pub fn of_study(&self, study: &Study) -> Option<&KeptOfReader> {
        self.of(&study.reader.name)
    }

    /// The names of the readers of whom a spread is kept, in their order.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.readers
            .iter()
            .map(|kept| kept.reader.as_str())
            .collect()
    }

    /// Why a kept spread does not count for a study: "kept for Ann; this study names nobody". Nothing where one counts, or
    /// none is kept.
    #[must_use]
    pub fn why_none(&self, study: &Study) -> Option<String> {
        if self.readers.is_empty() || self.of_study(study).is_some() {
            return None;
        }
        let whose = self.names().join(", ");
        let who = match study.reader.name.trim() {
            "" => "this study names nobody".to_owned(),
            name => format!("{name} traced this study"),
        };
        Some(format!(
            "No reader’s own spread counts here: kept for {whose}; {who}."
        ))
    }

    /// What is kept of the reader whom a study names. Where none is named, as in a table of landmarks, the only reader
    /// of the file; nothing where it holds several.
    #[must_use]
    pub fn of_named(&self, reader: &str) -> Option<&KeptOfReader> {
        match (&self.readers[..], reader.trim()) {
            ([only], "") => Some(only),
            (_, named) => self.of(named),
        }
    }

    fn checked(self) -> Result<Self, String> {
        for kept in &self.readers {
            if kept.reader.trim().is_empty() {
                return Err("a reader has no name".to_owned());
            }
            for spread in &kept.spreads {
                checked(spread).map_err(|why| format!("{}, {why}", kept.reader))?;
            }
        }
        Ok(self)
    }
}

fn checked(spread: &KeptSpread) -> Result<(), String> {
    let name = &spread.measurement;
    let Some(measurement) = spread.measurement() else {
        return Err(format!("{name}: there is no such measurement"));
    };
    if !measurement.unit().is_number() {
        return Err(format!("{name}: a position or a grade has no spread"));
    }
    if spread.convention.is_some() && spread.axes().is_none() {
        return Err(format!("{name}: there is no such axis convention"));
    }
    if !(spread.sd.is_finite() && spread.sd > 0.0) {
        return Err(format!("{name}: the spread is not above 0"));
    }
    let degrees = spread.readings.saturating_sub(spread.films);
    if degrees < LEAST_DEGREES_OF_FREEDOM {
        return Err(format!(
            "{name}: {degrees} degrees of freedom, and {LEAST_DEGREES_OF_FREEDOM} are needed"
        ));
    }
    Ok(())
}

/// A day as 2026-11-28.
pub(super) mod day_in_words {
    use jiff::civil::Date;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    pub(in super::super) fn serialize<S: Serializer>(
        day: &Date,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&day.to_string())
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Date, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(measurement: &str, sd: f64, readings: usize) -> KeptSpread {
        KeptSpread {
            measurement: measurement.to_owned(),
            convention: Some("head_base".to_owned()),
            sd,
            films: 12,
            readings,
            kept_on: jiff::civil::date(2026, 11, 28),
        }
    }

    #[test]
    fn what_is_kept_comes_back_and_the_latest_of_a_measurement_stays() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("deeper/own.ron");
        let mut kept = KeptSpreads::read_if_there(&path).expect("none yet");
        assert_eq!(kept, KeptSpreads::default(), "none");
        kept.keep("Ann", vec![spread("hallux_valgus_angle", 1.3, 24)]);
        kept.keep(" Ben", vec![spread("hallux_valgus_angle", 2.0, 24)]);
        let later = vec![
            spread("hallux_valgus_angle", 1.1, 36),
            spread("intermetatarsal_angle_1_2", 0.8, 24),
        ];
        kept.keep("Ann", later.clone());
        kept.write(&path).expect("writable");
        let read = KeptSpreads::read(&path).expect("ours");
        assert_eq!(read, kept, "read back");
        assert_eq!(read.of("Ann ").expect("Ann").spreads, later, "the latest");
        assert_eq!(read.of("Cy"), None, "nobody of this name");
        assert_eq!(read.of(""), None, "no name is nobody");
        assert_eq!(read.of_named(""), None, "one of two");
    }

    #[test]
    fn a_study_by_another_reader_is_not_widened_by_ones_own_spread() {
        let mut kept = KeptSpreads::default();
        kept.keep("Ann", vec![spread("hallux_valgus_angle", 1.3, 24)]);
        let mut study = Study::default();
        assert!(kept.of_study(&study).is_none(), "names nobody");
        assert_eq!(
            kept.why_none(&study).as_deref(),
            Some("No reader’s own spread counts here: kept for Ann; this study names nobody."),
            "and why"
        );
        study.reader.name = "Ben".to_owned();
        assert!(kept.of_study(&study).is_none(), "Ben traced it");
        let why = kept.why_none(&study).unwrap_or_default();
        assert!(why.contains("Ben traced this study"), "{why}");
        study.reader.name = "Ann".to_owned();
        assert!(kept.of_study(&study).is_some(), "her own");
        assert_eq!(kept.why_none(&study), None, "nothing to say");
        assert!(kept.of_named("").is_some(), "the only one of the file");
    }

    #[test]
    fn a_file_that_is_not_ours_says_what_is_wrong_with_it() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("own.ron");
        let told = |text: &str| {
            fs::write(&path, text).expect("writable");
            KeptSpreads::read(&path).expect_err("not ours").to_string()
        };
        for (text, word) in [
            ("(version: 9, readers: 7)", "later Plumbray"),
            ("(theme: 7", "no file of readers’ own spreads"),
            (
                "(version: 1, readers: [(reader: \" \", spreads: [])])",
                "no name",
            ),
        ] {
            let said = told(text);
            assert!(said.contains(word), "{word}: {said}");
            assert!(said.contains("own.ron"), "where: {said}");
        }
        for (wrong, word) in [
            (spread("hallux_valgus_angle", 0.0, 24), "not above 0"),
            (
                spread("hallux_valgus_angle", f64::INFINITY, 24),
                "not above 0",
            ),
            (
                spread("hallux_valgus_angle", 1.0, 21),
                "9 degrees of freedom",
            ),
            (spread("hallux", 1.0, 24), "no such measurement"),
            (spread("tibial_sesamoid_grade", 1.0, 24), "has no spread"),
        ] {
            let mut kept = KeptSpreads::default();
            kept.keep("Ann", vec![wrong]);
            kept.write(&path).expect("writable");
            let said = KeptSpreads::read(&path).expect_err("wrong").to_string();
            assert!(said.contains(word), "{word}: {said}");
        }
    }
}
