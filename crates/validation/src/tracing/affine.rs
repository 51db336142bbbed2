//! Films mirrored, turned and resampled: their pixels and their truth together.

use plumbray_anatomy::{FilmPoint, FilmTracing};
use plumbray_proposal::Hints;

use super::truth::{KnownFilm, Truth};

/// A map from a film to its changed copy: x' = a·x + b·y + e, y' = c·x + d·y + f, in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// The rows [a, b] and [c, d].
    pub rows: [[f64; 2]; 2],
    /// [e, f].
    pub shift: [f64; 2],
}

impl Affine {
    /// Where a point comes to lie.
    #[must_use]
    pub fn of(&self, point: FilmPoint) -> FilmPoint {
        let at = |row: usize| {
            self.rows[row][0] * point.x_px + self.rows[row][1] * point.y_px + self.shift[row]
        };
        FilmPoint::new(at(0), at(1))
    }

    /// By how much the map enlarges areas; negative when it mirrors.
    #[must_use]
    pub fn determinant(&self) -> f64 {
        self.rows[0][0] * self.rows[1][1] - self.rows[0][1] * self.rows[1][0]
    }

    /// The map back. The maps of this module all have one.
    fn back(&self) -> Self {
        let [[a, b], [c, d]] = self.rows;
        let size = self.determinant();
        let rows = [[d / size, -b / size], [-c / size, a / size]];
        let shift = rows.map(|row| -(row[0] * self.shift[0] + row[1] * self.shift[1]));
        Self { rows, shift }
    }
}

/// Left and right exchanged: an AP film then shows the other foot.
#[must_use]
pub fn mirrored(film: &KnownFilm) -> KnownFilm {
    let map = Affine {
        rows: [[-1.0, 0.0], [0.0, 1.0]],
        shift: [film.width as f64, 0.0],
    };
    resampled(film, &map, film.width, film.height)
}

/// Turned clockwise, on a canvas that holds the whole film.
#[must_use]
pub fn turned(film: &KnownFilm, degrees: f64) -> KnownFilm {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let (width, height) = (film.width as f64, film.height as f64);
    let new_width = (width * cosine.abs() + height * sine.abs()).ceil();
    let new_height = (width * sine.abs() + height * cosine.abs()).ceil();
    let rows = [[cosine, -sine], [sine, cosine]];
    let middle = |row: [f64; 2]| 0.5 * (row[0] * width + row[1] * height);
    let map = Affine {
        rows,
        shift: [
            0.5 * new_width - middle(rows[0]),
            0.5 * new_height - middle(rows[1]),
        ],
    };
    resampled(film, &map, pixels(new_width), pixels(new_height))
}

/// At another resolution: 0.5 halves the number of columns and rows.
#[must_use]
pub fn scaled(film: &KnownFilm, factor: f64) -> KnownFilm {
    let map = Affine {
        rows: [[factor, 0.0], [0.0, factor]],
        shift: [0.0, 0.0],
    };
    let size = |count: usize| pixels((count as f64 * factor).floor());
    resampled(film, &map, size(film.width), size(film.height))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the size of a film"
)]
fn pixels(size: f64) -> usize {
    size.max(1.0) as usize
}

fn resampled(film: &KnownFilm, map: &Affine, width: usize, height: usize) -> KnownFilm {
    let back = map.back();
    let beyond = film.samples.first().copied().unwrap_or(0);
    let mut samples = Vec::with_capacity(width * height);
    for row in 0..height {
        for column in 0..width {
            let at = back.of(FilmPoint::new(column as f64 + 0.5, row as f64 + 0.5));
            samples.push(sample_at(film, at).unwrap_or(beyond));
        }
    }
    let truth = &film.truth;
    let side = if map.determinant() < 0.0 {
        truth.side.opposite()
    } else {
        truth.side
    };
    KnownFilm {
        width,
        height,
        samples,
        bone_is_bright: film.bone_is_bright,
        truth: Truth::of_tracing(
            truth.view,
            side,
            truth.pixel_mm / map.determinant().abs().sqrt(),
            moved(&truth.tracing, map),
        ),
        hints: film
            .hints
            .iter()
            .map(|hints| Hints {
                points: hints
                    .points
                    .iter()
                    .map(|(landmark, at)| (*landmark, map.of(*at)))
                    .collect(),
            })
            .collect(),
    }
}

fn moved(tracing: &FilmTracing, map: &Affine) -> FilmTracing {
    let mut moved = tracing.clone();
    for placed in moved.points.values_mut() {
        placed.at = map.of(placed.at);
    }
    for cortices in moved.cortices.values_mut() {
        for point in cortices.one.iter_mut().chain(&mut cortices.two) {
            *point = map.of(*point);
        }
    }
    moved
}

