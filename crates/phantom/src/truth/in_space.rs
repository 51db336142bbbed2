//! What the measurements come to in the foot itself, before any film is taken.

use nalgebra::Vector3;
use plumbray_anatomy::{LongBone, Sesamoid};
use plumbray_measure::Measurement;

use crate::{
    bones::bone::BoneName, bones::calcaneus::CALCANEUS_PLANTAR_RISE, bones::sesamoid::SesamoidBone,
    foot::Foot, truth::parts,
};

/// The value of a measurement in space, in its unit; nothing where it has a meaning on a film only.
///
/// The axis of a bone is its own, from the centre of its base to its tip; that of a cut first metatarsal
/// runs to where the uncut one's passed through the head.
///
/// * Angles of the AP film: between the axes seen from straight above, as turns about the vertical.
/// * Articular angle: the line through the two ends of the joint surface against the axis, in the plane
///   of both, whichever way the bone is turned.
/// * Sesamoid: the share of its own width that lies lateral to the first metatarsal's axis, seen from
///   straight above, limited to 0 … 100. Its position and grade are classes of what a film shows.
/// * Lengths: from base to tip in mm. The first metatarsal reaches beyond the second by the way from
///   tip to tip along the second's axis.
/// * Inclinations: between axis and floor; that of the calcaneus is its axis' and the angle by which
///   its plantar side rises more steeply, which is the same in every foot. The talo–first metatarsal angle is the first metatarsal's
///   inclination less that of the talus.
pub(crate) fn in_space(foot: &Foot, measurement: Measurement) -> Option<f64> {
    use LongBone::{DistalPhalanx, M1, M2, M3, M4, M5, ProximalPhalanx};
    use Measurement as Of;
    Some(match measurement {
        Of::HalluxValgusAngle => seen_from_above(foot, M1, ProximalPhalanx),
        Of::IntermetatarsalAngle12 => seen_from_above(foot, M1, M2),
        Of::HalluxInterphalangealAngle => seen_from_above(foot, ProximalPhalanx, DistalPhalanx),
        Of::DistalMetatarsalArticularAngle => articular_angle(foot),
        Of::TibialSesamoidShare => sesamoid_share(foot),
        Of::M1Length => length_mm(foot, M1),
        Of::M2Length => length_mm(foot, M2),
        Of::M3Length => length_mm(foot, M3),
        Of::M4Length => length_mm(foot, M4),
        Of::M5Length => length_mm(foot, M5),
        Of::LengthRatioM1M2 => length_mm(foot, M1) / length_mm(foot, M2),
        Of::LengthRatioM3M2 => length_mm(foot, M3) / length_mm(foot, M2),
        Of::LengthRatioM4M2 => length_mm(foot, M4) / length_mm(foot, M2),
        Of::LengthRatioM5M2 => length_mm(foot, M5) / length_mm(foot, M2),
        Of::RelativeFirstMetatarsalLength => relative_first_mm(foot),
        Of::RelativeFirstMetatarsalLengthRatio => relative_first_mm(foot) / length_mm(foot, M2),
        Of::TaloFirstMetatarsalAngle => {
            let [posterior, anterior] = foot.points().talus_axis;
            fall(axis(foot, M1)) - fall(anterior - posterior)
        }
        Of::IntermetatarsalAngle15 => seen_from_above(foot, M1, M5),
        Of::IntermetatarsalAngle45 => seen_from_above(foot, M4, M5),
        Of::CalcanealInclinationAngle => calcaneal_inclination(foot),
        Of::FirstMetatarsalInclinationAngle => fall(axis(foot, M1)),
        // Classes of what a film shows, and what leans on outlines and corners that only a film has.
        _ => return None,
    })
}

/// Along a bone from the centre of its base, in the foot's coordinates, of no certain length.
///
/// The first metatarsal's passes through the middle of its head on its own axis, which an osteotomy
/// moves.
fn axis(foot: &Foot, bone: LongBone) -> Vector3<f64> {
    let [base, tip] = parts::axis(foot, bone);
    match bone {
        LongBone::M1 => foot.points().head_on_axis - base,
        _ => tip - base,
    }
}

fn length_mm(foot: &Foot, bone: LongBone) -> f64 {
    let [base, tip] = parts::axis(foot, bone);
    (tip - base).norm()
}

/// The turn about the vertical from one axis to another in degrees, positive toward lateral.
fn seen_from_above(foot: &Foot, from: LongBone, to: LongBone) -> f64 {
    let (from, to) = (axis(foot, from).xy(), axis(foot, to).xy());
    to.perp(&from).atan2(from.dot(&to)).to_degrees()
}

/// How far a direction points below the horizontal, in degrees.
fn fall(direction: Vector3<f64>) -> f64 {
    (-direction.z).atan2(direction.xy().norm()).to_degrees()
}

fn articular_angle(foot: &Foot) -> f64 {
    let along = axis(foot, LongBone::M1).normalize();
    let [medial, lateral] = foot.points().articular_ends;
    let behind = (medial - lateral).dot(&along);
    let across = (medial - lateral) - along * behind;
    behind.atan2(across.norm()).to_degrees()
}

fn calcaneal_inclination(foot: &Foot) -> f64 {
    let bone = foot.bone(BoneName::Calcaneus);
    let axis = bone.frame.foot_from_bone(Vector3::z()) - bone.frame.origin;
    CALCANEUS_PLANTAR_RISE - fall(axis)
}

fn sesamoid_share(foot: &Foot) -> f64 {
    let [base, _] = parts::axis(foot, LongBone::M1);
    let along = axis(foot, LongBone::M1).xy().normalize();
    let off_base = (Vector3::from(foot.sesamoid_centre(Sesamoid::Tibial)) - base).xy();
    // Positive where the sesamoid lies clockwise of the axis, toward lateral.
    let off_axis = off_base.perp(&along);
    let individual = foot.parameters().individual;
    let width = 2.0 * SesamoidBone::new(Sesamoid::Tibial, individual).radii_mm.x;
    (100.0 * (off_axis / width + 0.5)).clamp(0.0, 100.0)
}

fn relative_first_mm(foot: &Foot) -> f64 {
    let [first, second] = [LongBone::M1, LongBone::M2].map(|bone| parts::axis(foot, bone)[1]);
    (first - second).dot(&axis(foot, LongBone::M2).normalize())
}
