//! The shape of the soft tissue: limbs of flesh about the bones, pressed flat on the floor.

use nalgebra::Vector3;

use crate::{
    bones::first_ray::FirstRay,
    bones::hindfoot::Hindfoot,
    bones::lesser_rays::LesserRay,
    geometry::smooth::{ellipsoid_distance, smooth_max, smooth_min},
    shape::form::Bounds,
};

/// How softly the parts of the foot, the parts of a toe, the toes with the foot and the toes with one
/// another run together, in mm.
const BODY_BLEND_MM: f64 = 10.0;
const TOE_BLEND_MM: f64 = 5.0;
const ROOT_BLEND_MM: f64 = 6.0;
const NEIGHBOUR_BLEND_MM: f64 = 0.8;

/// How far the edge of the sole that stands on the floor is rounded, in mm.
const SOLE_ROUNDING_MM: f64 = 6.0;

/// A rounded, tapered piece of flesh between two balls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limb {
    from: Vector3<f64>,
    to: Vector3<f64>,
    radii_mm: [f64; 2],
}

impl Limb {
    pub(super) fn distance(&self, point: Vector3<f64>) -> f64 {
        let along = self.to - self.from;
        let share = ((point - self.from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        let radius = self.radii_mm[0] + share * (self.radii_mm[1] - self.radii_mm[0]);
        (point - self.from - along * share).norm() - radius
    }
}

/// The pieces of flesh that make up a foot.
#[derive(Clone, Debug)]
pub(super) struct Flesh {
    /// Instep, sole and ankle.
    body: Vec<Limb>,
    /// The five toes.
    toes: Vec<Vec<Limb>>,
    /// Centre and radii of the pad of the heel.
    heel: (Vector3<f64>, Vector3<f64>),
}

impl Flesh {
    /// The flesh about these bones.
    pub(super) fn new(first: &FirstRay, lesser: &[LesserRay; 4], hindfoot: &Hindfoot) -> Self {
        let mut body = forefoot(first, lesser);
        body.extend(midfoot(first, lesser, hindfoot));
        body.extend(ankle(hindfoot));
        let heel = hindfoot.heel;
        Self {
            body,
            toes: toes(first, lesser),
            heel: (
                Vector3::new(heel.x + 3.0, heel.y + 8.0, 27.0),
                Vector3::new(30.0, 31.0, 29.0),
            ),
        }
    }

    /// A box that holds the flesh.
    pub(super) fn bounds(&self) -> Bounds {
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
    pub(super) fn distance(&self, point: Vector3<f64>) -> f64 {
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
        smooth_max(flesh, -point.z, SOLE_ROUNDING_MM)
    }
}

fn at(point: Vector3<f64>, by_mm: [f64; 3]) -> Vector3<f64> {
    point + Vector3::from(by_mm)
}

pub(super) const fn limb(from: Vector3<f64>, to: Vector3<f64>, start_mm: f64, end_mm: f64) -> Limb {
    Limb {
        from,
        to,
        radii_mm: [start_mm, end_mm],
    }
}

/// A point between two, by a share of the way.
fn between(from: Vector3<f64>, to: Vector3<f64>, share: f64) -> Vector3<f64> {
    from + (to - from) * share
}

/// The flesh about the metatarsals, the ball of the foot and the web of the toes.
fn forefoot(first: &FirstRay, lesser: &[LesserRay; 4]) -> Vec<Limb> {
    let ball = at(first.head_centre, [0.5, 0.0, -3.0]);
    let mut limbs = vec![limb(at(first.base, [2.0, 0.0, -3.0]), ball, 18.0, 15.6)];
    let reaches = [(14.5, 13.5), (14.5, 13.5), (14.0, 13.0), (13.0, 11.6)];
    for (ray, (depth, width)) in lesser.iter().zip(reaches) {
        limbs.push(limb(
            at(ray.base, [0.0, 0.0, -1.5]),
            at(ray.head_centre, [0.0, 0.0, -1.5]),
            depth,
            width,
        ));
    }
    let heads: Vec<_> = std::iter::once(at(first.head_centre, [0.0, 0.0, -4.0]))
        .chain(lesser.iter().map(|ray| ray.head_centre))
        .collect();
    limbs.extend(
        heads
            .windows(2)
            .map(|pair| limb(pair[0], pair[1], 12.5, 11.5)),
    );
    // The webs lie at about the middle of the proximal phalanges.
    let webs: Vec<_> = std::iter::once(between(first.toe[0], first.toe[1], 0.36))
        .chain(
            lesser
                .iter()
                .map(|ray| between(ray.toe[0], ray.toe[1], 0.44)),
        )
        .collect();
    limbs.extend(webs.windows(2).map(|pair| limb(pair[0], pair[1], 8.0, 8.0)));
    limbs
}

/// The flesh from the metatarsals' bases back to the heel.
fn midfoot(first: &FirstRay, lesser: &[LesserRay; 4], hindfoot: &Hindfoot) -> Vec<Limb> {
    let navicular = hindfoot.navicular;
    let heel = hindfoot.heel;
    let instep = at(navicular, [1.0, 0.0, -5.0]);
    let lateral = Vector3::new(heel.x + 24.0, navicular.y - 8.0, 15.0);
    vec![
        limb(instep, at(first.base, [3.0, 0.0, -3.0]), 22.0, 19.0),
        limb(instep, at(lesser[0].base, [0.0, 0.0, -2.0]), 22.0, 16.5),
        limb(instep, at(lesser[1].base, [0.0, 0.0, -2.0]), 22.0, 16.0),
        limb(
            at(navicular, [14.0, 0.0, -16.0]),
            at(lesser[2].base, [0.0, 0.0, -1.5]),
            20.0,
            14.5,
        ),
        // The medial arch, and the lateral border on the floor.
        limb(
            at(navicular, [-8.0, 0.0, -12.0]),
            at(first.base, [3.0, 0.0, -9.0]),
            20.0,
            18.0,
        ),
        limb(lateral, at(lesser[3].base, [3.0, 0.0, -3.0]), 17.0, 14.5),
        limb(at(heel, [4.0, 8.0, 15.0]), lateral, 24.0, 17.0),
        limb(
            at(heel, [-2.0, 14.0, 26.0]),
            at(navicular, [-6.0, -8.0, -14.0]),
            24.0,
            19.0,
        ),
    ]
}

/// The flesh about the ankle, with the tendon behind it.
fn ankle(hindfoot: &Hindfoot) -> Vec<Limb> {
    let ankle = hindfoot.ankle;
    let navicular = hindfoot.navicular;
    let shank = |across: f64, forward: f64, low: f64, radius: f64| {
        limb(
            at(ankle, [across, forward, low]),
            at(ankle, [across, forward - 1.0, 75.0]),
            radius,
            radius,
        )
    };
    vec![
        shank(-5.0, -1.0, 0.0, 25.5),
        shank(9.0, -3.0, -4.0, 23.0),
        // The two malleoli.
        shank(-23.0, 4.0, 16.0, 9.0),
        shank(24.0, -9.0, 2.0, 9.5),
        // The tendons in front of the ankle run on over the instep.
        limb(
            at(ankle, [0.0, 8.0, -4.0]),
            at(navicular, [0.0, -2.0, -4.0]),
            23.0,
            21.5,
        ),
        // The tendon behind it, down to the heel.
        limb(
            at(ankle, [2.0, -33.0, 75.0]),
            at(ankle, [2.0, -33.5, -8.0]),
            8.5,
            9.5,
        ),
        limb(
            at(ankle, [2.0, -33.5, -8.0]),
            at(hindfoot.heel, [1.5, 0.0, 30.0]),
            9.5,
            16.0,
        ),
        limb(
            at(ankle, [2.0, -22.0, 75.0]),
            at(ankle, [2.0, -22.0, -10.0]),
            16.0,
            17.0,
        ),
        limb(
            at(ankle, [2.0, -16.0, -16.0]),
            at(hindfoot.heel, [1.5, 12.0, 28.0]),
            25.0,
            25.0,
        ),
    ]
}

/// The flesh around the phalanges, toe by toe.
fn toes(first: &FirstRay, lesser: &[LesserRay; 4]) -> Vec<Vec<Limb>> {
    let tip = |before: Vector3<f64>, end: Vector3<f64>, by_mm: f64| {
        end - (end - before).normalize() * by_mm
    };
    let pulp = tip(first.toe[1], first.toe_tip, 5.5);
    let great = vec![
        limb(
            at(first.head_centre, [0.0, 0.0, -3.0]),
            first.toe[1],
            15.2,
            13.4,
        ),
        limb(first.toe[1], at(pulp, [0.0, 0.0, -0.5]), 13.8, 11.8),
    ];
    let mut toes = vec![great];
    toes.extend(lesser.iter().map(|ray| {
        vec![
            limb(ray.head_centre, ray.toe[0], 11.0, 9.4),
            limb(ray.toe[0], ray.toe[1], 8.8, 7.8),
            limb(ray.toe[1], ray.toe[2], 7.8, 7.8),
            limb(ray.toe[2], tip(ray.toe[2], ray.toe[3], 3.0), 7.8, 7.5),
        ]
    }));
    toes
}
