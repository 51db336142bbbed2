//! Shapes as signed distances, put together from simple ones.

use nalgebra::Vector3;

use crate::{
    geometry::smooth::{ellipsoid_distance, smooth_max, smooth_min, smooth_step},
    shape::profile::Profile,
};

/// A shape in a bone's own coordinates (u toward lateral, v toward dorsal, w toward distal, in mm).
///
/// Its distance is negative inside. It is exact at the surface and right in sign everywhere; farther
/// away it may be off by a factor, which [`Volume`](super::volume::Volume) mends.
#[derive(Clone, Debug)]
pub(crate) enum Form {
    /// Cross-sections swept along w. It has no ends of its own: cut it.
    Swept {
        /// The sections.
        profile: Profile,
        /// How round the sections are: 1 is an ellipse, toward 0 nearly a rectangle.
        roundness: f64,
    },
    /// An ellipsoid with its axes along the bone's.
    Ellipsoid {
        /// Its centre.
        centre: Vector3<f64>,
        /// Half its size along u, v and w.
        radii: Vector3<f64>,
    },
    /// An ellipsoid that goes on toward proximal as a tube of its widest section: as a cut, a convex
    /// joint surface at the distal end.
    Dome {
        /// The ellipsoid's centre.
        centre: Vector3<f64>,
        /// Half its size along u, v and w.
        radii: Vector3<f64>,
    },
    /// A rounded, tapered rod between two balls.
    Rod {
        /// Centre of the first ball.
        from: Vector3<f64>,
        /// Centre of the second ball.
        to: Vector3<f64>,
        /// Radii of the two balls.
        radii_mm: [f64; 2],
    },
    /// Everything behind a plane.
    Behind(Plane),
    /// Everything that lies in any part.
    Union {
        /// The parts.
        parts: Vec<Self>,
        /// Over how many millimetres they blend where they meet.
        blend_mm: f64,
    },
    /// What lies in every part.
    Common {
        /// The parts.
        parts: Vec<Self>,
        /// How far the edges between them are rounded, in mm.
        rounding_mm: f64,
    },
    /// A body less a hollow.
    Hollowed {
        /// The body.
        body: Box<Self>,
        /// What is taken out of it.
        hollow: Box<Self>,
        /// How far the rim is rounded, in mm.
        rounding_mm: f64,
    },
    /// A body twisted about w.
    Twisted {
        /// The body.
        body: Box<Self>,
        /// By how many radians its dorsum turns toward lateral at w = 0.
        turn: f64,
        /// Where along w the twist has run out, in mm.
        end_mm: f64,
    },
    /// A body whose surface swells and sinks in places.
    Modelled {
        /// The body.
        body: Box<Self>,
        /// The places.
        rises: Vec<Rise>,
    },
}

/// A place where a surface swells or sinks, smoothly to all sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rise {
    /// The middle of the place.
    pub(crate) centre: Vector3<f64>,
    /// How far it reaches along u, v and w, in mm.
    pub(crate) radii: Vector3<f64>,
    /// How far the surface lies farther out at the middle in mm, negative where it sinks.
    pub(crate) height_mm: f64,
}

impl Rise {
    /// A rise by `height_mm` about a place, over `radii` to all sides.
    pub(crate) const fn new(centre: [f64; 3], radii: [f64; 3], height_mm: f64) -> Self {
        Self {
            centre: Vector3::new(centre[0], centre[1], centre[2]),
            radii: Vector3::new(radii[0], radii[1], radii[2]),
            height_mm,
        }
    }

    /// How far the surface lies farther out at a point, in mm.
    ///
    /// ```text
    /// h (1 − r²)³,   r the distance from the middle in units of the reach
    /// ```
    fn at(&self, point: Vector3<f64>) -> f64 {
        let squared = (point - self.centre)
            .component_div(&self.radii)
            .norm_squared();
        self.height_mm * (1.0 - squared).max(0.0).powi(3)
    }
}

