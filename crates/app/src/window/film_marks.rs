//! What is drawn over a film: the tracing, the selected construction, the stroke under the hand.

use std::f64::consts::TAU;

use egui::{Align2, Color32, FontId, Painter, Pos2, Stroke, Ui, vec2};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Sesamoid, View};
use plumbray_measure::{Construction, Ellipse, LineRole, Measurement, Outcome, Question, Reading};

use super::{
    landmark_handle::{HandleEvent, landmark_handle_ui},
    row_text::value_texts,
    theme::{self, film, size},
};
use crate::{
    canvas::ScreenFromFilm,
    workbench::{Calibrating, Command, FittedScale, Selection, Workbench},
};

/// Width of an axis in points.
const AXIS: f32 = 2.0;
/// Width of an outline in points.
const OUTLINE: f32 = 1.2;
/// How much wider the halo is than its line, on both sides together.
const HALO: f32 = 2.5;

/// Draws everything over a film; gives the point that is being moved, for the magnifier.
pub(crate) fn marks_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    map: &ScreenFromFilm,
    stroke: Option<[FilmPoint; 2]>,
    commands: &mut Vec<Command>,
) -> Option<FilmPoint> {
    let painter = ui
        .painter()
        .with_clip_rect(map.viewport().expand2(vec2(8.0, 28.0)));
    let pen = Pen {
        painter: &painter,
        map,
    };
    let tracing = workbench.study().tracing.on(view);
    let selected = match workbench.view().selection {
        Selection::Measurement(measurement) => workbench
            .worksheet()
            .outcome(measurement)
            .and_then(Outcome::reading)
            .filter(|_| measurement.view() == view)
            .map(|reading| (measurement, reading)),
        _ => None,
    };
    if let Some((measurement, reading)) = selected {
        pen.construction(&reading.construction);
        pen.value_label(workbench, measurement, reading);
    } else {
        pen.tracing(tracing);
        pen.headline_angles(workbench, view);
    }
    if let Some(calibrating) = workbench.view().calibrating
        && calibrating.view == view
    {
        pen.calibration(calibrating);
    }
    if let Some((first_view, at)) = workbench.view().first_click
        && first_view == view
    {
        pen.dot(at, film::INK);
    }
    if let Some([from, to]) = stroke {
        pen.dotted(from, to, film::INK);
    }
    handles_ui(
        ui,
        workbench,
        view,
        map,
        workbench.view().adjusting && selected.is_none(),
        commands,
    )
}

fn handles_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    map: &ScreenFromFilm,
    all: bool,
    commands: &mut Vec<Command>,
) -> Option<FilmPoint> {
    let mut moving = None;
    for (landmark, placed) in &workbench.study().tracing.on(view).points {
        let selected = workbench.view().selection == Selection::Point(view, *landmark);
        if !all && !selected {
            continue;
        }
        let colour = colour_of_landmark(*landmark);
        let Some(event) = landmark_handle_ui(ui, map, view, *landmark, placed.at, colour, selected)
        else {
            continue;
        };
        match event {
            HandleEvent::Moved { to, finished } => {
                moving = Some(to);
                commands.push(Command::MovePoint {
                    view,
                    landmark: *landmark,
                    to,
                    finished,
                });
            }
            HandleEvent::Deleted => commands.push(Command::DeletePoint(view, *landmark)),
            HandleEvent::Chosen => commands.push(Command::SelectPoint(view, *landmark)),
        }
    }
    moving
}

/// The colour of the family to which a landmark belongs.
const fn colour_of_landmark(landmark: Landmark) -> Color32 {
    match landmark {
        Landmark::ShaftStart(bone)
        | Landmark::ShaftEnd(bone)
        | Landmark::BaseCentre(bone)
        | Landmark::Tip(bone) => colour_of_bone(bone),
        Landmark::HeadCentre | Landmark::HeadEdge | Landmark::OsteotomyLevel => film::FIRST_RAY,
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
        | Landmark::CalcaneusAnterior => film::HINDFOOT,
    }
}

const fn colour_of_bone(bone: LongBone) -> Color32 {
    match bone {
        LongBone::M1 | LongBone::ProximalPhalanx | LongBone::DistalPhalanx => film::FIRST_RAY,
        LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5 => film::LESSER_RAYS,
    }
}

/// Draws on one film, every line with its dark halo.
struct Pen<'a> {
    painter: &'a Painter,
    map: &'a ScreenFromFilm,
}

