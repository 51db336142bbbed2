//! From a place on a film to a field of a plan, and from one unit to the other.

use plumbray_anatomy::{FilmPoint, Landmark, PhysicalPoint, View};
use plumbray_plan::{
    BonePlace, CutDirection, Extent, ExtentLimits, NumberLimits, Plan, Screw, ScrewKind,
    Undertaking,
};

use super::{
    command::{PlanEdit, PlanHandle, Units},
    planned::Planning,
    screws::by_hand,
};

/// Where along the bone a screw that is added enters, as a share (ours: its ends are there to be dragged).
const ADDED_ENTRY: f64 = 0.3;
/// How far lateral of the head's centre its tip lies, in radii of the head (ours).
const ADDED_ASIDE: f64 = 0.4;
/// How far a wire that is added reaches to both sides of the head's centre, in radii of the head (ours).
const WIRE_REACH: f64 = 0.9;

/// The plan after something of it was dragged; nothing where that cannot be.
pub(super) fn dragged(
    planning: &Planning,
    plan: &Plan,
    handle: PlanHandle,
    to: FilmPoint,
) -> Option<Plan> {
    let done = planning.undertaking()?;
    let ap = &done.before.ap;
    let on_bone = || ap.on_bone(ap.proportions.physical(to));
    let mut dragged = plan.clone();
    match handle {
        PlanHandle::Head => {
            let place = on_bone();
            let shift = place.x - former_head(done)?.x;
            let shift = of_width(done, shift, plan.head.shift);
            PlanEdit::Shift(kept(shift, &ExtentLimits::SHIFT)).apply_to(&mut dragged);
        }
        PlanHandle::Cut => {
            let from_joint = done.before.joint - on_bone().y;
            let share = from_joint / done.before.bone_length;
            let level = like(plan.cut.level, from_joint, share, done);
            PlanEdit::Level(kept(level, &ExtentLimits::LEVEL)).apply_to(&mut dragged);
        }
        PlanHandle::CutEnd => {
            let away = on_bone() - done.cut.middle;
            let tilt = away.y.atan2(away.x.max(1.0)).to_degrees();
            let tilt = NumberLimits::TILT.nearest(round(tilt, 0.1));
            PlanEdit::Direction(CutDirection::TiltDegrees(tilt)).apply_to(&mut dragged);
        }
        PlanHandle::ScrewEnd(view, place, end) => {
            by_hand(&mut dragged, place);
            let screw = dragged.screws.get_mut(place)?;
            let end = if end == 0 {
                &mut screw.entry
            } else {
                &mut screw.tip
            };
            *end = within_reach(done.before.moved_on(view, *end, to));
        }
    }
    Some(dragged)
}

/// Where the centre of the head lies before the plan, across and along in pixel widths.
fn former_head(done: &Undertaking) -> Option<PhysicalPoint> {
    let moved = done.tracing.ap.point(Landmark::HeadCentre)?;
    let ap = &done.before.ap;
    let before = done.movement.fragment.back(ap.proportions.physical(moved));
    Some(ap.on_bone(before))
}

/// A length in the unit of another one.
fn like(pattern: Extent, pixel_widths: f64, share: f64, done: &Undertaking) -> Extent {
    match (pattern, done.before.ap.mm_per_pixel_width) {
        (Extent::Millimetres(_), Some(size)) => Extent::Millimetres(pixel_widths * size),
        _ => Extent::Share(share),
    }
}

fn of_width(done: &Undertaking, pixel_widths: f64, pattern: Extent) -> Extent {
    like(pattern, pixel_widths, pixel_widths / done.cut.width, done)
}

/// Rounded to what its field shows, within what it may be.
fn kept(extent: Extent, limits: &ExtentLimits) -> Extent {
    limits.nearest(match extent {
        Extent::Millimetres(value) => Extent::Millimetres(round(value, 0.1)),
        Extent::Share(value) => Extent::Share(round(value, 0.001)),
    })
}