/// A plane with a direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Plane {
    /// A point of it.
    pub(crate) point: Vector3<f64>,
    /// Unit vector toward what is in front of it.
    pub(crate) normal: Vector3<f64>,
}

impl Plane {
    /// The plane through a point, square to a direction of any length.
    pub(crate) fn new(point: Vector3<f64>, normal: Vector3<f64>) -> Self {
        Self {
            point,
            normal: normal.normalize(),
        }
    }

    /// Distance in front of the plane in mm, negative behind.
    pub(crate) fn distance(&self, point: Vector3<f64>) -> f64 {
        (point - self.point).dot(&self.normal)
    }
}

impl Form {
    /// This form and another, blended where they meet.
    pub(crate) fn joined(self, other: Self, blend_mm: f64) -> Self {
        Self::Union {
            parts: vec![self, other],
            blend_mm,
        }
    }

    /// What of this form lies in another.
    pub(crate) fn within(self, other: Self, rounding_mm: f64) -> Self {
        Self::Common {
            parts: vec![self, other],
            rounding_mm,
        }
    }

    /// What of this form lies behind a plane through a point.
    pub(crate) fn cut(self, point: Vector3<f64>, normal: Vector3<f64>, rounding_mm: f64) -> Self {
        self.within(Self::Behind(Plane::new(point, normal)), rounding_mm)
    }

    /// This form less another.
    pub(crate) fn without(self, hollow: Self, rounding_mm: f64) -> Self {
        Self::Hollowed {
            body: Box::new(self),
            hollow: Box::new(hollow),
            rounding_mm,
        }
    }

    /// This form twisted about w: at w = 0 its dorsum is turned toward lateral by an angle in degrees,
    /// from `end_mm` on not at all.
    pub(crate) fn twisted(self, degrees: f64, end_mm: f64) -> Self {
        Self::Twisted {
            body: Box::new(self),
            turn: degrees.to_radians(),
            end_mm,
        }
    }

    /// This form with places that swell or sink.
    pub(crate) fn modelled(self, rises: Vec<Rise>) -> Self {
        Self::Modelled {
            body: Box::new(self),
            rises,
        }
    }

