//! What is drawn onto a film beside or over the bones: screws, blades, a letter.

use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Side};

use super::{affine::sixteen_bits, truth::KnownFilm};
use crate::chance::Chance;

/// A screw: diameters of thread, core and head, pitch of the thread and length, in mm.
const THREAD_MM: f64 = 4.0;
const CORE_MM: f64 = 2.9;
const HEAD_MM: f64 = 6.5;
const PITCH_MM: f64 = 1.75;
const LENGTH_MM: f64 = 28.0;

/// Height of the drawn letter and half the width of its strokes, in mm.
const LETTER_MM: f64 = 16.0;
const HALF_STROKE_MM: f64 = 1.3;

/// Two screws across the first metatarsal's shaft, as bright as the brightest of the film.
pub(super) fn with_screws(film: &KnownFilm, chance: &mut Chance) -> KnownFilm {
    let Some((base, tip)) = first_metatarsal(film) else {
        return film.clone();
    };
    let bone = direction(base, tip);
    let screws = [0.45, 0.7].map(|share| {
        let middle = base.toward(tip, share + chance.between(-0.05, 0.05));
        Screw {
            middle,
            along: turned(bone, chance.between(20.0, 60.0)),
        }
    });
    let mm = film.truth.pixel_mm;
    painted(film, brightest(film), |at| {
        screws
            .iter()
            .map(|screw| screw.distance_mm(at, mm))
            .fold(f64::INFINITY, f64::min)
    })
}

struct Screw {
    middle: FilmPoint,
    along: [f64; 2],
}

impl Screw {
    /// How far a point lies from the screw's shadow, negative within.
    fn distance_mm(&self, at: FilmPoint, pixel_mm: f64) -> f64 {
        let (x, y) = (
            (at.x_px - self.middle.x_px) * pixel_mm,
            (at.y_px - self.middle.y_px) * pixel_mm,
        );
        let along = x * self.along[0] + y * self.along[1];
        let across = (y * self.along[0] - x * self.along[1]).abs();
        // A saw between core and thread.
        let height = 1.0 - (2.0 * (along / PITCH_MM).rem_euclid(1.0) - 1.0).abs();
        let half_width = 0.5 * (CORE_MM + (THREAD_MM - CORE_MM) * height);
        let shank = (across - half_width).max(along.abs() - 0.5 * LENGTH_MM);
        let head = (along + 0.5 * LENGTH_MM).hypot(across) - 0.5 * HEAD_MM;
        shank.min(head)
    }
}

/// Four blades outside the landmarks, in the grey of the film's own corner.
pub(super) fn with_blades(film: &KnownFilm, chance: &mut Chance) -> KnownFilm {
    let mm = film.truth.pixel_mm;
    let places: Vec<FilmPoint> = film
        .truth
        .tracing
        .points
        .values()
        .map(|placed| placed.at)
        .chain(
            film.truth
                .tracing
                .cortices
                .values()
                .flat_map(|cortices| cortices.one.iter().chain(&cortices.two).copied()),
        )
        .collect();
    let blades = [0.0, 90.0, 180.0, 270.0].map(|degrees| {
        let outward = turned([1.0, 0.0], degrees + chance.between(-4.0, 4.0));
        let height = |at: &FilmPoint| (at.x_px * outward[0] + at.y_px * outward[1]) * mm;
        let farthest = places.iter().map(height).fold(f64::NEG_INFINITY, f64::max);
        (outward, farthest + chance.between(4.0, 12.0))
    });
    let shutter = film.samples.first().copied().unwrap_or(0);
    painted(film, shutter, |at| {
        blades
            .iter()
            .map(|(outward, edge)| edge - (at.x_px * outward[0] + at.y_px * outward[1]) * mm)
            .fold(f64::INFINITY, f64::min)
    })
}

/// The side's letter medial to the first metatarsal's head.
pub(super) fn with_side_letter(film: &KnownFilm, chance: &mut Chance) -> KnownFilm {
    let tracing = &film.truth.tracing;
    let medial = tracing
        .point(Landmark::ArticularMedial)
        .zip(tracing.point(Landmark::ArticularLateral));
    let Some((medial, lateral)) = medial else {
        return film.clone();
    };
    let mm = film.truth.pixel_mm;
    let outward = direction(lateral, medial);
    let off_px = chance.between(14.0, 30.0) / mm;
    let letter = match film.truth.side {
        Side::Left => LEFT.as_slice(),
        Side::Right => RIGHT.as_slice(),
    };
    let middle = FilmPoint::new(
        medial.x_px + off_px * outward[0],
        medial.y_px + off_px * outward[1],
    );
    painted(film, brightest(film), |at| {
        // In shares of the letter's height, from its lower left corner up.
        let x = (at.x_px - middle.x_px) * mm / LETTER_MM + 0.3;
        let y = 0.5 - (at.y_px - middle.y_px) * mm / LETTER_MM;
        let nearest = letter
            .windows(2)
            .map(|ends| distance([x, y], ends[0], ends[1]))
            .fold(f64::INFINITY, f64::min);
        nearest * LETTER_MM - HALF_STROKE_MM
    })
}

/// The strokes of the two letters, one after the other, in shares of their height.
const LEFT: [[f64; 2]; 3] = [[0.0, 1.0], [0.0, 0.0], [0.5, 0.0]];
const RIGHT: [[f64; 2]; 8] = [
    [0.0, 0.0],
    [0.0, 1.0],
    [0.4, 1.0],
    [0.55, 0.87],
    [0.55, 0.63],
    [0.4, 0.5],
    [0.0, 0.5],
    [0.55, 0.0],
];

/// From a point to a stretch.
fn distance(at: [f64; 2], from: [f64; 2], to: [f64; 2]) -> f64 {
    let [x, y] = [to[0] - from[0], to[1] - from[1]];
    let (dx, dy) = (at[0] - from[0], at[1] - from[1]);
    let share = ((dx * x + dy * y) / (x * x + y * y)).clamp(0.0, 1.0);
    (dx - share * x).hypot(dy - share * y)
}

/// The film with a grey laid over everything at a negative distance; the edge is one pixel soft.
fn painted(film: &KnownFilm, grey: u16, distance_mm: impl Fn(FilmPoint) -> f64) -> KnownFilm {
    let mut samples = film.samples.clone();
    for (index, sample) in samples.iter_mut().enumerate() {
        let (column, row) = (index % film.width, index / film.width);
        let at = FilmPoint::new(column as f64 + 0.5, row as f64 + 0.5);
        let cover = (0.5 - distance_mm(at) / film.truth.pixel_mm).clamp(0.0, 1.0);
        if cover > 0.0 {
            let below = f64::from(*sample);
            *sample = sixteen_bits(below + cover * (f64::from(grey) - below));
        }
    }
    KnownFilm {
        samples,
        ..film.clone()
    }
}

fn brightest(film: &KnownFilm) -> u16 {
    film.samples.iter().copied().max().unwrap_or(u16::MAX)
}

fn first_metatarsal(film: &KnownFilm) -> Option<(FilmPoint, FilmPoint)> {
    let point = |landmark| film.truth.tracing.point(landmark);
    point(Landmark::BaseCentre(LongBone::M1)).zip(point(Landmark::Tip(LongBone::M1)))
}

fn direction(from: FilmPoint, to: FilmPoint) -> [f64; 2] {
    let length = from.distance_px(to);
    [
        (to.x_px - from.x_px) / length,
        (to.y_px - from.y_px) / length,
    ]
}

fn turned([x, y]: [f64; 2], degrees: f64) -> [f64; 2] {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    [cosine * x - sine * y, sine * x + cosine * y]
}
