//! The pictures of a film that holds several: which one is shown and measured.

use std::{num::NonZeroU32, path::PathBuf, sync::Arc};

use plumbray_anatomy::View;
use plumbray_film::{Film, FilmError, FrameOf, Pyramid, open_frame};

use super::{
    Finished, Workbench,
    opening::short_name,
    proposing::LOOKING,
    seen::{Look, Seen},
    state::{FilmView, Selection},
};
use crate::canvas::{FileGraphics, FilmLook};

/// How the job that reads a picture is called; its number follows.
const OPENING_PICTURE: &str = "Opening picture ";

/// A picture of a film that a worker has read.
#[derive(Debug)]
pub(super) struct ReadPicture {
    film: Film,
    pyramid: Arc<Pyramid>,
    graphics: Option<Arc<FileGraphics>>,
}

/// On what a worker works: the foot by its number, and the picture of the film by its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WorkedOn {
    foot: u64,
    picture: Option<u32>,
}

impl Workbench {
    /// Which of the pictures of its file the film of a view is, where the file holds several.
    #[must_use]
    pub fn several_pictures(&self, view: View) -> Option<FrameOf> {
        let frame = self.film(view)?.film.frame();
        (frame.count > 1).then_some(frame)
    }

    /// The picture of a view that was asked for last; the one that is shown where none is on its way.
    #[must_use]
    pub fn asked_picture(&self, view: View) -> Option<u32> {
        let open = self.film(view)?;
        Some(open.asked_picture.unwrap_or(open.film.frame().number))
    }

    /// Whether anything is traced on the film of a view.
    #[must_use]
    pub fn is_traced(&self, view: View) -> bool {
        !self.study.tracing.on(view).is_empty()
    }

    /// Whether the tracing of a film can be deleted: nothing is deleted that nobody sees.
    pub(super) fn can_delete_tracing(&self, view: View) -> bool {
        self.comparing.is_none() && self.planning.is_none() && self.is_traced(view)
    }

    /// What a worker that begins now on the film of a view works on.
    pub(super) fn works_on(&self, view: View) -> WorkedOn {
        WorkedOn {
            foot: self.foot_number,
            picture: self.film(view).map(|open| open.film.frame().number),
        }
    }

    /// Whether what a worker worked on is still what the study measures.
    pub(super) fn still_measures(&self, view: View, worked_on: WorkedOn) -> bool {
        let picture = self.study.film(view).map(|record| record.picture.get());
        worked_on.foot == self.foot_number && worked_on.picture == picture
    }

    /// The picture after the one that was asked for last on the active film, or the one before it.
    pub(super) fn picture_beside(&self, forward: bool) -> Option<(View, u32)> {
        let view = self.view.active?;
        let count = self.several_pictures(view)?.count;
        let asked = self.asked_picture(view)?;
        let beside = if forward {
            asked.checked_add(1)?
        } else {
            asked.checked_sub(1)?
        };
        (1..=count).contains(&beside).then_some((view, beside))
    }

    /// Shows another picture of a film, unless something is traced on the one that is shown.
    pub(super) fn show_picture(&mut self, view: View, number: u32) {
        if let Some(words) = self.why_picture_stays(view) {
            self.warn(words);
            return;
        }
        self.read_picture(view, number);
    }

    /// Reads a picture on a worker; while one is being read, the last that was asked for comes next.
    fn read_picture(&mut self, view: View, number: u32) {
        let foot = self.foot_number;
        let Some(open) = &mut self.films[view as usize] else {
            return;
        };
        let is_under_way = open.asked_picture.replace(number).is_some();
        if is_under_way {
            return;
        }
        let path = open.path.clone();
        let name = format!("{OPENING_PICTURE}{number} of {}", short_name(&path));
        self.jobs.start(&name, move || {
            let read = open_frame(&path, number).map(|film| ReadPicture {
                pyramid: Arc::new(film.pyramid()),
                graphics: FileGraphics::of(&film).map(Arc::new),
                film,
            });
            Finished::PictureRead(foot, view, path, read)
        });
    }

    /// After a job that read a picture ended by a fault, pictures can be asked for again.
    pub(super) fn picture_job_failed(&mut self, name: &str) {
        if name.starts_with(OPENING_PICTURE) {
            for open in self.films.iter_mut().flatten() {
                open.asked_picture = None;
            }
        }
    }

    /// Why the film of a view keeps its picture, and what to do about it.
    fn why_picture_stays(&self, view: View) -> Option<String> {
        let number = self.film(view)?.film.frame().number;
        let name = view.name();
        let was_put_by =
            |earlier: &plumbray_study::EarlierTracing| !earlier.tracing.on(view).is_empty();
        if self.study.earlier_tracings.iter().any(was_put_by) {
            Some(format!(
                "Earlier tracings belong to picture {number} of the {name} film, so it stays. Another picture is \
                 measured from a copy of the film under another name."
            ))
        } else if self.is_traced(view) {
            Some(format!(
                "Picture {number} of the {name} film is traced. To measure another, choose “Delete the tracing of the \
                 {} film” in the menu … at its foot.",
                view.name_in_sentence()
            ))
        } else {
            None
        }
    }

