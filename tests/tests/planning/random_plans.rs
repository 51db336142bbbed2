//! Random plans that a bone allows.

use plumbray_plan::{
    Aim, BonePlace, CutDirection, CutForm, Extent, Plan, Screw, ScrewKind, ToeRule,
};
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// A plan that follows from the generator's state; in millimetres here and there where the film is calibrated.
pub(crate) fn random_plan(generator: &mut ChaCha8Rng, is_calibrated: bool) -> Plan {
    let mut plan = Plan::usual(is_calibrated);
    let mut extent = |share: [f64; 2], whole_mm: f64| {
        let share = generator.random_range(share[0]..share[1]);
        if is_calibrated && generator.random_bool(0.6) {
            Extent::Millimetres(share * whole_mm)
        } else {
            Extent::Share(share)
        }
    };
    plan.cut.level = extent([0.28, 0.46], 61.0);
    plan.cut.kerf = extent([0.0, 0.22], 13.0);
    plan.head.shift = extent([-0.1, 1.05], 13.0);
    plan.head.dorsal_shift = extent([-0.3, 0.3], 13.0);
    plan.cut.direction = direction(generator);
    if generator.random_bool(0.06) {
        // So near the joint and so slanted that some miss the bone.
        plan.cut.level = Extent::Share(generator.random_range(0.08..0.22));
        plan.cut.direction = CutDirection::TiltDegrees(generator.random_range(-45.0..45.0));
    }
    if generator.random_bool(0.3) {
        plan.cut.form = CutForm::Chevron {
            opens_degrees: generator.random_range(0.0..120.0),
        };
    }
    if generator.random_bool(0.6) {
        plan.head.medial_turn_degrees = generator.random_range(-10.0..25.0);
    }
    if generator.random_bool(0.25) {
        plan.head.supination_degrees = generator.random_range(-20.0..40.0);
    }
    plan.head.plantar_tilt_degrees = generator.random_range(-8.0..8.0);
    plan.toe.rule = match generator.random_range(0..3_u32) {
        0 => ToeRule::FollowsHead,
        1 => ToeRule::KeepsDirection,
        _ => ToeRule::Realigned {
            hallux_valgus_degrees: generator.random_range(-5.0..20.0),
        },
    };
    if generator.random_bool(0.4) {
        plan.toe.wedge_degrees = generator.random_range(-4.0..15.0);
    }
    plan.step_trimmed = generator.random_bool(0.5);
    plan.lost_share = generator.random_range(0.0..0.3);
    plan.screws = (0..generator.random_range(0..4_u32))
        .map(|_| random_screw(generator))
        .collect();
    plan
}

fn direction(generator: &mut ChaCha8Rng) -> CutDirection {
    if generator.random_bool(0.5) {
        return CutDirection::TiltDegrees(generator.random_range(-12.0..22.0));
    }
    let aims = Aim::all();
    CutDirection::Toward(aims[generator.random_range(0..aims.len())])
}

/// A screw from beside the medial cortex of the shaft into or past the head.
pub(crate) fn random_screw(generator: &mut ChaCha8Rng) -> Screw {
    let mut between = |low: f64, high: f64| generator.random_range(low..high);
    Screw {
        diameter: Extent::Share(between(0.12, 0.35)),
        entry: BonePlace {
            along: between(0.05, 0.65),
            lateral: between(-0.2, 0.05),
            dorsal: between(-0.08, 0.08),
        },
        tip: BonePlace {
            along: between(0.75, 1.2),
            lateral: between(-0.1, 0.42),
            dorsal: between(-0.12, 0.12),
        },
        kind: if generator.random_bool(0.7) {
            ScrewKind::Screw
        } else {
            ScrewKind::Wire
        },
    }
}
