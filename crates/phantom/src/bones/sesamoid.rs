//! The shapes of the two sesamoids under the first metatarsal head.

use nalgebra::Vector3;
use plumbray_anatomy::Sesamoid;

use crate::shape::{
    form::{Form, Rise},
    solid::{Relief, Solid},
    texture::trait_of,
    wall::{Wall, Walls},
};

/// A sesamoid in its own coordinates, with its middle at the origin.
#[derive(Clone, Debug)]
pub(crate) struct SesamoidBone {
    /// The shape.
    pub(crate) solid: Solid,
    /// Half its size along u, v and w, in mm.
    pub(crate) radii_mm: Vector3<f64>,
}

impl SesamoidBone {
    /// The tibial or the fibular sesamoid of an individual: beans whose dorsal side follows the head.
    ///
    /// Sizes from memory: tibial about 13 by 9 mm, fibular about 11 by 8 mm. An outline on a film keeps
    /// near an ellipse.
    pub(crate) fn new(which: Sesamoid, individual: u64) -> Self {
        let (radii, bend, number) = match which {
            Sesamoid::Tibial => ([4.5, 3.4, 6.5], 1.0, 80),
            Sesamoid::Fibular => ([4.1, 3.2, 5.5], -1.0, 81),
        };
        let own = trait_of(individual, number);
        let radii_mm = Vector3::from(radii) * (1.0 + 0.05 * own);
        let [u, v, w] = radii_mm.into();
        let form = Form::Ellipsoid {
            centre: Vector3::zeros(),
            radii: radii_mm,
        }
        .modelled(vec![
            // The waist of the bean toward the ridge of the head, and the fuller opposite side.
            Rise::new([bend * u, 0.0, 0.5 * own], [3.2, 4.0, 3.6], -0.5),
            Rise::new([-0.6 * bend * u, 0.0, 0.55 * w], [3.0, 4.0, 3.5], 0.35),
            Rise::new([0.0, v, 0.0], [3.4, 2.0, 5.0], -0.5),
        ]);
        Self {
            solid: Solid {
                form,
                walls: Walls::new(1.0, &[Wall::new(0.0, 0.5, 0.28)]),
                length_mm: w,
                relief: Relief {
                    height_mm: 0.25,
                    spacing_mm: 2.6,
                    seed: individual ^ u64::from(number),
                    along_mm: [-2.0 * w, 2.0 * w],
                },
                grain: Vector3::z(),
            },
            radii_mm,
        }
    }
}
