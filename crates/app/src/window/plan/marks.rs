//! What is drawn of a plan over a film: the cut, the fragment before and after, the axes, the screws.

use egui::{Pos2, Stroke, vec2};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, PhysicalPoint, View};
use plumbray_plan::{CutForm, Plan, ScrewCourse, ScrewKind, Undertaking, sesamoid_outlines};

use super::{
    super::{
        pen::{OUTLINE, Pen},
        theme::{film, size},
    },
    words::{short_length, signed_degrees},
};
use crate::planning::screw_words::letter;

/// Dash and gap of the cut's line in points.
const CUT_DASHES: (f32, f32) = (12.0, 6.0);
/// Dash and gap of the outline of what was.
const GHOST_DASHES: (f32, f32) = (3.0, 3.0);
/// A screw is never drawn thinner than this, in points.
const LEAST_SCREW: f32 = 4.0;

/// Draws a plan on one film.
pub(super) struct Marks<'a> {
    pub(super) pen: Pen<'a>,
    pub(super) done: &'a Undertaking,
    pub(super) plan: &'a Plan,
    pub(super) view: View,
}

impl Marks<'_> {
    /// Draws everything but the handles.
    pub(super) fn draw(&self) {
        match self.view {
            View::Ap => self.on_ap(),
            View::Lateral => self.midline(),
        }
        self.parts();
        self.cut();
        for (place, course) in self.done.screws.iter().enumerate() {
            self.screw(place, course);
        }
    }

    fn on_ap(&self) {
        let (pen, done) = (&self.pen, self.done);
        let tracing = &done.tracing.ap;
        for sesamoid in sesamoid_outlines(tracing) {
            let closed: Vec<FilmPoint> = sesamoid.iter().chain(sesamoid.first()).copied().collect();
            pen.path(&closed, OUTLINE, film::SESAMOIDS);
        }
        let axes = [
            (
                Landmark::BaseCentre(LongBone::M1),
                Landmark::HeadCentre,
                film::FIRST_RAY,
            ),
            (
                Landmark::BaseCentre(LongBone::ProximalPhalanx),
                Landmark::Tip(LongBone::ProximalPhalanx),
                film::FIRST_RAY,
            ),
            (
                Landmark::BaseCentre(LongBone::M2),
                Landmark::Tip(LongBone::M2),
                film::LESSER_RAYS,
            ),
        ];
        for (from, to, colour) in axes {
            if let Some((from, to)) = tracing.point(from).zip(tracing.point(to)) {
                pen.axis(from, to, colour);
            }
        }
    }

    /// The line along the middle of the bone, which is also marked on the skin.
    fn midline(&self) {
        let Some(view) = &self.done.before.lateral else {
            return;
        };
        let midline = [0.0, view.length]
            .map(|along| view.film_point(PhysicalPoint::new(view.midline, along)));
        self.pen.dashed(&midline, film::FIRST_RAY, 8.0, 5.0);
    }

    /// The shaft that stays, and the fragment before and after.
    fn parts(&self) {
        let Some(parts) = self.done.parts_on(self.view) else {
            return;
        };
        let pen = &self.pen;
        if self.view == View::Ap {
            let colour = film::FIRST_RAY.gamma_multiply(0.8);
            pen.path(&parts.shaft, OUTLINE, colour);
        }
        let (dash, gap) = GHOST_DASHES;
        pen.dashed(&parts.former_fragment, film::PLAN, dash, gap);
        pen.path(&parts.fragment, OUTLINE, film::PLAN);
    }

    fn cut(&self) {
        let line = &self.done.cut_lines[self.view as usize];
        let Some((first, last)) = line.first().zip(line.last()) else {
            return;
        };
        let pen = &self.pen;
        pen.dashed(line, film::PLAN, CUT_DASHES.0, CUT_DASHES.1);
        let (text, at, away_from) = match self.view {
            View::Ap => (self.cut_words(), *last, *first),
            View::Lateral => (self.lateral_words(), *last, *first),
        };
        let (at, from) = (pen.map.screen(at), pen.map.screen(away_from));
        let outward = (at - from).normalized();
        let beside = at + outward * 14.0 + vec2(outward.x * 60.0, 0.0);
        pen.label(beside, &text, film::PLAN, size::SMALLEST);
    }

    fn cut_words(&self) -> String {
        let tilt = self.done.cut.tilt.to_degrees();
        let tilt = if tilt.abs() < 0.05 {
            "square to the shaft".to_owned()
        } else {
            format!("tilted {} from square", signed_degrees(tilt))
        };
        match self.plan.cut.form {
            CutForm::Straight => format!("cut, {tilt}"),
            CutForm::Chevron { .. } => format!("chevron, {tilt}"),
        }
    }

    fn lateral_words(&self) -> String {
        let dorsal = self.done.movement.dorsal;
        if dorsal.abs() < 1e-9 {
            return "cut, no dorsal shift".to_owned();
        }
        let shift = self.done.cut.length(dorsal).abs();
        let way = if dorsal > 0.0 { "dorsal" } else { "plantar" };
        format!("cut, {} {way}", short_length(shift))
    }

    /// A screw as a double line as wide as it is, with the places where it crosses a cortex.
    fn screw(&self, place: usize, course: &ScrewCourse) {
        let Some(ends) = course.on_film[self.view as usize] else {
            return;
        };
        let pen = &self.pen;
        let [entry, tip] = ends.map(|end| pen.map.screen(end));
        let along = (tip - entry).normalized();
        let width = self.width_on_screen(course).max(LEAST_SCREW);
        let across = along.rot90() * (width / 2.0);
        let corners = [
            entry + across,
            tip + across,
            tip - across,
            entry - across,
            entry + across,
        ];
        let places: Vec<Pos2> = corners.to_vec();
        for (thick, colour) in [(3.5, film::HALO), (1.3, film::INK)] {
            pen.painter.line(places.clone(), Stroke::new(thick, colour));
        }
        if self.view == View::Ap {
            for crossing in &course.crossings {
                pen.dot(crossing.at, film::INK);
            }
        }
        let letter = letter(place).to_string();
        let is_wire = self
            .plan
            .screws
            .get(place)
            .is_some_and(|screw| screw.kind == ScrewKind::Wire);
        let font = if is_wire {
            size::SECONDARY
        } else {
            size::HEADING
        };
        // Two screws seen from the side run along one another: their letters stand on either side.
        let aside = match (self.view, place % 2) {
            (View::Ap, _) => egui::Vec2::ZERO,
            (View::Lateral, 0) => along.rot90() * 16.0,
            (View::Lateral, _) => along.rot90() * -16.0,
        };
        pen.label(entry - along * 18.0 + aside, &letter, film::PLAN, font);
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "a width on the screen is a few points"
    )]
    fn width_on_screen(&self, course: &ScrewCourse) -> f32 {
        let before = &self.done.before;
        let scale = match (&before.lateral, self.view) {
            (Some(lateral), View::Lateral) => lateral.length / before.ap.length,
            _ => 1.0,
        };
        (course.diameter.pixel_widths * scale * self.pen.map.zoom()) as f32
    }
}
