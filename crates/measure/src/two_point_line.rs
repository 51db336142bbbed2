//! A line through two placed points.

use plumbray_anatomy::{Landmark, PhysicalPoint, PhysicalVector};

use crate::{
    construction::{Line, LineRole},
    derivative::Scalar,
    placed::{Gap, PlacedFilm, both},
    plane::{Point, Vector},
};

/// A line through two placed points, at least a few pixels apart.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TwoPointLine<'t> {
    pub(crate) from: Point<'t>,
    pub(crate) to: Point<'t>,
}

impl<'t> TwoPointLine<'t> {
    /// The line through two landmarks.
    pub(crate) fn of(film: &PlacedFilm<'_, 't>, landmarks: [Landmark; 2]) -> Result<Self, Gap> {
        let (from, to) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
        film.far_enough_apart((landmarks[0], from.value()), (landmarks[1], to.value()))?;
        Ok(Self { from, to })
    }

    /// From the first point to the second.
    pub(crate) fn vector(&self) -> Vector<'t> {
        self.to - self.from
    }

    /// Halfway between both points.
    pub(crate) fn middle(&self) -> Point<'t> {
        self.from.midpoint(self.to)
    }

    /// The perpendicular of the line that does not point against `guide`.
    pub(crate) fn normal_along(&self, guide: PhysicalVector) -> Vector<'t> {
        self.vector().perpendicular().along(guide)
    }

    /// How far a point lies off the line along `square`, which is square to it: in pixel widths, positive the
    /// way `square` points. With it where the point's perpendicular meets the line.
    pub(crate) fn offset_of(
        &self,
        point: Point<'t>,
        square: Vector<'t>,
    ) -> (Scalar<'t>, PhysicalPoint) {
        let offset = (point - self.from).dot(square) / square.length();
        let unit_back = -offset.value() / square.value().length();
        (offset, point.value() + square.value() * unit_back)
    }

    /// Both points in the order in which `guide` points.
    pub(crate) fn ends_along(&self, guide: PhysicalVector) -> [PhysicalPoint; 2] {
        let (from, to) = (self.from.value(), self.to.value());
        if (to - from).dot(guide) < 0.0 {
            [to, from]
        } else {
            [from, to]
        }
    }

    /// The line as it is drawn.
    pub(crate) fn line(&self, film: &PlacedFilm<'_, '_>, role: LineRole) -> Line {
        Line {
            role,
            from: film.on_film(self.from.value()),
            to: film.on_film(self.to.value()),
        }
    }
}
