//! Points on the film and in physical proportions.

use std::ops::{Add, Mul, Sub};

use serde::{Deserialize, Serialize};

use crate::unit::PixelSpacing;

/// A point on a film in pixels: x to the right, y down, the centre of the first pixel at (0.5, 0.5).
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct FilmPoint {
    /// Distance from the left edge of the film, in pixels.
    pub x_px: f64,
    /// Distance from the upper edge of the film, in pixels.
    pub y_px: f64,
}

impl FilmPoint {
    /// The point `x_px` to the right of, and `y_px` below, the film's upper left corner.
    #[must_use]
    pub const fn new(x_px: f64, y_px: f64) -> Self {
        Self { x_px, y_px }
    }

    /// The distance to another point in pixels, where pixels are taken to be square.
    #[must_use]
    pub fn distance_px(self, other: Self) -> f64 {
        (self.x_px - other.x_px).hypot(self.y_px - other.y_px)
    }

    /// The point at the share `t` of the way to `other`: 0 here, 1 there.
    #[must_use]
    pub fn toward(self, other: Self, t: f64) -> Self {
        Self::new(
            self.x_px + t * (other.x_px - self.x_px),
            self.y_px + t * (other.y_px - self.y_px),
        )
    }

    /// Whether both coordinates are ordinary numbers.
    #[must_use]
    pub const fn is_finite(self) -> bool {
        self.x_px.is_finite() && self.y_px.is_finite()
    }
}

/// A displacement on a film in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct FilmStep {
    /// To the right on the film, in pixels.
    pub across_px: f64,
    /// Down the film, in pixels.
    pub down_px: f64,
}

impl FilmStep {
    /// So many pixels to the right and down.
    #[must_use]
    pub const fn new(across_px: f64, down_px: f64) -> Self {
        Self { across_px, down_px }
    }

    /// The point one step away from `point`.
    #[must_use]
    pub fn from(self, point: FilmPoint) -> FilmPoint {
        FilmPoint::new(point.x_px + self.across_px, point.y_px + self.down_px)
    }
}

/// How far the joint surface of a metatarsal's head reaches on its circle to both sides of the middle, in
/// radians. Ours: as far as that circle is looked for.
pub const HEAD_SURFACE_REACH: f64 = 0.9;

/// The shape of a film's pixels: how much taller than wide each one is.
///
/// Angles need it even where nothing is calibrated (DICOM Pixel Aspect Ratio, PS3.3 10.7.1.3).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Proportions(f64);

impl Proportions {
    /// Square pixels.
    pub const SQUARE: Self = Self(1.0);

    /// Pixels whose height is `height_over_width` times their width.
    ///
    /// Nothing when the number is not finite or outside 0.01 to 100: no detector makes such pixels.
    #[must_use]
    pub fn new(height_over_width: f64) -> Option<Self> {
        (0.01..=100.0)
            .contains(&height_over_width)
            .then_some(Self(height_over_width))
    }

    /// The height of a pixel over its width.
    #[must_use]
    pub const fn height_over_width(self) -> f64 {
        self.0
    }

    /// A film point in physical proportions.
    #[must_use]
    pub fn physical(self, point: FilmPoint) -> PhysicalPoint {
        PhysicalPoint {
            x: point.x_px,
            y: point.y_px * self.0,
        }
    }

    /// The film point of a point in physical proportions.
    #[must_use]
    pub fn film(self, point: PhysicalPoint) -> FilmPoint {
        FilmPoint::new(point.x, point.y / self.0)
    }

    /// A circle about a centre through a point of its edge, as a closed line of so many stretches: on a film
    /// whose pixels are not square it is an ellipse.
    #[must_use]
    pub fn circle(self, centre: FilmPoint, edge: FilmPoint, stretches: u32) -> Vec<FilmPoint> {
        self.arc(centre, edge, std::f64::consts::PI, stretches)
    }

    /// The joint surface of a head on that circle, as a line of so many stretches: it reaches
    /// [`HEAD_SURFACE_REACH`] to both sides of the point of the edge.
    #[must_use]
    pub fn head_surface(
        self,
        centre: FilmPoint,
        edge: FilmPoint,
        stretches: u32,
    ) -> Vec<FilmPoint> {
        self.arc(centre, edge, HEAD_SURFACE_REACH, stretches)
    }

