//! The picture of a lesson: the reference over the attempt, and rings about what cost most.

use std::f64::consts::TAU;

use egui::{Painter, Stroke, vec2};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Sesamoid, View};
use plumbray_measure::Ellipse;
use plumbray_practise::{Blame, PartBlame, PlacedThing};

use super::{
    super::{
        pen::{Manner, OUTLINE, Pen},
        theme::{film, size},
    },
    lesson::{chosen, clicked},
};
use crate::{
    canvas::ScreenFromFilm,
    workbench::{HandedIn, Workbench},
};

/// Dash and gap of the attempt's lines in points.
const DASH: (f32, f32) = (3.0, 3.0);
/// Radius of a ring in points.
const RING: f32 = 15.0;
/// Rings that are drawn.
const RINGS: usize = 3;

/// The axes that are drawn, each by its two ends.
const AXES: [(Landmark, Landmark); 3] = [
    (Landmark::BaseCentre(LongBone::M1), Landmark::HeadCentre),
    (
        Landmark::BaseCentre(LongBone::M2),
        Landmark::Tip(LongBone::M2),
    ),
    (
        Landmark::BaseCentre(LongBone::ProximalPhalanx),
        Landmark::Tip(LongBone::ProximalPhalanx),
    ),
];

/// Draws the lesson over the film of a view.
pub(in super::super) fn lesson_marks_ui(
    painter: &Painter,
    map: &ScreenFromFilm,
    workbench: &Workbench,
    handed_in: &HandedIn,
    view: View,
) {
    let pen = Pen {
        painter,
        map,
        manner: Manner::Accepted,
    };
    if handed_in.shows_reference {
        reference(&pen, handed_in.reference.on(view));
    }
    let attempt = workbench.study().tracing.on(view);
    own(&pen, attempt);
    rings(&pen, workbench, handed_in, view, attempt);
    if let Some(thing) = handed_in.looked_at
        && thing.view() == view
    {
        looked_at(&pen, thing, handed_in.reference.on(view), attempt);
    }
}

/// The place to which the film was brought: yours and the reference's, named, and the way between them.
fn looked_at(pen: &Pen<'_>, thing: PlacedThing, reference: &FilmTracing, attempt: &FilmTracing) {
    let places = [place_of(thing, reference), place_of(thing, attempt)];
    let [to, from] = places.map(|at| at.map(|at| pen.map.screen(at)));
    let is_point = matches!(thing, PlacedThing::Landmark(..));
    if let Some((from, to)) = from.zip(to).filter(|_| is_point) {
        for (width, ink) in [(4.0, film::HALO), (1.5, film::LOOK_AGAIN)] {
            pen.painter
                .line_segment([from, to], Stroke::new(width, ink));
        }
    }
    // The names stand apart, however near the places lie.
    let side = match from.zip(to) {
        Some((from, to)) if from.y < to.y => 1.0,
        _ => -1.0,
    };
    for (at, name, ink, away) in [
        (to, "reference", film::INK, side),
        (from, "yours", film::ACCENT, -side),
    ] {
        let Some(at) = at else { continue };
        if is_point {
            pen.painter.circle_filled(at, 5.0, film::HALO);
            pen.painter.circle_filled(at, 3.5, ink);
        }
        let beside = if is_point { 16.0 } else { 28.0 };
        pen.label(at + vec2(0.0, away * beside), name, ink, size::SMALLEST);
    }
}

fn reference(pen: &Pen<'_>, tracing: &FilmTracing) {
    for cortices in tracing.cortices.values() {
        for line in [&cortices.one, &cortices.two] {
            pen.path(line, OUTLINE * 0.8, film::INK.gamma_multiply(0.7));
        }
    }
    for (from, to) in AXES {
        if let Some((from, to)) = tracing.point(from).zip(tracing.point(to)) {
            pen.axis(from, to, film::INK);
        }
    }
    if let Some((from, to)) = joint(tracing) {
        pen.axis(from, to, film::INK);
    }
    if let Some((centre, edge)) = head(tracing) {
        let points = pen.map.film().proportions.circle(centre, edge, 72);
        pen.path(&points, OUTLINE * 0.8, film::INK.gamma_multiply(0.7));
    }
    for (from, to) in lines(tracing) {
        pen.axis(from, to, film::INK);
    }
    for outline in sesamoids(tracing) {
        pen.path(&outline, OUTLINE * 0.8, film::INK.gamma_multiply(0.7));
    }
}

