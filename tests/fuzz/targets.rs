//! What is fed: everything that reads what came from outside.

use plumbray_film::{Film, directory_films, film_summary_of};
use plumbray_study::study_from_text;

/// What a reader made of an input.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answer {
    Accepted,
    Refused,
}

/// A reader, by the folder of its seeds.
pub(crate) struct Target {
    pub name: &'static str,
    pub read: fn(&[u8]) -> Answer,
}

/// Every reader.
pub(crate) static TARGETS: [Target; 4] = [
    Target {
        name: "film",
        read: |bytes| answer(&Film::from_bytes(bytes)),
    },
    Target {
        name: "summary",
        read: |bytes| answer(&film_summary_of(bytes)),
    },
    Target {
        name: "directory",
        read: |bytes| answer(&directory_films(bytes)),
    },
    Target {
        name: "study",
        read: |bytes| answer(&study_from_text(&String::from_utf8_lossy(bytes))),
    },
];

fn answer<T, E>(outcome: &Result<T, E>) -> Answer {
    if outcome.is_ok() {
        Answer::Accepted
    } else {
        Answer::Refused
    }
}