    /// Takes in a picture that a worker has read.
    pub(super) fn picture_was_read(
        &mut self,
        view: View,
        path: &PathBuf,
        read: Result<ReadPicture, FilmError>,
    ) {
        let waits = |view: &View| {
            let open = self.film(*view);
            open.is_some_and(|open| open.asked_picture.is_some() && open.path == *path)
        };
        // The views may have been exchanged meanwhile.
        let Some(view) = [view, view.other()].into_iter().find(waits) else {
            return;
        };
        let asked = self.films[view as usize]
            .as_mut()
            .and_then(|open| open.asked_picture.take());
        let picture = match read {
            Ok(picture) => picture,
            Err(problem) => {
                self.warn(problem.to_string());
                return;
            }
        };
        let number = picture.film.frame().number;
        let measured = self.study.film(view).map(|record| record.picture.get());
        if measured == Some(number) {
            self.take_picture(view, picture);
        } else if let Some(words) = self.why_picture_stays(view) {
            self.warn(words);
            return;
        } else {
            self.measure_picture(view, &picture.film);
            self.take_picture(view, picture);
        }
        if let Some(asked) = asked.filter(|asked| *asked != number) {
            self.read_picture(view, asked);
        }
    }

    /// The study measures this picture from now on. A calibration by hand stays; one that was the file's stays the
    /// file's, which may have another for each picture.
    fn measure_picture(&mut self, view: View, picture: &Film) {
        let shown = self.film(view);
        let of_file = shown.and_then(|open| open.film.facts().spacing.calibration());
        let what = format!(
            "Choose another picture of the {} film",
            view.name_in_sentence()
        );
        self.change(&what, |study| {
            let number = NonZeroU32::new(picture.frame().number);
            if let Some((record, number)) = study.film_mut(view).as_mut().zip(number) {
                record.picture = number;
                record.proportions = picture.proportions();
                if record.calibration == of_file {
                    record.calibration = picture.facts().spacing.calibration();
                }
            }
        });
    }

    /// Shows a picture in place of another of the same file, as the reader has turned and zoomed that one.
    fn take_picture(&mut self, view: View, picture: ReadPicture) {
        let Some(open) = &mut self.films[view as usize] else {
            return;
        };
        open.view = seen_alike(&open.view, &picture.film);
        open.film = picture.film;
        open.pyramid = picture.pyramid;
        open.graphics = picture.graphics;
        open.look = Look::default();
        if self.view.first_click.is_some_and(|first| first.0 == view) {
            self.view.first_click = None;
        }
        if self.view.calibrating.is_some_and(|own| own.view == view) {
            self.view.calibrating = None;
        }
        if matches!(self.view.selection, Selection::Point(on, _) if on == view) {
            self.view.selection = Selection::Nothing;
        }
        self.look_at_unseen();
        self.refresh();
    }

    /// Looks at films that nothing has looked at, one look at a time for each view: pictures that were only passed
    /// by are not looked at.
    pub(super) fn look_at_unseen(&mut self) {
        if self.practising.is_some() {
            return;
        }
        for view in View::ALL {
            let job = format!("{LOOKING}{}", view.name());
            let is_unseen = self.film(view).is_some_and(|open| open.look.is_unseen());
            if is_unseen && !self.jobs.running().contains(&job) {
                self.look_at(view, Seen::on);
            }
        }
    }

    /// After undo and redo: a film whose study measures another of its pictures shows that one.
    pub(super) fn follow_pictures(&mut self) {
        for view in View::ALL {
            let shown = self.film(view).map(|open| open.film.frame().number);
            let measured = self.study.film(view).map(|record| record.picture.get());
            if let Some(number) = measured.filter(|_| shown.is_some() && shown != measured) {
                self.read_picture(view, number);
            }
        }
    }
}

/// How another picture of the same file is seen as the one before: placed as that one and through the same window.
fn seen_alike(before: &FilmView, film: &Film) -> FilmView {
    let windows = &film.grey().windows;
    let look = match before.named_window.map(|index| windows.get(index)) {
        Some(Some(window)) => FilmLook {
            inverted: before.look.inverted,
            ..FilmLook::of_window(window)
        },
        Some(None) => FilmLook {
            inverted: before.look.inverted,
            ..FilmLook::of_film(film)
        },
        None => before.look.clone(),
    };
    let named_window = before
        .named_window
        .map(|index| if index < windows.len() { index } else { 0 });
    FilmView {
        look,
        named_window,
        ..before.clone()
    }
}
