//! A study without whom it is about.

use plumbray_anatomy::View;
use plumbray_study::{ContentHash, History, Reader, Study, Visit};

/// A study about the same foot that names nobody, no day and no file: what sheets and objects are made from when they
/// leave without identity. `films` are the files of its films after their identity was removed, in the order of
/// [`View::ALL`].
#[must_use]
pub fn study_without_identity(study: &Study, films: [Option<&[u8]>; 2]) -> Study {
    let mut bare = Study {
        visit: Visit {
            label: String::new(),
            operation: None,
            ..study.visit.clone()
        },
        reader: Reader::default(),
        earlier_tracings: Vec::new(),
        plans: Vec::new(),
        history: History::default(),
        ..study.clone()
    };
    for (view, film) in View::ALL.into_iter().zip(films) {
        if let Some(record) = bare.film_mut(view) {
            record.file = format!("{}-film", view.identifier());
            record.date = None;
            if let Some(bytes) = film {
                record.hash = ContentHash::of_bytes(bytes);
            }
        }
    }
    bare
}
