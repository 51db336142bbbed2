//! Base and tip of a long bone: its length, and the line along which levels across it are counted.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint};

use crate::{
    construction::{Line, LineRole},
    derivative::Scalar,
    outcome::Need,
    placed::{Gap, PlacedFilm, both},
    plane::{Point, Vector},
};

/// Base centre and tip of a long bone, at least a few pixels apart.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ends<'t> {
    bone: LongBone,
    base: Point<'t>,
    tip: Point<'t>,
}

impl<'t> Ends<'t> {
    /// The ends of a bone on a film. Where nothing of the bone was placed the bone itself is needed:
    /// a sweep along its shaft proposes both ends.
    pub(crate) fn of(film: &PlacedFilm<'_, 't>, bone: LongBone) -> Result<Self, Gap> {
        let is_untouched = !film.film.tracing.cortices.contains_key(&bone)
            && !Landmark::of_shaft(bone)
                .into_iter()
                .any(|landmark| film.has(landmark));
        if is_untouched {
            return Err(Gap::Needs(vec![Need::Shaft(film.view, bone)]));
        }
        let landmarks = [Landmark::BaseCentre(bone), Landmark::Tip(bone)];
        let (base, tip) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
        film.far_enough_apart((landmarks[0], base.value()), (landmarks[1], tip.value()))?;
        Ok(Self { bone, base, tip })
    }

    /// From base to tip.
    pub(crate) fn vector(&self) -> Vector<'t> {
        self.tip - self.base
    }

    /// The distance from base to tip, in pixel widths.
    pub(crate) fn length(&self) -> Scalar<'t> {
        self.vector().length()
    }

    /// Where base and tip are.
    pub(crate) fn places(&self) -> [PhysicalPoint; 2] {
        [self.base.value(), self.tip.value()]
    }

    /// How far along the bone a point lies: 0 at the base, 1 at the tip.
    pub(crate) fn share_of(&self, point: PhysicalPoint) -> f64 {
        let vector = self.vector_value();
        (point - self.base.value()).dot(vector) / vector.dot(vector)
    }

    /// The same for a point on the tape.
    pub(crate) fn share_on_tape(&self, point: Point<'t>) -> Scalar<'t> {
        let vector = self.vector();
        (point - self.base).dot(vector) / vector.dot(vector)
    }

    /// How far a point lies from the line through base and tip, in pixel widths.
    pub(crate) fn distance_from(&self, point: PhysicalPoint) -> f64 {
        let vector = self.vector_value();
        (point - self.base.value()).cross(vector).abs() / vector.length()
    }

    /// The line that shows the length.
    pub(crate) fn line(&self, film: &PlacedFilm<'_, '_>) -> Line {
        let [from, to] = self.places().map(|place| film.on_film(place));
        Line {
            role: LineRole::Length(self.bone),
            from,
            to,
        }
    }

    fn vector_value(&self) -> plumbray_anatomy::PhysicalVector {
        self.tip.value() - self.base.value()
    }
}
