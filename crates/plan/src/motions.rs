//! The motions of a plan: the fragment's from the cut, the toe's from its rule.

use plumbray_anatomy::{
    Angle, FilmTracing, Landmark, LongBone, PhysicalPoint, PhysicalVector, Similarity, Tracing,
    View,
};
use plumbray_measure::{Foot, Measurement, measure};

use crate::{
    cut::PlannedCut,
    foot_before::FootBefore,
    movement::{
        Movement, WEDGE_SHARE, followed_by, fragment_motions, moved_ap, toe_axis, turn_and_shift,
    },
    plan::{Plan, ToeRule},
    undertaking::{choices, planned_foot},
};

/// The motions of a plan.
pub(crate) fn movement_of(
    foot: &Foot<'_>,
    before: &FootBefore,
    cut: &PlannedCut,
    plan: &Plan,
    travel: f64,
    dorsal: f64,
) -> Movement {
    let head = |view: View| {
        let film = foot.film(view)?;
        let at = film.tracing.point(Landmark::HeadCentre)?;
        Some(film.proportions.physical(at))
    };
    let heads = View::ALL.map(head);
    let (fragment, lateral) = fragment_motions(before, heads, cut, plan, travel, dorsal);
    let shift = cut.displacement(travel);
    let shifted = turn_and_shift(
        &before.ap,
        PhysicalPoint::new(0.0, 0.0),
        0.0,
        before.ap.direction(shift.x, shift.y),
    );
    let mut movement = Movement {
        fragment,
        toe: shifted,
        toe_beyond_wedge: shifted,
        fragment_on_lateral: lateral,
        travel,
        dorsal,
    };
    let toe = match plan.toe.rule {
        ToeRule::FollowsHead => fragment,
        ToeRule::KeepsDirection => shifted,
        ToeRule::Realigned {
            hallux_valgus_degrees,
        } => {
            let angle = hallux_valgus(foot, before, cut, &movement);
            let turn = angle.map_or(0.0, |now| (now - hallux_valgus_degrees).to_radians());
            let about = heads[0].map_or(PhysicalPoint::default(), |head| fragment.of(head));
            let turn = turn_and_shift(&before.ap, about, turn, PhysicalVector::default());
            followed_by(&shifted, &turn)
        }
    };
    movement.toe = toe;
    movement.toe_beyond_wedge = match wedge_turn(foot, before, plan) {
        Some(wedge) => followed_by(&wedge, &toe),
        None => toe,
    };
    movement
}

/// The hallux valgus angle in degrees after these motions.
fn hallux_valgus(
    foot: &Foot<'_>,
    before: &FootBefore,
    cut: &PlannedCut,
    movement: &Movement,
) -> Option<f64> {
    let tracing = Tracing {
        ap: moved_ap(before, foot.ap?.tracing, cut, movement),
        lateral: FilmTracing::default(),
    };
    let foot = planned_foot(foot, &tracing);
    let outcome = measure(&foot, &choices(), Measurement::HalluxValgusAngle);
    outcome.reading().map(|reading| reading.value)
}

/// The turn of what lies distal of the wedge, about the lateral cortex, before the toe is moved as a whole.
fn wedge_turn(foot: &Foot<'_>, before: &FootBefore, plan: &Plan) -> Option<Similarity> {
    let angle = Angle::from_degrees(plan.toe.wedge_degrees).radians();
    let film = foot.ap?;
    let axis = toe_axis(film.proportions, film.tracing)?;
    let middle = axis.base + axis.vector * WEDGE_SHARE;
    let half = phalanx_width(foot).unwrap_or_default() / 2.0;
    let lateral = axis.vector.perpendicular();
    let lateral = if lateral.dot(before.ap.frame.across) < 0.0 {
        lateral * -1.0
    } else {
        lateral
    };
    let hinge = middle + lateral.unit()? * half;
    Some(turn_and_shift(
        &before.ap,
        hinge,
        angle,
        PhysicalVector::default(),
    ))
}

/// The width of the proximal phalanx where a wedge is taken, in pixel widths.
pub(crate) fn phalanx_width(foot: &Foot<'_>) -> Option<f64> {
    let outcome =
        plumbray_measure::shaft_width_px(foot, View::Ap, LongBone::ProximalPhalanx, WEDGE_SHARE);
    outcome.reading().map(|reading| reading.value)
}