    /// Distance to the surface in mm, negative inside.
    pub(crate) fn distance(&self, point: Vector3<f64>) -> f64 {
        match self {
            Self::Swept { profile, roundness } => profile.section_distance(*roundness, point),
            Self::Ellipsoid { centre, radii } => ellipsoid_distance(point - centre, *radii),
            Self::Dome { centre, radii } => {
                let mut from_centre = point - centre;
                from_centre.z = from_centre.z.max(0.0);
                ellipsoid_distance(from_centre, *radii)
            }
            Self::Rod { from, to, radii_mm } => {
                let along = to - from;
                let share = ((point - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
                let radius = radii_mm[0] + share * (radii_mm[1] - radii_mm[0]);
                (point - from - along * share).norm() - radius
            }
            Self::Behind(plane) => plane.distance(point),
            Self::Union { parts, blend_mm } => parts.iter().fold(f64::INFINITY, |least, part| {
                smooth_min(least, part.distance(point), *blend_mm)
            }),
            Self::Common { parts, rounding_mm } => {
                parts.iter().fold(f64::NEG_INFINITY, |greatest, part| {
                    smooth_max(greatest, part.distance(point), *rounding_mm)
                })
            }
            Self::Hollowed {
                body,
                hollow,
                rounding_mm,
            } => smooth_max(body.distance(point), -hollow.distance(point), *rounding_mm),
            Self::Twisted { body, turn, end_mm } => {
                let share = 1.0 - smooth_step(0.0, *end_mm, point.z);
                let (sin, cos) = (turn * share).sin_cos();
                body.distance(Vector3::new(
                    point.x * cos - point.y * sin,
                    point.x * sin + point.y * cos,
                    point.z,
                ))
            }
            Self::Modelled { body, rises } => {
                let raised: f64 = rises.iter().map(|rise| rise.at(point)).sum();
                body.distance(point) - raised
            }
        }
    }

    /// A box that holds the form; without end where the form has none.
    pub(crate) fn bounds(&self) -> Bounds {
        match self {
            Self::Swept { profile, .. } => {
                let (low, high) = profile.extent();
                Bounds {
                    low: Vector3::new(low[0], low[1], f64::NEG_INFINITY),
                    high: Vector3::new(high[0], high[1], f64::INFINITY),
                }
            }
            Self::Ellipsoid { centre, radii } => Bounds {
                low: centre - radii,
                high: centre + radii,
            },
            Self::Dome { centre, radii } => Bounds {
                low: Vector3::new(centre.x - radii.x, centre.y - radii.y, f64::NEG_INFINITY),
                high: centre + radii,
            },
            Self::Rod { from, to, radii_mm } => {
                let radius = radii_mm[0].max(radii_mm[1]);
                Bounds {
                    low: from.inf(to).add_scalar(-radius),
                    high: from.sup(to).add_scalar(radius),
                }
            }
            Self::Behind(plane) => plane.bounds_behind(),
            Self::Union { parts, blend_mm } => parts
                .iter()
                .map(Self::bounds)
                .reduce(|one, other| Bounds {
                    low: one.low.inf(&other.low),
                    high: one.high.sup(&other.high),
                })
                .unwrap_or(Bounds::EVERYWHERE)
                .grown(blend_mm / 4.0),
            Self::Common { parts, .. } => parts
                .iter()
                .map(Self::bounds)
                .reduce(Bounds::shared)
                .unwrap_or(Bounds::EVERYWHERE),
            Self::Hollowed { body, .. } => body.bounds(),
            Self::Twisted { body, .. } => body.bounds().turned_about_w(),
            Self::Modelled { body, rises } => {
                let swollen: f64 = rises.iter().map(|rise| rise.height_mm.max(0.0)).sum();
                body.bounds().grown(swollen)
            }
        }
    }
}

impl Plane {
    /// Behind a plane square to one of the axes the half of space has an end along that axis.
    fn bounds_behind(&self) -> Bounds {
        let mut bounds = Bounds::EVERYWHERE;
        // A plane that leans still ends a bone near its point: a margin for the lean.
        for axis in 0..3 {
            let margin = 14.0 * (1.0 - self.normal[axis].abs()).sqrt();
            if self.normal[axis] > 0.7 {
                bounds.high[axis] = self.point[axis] + margin;
            } else if self.normal[axis] < -0.7 {
                bounds.low[axis] = self.point[axis] - margin;
            }
        }
        bounds
    }
}

/// A box with its sides along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bounds {
    /// Its lowest corner.
    pub(crate) low: Vector3<f64>,
    /// Its highest corner.
    pub(crate) high: Vector3<f64>,
}

impl Bounds {
    /// All of space.
    pub(crate) const EVERYWHERE: Self = Self {
        low: Vector3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
        high: Vector3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
    };

    /// The box with a margin on every side.
    pub(crate) fn grown(self, margin_mm: f64) -> Self {
        Self {
            low: self.low.add_scalar(-margin_mm),
            high: self.high.add_scalar(margin_mm),
        }
    }

    fn shared(self, other: Self) -> Self {
        Self {
            low: self.low.sup(&other.low),
            high: self.high.inf(&other.high),
        }
    }

    /// A box that holds this one however it is turned about w.
    fn turned_about_w(self) -> Self {
        let reach = [self.low, self.high]
            .into_iter()
            .flat_map(|corner| [corner.x.abs(), corner.y.abs()])
            .fold(0.0, f64::max)
            * std::f64::consts::SQRT_2;
        Self {
            low: Vector3::new(-reach, -reach, self.low.z),
            high: Vector3::new(reach, reach, self.high.z),
        }
    }