fn round(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

fn within_reach(place: BonePlace) -> BonePlace {
    let clamp = |value: f64| NumberLimits::PLACE.nearest(value);
    BonePlace {
        along: clamp(place.along),
        lateral: clamp(place.lateral),
        dorsal: clamp(place.dorsal),
    }
}

/// The plan with every length said in other units. Where the film has no calibration, millimetres become shares
/// of a usual bone (ours), so that a plan is not lost with its calibration.
pub(super) fn in_units(plan: &Plan, done: Option<&Undertaking>, units: Units) -> Plan {
    let size = done.and_then(|done| done.before.ap.mm_per_pixel_width);
    let wholes = done.zip(size).map_or(Plan::USUAL_BONE_MM, |(done, size)| {
        [done.before.bone_length * size, done.cut.width * size]
    });
    let said = |extent: Extent, whole: f64| match (extent, units) {
        (Extent::Millimetres(mm), Units::PerCent) => Extent::Share(mm / whole),
        (Extent::Share(share), Units::Millimetres) => Extent::Millimetres(share * whole),
        (same, _) => same,
    };
    let [bone, width] = wholes;
    let mut plan = plan.clone();
    plan.cut.level = said(plan.cut.level, bone);
    plan.cut.kerf = said(plan.cut.kerf, width);
    plan.head.shift = said(plan.head.shift, width);
    plan.head.dorsal_shift = said(plan.head.dorsal_shift, width);
    for screw in &mut plan.screws {
        screw.diameter = said(screw.diameter, width);
    }
    plan
}

/// A screw from the medial cortex to the centre of the moved head, or a wire through the head along its joint line.
pub(super) fn added_screw(done: &Undertaking, kind: ScrewKind) -> Option<Screw> {
    let bone = done.before.ap.length;
    let head = done.head_centre(View::Ap)?;
    let dorsal = done
        .before
        .lateral
        .as_ref()
        .zip(done.head_centre(View::Lateral))
        .map(|(view, head)| head.x / view.length)
        .unwrap_or_default();
    let place = |at: PhysicalPoint, dorsal: f64| {
        within_reach(BonePlace {
            along: at.y / bone,
            lateral: at.x / bone,
            dorsal,
        })
    };
    let (entry, tip) = match kind {
        ScrewKind::Screw => {
            let entry = PhysicalPoint::new(done.cut.ends[0].x, ADDED_ENTRY * bone);
            // Beside the head's centre, which is where the head itself is grabbed.
            let aside = done.head_radius(View::Ap)? * ADDED_ASIDE;
            let tip = PhysicalPoint::new(head.x + aside, head.y);
            (place(entry, 0.0), place(tip, dorsal))
        }
        ScrewKind::Wire => {
            let joint = done.joint_line()?.unit()?;
            let reach = done.head_radius(View::Ap)? * WIRE_REACH;
            (
                place(head + joint * -reach, dorsal),
                place(head + joint * reach, dorsal),
            )
        }
    };
    Some(Screw {
        kind,
        diameter: Screw::usual_diameter(kind, done.before.ap.mm_per_pixel_width.is_some()),
        entry,
        tip,
    })
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn a_plan_in_millimetres_outlives_its_calibration_as_shares_of_a_usual_bone() {
        let said = in_units(&Plan::usual(true), None, Units::PerCent);
        let usual = Plan::usual(false);
        for (field, said, usual) in [
            ("level", said.cut.level, usual.cut.level),
            ("kerf", said.cut.kerf, usual.cut.kerf),
            ("shift", said.head.shift, usual.head.shift),
        ] {
            assert!(matches!(said, Extent::Share(_)), "{field}: {said:?}");
            assert_close(said.number(), usual.number(), 0.005, field);
        }
    }

    #[test]
    fn what_is_dragged_too_far_stays_at_what_a_plan_may_hold() {
        let far = kept(Extent::Millimetres(80.0), &ExtentLimits::SHIFT);
        assert_eq!(far, Extent::Millimetres(25.0), "in millimetres");
        let far = kept(Extent::Share(-3.0), &ExtentLimits::SHIFT);
        assert_eq!(far, Extent::Share(-0.4), "as a share");
    }
}
