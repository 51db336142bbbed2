//! The small pictures of the films that are on the screen, and of those that were there last.

use std::{collections::BTreeMap, sync::Arc};

use crate::workbench::GreyPicture;

/// No more small pictures than this are kept.
const MOST_KEPT: usize = 200;

/// A film's small picture, or why it cannot be shown, in short.
pub(crate) type SmallFilm = Result<Arc<GreyPicture>, String>;

/// The small pictures of a disc.
#[derive(Debug, Default)]
pub(super) struct SmallFilms {
    /// With when each was last on the screen.
    kept: BTreeMap<usize, (SmallFilm, u64)>,
    /// The films on the screen.
    in_view: Vec<usize>,
    /// The film that a worker decodes.
    decoding: Option<usize>,
    looks: u64,
}

impl SmallFilms {
    pub(super) fn of(&self, film: usize) -> Option<&SmallFilm> {
        self.kept.get(&film).map(|(picture, _)| picture)
    }

    pub(super) fn in_view(&self) -> &[usize] {
        &self.in_view
    }

    pub(super) const fn decoding(&self) -> Option<usize> {
        self.decoding
    }

    /// Other films are on the screen.
    pub(super) fn look_at(&mut self, films: Vec<usize>) {
        self.looks += 1;
        for film in &films {
            if let Some((_, last)) = self.kept.get_mut(film) {
                *last = self.looks;
            }
        }
        self.in_view = films;
    }

    /// The film to decode next; nothing while one is being decoded or nothing is missing.
    pub(super) fn begin_next(&mut self) -> Option<usize> {
        if self.decoding.is_some() {
            return None;
        }
        let missing = |film: &&usize| !self.kept.contains_key(*film);
        self.decoding = self.in_view.iter().find(missing).copied();
        self.decoding
    }

    /// The film that was decoded is kept; what was longest off the screen makes room.
    pub(super) fn take_in(&mut self, picture: SmallFilm) {
        let Some(film) = self.decoding.take() else {
            return;
        };
        self.kept.insert(film, (picture, self.looks));
        while self.kept.len() > MOST_KEPT {
            let oldest = self.kept.iter().min_by_key(|(_, (_, last))| *last);
            let Some(oldest) = oldest.map(|(film, _)| *film) else {
                return;
            };
            self.kept.remove(&oldest);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_into_view_is_decoded_one_after_another_and_once() {
        let mut films = SmallFilms::default();
        films.look_at(vec![4, 5]);
        assert_eq!(films.begin_next(), Some(4), "the first");
        assert_eq!(films.begin_next(), None, "one at a time");
        films.take_in(Err("damaged".to_owned()));
        assert_eq!(films.begin_next(), Some(5), "the second");
        films.take_in(Ok(Arc::default()));
        assert_eq!(films.begin_next(), None, "all are there");
        assert_eq!(
            films.of(4),
            Some(&Err("damaged".to_owned())),
            "a film that cannot be decoded is not tried again"
        );
    }

    #[test]
    fn two_hundred_are_kept_and_the_last_on_the_screen_stay() {
        let mut films = SmallFilms::default();
        for film in 0..300 {
            films.look_at(vec![0, film]);
            while films.begin_next().is_some() {
                films.take_in(Ok(Arc::default()));
            }
        }
        assert_eq!(films.kept.len(), MOST_KEPT, "bounded");
        assert!(films.of(0).is_some(), "always on the screen");
        assert!(films.of(299).is_some(), "the last");
        assert!(films.of(1).is_none(), "long gone");
    }
}
