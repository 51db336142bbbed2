//! The films of visits that are being looked at.

use std::{collections::BTreeMap, path::PathBuf, sync::Arc};

use plumbray_anatomy::View;
use plumbray_film::Pyramid;

use super::VisitOnDisk;

/// A film that was opened, or why it could not be.
pub type Opened = Result<Arc<Pyramid>, String>;

/// Films of visits, each opened when it is first asked for. A foot may have two hundred visits, and only the
/// films of some are in memory at a time.
#[derive(Clone, Debug, Default)]
pub struct OpenedFilms(BTreeMap<(PathBuf, View), Opened>);

impl OpenedFilms {
    /// The film of a visit, opened now if it was not yet; nothing where its study has none. A film that cannot
    /// be opened is no failure: films are then laid over each other by what was traced.
    pub fn open(&mut self, visit: &VisitOnDisk, view: View) -> Option<Opened> {
        let path = visit.film_path(view)?;
        let picture = visit.study.film(view)?.picture;
        let key = (visit.path.clone(), view);
        let opened = self.0.entry(key).or_insert_with(|| {
            plumbray_film::open_frame(&path, picture.get())
                .map(|film| Arc::new(film.pyramid()))
                .map_err(|problem| problem.to_string())
        });
        Some(opened.clone())
    }

    /// The film of a visit, if it was opened.
    #[must_use]
    pub fn get(&self, visit: &VisitOnDisk, view: View) -> Option<&Arc<Pyramid>> {
        self.0.get(&(visit.path.clone(), view))?.as_ref().ok()
    }

    /// Why films could not be opened.
    pub fn problems(&self) -> impl Iterator<Item = &str> {
        self.0
            .values()
            .filter_map(|opened| opened.as_ref().err().map(String::as_str))
    }

    /// Puts all films away but those of these visits. A film that could not be opened gets another try.
    pub fn keep_only(&mut self, visits: &[&VisitOnDisk]) {
        self.0.retain(|(path, _), opened| {
            opened.is_ok() && visits.iter().any(|visit| visit.path == *path)
        });
    }
}
