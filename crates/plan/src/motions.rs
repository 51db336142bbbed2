//! The motions of a plan: the fragment's from the cut, the toe's from its rule.

use plumbray_anatomy::{
    Angle, FilmTracing, Landmark, LongBone, PhysicalPoint, PhysicalVector, Similarity, Tracing,
    View,
};
use plumbray_measure::{Foot, Measurement, Outcome, measure};

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
    let wedge = wedge_turn(foot, before, plan);
    let with_wedge = |toe: Similarity| wedge.map_or(toe, |wedge| followed_by(&wedge, &toe));
    let mut movement = Movement {
        fragment,
        toe: shifted,
        toe_beyond_wedge: with_wedge(shifted),
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
    movement.toe_beyond_wedge = with_wedge(toe);
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
    let hinge = lateral_hinge(foot, before)?;
    Some(turn_and_shift(
        &before.ap,
        hinge,
        angle,
        PhysicalVector::default(),
    ))
}

/// Where the level of the wedge meets the lateral cortex of the proximal phalanx; without cortices a place on the line
/// from its base to its tip.
fn lateral_hinge(foot: &Foot<'_>, before: &FootBefore) -> Option<PhysicalPoint> {
    let film = foot.ap?;
    let level = phalanx_level(foot);
    let ends = level.reading().and_then(|reading| {
        let line = reading.construction.lines.first()?;
        Some([line.from, line.to].map(|end| film.proportions.physical(end)))
    });
    ends.map_or_else(
        || {
            toe_axis(film.proportions, film.tracing)
                .map(|axis| axis.base + axis.vector * WEDGE_SHARE)
        },
        |ends| {
            let lateral = |end: PhysicalPoint| before.ap.on_bone(end).x;
            ends.into_iter()
                .max_by(|one, other| lateral(*one).total_cmp(&lateral(*other)))
        },
    )
}

/// The width of the proximal phalanx where a wedge is taken, in pixel widths.
pub(crate) fn phalanx_width(foot: &Foot<'_>) -> Option<f64> {
    phalanx_level(foot).reading().map(|reading| reading.value)
}

fn phalanx_level(foot: &Foot<'_>) -> Outcome {
    plumbray_measure::shaft_width_px(foot, View::Ap, LongBone::ProximalPhalanx, WEDGE_SHARE)
}