    /// The eight corners.
    pub(crate) fn corners(&self) -> [Vector3<f64>; 8] {
        std::array::from_fn(|corner| {
            Vector3::from_fn(|axis, _| {
                if corner >> axis & 1 == 0 {
                    self.low[axis]
                } else {
                    self.high[axis]
                }
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::profile::Section;

    fn rod() -> Form {
        Form::Swept {
            profile: Profile::new(40.0, 1.0, &[Section::even(0.0, 5.0, 5.0, 5.0)]),
            roundness: 1.0,
        }
        .cut(Vector3::zeros(), -Vector3::z(), 0.0)
        .cut(Vector3::new(0.0, 0.0, 40.0), Vector3::z(), 0.0)
    }

    #[test]
    fn a_round_rod_has_the_distances_of_a_cylinder() {
        for (point, expected) in [
            (Vector3::new(7.0, 0.0, 20.0), 2.0),
            (Vector3::new(3.0, 0.0, 20.0), -2.0),
            (Vector3::new(0.0, 0.0, 39.0), -1.0),
            (Vector3::new(0.0, 1.0, 43.0), 3.0),
        ] {
            let distance = rod().distance(point);
            assert!((distance - expected).abs() < 1e-9, "{point}: {distance}");
        }
    }

    #[test]
    fn the_bounds_of_a_cut_rod_end_with_it() {
        let bounds = rod().bounds();
        assert!(
            (bounds.low - Vector3::new(-5.0, -5.0, 0.0)).norm() < 1e-9
                && (bounds.high - Vector3::new(5.0, 5.0, 40.0)).norm() < 1e-9,
            "{bounds:?}"
        );
    }

    #[test]
    fn a_bump_makes_the_bounds_larger() {
        let bump = Form::Ellipsoid {
            centre: Vector3::new(6.0, 0.0, 10.0),
            radii: Vector3::repeat(3.0),
        };
        let bounds = rod().joined(bump, 1.0).bounds();
        assert!(bounds.high.x >= 9.0, "{bounds:?}");
    }

    #[test]
    fn a_rise_moves_the_surface_by_its_height_and_nothing_beyond_its_reach() {
        for height in [2.0, -1.5] {
            let rise = Rise::new([5.0, 0.0, 20.0], [4.0, 4.0, 6.0], height);
            let raised = rod().modelled(vec![rise]);
            let at_middle = raised.distance(Vector3::new(5.0, 0.0, 20.0));
            assert!((at_middle + height).abs() < 1e-9, "{at_middle}");
            for beyond in [Vector3::new(5.0, 0.0, 26.0), Vector3::new(-5.0, 0.0, 20.0)] {
                let there = raised.distance(beyond);
                assert!(there.abs() < 1e-9, "{beyond}: {there}");
            }
        }
    }

    #[test]
    fn a_twist_turns_the_dorsum_of_the_base_to_lateral_and_leaves_the_end() {
        let flat = Form::Swept {
            profile: Profile::new(40.0, 1.0, &[Section::even(0.0, 2.0, 6.0, 6.0)]),
            roundness: 1.0,
        };
        let twisted = flat.twisted(90.0, 30.0);
        let is_inside = |u, v, w| twisted.distance(Vector3::new(u, v, w)) < 0.0;
        assert!(
            is_inside(5.9, 0.0, 0.0) && !is_inside(0.0, 5.9, 0.0),
            "base"
        );
        assert!(
            is_inside(0.0, 5.9, 35.0) && !is_inside(5.9, 0.0, 35.0),
            "end"
        );
        let quarter = 4.1;
        assert!(is_inside(quarter, quarter, 15.0), "halfway, to lateral");
        assert!(!is_inside(-quarter, quarter, 15.0), "halfway, to medial");
    }

    #[test]
    fn a_hollow_is_outside() {
        let ball = Form::Ellipsoid {
            centre: Vector3::new(0.0, 0.0, 40.0),
            radii: Vector3::repeat(4.0),
        };
        let hollowed = rod().without(ball, 0.0);
        let distance = hollowed.distance(Vector3::new(0.0, 0.0, 38.0));
        assert!((distance - 2.0).abs() < 1e-9, "{distance}");
    }
}
