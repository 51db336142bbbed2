//! How the films are looked at while an operation is planned: the part that the plan is about, as large as there is room.

use plumbray_anatomy::View;

use super::Planning;
use crate::{
    canvas::Placement,
    planning::first_ray,
    workbench::{OpenFilm, Workbench},
};

impl Workbench {
    /// Shows the first ray on both films, also where another part was looked at.
    pub(super) fn show_first_ray(&mut self) {
        self.place_films(|_| true);
    }

    /// Shows the first ray on the films that were shown whole. Who has already chosen a part keeps it.
    pub(super) fn look_at_first_ray(&mut self) {
        self.place_films(|open| open.view.placement == Placement::Fit);
    }

    /// Shows those films whole again that were not looked at otherwise since the first ray was shown.
    pub(super) fn look_at_whole_films(&mut self) {
        for open in self.films.iter_mut().flatten() {
            if matches!(open.view.placement, Placement::Part(_)) {
                open.view.placement = Placement::Fit;
            }
        }
    }

    fn place_films(&mut self, is_meant: impl Fn(&OpenFilm) -> bool) {
        let parts = View::ALL.map(|view| {
            let done = self.planning.as_ref().and_then(Planning::undertaking)?;
            first_ray(done, view, self.study.tracing.on(view))
        });
        for (open, part) in self.films.iter_mut().zip(parts) {
            if let Some((open, part)) = open.as_mut().zip(part)
                && is_meant(open)
            {
                open.view.placement = Placement::Part(part);
            }
        }
    }
}