fn own(pen: &Pen<'_>, tracing: &FilmTracing) {
    let (dash, gap) = DASH;
    for (bone, cortices) in &tracing.cortices {
        let colour = colour_of(*bone);
        for line in [&cortices.one, &cortices.two] {
            pen.dashed(line, colour, dash, gap);
        }
    }
    for bone in LongBone::ALL {
        let ends = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
        let [from, to] = ends.map(|end| tracing.point(end));
        if let Some((from, to)) = from.zip(to)
            && !tracing.cortices.contains_key(&bone)
        {
            pen.dashed(&[from, to], colour_of(bone), dash, gap);
        }
    }
    for (from, to) in AXES {
        let by_hand = match from {
            Landmark::BaseCentre(bone) => !tracing.cortices.contains_key(&bone),
            _ => false,
        };
        if by_hand {
            continue;
        }
        if let Some(ends) = tracing.point(from).zip(tracing.point(to)) {
            let colour = match from {
                Landmark::BaseCentre(bone) => colour_of(bone),
                _ => film::FIRST_RAY,
            };
            pen.dashed(&[ends.0, ends.1], colour, dash, gap);
        }
    }
    if let Some((from, to)) = joint(tracing) {
        pen.dashed(&[from, to], film::FIRST_RAY, dash, gap);
    }
    if let Some((centre, edge)) = head(tracing) {
        let points = pen.map.film().proportions.circle(centre, edge, 72);
        pen.dashed(&points, film::FIRST_RAY, dash, gap);
    }
    for (from, to) in lines(tracing) {
        pen.dashed(&[from, to], film::HINDFOOT, dash, gap);
    }
    for outline in sesamoids(tracing) {
        pen.dashed(&outline, film::SESAMOIDS, dash, gap);
    }
    for (landmark, placed) in &tracing.points {
        if !matches!(landmark, Landmark::ShaftStart(_) | Landmark::ShaftEnd(_)) {
            pen.dot(placed.at, film::SOFT);
        }
    }
}

const fn colour_of(bone: LongBone) -> egui::Color32 {
    match bone {
        LongBone::M1 | LongBone::ProximalPhalanx | LongBone::DistalPhalanx => film::FIRST_RAY,
        LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5 => film::LESSER_RAYS,
    }
}

fn joint(tracing: &FilmTracing) -> Option<(FilmPoint, FilmPoint)> {
    tracing
        .point(Landmark::ArticularMedial)
        .zip(tracing.point(Landmark::ArticularLateral))
}

/// The lines of the lateral film: talus, calcaneus and floor.
fn lines(tracing: &FilmTracing) -> Vec<(FilmPoint, FilmPoint)> {
    let ends = [
        (Landmark::TalusPosterior, Landmark::TalusAnterior),
        (Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior),
        (Landmark::FloorPosterior, Landmark::FloorAnterior),
    ];
    ends.into_iter()
        .filter_map(|(from, to)| tracing.point(from).zip(tracing.point(to)))
        .collect()
}

/// The outlines of the sesamoids.
fn sesamoids(tracing: &FilmTracing) -> Vec<Vec<FilmPoint>> {
    let outline = |sesamoid| {
        let [centre, long_end, short_end] = Landmark::of_sesamoid(sesamoid);
        let ellipse = Ellipse {
            centre: tracing.point(centre)?,
            long_end: tracing.point(long_end)?,
            short_end: tracing.point(short_end)?,
        };
        let at = |step: u32| ellipse.at(f64::from(step) / 48.0 * TAU);
        Some((0..=48).map(at).collect())
    };
    Sesamoid::ALL.into_iter().filter_map(outline).collect()
}

fn head(tracing: &FilmTracing) -> Option<(FilmPoint, FilmPoint)> {
    tracing
        .point(Landmark::HeadCentre)
        .zip(tracing.point(Landmark::HeadEdge))
}

/// Rings about what explains most of the chosen number's difference, the first with words.
fn rings(
    pen: &Pen<'_>,
    workbench: &Workbench,
    handed_in: &HandedIn,
    view: View,
    attempt: &FilmTracing,
) {
    let Some(blame) = chosen(handed_in, clicked(workbench)).and_then(|row| row.blame.as_ref())
    else {
        return;
    };
    // The parts stand in the order of what they explain, and so do the things within each.
    let things = blame.parts.iter().flat_map(|part| &part.things);
    for (place, own) in things.take(RINGS).enumerate() {
        if own.thing.view() != view {
            continue;
        }
        let Some(at) = place_of(own.thing, attempt) else {
            continue;
        };
        let centre = pen.map.screen(at);
        for (width, ink) in [(4.0, film::HALO), (1.8, film::LOOK_AGAIN)] {
            pen.painter
                .circle_stroke(centre, RING, Stroke::new(width, ink));
        }
        if place == 0 && handed_in.looked_at.is_none() {
            let text = format!("your {}", part_name(blame, own.thing));
            pen.label(
                centre + vec2(0.0, RING + 12.0),
                &text,
                film::LOOK_AGAIN,
                size::SMALLEST,
            );
        }
    }
}

/// The part of the tracing to which a thing belongs.
fn part_name(blame: &Blame, thing: PlacedThing) -> &'static str {
    let holds = |part: &&PartBlame| part.things.iter().any(|own| own.thing == thing);
    blame
        .parts
        .iter()
        .find(holds)
        .map_or("tracing", |part| part.part.name())
}

/// Where a thing lies on the attempt: of cortices the middle of the shaft.
fn place_of(thing: PlacedThing, attempt: &FilmTracing) -> Option<FilmPoint> {
    match thing {
        PlacedThing::Landmark(_, landmark) => attempt.point(landmark),
        PlacedThing::Cortices(_, bone) => {
            let cortices = attempt.cortices.get(&bone)?;
            let middle = |line: &[FilmPoint]| line.get(line.len() / 2).copied();
            Some(middle(&cortices.one)?.toward(middle(&cortices.two)?, 0.5))
        }
    }
}
