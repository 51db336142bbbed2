//! The soft-tissue outline of the foot.

use std::sync::Arc;

use nalgebra::Vector3;

use crate::{
    bones::bone::inside_share,
    bones::first_ray::FirstRay,
    bones::hindfoot::Hindfoot,
    bones::lesser_rays::LesserRay,
    geometry::projection::Ray,
    geometry::smooth::{ellipsoid_distance, smooth_max, smooth_min},
    shape::{form::Bounds, volume::Volume},
};

/// How softly the parts of the foot, the parts of a toe, the toes with the foot and the toes with one
/// another run together, in mm.
const BODY_BLEND_MM: f64 = 9.0;
const TOE_BLEND_MM: f64 = 4.0;
const ROOT_BLEND_MM: f64 = 6.0;
const NEIGHBOUR_BLEND_MM: f64 = 1.0;

/// A rounded, tapered piece of flesh between two balls.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Limb {
    from: Vector3<f64>,
    to: Vector3<f64>,
    radii_mm: [f64; 2],
}

impl Limb {
    fn distance(&self, point: Vector3<f64>) -> f64 {
        let along = self.to - self.from;
        let share = ((point - self.from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        let radius = self.radii_mm[0] + share * (self.radii_mm[1] - self.radii_mm[0]);
        (point - self.from - along * share).norm() - radius
    }
}

/// Spacing of the grid of the skin, in mm.
const GRID_MM: f64 = 1.5;

/// The shortest and the longest step along a ray within the skin, in mm.
const STEP_MM: (f64, f64) = (0.4, 8.0);

/// The skin: everything within it that is not bone is soft tissue.
#[derive(Clone, Debug)]
pub(crate) struct Skin {
    volume: Arc<Volume>,
}

/// The pieces of flesh that make up a foot.
struct Flesh {
    /// Instep, sole and ankle.
    body: Vec<Limb>,
    /// The five toes.
    toes: Vec<Vec<Limb>>,
    /// Centre and radii of the pad of the heel.
    heel: (Vector3<f64>, Vector3<f64>),
}

impl Flesh {
    fn bounds(&self) -> Bounds {
        let mut low = self.heel.0 - self.heel.1;
        let mut high = self.heel.0 + self.heel.1;
        for limb in self.body.iter().chain(self.toes.iter().flatten()) {
            let reach = limb.radii_mm[0].max(limb.radii_mm[1]);
            for end in [limb.from, limb.to] {
                low = low.inf(&end.add_scalar(-reach));
                high = high.sup(&end.add_scalar(reach));
            }
        }
        low.z = 0.0;
        Bounds { low, high }.grown(BODY_BLEND_MM / 3.0)
    }

    /// Distance to the skin in mm, negative inside. The sole is pressed flat on the floor.
    fn distance(&self, point: Vector3<f64>) -> f64 {
        let heel = ellipsoid_distance(point - self.heel.0, self.heel.1);
        let body = self.body.iter().fold(heel, |distance, limb| {
            smooth_min(distance, limb.distance(point), BODY_BLEND_MM)
        });
        let flesh = self.toes.iter().fold(body, |flesh, toe| {
            let own = toe.iter().fold(f64::INFINITY, |distance, limb| {
                smooth_min(distance, limb.distance(point), TOE_BLEND_MM)
            });
            smooth_min(
                flesh,
                smooth_min(body, own, ROOT_BLEND_MM),
                NEIGHBOUR_BLEND_MM,
            )
        });
        smooth_max(flesh, -point.z, 4.0)
    }
}

impl Skin {
    pub(crate) fn new(first: &FirstRay, lesser: &[LesserRay; 4], hindfoot: &Hindfoot) -> Self {
        let flesh = Flesh {
            body: body(first, lesser, hindfoot),
            toes: toes(first, lesser),
            heel: (
                Vector3::new(1.0, -98.0, 24.0),
                Vector3::new(29.0, 32.0, 26.0),
            ),
        };
        Self {
            volume: Arc::new(Volume::new(flesh.bounds(), GRID_MM, |point| {
                flesh.distance(point)
            })),
        }
    }

    /// The length of a ray within the skin, in mm.
    pub(crate) fn path_mm(&self, ray: &Ray) -> f64 {
        let bounds = self.volume.bounds();
        let Some((mut at, end)) = ray.within_box(bounds.low, bounds.high) else {
            return 0.0;
        };
        let mut length = 0.0;
        let mut here = self.volume.distance(ray.at(at));
        while at < end {
            let step = (0.8 * here.abs())
                .clamp(STEP_MM.0, STEP_MM.1)
                .min(end - at)
                .max(1e-6);
            let there = self.volume.distance(ray.at(at + step));
            length += step * inside_share(here, there);
            at += step;
            here = there;
        }
        length
    }
}

fn lowered(point: Vector3<f64>, by_mm: f64) -> Vector3<f64> {
    point - Vector3::new(0.0, 0.0, by_mm)
}

fn limb(from: Vector3<f64>, to: Vector3<f64>, start_mm: f64, end_mm: f64) -> Limb {
    Limb {
        from,
        to,
        radii_mm: [start_mm, end_mm],
    }
}

/// Everything but the toes and the heel.
fn body(first: &FirstRay, lesser: &[LesserRay; 4], hindfoot: &Hindfoot) -> Vec<Limb> {
    let joint = lowered(first.head_centre, 3.0);
    let mut limbs = vec![limb(lowered(first.base, 5.0), joint, 17.0, 15.0)];
    for ray in lesser {
        limbs.push(limb(lowered(ray.base, 4.0), ray.head_centre, 13.5, 11.5));
    }
    // The ball of the foot and the web between the toes.
    let web = |ray: &LesserRay| ray.toe[0] + (ray.toe[1] - ray.toe[0]) * 0.32;
    let webs = [
        first.toe[0] + (first.toe[1] - first.toe[0]) * 0.3,
        web(&lesser[0]),
        web(&lesser[1]),
        web(&lesser[2]),
        web(&lesser[3]),
    ];
    limbs.extend(webs.windows(2).map(|pair| limb(pair[0], pair[1], 8.5, 8.5)));
    // Between the first and the second head, where a splayed ray would leave a hole.
    let second_head = lesser[0].head_centre;
    limbs.push(limb(joint, second_head, 11.0, 10.0));
    let back = hindfoot.navicular;
    for base in [first.base, lesser[1].base, lesser[3].base] {
        limbs.push(limb(lowered(back, 8.0), lowered(base, 4.0), 21.0, 14.5));
    }
    let ankle = hindfoot.ankle;
    let in_front = ankle + Vector3::new(3.0, 6.0, -12.0);
    let above = ankle + Vector3::new(3.0, -4.0, -6.0);
    let shank = ankle + Vector3::new(3.0, -4.0, 110.0);
    let lateral = Vector3::new(18.0, -45.0, 18.0);
    let sole = Vector3::new(4.0, -92.0, 24.0);
    let tendon = ankle + Vector3::new(2.0, -28.0, 30.0);
    limbs.extend([
        limb(in_front, back, 27.0, 19.0),
        limb(above, shank, 33.0, 35.0),
        limb(lateral, lowered(lesser[3].base, 2.0), 16.0, 13.5),
        limb(sole, lateral, 24.0, 17.0),
        limb(Vector3::new(0.0, -106.0, 30.0), tendon, 21.0, 14.0),
    ]);
    limbs
}

/// The flesh around the phalanges, toe by toe.
fn toes(first: &FirstRay, lesser: &[LesserRay; 4]) -> Vec<Vec<Limb>> {
    let great = vec![
        limb(lowered(first.head_centre, 3.0), first.toe[1], 14.0, 12.0),
        limb(first.toe[1], first.toe_tip, 12.0, 9.8),
    ];
    let mut toes = vec![great];
    toes.extend(lesser.iter().map(|ray| {
        vec![
            limb(ray.head_centre, ray.toe[0], 11.0, 9.0),
            limb(ray.toe[0], ray.toe[1], 8.6, 6.9),
            limb(ray.toe[1], ray.toe[2], 6.9, 6.9),
            limb(ray.toe[2], ray.toe[3], 7.0, 6.2),
        ]
    }));
    toes
}
