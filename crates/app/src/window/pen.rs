//! Lines, points and labels over a film, and the tracing drawn with them.

use std::f64::consts::TAU;

use egui::{Align2, Color32, FontId, Painter, Pos2, Stroke, vec2};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Sesamoid};
use plumbray_measure::Ellipse;

use super::theme::{self, film, size};
use crate::canvas::ScreenFromFilm;

/// Width of an axis in points.
pub(super) const AXIS: f32 = 2.0;
/// Width of an outline in points.
pub(super) const OUTLINE: f32 = 1.2;
/// How much wider the halo is than its line, on both sides together.
const HALO: f32 = 2.5;
/// How much wider it is where lines are broken: a wide one would make dark bars of the dashes.
const THIN_HALO: f32 = 1.4;
/// How far the colours of a proposal are lighter, of 1.
const LIGHTER: f32 = 0.35;

/// How lines are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Manner {
    /// Solid: the reader's own.
    Accepted,
    /// Thin, broken and lighter: the program's, until the reader accepts it.
    Proposed,
}

/// Draws on one film, every line with its dark halo.
#[derive(Clone, Copy)]
pub(super) struct Pen<'a> {
    pub painter: &'a Painter,
    pub map: &'a ScreenFromFilm,
    pub manner: Manner,
}

impl Pen<'_> {
    pub(super) fn path(&self, points: &[FilmPoint], width: f32, colour: Color32) {
        if self.manner == Manner::Proposed {
            self.dashed(points, colour, 3.0, 3.0);
            return;
        }
        let places: Vec<Pos2> = points.iter().map(|point| self.map.screen(*point)).collect();
        self.painter
            .line(places.clone(), Stroke::new(width + HALO, film::HALO));
        self.painter.line(places, Stroke::new(width, colour));
    }

    /// A solid line with round ends; a broken one while it is only proposed.
    pub(super) fn axis(&self, from: FilmPoint, to: FilmPoint, colour: Color32) {
        if self.manner == Manner::Proposed {
            self.dashed(&[from, to], colour, 7.0, 5.0);
            return;
        }
        self.path(&[from, to], AXIS, colour);
        for end in [from, to] {
            self.painter
                .circle_filled(self.map.screen(end), AXIS / 2.0 + 0.5, colour);
        }
    }

    pub(super) fn dashed(&self, points: &[FilmPoint], colour: Color32, dash: f32, gap: f32) {
        let places: Vec<Pos2> = points.iter().map(|point| self.map.screen(*point)).collect();
        let colour = self.tint_of(colour);
        let halo = match self.manner {
            Manner::Accepted => HALO,
            Manner::Proposed => THIN_HALO,
        };
        for (width, ink) in [(OUTLINE + halo, film::HALO), (OUTLINE, colour)] {
            let shapes = egui::Shape::dashed_line(&places, Stroke::new(width, ink), dash, gap);
            self.painter.extend(shapes);
        }
    }

    pub(super) fn dotted(&self, from: FilmPoint, to: FilmPoint, colour: Color32) {
        let places = [self.map.screen(from), self.map.screen(to)];
        for (radius, ink) in [(2.5, film::HALO), (1.5, colour)] {
            self.painter
                .extend(egui::Shape::dotted_line(&places, ink, 6.0, radius));
        }
    }

    pub(super) fn dot(&self, at: FilmPoint, colour: Color32) {
        let place = self.map.screen(at);
        let (radius, width) = match self.manner {
            Manner::Accepted => (3.5, 1.5),
            Manner::Proposed => (2.5, 1.0),
        };
        self.painter.circle_filled(place, radius + 1.0, film::HALO);
        let stroke = Stroke::new(width, self.tint_of(colour));
        self.painter.circle_stroke(place, radius, stroke);
    }

    fn tint_of(&self, colour: Color32) -> Color32 {
        match self.manner {
            Manner::Accepted => colour,
            Manner::Proposed => colour.lerp_to_gamma(film::INK, LIGHTER),
        }
    }

    /// A question mark beside a point that needs a second look.
    pub(super) fn doubt(&self, at: FilmPoint) {
        let place = self.map.screen(at);
        let stroke = Stroke::new(1.5, film::LOOK_AGAIN);
        self.painter.circle_stroke(place, 7.0, stroke);
        let beside = place + vec2(13.0, -9.0);
        self.label(beside, "?", film::LOOK_AGAIN, size::SMALLEST);
    }

    pub(super) fn circle(&self, centre: FilmPoint, edge: FilmPoint, colour: Color32) {
        let points = self.map.film().proportions.circle(centre, edge, 72);
        self.dashed(&points, colour, 5.0, 4.0);
        self.dot(centre, colour);
    }

    pub(super) fn ellipse(&self, ellipse: &Ellipse, colour: Color32) {
        let points: Vec<FilmPoint> = (0..=48)
            .map(|step| ellipse.at(f64::from(step) / 48.0 * TAU))
            .collect();
        self.path(&points, OUTLINE, colour);
    }

    pub(super) fn label(&self, at: Pos2, text: &str, colour: Color32, font_size: f32) {
        let font = FontId::new(font_size, theme::semibold());
        let galley = self.painter.layout_no_wrap(text.to_owned(), font, colour);
        let rect = Align2::CENTER_CENTER.anchor_size(at, galley.size());
        let inside = self.painter.clip_rect().shrink(4.0);
        let shift = vec2(
            (inside.left() - rect.left()).max(0.0) + (inside.right() - rect.right()).min(0.0),
            (inside.top() - rect.top()).max(0.0) + (inside.bottom() - rect.bottom()).min(0.0),
        );
        let rect = rect.translate(shift);
        self.painter
            .rect_filled(rect.expand2(vec2(4.0, 1.0)), 3.0, film::HALO);
        self.painter.galley(rect.min, galley, colour);
    }

    /// Everything that was traced.
    pub(super) fn tracing(&self, tracing: &FilmTracing) {
        for (bone, cortices) in &tracing.cortices {
            for side in [&cortices.one, &cortices.two] {
                self.path(side, OUTLINE, colour_of_bone(*bone).gamma_multiply(0.8));
            }
        }
        for bone in LongBone::ALL {
            let ends = |from, to| tracing.point(from).zip(tracing.point(to));
            let axis = ends(Landmark::BaseCentre(bone), Landmark::Tip(bone))
                .or_else(|| ends(Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)));
            if let Some((from, to)) = axis {
                self.axis(from, to, colour_of_bone(bone));
                self.dot(from, colour_of_bone(bone));
                self.dot(to, colour_of_bone(bone));
            }
        }
        if let (Some(centre), Some(edge)) = (
            tracing.point(Landmark::HeadCentre),
            tracing.point(Landmark::HeadEdge),
        ) {
            // The circle is that of the joint surface and of nothing beside it.
            let proportions = self.map.film().proportions;
            let surface = proportions.head_surface(centre, edge, 36);
            self.dashed(&surface, film::FIRST_RAY, 5.0, 4.0);
            self.dot(centre, film::FIRST_RAY);
        }
        for sesamoid in Sesamoid::ALL {
            let [centre, long_end, short_end] = Landmark::of_sesamoid(sesamoid);
            if let (Some(centre), Some(long_end), Some(short_end)) = (
                tracing.point(centre),
                tracing.point(long_end),
                tracing.point(short_end),
            ) {
                let outline = Ellipse {
                    centre,
                    long_end,
                    short_end,
                };
                self.ellipse(&outline, film::SESAMOIDS);
            }
        }
        let pairs = [
            (
                Landmark::ArticularMedial,
                Landmark::ArticularLateral,
                film::JOINT_LINES,
            ),
            (
                Landmark::FloorPosterior,
                Landmark::FloorAnterior,
                film::JOINT_LINES,
            ),
            (
                Landmark::TalusPosterior,
                Landmark::TalusAnterior,
                film::HINDFOOT,
            ),
            (
                Landmark::CalcaneusPosterior,
                Landmark::CalcaneusAnterior,
                film::HINDFOOT,
            ),
        ];
        for (from, to, colour) in pairs {
            match (tracing.point(from), tracing.point(to)) {
                (Some(from), Some(to)) => {
                    self.axis(from, to, colour);
                    self.dot(from, colour);
                    self.dot(to, colour);
                }
                (Some(only), None) | (None, Some(only)) => self.dot(only, colour),
                (None, None) => {}
            }
        }
        for (landmark, placed) in &tracing.points {
            if landmark.is_seldom_asked_for() || *landmark == Landmark::OsteotomyLevel {
                self.dot(placed.at, colour_of_landmark(*landmark));
            }
        }
    }
}

