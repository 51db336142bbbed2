//! Undo and redo: the study goes back, what is on the screen goes with it.

use plumbray_anatomy::View;
use plumbray_study::{FilmRecord, Study};

use super::Workbench;

/// Which way through what was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// The last change is taken back.
    Back,
    /// The change that was taken back is made again.
    Forth,
}

impl Workbench {
    /// Takes the last change back: of the study, or of the list of visits while they are compared.
    pub(super) fn undo(&mut self) {
        if self.comparing.is_some() {
            self.step_through_list(Way::Back);
            return;
        }
        let now = self.study.clone();
        if let Ok((what, before)) = self.undo.undo(now) {
            self.go_back_to(before, "Undo", &what);
            self.say_instead(format!("Taken back: {what}."));
        }
    }

    /// Makes the change again that was taken back.
    pub(super) fn redo(&mut self) {
        if self.comparing.is_some() {
            self.step_through_list(Way::Forth);
            return;
        }
        let now = self.study.clone();
        if let Ok((what, after)) = self.undo.redo(now) {
            self.go_back_to(after, "Redo", &what);
            self.say_instead(format!("Made again: {what}."));
        }
    }

    /// The history of the study goes on even where its content goes back.
    fn go_back_to(&mut self, content: Study, way: &str, change: &str) {
        let mut left = std::mem::replace(&mut self.study, content);
        self.study.history = std::mem::take(&mut left.history);
        self.keep_open_films(&left);
        let retraced = self.study.tracing != left.tracing;
        self.note_change(&format!("{way}: {change}"), retraced);
        self.offer_what_was_undone(change, &left);
        self.follow_pictures();
        self.refresh();
        self.save();
    }

    /// The films on the screen go with those of the study when views were exchanged, and a film that
    /// was added after the change that is undone stays.
    fn keep_open_films(&mut self, left: &Study) {
        let picture = |film: &Option<FilmRecord>| film.as_ref().map(FilmRecord::picture_identity);
        let (ap, lateral) = (picture(&left.ap), picture(&left.lateral));
        let was_exchanged = (ap.is_some() && ap == picture(&self.study.lateral))
            || (lateral.is_some() && lateral == picture(&self.study.ap));
        if was_exchanged {
            self.films.swap(0, 1);
            return;
        }
        for view in View::ALL {
            if self.study.film(view).is_none() && self.film(view).is_some() {
                *self.study.film_mut(view) = left.film(view).cloned();
            }
        }
    }
}
