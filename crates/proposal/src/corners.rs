//! Places of a bone's outline that no network points at: the corners of its ends, the borders of its head.

use plumbray_anatomy::{Landmark, LongBone};

use crate::look::Mask;

/// Where on a bone's outline a landmark lies: the farthest point along a direction.
struct Outermost {
    landmark: Landmark,
    /// From where it is looked for, as a share of the way from base to tip.
    share: f64,
    /// How much the direction points distally, and how much laterally.
    toward: [f64; 2],
}

/// Half of a right angle: between proximal or distal and the side.
const CORNER: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// From where a corner of a base is looked for.
const WITHIN_BASE: f64 = 0.1;
/// From where the border or a corner of a head is looked for.
const WITHIN_HEAD: f64 = 0.88;
/// An outline that lies farther away than this share of the bone's length is another bone's.
const FARTHEST_SHARE: f64 = 0.5;

fn outermost_of(bone: LongBone) -> Vec<Outermost> {
    let medial = Outermost {
        landmark: Landmark::BaseMedial(bone),
        share: WITHIN_BASE,
        toward: [-CORNER, -CORNER],
    };
    let lateral = Outermost {
        landmark: Landmark::BaseLateral(bone),
        share: WITHIN_BASE,
        toward: [-CORNER, CORNER],
    };
    let head = |landmark, side| Outermost {
        landmark,
        share: WITHIN_HEAD,
        toward: [0.0, side],
    };
    let head_corner = |landmark, side| Outermost {
        landmark,
        share: WITHIN_HEAD,
        toward: [CORNER, side],
    };
    match bone {
        LongBone::M1 => vec![medial, lateral, head(Landmark::HeadMedialEdge, -1.0)],
        LongBone::ProximalPhalanx => vec![
            medial,
            lateral,
            head_corner(Landmark::DistalMedial(bone), -CORNER),
            head_corner(Landmark::DistalLateral(bone), CORNER),
        ],
        LongBone::M4 => vec![lateral],
        LongBone::M5 => vec![lateral, head(Landmark::FifthHeadLateralEdge, 1.0)],
        LongBone::M2 | LongBone::M3 | LongBone::DistalPhalanx => Vec::new(),
    }
}

/// A place on the picture with the steepness of the outline there, in scores to the millimetre.
pub(crate) struct Corner {
    pub(crate) landmark: Landmark,
    pub(crate) at: [f64; 2],
    pub(crate) steepness: f64,
}

/// The outermost places of a bone on a picture from above that runs from `base` to `tip`. The picture
/// shows a right foot with its toes up, so that lateral lies to the right of distal.
pub(crate) fn corners(bone: LongBone, mask: &Mask, base: [f64; 2], tip: [f64; 2]) -> Vec<Corner> {
    let way = [tip[0] - base[0], tip[1] - base[1]];
    let length = way[0].hypot(way[1]).max(1e-6);
    let distal = way.map(|part| part / length);
    let lateral = [-distal[1], distal[0]];
    outermost_of(bone)
        .into_iter()
        .filter_map(|outermost| {
            let from = [0, 1].map(|axis| base[axis] + outermost.share * way[axis]);
            let toward = [0, 1].map(|axis| {
                outermost.toward[0] * distal[axis] + outermost.toward[1] * lateral[axis]
            });
            let (at, steepness) = mask.farthest(from, toward, FARTHEST_SHARE * length)?;
            Some(Corner {
                landmark: outermost.landmark,
                at,
                steepness,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::PIXEL_MM;

    /// A bone that stands upright on the picture: 20 mm wide, from 30 mm below to 30 mm above its middle.
    fn upright() -> Mask {
        let (width, height) = (160, 200);
        let scores: Vec<f32> = (0..width * height)
            .map(|index| {
                let x = ((index % width) as f64 + 0.5 - 80.0) * PIXEL_MM;
                let y = ((index / width) as f64 + 0.5 - 100.0) * PIXEL_MM;
                let outside = (x.abs() - 10.0).max(y.abs() - 30.0);
                (-8.0 * outside) as f32
            })
            .collect();
        Mask::new(width, height, &scores)
    }

    #[test]
    fn a_square_base_has_its_corners_at_its_corners() {
        let found = corners(LongBone::M1, &upright(), [0.0, 30.0], [0.0, -30.0]);
        let place = |landmark| {
            let corner = found.iter().find(|corner| corner.landmark == landmark);
            corner.expect("found").at
        };
        for (landmark, expected) in [
            (Landmark::BaseMedial(LongBone::M1), [-10.0, 30.0]),
            (Landmark::BaseLateral(LongBone::M1), [10.0, 30.0]),
        ] {
            let at = place(landmark);
            let away = (at[0] - expected[0]).hypot(at[1] - expected[1]);
            assert!(away < 0.5, "{landmark}: {at:?}");
        }
        let border = place(Landmark::HeadMedialEdge)[0];
        assert!((border + 10.0).abs() < 0.1, "the medial border: {border}");
    }
}
