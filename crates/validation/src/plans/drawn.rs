//! Plans drawn at random.

use plumbray_phantom::FootParameters;
use plumbray_plan::{BonePlace, CutDirection, Extent, FootBefore, Plan, Screw, ScrewKind, ToeRule};

use crate::{chance::Chance, cohort::random_parameters};

/// The least deformity that is operated on: hallux valgus and intermetatarsal angle, in degrees.
const LEAST_DEFORMITY: [f64; 2] = [25.0, 12.0];

/// The first so many feet of a seed that are deformed enough to be operated on, with their numbers.
pub(crate) fn deformed_feet(seed: u64) -> impl Iterator<Item = (u64, FootParameters)> {
    (0..)
        .map(move |number| (number, random_parameters(seed, number)))
        .filter(|(_, foot)| {
            foot.hallux_valgus_angle > LEAST_DEFORMITY[0]
                && foot.intermetatarsal_angle_1_2 > LEAST_DEFORMITY[1]
        })
}

/// A plan without screws: every number within the range of usual operations, and somewhat beyond (ours).
pub(crate) fn random_plan(chance: &mut Chance) -> Plan {
    let mut plan = Plan::usual(true);
    plan.cut.level = Extent::Millimetres(chance.between(19.0, 27.0));
    plan.cut.direction = CutDirection::TiltDegrees(chance.between(-10.0, 20.0));
    plan.cut.kerf = Extent::Millimetres(chance.between(1.0, 3.0));
    plan.head.shift = Extent::Share(chance.between(0.4, 1.0));
    plan.head.medial_turn_degrees = chance.between(-4.0, 9.0);
    plan.head.dorsal_shift = Extent::Millimetres(chance.between(-2.0, 2.0));
    plan.head.plantar_tilt_degrees = chance.between(-5.0, 8.0);
    plan.toe.rule = if chance.between(0.0, 1.0) < 0.5 {
        ToeRule::FollowsHead
    } else {
        ToeRule::KeepsDirection
    };
    plan
}

/// The diameter of every screw, in mm (common practice, no source).
pub(crate) const SCREW_MM: f64 = 4.0;

/// Two screws from the medial side of the base or shaft into the head, as nobody would choose them: they show
/// whether a length is told rightly wherever a screw may lie.
pub(crate) fn random_screws(before: &FootBefore, shift: f64, chance: &mut Chance) -> Vec<Screw> {
    let dorsal = before
        .lateral
        .as_ref()
        .map_or(0.0, |view| view.midline / view.length);
    (0..2)
        .map(|_| {
            let entry = BonePlace {
                along: chance.between(0.1, 0.5),
                lateral: before.ap.midline / before.ap.length - chance.between(0.1, 0.16),
                dorsal: dorsal + chance.between(-0.06, 0.06),
            };
            let tip = BonePlace {
                along: chance.between(0.85, 1.05),
                lateral: before.ap.midline / before.ap.length + shift - chance.between(-0.1, 0.1),
                dorsal: chance.between(-0.1, 0.1),
            };
            Screw {
                kind: ScrewKind::Screw,
                diameter: Extent::Millimetres(SCREW_MM),
                entry,
                tip,
            }
        })
        .collect()
}