    /// The part of that circle that reaches so far, in radians, to both sides of the point of its edge.
    fn arc(self, centre: FilmPoint, edge: FilmPoint, reach: f64, stretches: u32) -> Vec<FilmPoint> {
        let middle = self.physical(centre);
        let toward = self.physical(edge) - middle;
        (0..=stretches)
            .map(|step| {
                let share = f64::from(step) / f64::from(stretches);
                let (sine, cosine) = (reach * (2.0 * share - 1.0)).sin_cos();
                self.film(PhysicalPoint::new(
                    middle.x + toward.x * cosine - toward.y * sine,
                    middle.y + toward.y * cosine + toward.x * sine,
                ))
            })
            .collect()
    }
}

impl Default for Proportions {
    fn default() -> Self {
        Self::SQUARE
    }
}

impl From<PixelSpacing> for Proportions {
    fn from(spacing: PixelSpacing) -> Self {
        Self(spacing.between_rows_mm() / spacing.between_columns_mm())
    }
}

/// A point in physical proportions: the unit is the width of one pixel in both directions, x to the
/// right and y down. Times the spacing between columns it is in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PhysicalPoint {
    /// To the right, in pixel widths.
    pub x: f64,
    /// Down, in pixel widths.
    pub y: f64,
}

/// A displacement in physical proportions, in pixel widths.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PhysicalVector {
    /// To the right, in pixel widths.
    pub x: f64,
    /// Down, in pixel widths.
    pub y: f64,
}

impl PhysicalVector {
    /// A displacement by `x` to the right and `y` down.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The scalar product **u** · **v**.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The third component of the cross product **u** × **v**; with y down it is positive when
    /// `other` lies clockwise of `self` as seen on the screen.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The length, in pixel widths.
    #[must_use]
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// The vector turned by a quarter turn, clockwise as seen on the screen.
    #[must_use]
    pub const fn perpendicular(self) -> Self {
        Self {
            x: -self.y,
            y: self.x,
        }
    }

    /// The vector of length one in the same direction; nothing when the length is zero or not
    /// finite.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length.is_finite() && length > 0.0).then(|| self * (1.0 / length))
    }
}

impl PhysicalPoint {
    /// The point `x` to the right of, and `y` below, the origin.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point halfway to another.
    #[must_use]
    pub fn midpoint(self, other: Self) -> Self {
        Self::new(
            f64::midpoint(self.x, other.x),
            f64::midpoint(self.y, other.y),
        )
    }
}

impl Sub for PhysicalPoint {
    type Output = PhysicalVector;
    fn sub(self, other: Self) -> PhysicalVector {
        PhysicalVector::new(self.x - other.x, self.y - other.y)
    }
}

impl Add<PhysicalVector> for PhysicalPoint {
    type Output = Self;
    fn add(self, step: PhysicalVector) -> Self {
        Self::new(self.x + step.x, self.y + step.y)
    }
}

impl Add for PhysicalVector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for PhysicalVector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for PhysicalVector {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tall_pixel_stretches_the_film_downward_only() {
        let tall = Proportions::new(2.0).expect("possible");
        let physical = tall.physical(FilmPoint::new(3.0, 4.0));
        assert_eq!(physical, PhysicalPoint::new(3.0, 8.0), "x stays, y doubles");
        assert_eq!(tall.film(physical), FilmPoint::new(3.0, 4.0), "and back");
    }

    #[test]
    fn clockwise_on_the_screen_is_a_positive_cross_product() {
        let right = PhysicalVector::new(1.0, 0.0);
        let down = PhysicalVector::new(0.0, 1.0);
        assert!(
            right.cross(down) > 0.0,
            "down lies clockwise of right when y points down"
        );
        assert_eq!(right.perpendicular(), down, "a quarter turn clockwise");
    }

    #[test]
    fn a_vector_without_length_has_no_direction() {
        assert_eq!(PhysicalVector::default().unit(), None, "zero");
        assert_eq!(
            PhysicalVector::new(f64::NAN, 1.0).unit(),
            None,
            "not a number"
        );
    }

    #[test]
    fn a_circle_is_round_on_the_foot_where_pixels_are_not_square() {
        let proportions = Proportions::new(1.5).expect("possible");
        let (centre, edge) = (FilmPoint::new(100.0, 100.0), FilmPoint::new(130.0, 100.0));
        for point in proportions.circle(centre, edge, 64) {
            let away = proportions.physical(point) - proportions.physical(centre);
            assert!((away.length() - 30.0).abs() < 1e-9, "radius");
        }
        let arc = proportions.arc(centre, edge, 0.5, 4);
        assert_eq!(arc[2], edge, "its middle is the point of the edge");
        let ends = [arc[0], arc[4]].map(|end| proportions.physical(end));
        let apart = (ends[1] - ends[0]).length();
        assert!((apart - 60.0 * 0.5_f64.sin()).abs() < 1e-9, "half a radian");
    }
}
