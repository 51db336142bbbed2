//! Straight edges at random places and turns, found once more by scikit-image
//! (`tests/outside/scikit_image`).

use std::f64::consts::TAU;

use plumbray_anatomy::{FilmPoint, Proportions};
use plumbray_film::GreyView;
use plumbray_tests::answered_outside;
use plumbray_trace::{SnapKind, snap_point};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const SEED: u64 = 20_261_127;
const EDGES: usize = 120;
/// Pixels to a side of each film.
const SIDE: usize = 64;
/// Greys on both sides of an edge.
const DARK: f64 = 9_000.0;
const BRIGHT: f64 = 44_000.0;
/// The steepest place and the middle grey of a blurred edge are the same; one search lays a parabola
/// through whole samples and the other straight lines. A snap states a spread of a tenth of a pixel at
/// least: none may be off by more than one and a half of that, and half of them by less than half.
const WORST_PX: f64 = 0.15;
const MEDIAN_PX: f64 = 0.05;

/// A blurred edge between two greys.
struct Edge {
    through: (f64, f64),
    normal: (f64, f64),
    blur_px: f64,
}

impl Edge {
    fn random(generator: &mut ChaCha8Rng) -> Self {
        let turn: f64 = generator.random_range(0.0..TAU);
        Self {
            through: (
                generator.random_range(28.0..36.0),
                generator.random_range(28.0..36.0),
            ),
            normal: (turn.cos(), turn.sin()),
            blur_px: generator.random_range(1.2..2.5),
        }
    }

    fn beyond(&self, x: f64, y: f64) -> f64 {
        (x - self.through.0) * self.normal.0 + (y - self.through.1) * self.normal.1
    }

    /// The logistic curve: near a blurred edge's own, and exactly as steep in the middle as it is.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "every grey lies between the two of the edge"
    )]
    fn samples(&self) -> Vec<u16> {
        (0..SIDE * SIDE)
            .map(|index| {
                let (x, y) = ((index % SIDE) as f64 + 0.5, (index / SIDE) as f64 + 0.5);
                let share = 1.0 / (1.0 + (-1.702 * self.beyond(x, y) / self.blur_px).exp());
                (DARK + (BRIGHT - DARK) * share).round() as u16
            })
            .collect()
    }
}

#[test]
fn edges_are_where_scikit_image_follows_them() {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let edges: Vec<Edge> = (0..EDGES).map(|_| Edge::random(&mut generator)).collect();
    let films: Vec<Vec<u16>> = edges.iter().map(Edge::samples).collect();
    let lines = followed_outside(&films);
    let mut distances = Vec::with_capacity(EDGES);
    for (number, (edge, samples)) in edges.iter().zip(&films).enumerate() {
        let film = GreyView {
            width: SIDE,
            height: SIDE,
            samples,
            bone_is_bright: true,
            proportions: Proportions::SQUARE,
        };
        let off = generator.random_range(-3.0..3.0);
        let near = FilmPoint::new(
            edge.through.0 + off * edge.normal.0,
            edge.through.1 + off * edge.normal.1,
        );
        let snap = snap_point(&film, near, 6.0).expect("an edge is near");
        assert_eq!(snap.kind, SnapKind::Edge, "edge {number}");
        let away = distance_from(&lines[number], snap.at);
        assert!(
            away < WORST_PX,
            "edge {number}: {away:.3} pixels from scikit-image’s line"
        );
        distances.push(away);
    }
    distances.sort_unstable_by(f64::total_cmp);
    let median = distances[distances.len() / 2];
    assert!(
        median < MEDIAN_PX,
        "half of the edges are {median:.3} pixels off or more"
    );
}

fn followed_outside(films: &[Vec<u16>]) -> Vec<Vec<FilmPoint>> {
    let middle = f64::midpoint(DARK, BRIGHT);
    let films: Value = films
        .iter()
        .map(|samples| json!({ "side": SIDE, "middle": middle, "samples": samples }))
        .collect();
    let lines: Vec<Vec<[f64; 2]>> = answered_outside("scikit_image/edges.py", &films);
    lines
        .into_iter()
        .map(|line| {
            line.into_iter()
                .map(|[x, y]| FilmPoint::new(x, y))
                .collect()
        })
        .collect()
}

/// The distance of a point from a line of points.
fn distance_from(line: &[FilmPoint], point: FilmPoint) -> f64 {
    line.windows(2)
        .map(|piece| {
            let (from, to) = (piece[0], piece[1]);
            let way = (to.x_px - from.x_px, to.y_px - from.y_px);
            let square = way.0 * way.0 + way.1 * way.1;
            let along = (point.x_px - from.x_px) * way.0 + (point.y_px - from.y_px) * way.1;
            let share = if square > 0.0 { along / square } else { 0.0 };
            from.toward(to, share.clamp(0.0, 1.0)).distance_px(point)
        })
        .fold(f64::INFINITY, f64::min)
}