/// The colour of the family to which a landmark belongs.
pub(super) const fn colour_of_landmark(landmark: Landmark) -> Color32 {
    match landmark {
        Landmark::ShaftStart(bone)
        | Landmark::ShaftEnd(bone)
        | Landmark::BaseCentre(bone)
        | Landmark::Tip(bone)
        | Landmark::BaseMedial(bone)
        | Landmark::BaseLateral(bone)
        | Landmark::DistalMedial(bone)
        | Landmark::DistalLateral(bone)
        | Landmark::DorsalProximal(bone)
        | Landmark::DorsalDistal(bone) => colour_of_bone(bone),
        Landmark::HeadCentre
        | Landmark::HeadEdge
        | Landmark::OsteotomyLevel
        | Landmark::HeadMedialEdge
        | Landmark::ShaftCutDorsal
        | Landmark::ShaftCutPlantar
        | Landmark::FragmentCutDorsal
        | Landmark::FragmentCutPlantar => film::FIRST_RAY,
        Landmark::FourthHeadCentre | Landmark::FifthHeadLateralEdge => film::LESSER_RAYS,
        Landmark::ArticularMedial
        | Landmark::ArticularLateral
        | Landmark::FloorPosterior
        | Landmark::FloorAnterior => film::JOINT_LINES,
        Landmark::SesamoidCentre(_)
        | Landmark::SesamoidLongEnd(_)
        | Landmark::SesamoidShortEnd(_) => film::SESAMOIDS,
        Landmark::TalusPosterior
        | Landmark::TalusAnterior
        | Landmark::CalcaneusPosterior
        | Landmark::CalcaneusAnterior
        | Landmark::TalonavicularMedial
        | Landmark::CalcaneocuboidLateral
        | Landmark::IntermediateCuneiformProximal
        | Landmark::IntermediateCuneiformDistal
        | Landmark::MedialCuneiformPlantar => film::HINDFOOT,
    }
}

pub(super) const fn colour_of_bone(bone: LongBone) -> Color32 {
    match bone {
        LongBone::M1 | LongBone::ProximalPhalanx | LongBone::DistalPhalanx => film::FIRST_RAY,
        LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5 => film::LESSER_RAYS,
    }
}
