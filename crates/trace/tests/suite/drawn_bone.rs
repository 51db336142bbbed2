//! A long bone that a test draws: a bowed tube with cortices and flared, rounded ends.

use plumbray_anatomy::{FilmPoint, PhysicalPoint, PhysicalVector, Proportions};

use crate::film::Film;

/// A drawn bone in physical proportions, in pixel widths.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DrawnBone {
    pub(crate) middle: PhysicalPoint,
    /// Direction from base to tip, in radians clockwise on the screen from the x axis.
    pub(crate) direction: f64,
    pub(crate) length: f64,
    /// Width of the shaft at its narrowest.
    pub(crate) waist: f64,
    /// How far the middle of the shaft lies to one side of the line between the ends.
    pub(crate) bow: f64,
}

impl DrawnBone {
    /// A bone like a first metatarsal, 300 pixel widths long.
    pub(crate) const fn metatarsal(middle: PhysicalPoint, direction: f64) -> Self {
        Self {
            middle,
            direction,
            length: 300.0,
            waist: 62.0,
            bow: 4.0,
        }
    }

    pub(crate) fn along(&self) -> PhysicalVector {
        PhysicalVector::new(self.direction.cos(), self.direction.sin())
    }

    /// The place at `u` along from the middle and `v` across.
    pub(crate) fn point(&self, u: f64, v: f64) -> PhysicalPoint {
        let along = self.along();
        self.middle + along * u + along.perpendicular() * v
    }

    pub(crate) fn coordinates(&self, point: PhysicalPoint) -> (f64, f64) {
        let (offset, along) = (point - self.middle, self.along());
        (offset.dot(along), offset.dot(along.perpendicular()))
    }

    /// The bone's middle across at a place along it.
    pub(crate) fn centre_line(&self, u: f64) -> f64 {
        let share = 2.0 * u / self.length;
        self.bow * (1.0 - share * share)
    }

    /// Half the bone's width at a place along it: narrow in the middle, flared to 1.5 times, rounded
    /// at the ends.
    pub(crate) fn half_width(&self, u: f64) -> f64 {
        let share = (2.0 * u / self.length).abs();
        let flared = 0.5 * self.waist * (1.0 + 0.5 * share.powi(3));
        let rounded = 0.25 * self.waist;
        let into_end = u.abs() - (0.5 * self.length - rounded);
        if into_end <= 0.0 {
            flared
        } else if into_end < rounded {
            let depth = into_end / rounded;
            flared * (1.0 - depth * depth).sqrt().max(0.0).sqrt()
        } else {
            0.0
        }
    }

    /// How much the bone attenuates at a place: a cortex around marrow, seen through.
    pub(crate) fn attenuation(&self, point: PhysicalPoint) -> f64 {
        let (u, v) = self.coordinates(point);
        let (half, off) = (self.half_width(u), v - self.centre_line(u));
        if off.abs() >= half {
            return 0.0;
        }
        let cortex = 0.1 * self.waist;
        let inner = (half - cortex).max(0.0);
        let outer_path = (half * half - off * off).sqrt();
        let inner_path = (inner * inner - off * off).max(0.0).sqrt();
        // The plate under the joint surface, as thick as the cortex.
        let is_plate = u.abs() > 0.5 * self.length - cortex;
        let marrow = if is_plate { 0.8 } else { 0.35 };
        (outer_path - inner_path + marrow * inner_path) / self.waist
    }
}

/// Brightness of a forefoot's part: soft tissue around several bones.
pub(crate) fn brightness(bones: &[DrawnBone], point: PhysicalPoint) -> f64 {
    let soft_tissue = bones
        .iter()
        .map(|bone| {
            let (u, v) = bone.coordinates(point);
            let beyond = (u.abs() - 0.5 * bone.length).max(0.0).hypot(v) / (1.25 * bone.waist);
            (1.0 - beyond * beyond).max(0.0).sqrt()
        })
        .fold(0.0, f64::max);
    let bone: f64 = bones.iter().map(|bone| bone.attenuation(point)).sum();
    0.04 + 0.22 * soft_tissue + 0.55 * bone
}

/// A film of a first ray: a metatarsal, the phalanx beyond its joint, and the next metatarsal.
pub(crate) struct Ray {
    pub(crate) film: Film,
    pub(crate) metatarsal: DrawnBone,
}

impl Ray {
    /// Draws the ray at a size (1 is 300 pixel widths of metatarsal), on pixels of a shape.
    pub(crate) fn drawn(scale: f64, proportions: Proportions, noise: f64) -> Self {
        let place = |x: f64, y: f64| PhysicalPoint::new(scale * x, scale * y);
        let scaled = |bone: DrawnBone| DrawnBone {
            length: scale * bone.length,
            waist: scale * bone.waist,
            bow: scale * bone.bow,
            ..bone
        };
        // Distal is up and a little to the left.
        let direction = (-97.0_f64).to_radians();
        let metatarsal = scaled(DrawnBone::metatarsal(place(200.0, 380.0), direction));
        let (half, gap) = (0.5 * metatarsal.length, 8.0 * scale);
        let phalanx = DrawnBone {
            length: 140.0 * scale,
            waist: 56.0 * scale,
            middle: metatarsal.point(half + gap + 70.0 * scale, 0.0),
            ..metatarsal
        };
        let neighbour = DrawnBone {
            length: 340.0 * scale,
            waist: 38.0 * scale,
            middle: place(322.0, 380.0),
            direction: (-85.0_f64).to_radians(),
            ..metatarsal
        };
        let bones = [metatarsal, phalanx, neighbour];
        let rows = scale * 640.0 / proportions.height_over_width();
        let size = (count(scale * 440.0), count(rows));
        let film = Film::drawn(size, proportions, noise, |point| brightness(&bones, point));
        Self { film, metatarsal }
    }

    /// The film point at `u` along and `v` across the metatarsal.
    pub(crate) fn point(&self, u: f64, v: f64) -> FilmPoint {
        self.film.proportions.film(self.metatarsal.point(u, v))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes of drawn films are small positive numbers"
)]
fn count(size: f64) -> usize {
    size.round() as usize
}
