//! New bone about a cut.

use nalgebra::Vector3;

use super::{Callus, osteotomy::Osteotomy};
use crate::{
    bones::bone::Bone,
    shape::{form::Form, texture::smooth_noise},
};

/// Weeks after which new bone is first seen, and in which it gains about two thirds of its final
/// density (from memory: it is seen at four to six weeks and bridges within months).
const FIRST_SEEN_WEEKS: f64 = 3.0;
const MATURING_WEEKS: f64 = 11.0;

/// Share of solid bone in mature callus.
const MATURE_SHARE: f64 = 0.48;

/// Over how many millimetres its outline fades when it is new and when it is mature.
const FADE_MM: [f64; 2] = [3.0, 1.2];

/// How uneven its outline is: height and spacing in mm.
const UNEVEN_MM: [f64; 2] = [1.1, 3.2];

/// The callus about a cut, or nothing when it cannot be seen yet. It fills the corner under the
/// overhanging lateral part of the fragment, and lies as a thin cuff about the cut.
pub(crate) fn callus(callus: Callus, cut: &Osteotomy, individual: u64) -> Option<Bone> {
    let age = callus.weeks - FIRST_SEEN_WEEKS;
    if age <= 0.0 {
        return None;
    }
    let maturity = -(-age / MATURING_WEEKS).exp_m1();
    let blob = blob(cut, maturity);
    let bounds = blob.bounds().grown(UNEVEN_MM[0] + 1.0);
    let distance = |point: Vector3<f64>| {
        let uneven = UNEVEN_MM[0] * smooth_noise(point / UNEVEN_MM[1], individual ^ 0x51);
        let place = cut.level.foot_from_bone(point);
        // What is bone already is no callus.
        let bone = [&cut.shaft, &cut.fragment]
            .map(|bone| bone.distance(bone.frame.bone_from_foot(place)))
            .into_iter()
            .fold(f64::INFINITY, f64::min);
        (blob.distance(point) - uneven).max(-bone)
    };
    Some(Bone::woven(
        cut.level,
        bounds,
        distance,
        MATURE_SHARE * maturity,
        FADE_MM[0] + maturity * (FADE_MM[1] - FADE_MM[0]),
    ))
}

/// The outer shape of the callus, in the directions of the metatarsal: a wedge along the lateral
/// cortex of the shaft up to the fragment's overhang, and a cuff.
fn blob(cut: &Osteotomy, maturity: f64) -> Form {
    let [medial, lateral] = cut.half_widths_mm;
    let overhang = cut.travel_mm.x.max(1.0);
    let face = cut.cut_mm + cut.travel_mm.z / 2.0;
    let size = 0.6 + 0.4 * maturity;
    let wedge = Form::Rod {
        from: Vector3::new(lateral - 0.5, 0.0, face - 12.0),
        to: Vector3::new(lateral + 0.45 * overhang, 0.3 * cut.travel_mm.y, face - 1.0),
        radii_mm: [1.4 * size, (2.4 + 0.36 * overhang) * size],
    };
    let cuff = Form::Ellipsoid {
        centre: Vector3::new(cut.travel_mm.x / 2.0, cut.travel_mm.y / 2.0, face),
        radii: Vector3::new(
            f64::midpoint(medial, lateral) + 0.8 * size,
            f64::midpoint(medial, lateral) + 0.4 + size,
            3.6 * size,
        ),
    };
    wedge.joined(cuff, 2.0)
}
