//! The shape of one bone: a cross-section swept along an axis, closed by joint surfaces.

use nalgebra::Vector3;

use crate::{
    geometry::smooth::{ellipsoid_distance, smooth_max, smooth_min},
    shape::profile::{Profile, Station},
};

/// A joint surface or other cut that closes a bone, in the bone's own coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum EndSurface {
    /// A flat facet; the bone lies behind it.
    Facet {
        /// A point of the facet.
        point: Vector3<f64>,
        /// Unit vector that points out of the bone.
        normal: Vector3<f64>,
        /// How far its edge is rounded, in mm.
        rounding_mm: f64,
    },
    /// A convex joint surface at the distal end, part of an ellipsoid.
    Head(Ellipsoid),
    /// A concave joint surface, the shape that an ellipsoid presses into the bone.
    Socket(Ellipsoid),
}

/// An ellipsoid with its axes along the bone's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ellipsoid {
    /// Its centre in the bone's coordinates.
    pub(crate) centre: Vector3<f64>,
    /// Half its size along u, v and w, in mm.
    pub(crate) radii: Vector3<f64>,
    /// How far the edge where it meets the rest of the bone is rounded, in mm.
    pub(crate) rounding_mm: f64,
}

impl EndSurface {
    fn cut(&self, body: f64, point: Vector3<f64>) -> f64 {
        match self {
            Self::Facet {
                point: through,
                normal,
                rounding_mm,
            } => smooth_max(body, (point - through).dot(normal), *rounding_mm),
            Self::Head(head) => {
                let mut from_centre = point - head.centre;
                // Proximal to its centre the head goes on as a tube wider than the bone.
                from_centre.z = from_centre.z.max(0.0);
                let distance = ellipsoid_distance(from_centre, head.radii);
                smooth_max(body, distance, head.rounding_mm)
            }
            Self::Socket(socket) => {
                let distance = ellipsoid_distance(point - socket.centre, socket.radii);
                smooth_max(body, -distance, socket.rounding_mm)
            }
        }
    }
}

/// A point of a solid: how deep it lies, and what the bone's wall is like there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SolidSample {
    /// Distance to the surface in mm, negative inside.
    pub(crate) distance_mm: f64,
    /// The bone's profile at this place.
    pub(crate) station: Station,
}

/// What a bone is before its ends are cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Body {
    /// The profile's sections, swept along the axis.
    Swept {
        /// How round the sections are: 1 is an ellipse, 0 nearly a rectangle.
        roundness: f64,
    },
    /// An ellipsoid about the origin with these radii in mm; the profile gives its wall only.
    Pebble(Vector3<f64>),
}

/// The shape of one bone in its own coordinates.
#[derive(Clone, Debug)]
pub(crate) struct Solid {
    /// Sections and wall along the axis.
    pub(crate) profile: Profile,
    /// What the profile is made into.
    pub(crate) body: Body,
    /// The surfaces that close it.
    pub(crate) ends: Vec<EndSurface>,
    /// Tubercles and eminences that stand out from it.
    pub(crate) bumps: Vec<Ellipsoid>,
    /// From where to where it reaches along w, in mm.
    pub(crate) reach_along_mm: [f64; 2],
}

impl Solid {
    /// Distance to the surface and wall at a point in the bone's coordinates.
    pub(crate) fn sample(&self, point: Vector3<f64>) -> SolidSample {
        let station = self.profile.station(point.z);
        let mut distance_mm = match self.body {
            Body::Swept { roundness } => section_distance(&station, roundness, point),
            Body::Pebble(radii) => ellipsoid_distance(point, radii),
        };
        for end in &self.ends {
            distance_mm = end.cut(distance_mm, point);
        }
        for bump in &self.bumps {
            let own = ellipsoid_distance(point - bump.centre, bump.radii);
            distance_mm = smooth_min(distance_mm, own, bump.rounding_mm);
        }
        SolidSample {
            distance_mm,
            station,
        }
    }