impl Pen<'_> {
    fn path(&self, points: &[FilmPoint], width: f32, colour: Color32) {
        let places: Vec<Pos2> = points.iter().map(|point| self.map.screen(*point)).collect();
        self.painter
            .line(places.clone(), Stroke::new(width + HALO, film::HALO));
        self.painter.line(places, Stroke::new(width, colour));
    }

    /// A solid line with round ends.
    fn axis(&self, from: FilmPoint, to: FilmPoint, colour: Color32) {
        self.path(&[from, to], AXIS, colour);
        for end in [from, to] {
            self.painter
                .circle_filled(self.map.screen(end), AXIS / 2.0 + 0.5, colour);
        }
    }

    fn dashed(&self, points: &[FilmPoint], colour: Color32, dash: f32, gap: f32) {
        let places: Vec<Pos2> = points.iter().map(|point| self.map.screen(*point)).collect();
        for (width, ink) in [(OUTLINE + HALO, film::HALO), (OUTLINE, colour)] {
            let shapes = egui::Shape::dashed_line(&places, Stroke::new(width, ink), dash, gap);
            self.painter.extend(shapes);
        }
    }

    fn dotted(&self, from: FilmPoint, to: FilmPoint, colour: Color32) {
        let places = [self.map.screen(from), self.map.screen(to)];
        for (radius, ink) in [(2.5, film::HALO), (1.5, colour)] {
            self.painter
                .extend(egui::Shape::dotted_line(&places, ink, 6.0, radius));
        }
    }

    fn dot(&self, at: FilmPoint, colour: Color32) {
        let place = self.map.screen(at);
        self.painter.circle_filled(place, 4.5, film::HALO);
        self.painter
            .circle_stroke(place, 3.5, Stroke::new(1.5, colour));
    }

    fn circle(&self, centre: FilmPoint, edge: FilmPoint, colour: Color32) {
        // A circle on the foot is an ellipse on a film whose pixels are not square.
        let proportions = self.map.film().proportions;
        let middle = proportions.physical(centre);
        let radius = (proportions.physical(edge) - middle).length();
        let points: Vec<FilmPoint> = (0..=72)
            .map(|step| {
                let (sine, cosine) = (f64::from(step) / 72.0 * TAU).sin_cos();
                proportions.film(plumbray_anatomy::PhysicalPoint::new(
                    middle.x + radius * cosine,
                    middle.y + radius * sine,
                ))
            })
            .collect();
        self.dashed(&points, colour, 5.0, 4.0);
        self.dot(centre, colour);
    }

    fn ellipse(&self, ellipse: &Ellipse, colour: Color32) {
        let points: Vec<FilmPoint> = (0..=48)
            .map(|step| ellipse.at(f64::from(step) / 48.0 * TAU))
            .collect();
        self.path(&points, OUTLINE, colour);
    }

    fn label(&self, at: Pos2, text: &str, colour: Color32, font_size: f32) {
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
    fn tracing(&self, tracing: &FilmTracing) {
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
            self.circle(centre, edge, film::FIRST_RAY);
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
        if let Some(level) = tracing.point(Landmark::OsteotomyLevel) {
            self.dot(level, film::FIRST_RAY);
        }
    }

    /// The two angles that a reader looks for first, where they are known.
    fn headline_angles(&self, workbench: &Workbench, view: View) {
        let headline: &[Measurement] = match view {
            View::Ap => &[
                Measurement::HalluxValgusAngle,
                Measurement::IntermetatarsalAngle12,
            ],
            View::Lateral => &[Measurement::TaloFirstMetatarsalAngle],
        };
        for measurement in headline {
            if let Some(reading) = workbench
                .worksheet()
                .outcome(*measurement)
                .and_then(Outcome::reading)
            {
                self.value_label(workbench, *measurement, reading);
            }
        }
    }

    fn construction(&self, construction: &Construction) {
        for line in &construction.lines {
            let ends = [line.from, line.to];
            match line.role {
                LineRole::Axis(bone) | LineRole::Length(bone) => {
                    self.axis(line.from, line.to, colour_of_bone(bone));
                }
                LineRole::Extension => self.dashed(&ends, film::INK, 8.0, 5.0),
                LineRole::Level => self.path(&ends, OUTLINE, film::SOFT),
                LineRole::JointSurface | LineRole::Floor => {
                    self.axis(line.from, line.to, film::JOINT_LINES);
                }
                LineRole::JointNormal | LineRole::Perpendicular => {
                    self.dashed(&ends, film::JOINT_LINES, 8.0, 5.0);
                }
                LineRole::Talus | LineRole::Calcaneus => {
                    self.axis(line.from, line.to, film::HINDFOOT);
                }
            }
        }
        if let Some(arc) = &construction.arc {
            self.path(&arc.along, AXIS, film::FIRST_RAY);
        }
        if let Some(ellipse) = &construction.ellipse {
            self.ellipse(ellipse, film::SESAMOIDS);
        }
        for point in &construction.points {
            self.dot(*point, film::INK);
        }
    }

    /// The value beside its arc; a value without an arc stands beside its lines.
    fn value_label(&self, workbench: &Workbench, measurement: Measurement, reading: &Reading) {
        let construction = &reading.construction;
        let arc = construction.arc.as_ref().and_then(|arc| {
            let middle = arc.along.get(arc.along.len() / 2)?;
            let (from, to) = (self.map.screen(arc.vertex), self.map.screen(*middle));
            let outward = (to - from).normalized();
            Some(to + outward * 26.0)
        });
        let line = || {
            let line = construction.lines.first()?;
            Some(self.map.screen(line.from.toward(line.to, 0.5)) + vec2(44.0, 0.0))
        };
        let Some(place) = arc.or_else(line) else {
            return;
        };
        let colour = match (measurement, measurement.question()) {
            (Measurement::IntermetatarsalAngle12, _) => film::LESSER_RAYS,
            (_, Question::Sesamoids) => film::SESAMOIDS,
            (_, Question::Arch) => film::HINDFOOT,
            _ => film::FIRST_RAY,
        };
        let (value, _) = value_texts(workbench, measurement, reading);
        self.label(place, &value, colour, size::BODY);
    }

    fn calibration(&self, calibrating: Calibrating) {
        match calibrating.fitted {
            Some(FittedScale::Circle(circle)) => {
                self.circle(circle.centre.at, circle.edge.at, film::ACCENT);
            }
            Some(FittedScale::Distance { from, to, .. }) => self.axis(from, to, film::ACCENT),
            None => {}
        }
    }
}
