//! A study's file becomes a row.

use std::{
    fs::{File, Metadata},
    io::{self, Read as _},
    path::Path,
    time::{SystemTime, UNIX_EPOCH},
};

use plumbray_anatomy::View;
use plumbray_compare::{Recurrence, choices_of, foot_of};
use plumbray_measure::{
    AxisConvention, Choices, Measurement, Outcome, SeverityOutcome, measure, worksheet,
};
use plumbray_study::{
    ContentHash, FilmRecord, FormatError, MAX_FILE_BYTES, Study, study_from_text,
};

use crate::row::{COMPARED, Content, FileStamp, HEADLINES, Number, StudyFacts, StudyRow};

/// The convention by which visits of a foot are held against each other: the one that `plumbray compare` takes
/// where nobody chose another.
pub const SHARED_CONVENTION: AxisConvention = AxisConvention::HeadBase;

/// A study's bytes as they were read.
pub(crate) struct ReadFile {
    pub(crate) stamp: FileStamp,
    /// The file's bytes, or why there are none.
    pub(crate) bytes: Result<Vec<u8>, String>,
}

impl ReadFile {
    /// The hash of the bytes; nothing where there are none.
    pub(crate) fn hash(&self) -> Option<String> {
        let bytes = self.bytes.as_deref().ok()?;
        Some(ContentHash::of_bytes(bytes).to_string())
    }

    /// The row of the study at a path relative to the series' folder.
    pub(crate) fn row(self, path: &str) -> StudyRow {
        let hash = self.hash();
        let content = match self.bytes.and_then(|bytes| {
            study_of(&bytes).map_err(|problem| format!("{problem}. The file was left as it is"))
        }) {
            Ok(study) => Content::Read(Box::new(facts_of(&study))),
            Err(problem) => Content::Unreadable(problem),
        };
        StudyRow {
            path: path.to_owned(),
            stamp: self.stamp,
            hash,
            content,
        }
    }
}

/// Reads a file; nothing where there is none. The stamp is that of the very file whose bytes were read, also when
/// another takes its place meanwhile.
pub(crate) fn read_file(path: &Path, seen: FileStamp) -> Option<ReadFile> {
    let refused = |problem: &io::Error| ReadFile {
        stamp: seen,
        bytes: Err(format!(
            "the study cannot be read ({problem}); check the disk and the right to read it"
        )),
    };
    // A pipe or a device may never end, and opening it may wait for ever.
    match std::fs::metadata(path) {
        Err(problem) if problem.kind() == io::ErrorKind::NotFound => return None,
        Err(problem) => return Some(refused(&problem)),
        Ok(metadata) if !metadata.is_file() => {
            let problem =
                io::Error::new(io::ErrorKind::InvalidInput, "this is not an ordinary file");
            return Some(refused(&problem));
        }
        Ok(_) => {}
    }
    let read = || -> io::Result<(FileStamp, Vec<u8>)> {
        let file = File::open(path)?;
        let stamp = stamp_of(&file.metadata()?);
        let mut bytes = Vec::new();
        file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes)?;
        Ok((stamp, bytes))
    };
    match read() {
        Ok((stamp, bytes)) => Some(ReadFile {
            stamp,
            bytes: Ok(bytes),
        }),
        Err(problem) if problem.kind() == io::ErrorKind::NotFound => None,
        Err(problem) => Some(refused(&problem)),
    }
}

/// By what the file will be known again.
pub(crate) fn stamp_of(metadata: &Metadata) -> FileStamp {
    FileStamp {
        size_bytes: metadata.len(),
        modified_nanoseconds: metadata.modified().map_or(0, nanoseconds),
    }
}

/// Nanoseconds since 1970 in UTC; at the ends of what 64 bits hold for times centuries away.
pub(crate) fn nanoseconds(time: SystemTime) -> i64 {
    match time.duration_since(UNIX_EPOCH) {
        Ok(since) => i64::try_from(since.as_nanos()).unwrap_or(i64::MAX),
        Err(before) => i64::try_from(before.duration().as_nanos()).map_or(i64::MIN, |n| -n),
    }
}

fn study_of(bytes: &[u8]) -> Result<Study, FormatError> {
    if bytes.len() as u64 > MAX_FILE_BYTES {
        return Err(FormatError::TooLarge {
            bytes: bytes.len() as u64,
        });
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => study_from_text(text),
        Err(error) => {
            let good = &bytes[..error.valid_up_to()];
            let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
            Err(FormatError::NotText { line })
        }
    }
}

/// What the table says of a study.
#[must_use]
pub fn facts_of(study: &Study) -> StudyFacts {
    let foot = foot_of(study);
    let choices = choices_of(study);
    let sheet = worksheet(&foot, &choices);
    let shared = Choices {
        convention: Some(SHARED_CONVENTION),
        ..Choices::default()
    };
    let by_shared = |measurement| measure(&foot, &shared, measurement);
    let own = |measurement: Measurement| {
        let outcome = sheet.outcome(measurement);
        outcome.map_or_else(
            || Number::Missing(String::new()),
            |outcome| Number::of(measurement, outcome),
        )
    };
    let standing = |limit: Recurrence| {
        let outcome: Outcome = by_shared(limit.measurement());
        limit.standing(&outcome)
    };
    let date = |view| study.film(view).and_then(|film| film.date);
    StudyFacts {
        side: study.foot(),
        side_confirmed: study.side.is_some_and(|choice| choice.confirmed),
        visit: study.visit.label.trim().to_owned(),
        ap_date: date(View::Ap),
        lateral_date: date(View::Lateral),
        operated: study.visit.operated,
        stance: study.visit.stance,
        reader: study.reader.name.trim().to_owned(),
        traced_at: study.reader.traced_at,
        draft: study.draft_of_the_program().map(|placed| placed as u64),
        films: View::ALL.map(|view| study.film(view).map(FilmRecord::picture_identity)),
        severity_scheme: choices.severity.identifier().to_owned(),
        severity: match sheet.severity {
            SeverityOutcome::Graded(severity) => Some(severity.class),
            SeverityOutcome::Ungraded(_) | SeverityOutcome::ImpossibleReaderError => None,
        },
        numbers: HEADLINES.map(own).to_vec(),
        compared: COMPARED
            .map(|measurement| Number::of(measurement, &by_shared(measurement)))
            .to_vec(),
        standings: Recurrence::ALL.map(standing),
    }
}
