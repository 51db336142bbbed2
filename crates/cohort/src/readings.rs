//! Several studies of one film are one foot read several times: which of them counts.

use std::collections::HashMap;

use crate::row::StudyRow;

/// A film of one foot, by a part of the hash of its content and its side. Two films fall together once in 2⁶⁴.
type FilmKey = u64;

/// The latest reading of each film.
#[derive(Debug, Default)]
pub(crate) struct LatestReadings {
    latest: HashMap<FilmKey, Reading>,
    /// Studies without a film, which can be a reading of nothing else.
    without_film: u64,
}

/// When a study was traced, and which it is; ordered by time, then by path, so that the choice is always the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Reading {
    traced_at: Option<jiff::Timestamp>,
    path: String,
}

impl LatestReadings {
    /// Takes a study in.
    pub(crate) fn add(&mut self, row: &StudyRow) {
        let Some(facts) = row.facts() else { return };
        let Some(key) = key_of(row) else {
            self.without_film += 1;
            return;
        };
        let reading = Reading {
            traced_at: facts.traced_at,
            path: row.path.clone(),
        };
        let kept = self.latest.entry(key).or_insert_with(|| reading.clone());
        if *kept < reading {
            *kept = reading;
        }
    }

    /// Whether this study is the reading of its film that counts.
    pub(crate) fn counts(&self, row: &StudyRow) -> bool {
        let key = key_of(row);
        key.and_then(|key| self.latest.get(&key))
            .is_none_or(|latest| latest.path == row.path)
    }

    /// How many films were read.
    pub(crate) fn films(&self) -> u64 {
        self.latest.len() as u64 + self.without_film
    }
}

fn key_of(row: &StudyRow) -> Option<FilmKey> {
    let (film, side) = row.facts()?.what_is_read()?;
    let side = side.map_or("", plumbray_anatomy::Side::identifier);
    let hash = blake3::hash(format!("{film} {side}").as_bytes());
    let first: [u8; 8] = hash.as_bytes()[..8].try_into().ok()?;
    Some(u64::from_le_bytes(first))
}