/// The film between the centres of its pixels, bilinearly; nothing beyond its edges. Halfway between
/// four pixels this is their mean, so that half the resolution needs no other filter.
fn sample_at(film: &KnownFilm, at: FilmPoint) -> Option<u16> {
    let within = |place: f64, count: usize| {
        (0.0..=count as f64)
            .contains(&place)
            .then(|| (place - 0.5).clamp(0.0, count as f64 - 1.0))
    };
    let (x, y) = (within(at.x_px, film.width)?, within(at.y_px, film.height)?);
    let (column, row) = (index(x), index(y));
    let (right, below) = (
        (column + 1).min(film.width - 1),
        (row + 1).min(film.height - 1),
    );
    let pixel = |column: usize, row: usize| f64::from(film.samples[row * film.width + column]);
    let (part_x, part_y) = (x - x.floor(), y - y.floor());
    let upper = pixel(column, row) * (1.0 - part_x) + pixel(right, row) * part_x;
    let lower = pixel(column, below) * (1.0 - part_x) + pixel(right, below) * part_x;
    Some(sixteen_bits(upper * (1.0 - part_y) + lower * part_y))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative and within the film"
)]
fn index(place: f64) -> usize {
    place.floor() as usize
}

/// A grey value as a sample holds it.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and the greatest sample"
)]
pub(super) fn sixteen_bits(value: f64) -> u16 {
    value.round().clamp(0.0, f64::from(u16::MAX)) as u16
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Landmark, Origin, PlacedPoint, Side, View, testing::assert_close};

    use super::*;

    /// A dark film of 61 × 40 pixels with one bright pixel, on which the head's centre lies.
    fn film_with_a_bright_pixel() -> KnownFilm {
        let (width, height, column, row) = (61, 40, 47, 9);
        let mut samples = vec![0; width * height];
        samples[row * width + column] = 60_000;
        let at = FilmPoint::new(column as f64 + 0.5, row as f64 + 0.5);
        let mut tracing = FilmTracing::default();
        let placed = PlacedPoint {
            at,
            sd_px: 0.0,
            origin: Origin::Derived,
        };
        tracing.points.insert(Landmark::HeadCentre, placed);
        let hints = Hints {
            points: [(Landmark::HeadCentre, at)].into(),
        };
        KnownFilm {
            width,
            height,
            samples,
            bone_is_bright: true,
            truth: Truth::of_tracing(View::Ap, Side::Left, 0.2, tracing),
            hints: vec![hints],
        }
    }

    /// The middle of what is bright.
    fn bright_place(film: &KnownFilm) -> FilmPoint {
        let (mut sum, mut x, mut y) = (0.0, 0.0, 0.0);
        for (index, sample) in film.samples.iter().enumerate() {
            let weight = f64::from(*sample);
            sum += weight;
            x += weight * ((index % film.width) as f64 + 0.5);
            y += weight * ((index / film.width) as f64 + 0.5);
        }
        FilmPoint::new(x / sum, y / sum)
    }

    fn assert_lands_on_its_pixel(film: &KnownFilm, within_px: f64, what: &str) {
        let bright = bright_place(film);
        let landmark = film
            .truth
            .tracing
            .point(Landmark::HeadCentre)
            .expect("kept");
        let hint = film.hints[0].points[&Landmark::HeadCentre];
        for place in [landmark, hint] {
            let off = place.distance_px(bright);
            assert!(off < within_px, "{what}: {place:?} but {bright:?}");
        }
        let inside = (0.0..film.width as f64).contains(&landmark.x_px)
            && (0.0..film.height as f64).contains(&landmark.y_px);
        assert!(inside, "{what}: the canvas holds it");
    }

    #[test]
    fn a_landmark_moved_by_a_turn_lands_where_its_pixel_went() {
        let film = film_with_a_bright_pixel();
        for degrees in [10.0, 33.3, 90.0, 145.0, 180.0, 271.0, 359.0] {
            let turned = turned(&film, degrees);
            assert_lands_on_its_pixel(&turned, 0.3, &format!("{degrees}°"));
            assert_eq!(turned.truth.side, Side::Left, "a turned foot is the same");
            assert_close(turned.truth.pixel_mm, 0.2, 1e-12, "the same pixels");
        }
    }

    #[test]
    fn a_quarter_turn_runs_clockwise() {
        let turned = turned(&film_with_a_bright_pixel(), 90.0);
        let landmark = turned
            .truth
            .tracing
            .point(Landmark::HeadCentre)
            .expect("kept");
        // Upper right before, lower right after.
        assert!(landmark.y_px > 0.5 * turned.height as f64, "{landmark:?}");
    }

    #[test]
    fn a_mirrored_film_is_exact_and_shows_the_other_foot() {
        let film = film_with_a_bright_pixel();
        let other = mirrored(&film);
        assert_lands_on_its_pixel(&other, 1e-9, "mirrored");
        assert_eq!(other.truth.side, Side::Right, "the other foot");
        assert_eq!(mirrored(&other).samples, film.samples, "and back");
    }

    #[test]
    fn half_and_double_resolution_keep_places_in_millimetres() {
        let film = film_with_a_bright_pixel();
        for (factor, within_px) in [(0.5, 0.4), (2.0, 0.1)] {
            let scaled = scaled(&film, factor);
            assert_lands_on_its_pixel(&scaled, within_px, &format!("times {factor}"));
            assert_close(scaled.truth.pixel_mm, 0.2 / factor, 1e-12, "pixel");
        }
        let mean = super::scaled(&film, 0.5).samples.iter().copied().max();
        assert_eq!(mean, Some(15_000), "a quarter of the bright pixel");
    }
}
