//! Where a point of the foot falls on the film, and the ray that makes a pixel.

use nalgebra::{Vector2, Vector3};
use plumbray_anatomy::FilmPoint;

/// A ray from the X-ray source. Its direction has length one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ray {
    /// The place of the source.
    pub(crate) origin: Vector3<f64>,
    /// Unit vector along the ray.
    pub(crate) direction: Vector3<f64>,
}

impl Ray {
    /// The point `distance_mm` along the ray.
    pub(crate) fn at(&self, distance_mm: f64) -> Vector3<f64> {
        self.origin + self.direction * distance_mm
    }

    /// From where to where the ray lies within a box; nothing when it passes by.
    pub(crate) fn within_box(&self, low: Vector3<f64>, high: Vector3<f64>) -> Option<(f64, f64)> {
        let mut enter = 0.0_f64;
        let mut leave = f64::INFINITY;
        for axis in 0..3 {
            let inverse = 1.0 / self.direction[axis];
            let first = (low[axis] - self.origin[axis]) * inverse;
            let second = (high[axis] - self.origin[axis]) * inverse;
            // A ray parallel to this pair of faces gives infinities, or NaN on the face itself;
            // `max` and `min` pass over NaN.
            enter = enter.max(first.min(second));
            leave = leave.min(first.max(second));
        }
        (enter < leave).then_some((enter, leave))
    }
}

/// A point source and a flat detector, in the coordinates of the room: x to the right as seen by
/// the standing person, y forward, z up from the floor, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection {
    source: Vector3<f64>,
    corner: Vector3<f64>,
    along_row: Vector3<f64>,
    down_column: Vector3<f64>,
    pixel_mm: f64,
}

impl Projection {
    /// A detector whose upper left corner as seen on the film is at `corner`, whose rows run along
    /// `along_row` and whose columns run along `down_column` (two unit vectors square to each
    /// other), with square pixels of `pixel_mm`.
    pub(crate) const fn new(
        source: Vector3<f64>,
        corner: Vector3<f64>,
        along_row: Vector3<f64>,
        down_column: Vector3<f64>,
        pixel_mm: f64,
    ) -> Self {
        Self {
            source,
            corner,
            along_row,
            down_column,
            pixel_mm,
        }
    }

    /// The pinhole projection of a point in the room, given in millimetres.
    ///
    /// Nothing is projected beyond the source; a point of the foot never lies there.
    #[must_use]
    pub fn project(&self, point_mm: [f64; 3]) -> FilmPoint {
        let point = Vector3::from(point_mm);
        let normal = self.along_row.cross(&self.down_column);
        let reach = (self.corner - self.source).dot(&normal);
        let depth = (point - self.source).dot(&normal);
        let on_detector = self.source + (point - self.source) * (reach / depth) - self.corner;
        FilmPoint::new(
            on_detector.dot(&self.along_row) / self.pixel_mm,
            on_detector.dot(&self.down_column) / self.pixel_mm,
        )
    }

    /// How much larger than life a short line parallel to the detector is drawn at a point in the
    /// room.
    #[must_use]
    pub fn magnification(&self, point_mm: [f64; 3]) -> f64 {
        let normal = self.along_row.cross(&self.down_column);
        let reach = (self.corner - self.source).dot(&normal);
        reach / (Vector3::from(point_mm) - self.source).dot(&normal)
    }

    /// The size of a pixel at the detector, in millimetres.
    #[must_use]
    pub const fn pixel_mm(&self) -> f64 {
        self.pixel_mm
    }

    /// The point of the room in millimetres that lies on this film at `at` and on another film somewhere on the
    /// line through two points of it.
    ///
    /// Not finite where the ray runs within the plane of that line, which it never does from two sides.
    #[must_use]
    pub fn seen_on_line(&self, at: FilmPoint, other: &Self, line: [FilmPoint; 2]) -> [f64; 3] {
        let ray = self.ray(at);
        let [one, two] = line.map(|point| other.ray(point));
        let normal = one.direction.cross(&two.direction);
        let reach = (one.origin - ray.origin).dot(&normal) / ray.direction.dot(&normal);
        ray.at(reach).into()
    }

    /// The ray that makes the film at a point.
    pub(crate) fn ray(&self, at: FilmPoint) -> Ray {
        let target = self.corner
            + self.along_row * (at.x_px * self.pixel_mm)
            + self.down_column * (at.y_px * self.pixel_mm);
        Ray {
            origin: self.source,
            direction: (target - self.source).normalize(),
        }
    }

    /// The smallest upright rectangle on the film that holds these points, in pixels: lowest x and
    /// y, then highest.
    pub(crate) fn rectangle(
        &self,
        points: impl Iterator<Item = Vector3<f64>>,
    ) -> (Vector2<f64>, Vector2<f64>) {
        points
            .map(|point| self.project(point.into()))
            .map(|at| Vector2::new(at.x_px, at.y_px))
            .fold(
                (
                    Vector2::repeat(f64::INFINITY),
                    Vector2::repeat(f64::NEG_INFINITY),
                ),
                |(low, high), at| (low.inf(&at), high.sup(&at)),
            )
    }
}