    /// Two opposite corners of a box that holds the solid, in the bone's coordinates.
    pub(crate) fn bounds(&self) -> (Vector3<f64>, Vector3<f64>) {
        let (low, high) = self.profile.extent();
        let mut lower = Vector3::new(low[0], low[1], self.reach_along_mm[0]);
        let mut upper = Vector3::new(high[0], high[1], self.reach_along_mm[1]);
        for bump in &self.bumps {
            let margin = bump.radii.add_scalar(bump.rounding_mm);
            lower = lower.inf(&(bump.centre - margin));
            upper = upper.sup(&(bump.centre + margin));
        }
        (lower.add_scalar(-0.5), upper.add_scalar(0.5))
    }
}

/// The distance to a section's outline, within the plane of the section.
///
/// With x and y the offsets in units of the reach on that side,
///
/// ```text
/// ρ⁴ = x⁴ + y⁴ + 2 k x² y²,   distance = (ρ − 1) / |∇ρ|
/// ```
///
/// where k is the roundness: an ellipse for k = 1, a rounded rectangle toward k = 0. Each of the four
/// quarters has its own half-axes and still joins its neighbours smoothly.
fn section_distance(station: &Station, roundness: f64, point: Vector3<f64>) -> f64 {
    let across = point.x - station.shift_mm[0];
    let up = point.y - station.shift_mm[1];
    let half_width = station.reach_mm[usize::from(across >= 0.0)];
    let half_height = station.reach_mm[if up >= 0.0 { 2 } else { 3 }];
    let (x, y) = (across / half_width, up / half_height);
    let (x2, y2) = (x * x, y * y);
    let fourth = x2 * x2 + y2 * y2 + 2.0 * roundness * x2 * y2;
    if fourth < 1e-12 {
        return -half_width.min(half_height);
    }
    let level = fourth.sqrt().sqrt();
    let cube = level * level * level;
    let slope_across = x * (x2 + roundness * y2) / (cube * half_width);
    let slope_up = y * (y2 + roundness * x2) / (cube * half_height);
    (level - 1.0) / slope_across.hypot(slope_up)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::profile::{Section, Wall};

    fn rod() -> Solid {
        let facet = |w: f64, out: f64| EndSurface::Facet {
            point: Vector3::new(0.0, 0.0, w),
            normal: Vector3::new(0.0, 0.0, out),
            rounding_mm: 0.0,
        };
        Solid {
            profile: Profile::new(
                40.0,
                1.0,
                &[Section::even(0.0, 5.0, 5.0, 5.0)],
                &[Wall::new(0.0, 1.0, 0.2)],
            ),
            body: Body::Swept { roundness: 1.0 },
            ends: vec![facet(0.0, -1.0), facet(40.0, 1.0)],
            bumps: Vec::new(),
            reach_along_mm: [0.0, 40.0],
        }
    }

    #[test]
    fn a_round_rod_has_the_distances_of_a_cylinder() {
        let rod = rod();
        for (point, expected) in [
            (Vector3::new(7.0, 0.0, 20.0), 2.0),
            (Vector3::new(3.0, 0.0, 20.0), -2.0),
            (Vector3::new(0.0, 0.0, 39.0), -1.0),
            (Vector3::new(0.0, 1.0, 43.0), 3.0),
        ] {
            let distance = rod.sample(point).distance_mm;
            assert!((distance - expected).abs() < 1e-9, "{point}: {distance}");
        }
    }

    #[test]
    fn a_bump_makes_the_bounds_larger() {
        let mut rod = rod();
        rod.bumps.push(Ellipsoid {
            centre: Vector3::new(6.0, 0.0, 10.0),
            radii: Vector3::repeat(3.0),
            rounding_mm: 1.0,
        });
        assert!(rod.bounds().1.x >= 9.0, "{:?}", rod.bounds());
    }
}
