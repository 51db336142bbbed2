//! A round object of known size on the film, by which a reader calibrates.

use nalgebra::Vector3;
use plumbray_anatomy::{FilmPoint, Side, View};

use crate::{
    foot::StandingFoot,
    geometry::projection::{Projection, Ray},
};

/// Diameter of the object in mm.
const DIAMETER_MM: f64 = 25.0;

/// Thickness of the disc in mm.
const DISC_THICKNESS_MM: f64 = 1.5;

/// Width over which the disc thins out at its edge, in mm, half of it beyond the nominal diameter.
const EDGE_MM: f64 = 0.2;

/// A round steel object.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum RoundObject {
    /// A flat disc parallel to the floor. A tilted tube draws it as a circle, a ball as an ellipse.
    Disc {
        /// The middle of the disc in the room, in mm.
        centre: Vector3<f64>,
    },
    /// A ball.
    Ball {
        /// The middle of the ball in the room, in mm.
        centre: Vector3<f64>,
    },
}

impl RoundObject {
    /// A disc beside the great toe at the height of the first metatarsal head on an AP film, a ball
    /// above the toes in the plane of the first metatarsal on a lateral film.
    pub(crate) fn beside(view: View, standing: &StandingFoot, feet: usize) -> Self {
        let head = standing.foot.points().head_centre;
        let lateral = match standing.foot.side() {
            Side::Right => 1.0,
            Side::Left => -1.0,
        };
        match view {
            View::Ap => {
                let x = if feet > 1 { 0.0 } else { -58.0 * lateral };
                Self::Disc {
                    centre: Vector3::new(x, -12.0, standing.point_in_room(head).z),
                }
            }
            View::Lateral => {
                let place = standing.point_in_room(head);
                Self::Ball {
                    centre: Vector3::new(place.x, 102.0, 66.0),
                }
            }
        }
    }

    /// Length of a ray within the object, in mm.
    pub(crate) fn path_mm(&self, ray: &Ray) -> f64 {
        match self {
            Self::Disc { centre } => {
                let to_centre = (centre.z - ray.origin.z) / ray.direction.z;
                let crossing = ray.at(to_centre) - centre;
                let within = DIAMETER_MM / 2.0 - crossing.x.hypot(crossing.y);
                // The turned edge of the disc is this wide.
                let share = (within / EDGE_MM + 0.5).clamp(0.0, 1.0);
                share * DISC_THICKNESS_MM / ray.direction.z.abs()
            }
            Self::Ball { centre } => {
                let nearest = (centre - ray.origin).cross(&ray.direction).norm();
                let radius = DIAMETER_MM / 2.0;
                2.0 * (radius * radius - nearest * nearest).max(0.0).sqrt()
            }
        }
    }

    /// The centre of its shadow, and the diameter of its shadow in pixels.
    pub(crate) fn shadow(&self, projection: &Projection) -> (FilmPoint, f64) {
        let (Self::Disc { centre } | Self::Ball { centre }) = self;
        let place: [f64; 3] = (*centre).into();
        let diameter_px = DIAMETER_MM * projection.magnification(place) / projection.pixel_mm();
        (projection.project(place), diameter_px)
    }

    /// Its diameter in mm.
    pub(crate) const fn diameter_mm(&self) -> f64 {
        DIAMETER_MM
    }
}
