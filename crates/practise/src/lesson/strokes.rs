//! Shafts that were drawn by hand, as a stroke from end to end: the reference's axis in the same form.

use plumbray_anatomy::{
    FilmTracing, Landmark, LongBone, Origin, PhysicalVector, PlacedPoint, Tracing, View,
};
use plumbray_measure::{AxisConvention, bone_frame};

use crate::set::PracticeFoot;

/// Whether a shaft was drawn by hand: a stroke, and no cortices beside it.
pub(super) fn is_by_hand(tracing: &FilmTracing, bone: LongBone) -> bool {
    !tracing.cortices.contains_key(&bone)
        && [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)]
            .iter()
            .all(|end| tracing.points.contains_key(end))
}

/// The reference's tracing with a stroke along its own axis for each shaft that the attempt drew by hand, its ends
/// straight across from the attempt's.
///
/// A stroke and two cortices are different things placed, so that no derivative leads from one to the other; strokes
/// are the same thing. Along which stretch of the bone a stroke runs is no error.
pub(super) fn drawn_alike(foot: &PracticeFoot, reference: &Tracing, attempt: &Tracing) -> Tracing {
    let mut alike = reference.clone();
    for view in View::ALL {
        let Some(film) = foot.film(view) else {
            continue;
        };
        let by_hand = |bone: &LongBone| is_by_hand(attempt.on(view), *bone);
        let bones = reference.on(view).cortices.keys().copied();
        for bone in bones.filter(by_hand) {
            let axis = AxisConvention::MidDiaphysealQuarters;
            let Ok(frame) = bone_frame(&foot.traced(reference), view, bone, axis) else {
                continue;
            };
            let onto_axis = |landmark: Landmark| {
                let at = film.proportions.physical(attempt.on(view).point(landmark)?);
                let away: PhysicalVector = at - frame.through;
                let at = film
                    .proportions
                    .film(frame.through + frame.along * away.dot(frame.along));
                Some((
                    landmark,
                    PlacedPoint {
                        at,
                        sd_px: 0.0,
                        origin: Origin::Derived,
                    },
                ))
            };
            let ends = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
            let own = alike.on_mut(view);
            own.points.extend(ends.into_iter().filter_map(onto_axis));
            own.cortices.remove(&bone);
        }
    }
    alike
}
