//! Whether a bone was swept in another's place: two bones on one another, or metatarsals out of order.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone};

/// Bones whose middles lie nearer to each other than this share of the shorter one's length are one
/// and the same: neighbouring metatarsals lie about a fifth of their length apart.
const SAME_PLACE_SHARE: f64 = 0.08;

/// What looks mistaken about a bone that was just traced, in one sentence that says what to do.
#[must_use]
pub(crate) fn mistake_about(bone: LongBone, tracing: &FilmTracing) -> Option<String> {
    let (middle, length) = middle_and_length(bone, tracing)?;
    let others = || LongBone::ALL.into_iter().filter(|other| *other != bone);
    let same = others().find(|other| {
        middle_and_length(*other, tracing).is_some_and(|(other_middle, other_length)| {
            middle.distance_px(other_middle) < SAME_PLACE_SHARE * length.min(other_length)
        })
    });
    if let Some(other) = same {
        return Some(format!(
            "it lies where the {} was traced, so that one of the two is another bone. Undo, and \
             sweep again.",
            other.name()
        ));
    }
    is_out_of_order(tracing).then(|| {
        "the metatarsals do not lie in the order of their numbers, so that one of them is another \
         bone. Look at their numbers on the foot map."
            .to_owned()
    })
}

/// Whether the middles of the metatarsals, from the first to the fifth, ever turn back.
fn is_out_of_order(tracing: &FilmTracing) -> bool {
    let middles: Vec<FilmPoint> = LongBone::METATARSALS
        .into_iter()
        .filter_map(|bone| middle_and_length(bone, tracing).map(|(middle, _)| middle))
        .collect();
    middles.windows(3).any(|three| {
        let step = |from: FilmPoint, to: FilmPoint| (to.x_px - from.x_px, to.y_px - from.y_px);
        let (first, second) = (step(three[0], three[1]), step(three[1], three[2]));
        first.0 * second.0 + first.1 * second.1 < 0.0
    })
}

fn middle_and_length(bone: LongBone, tracing: &FilmTracing) -> Option<(FilmPoint, f64)> {
    let base = tracing.point(Landmark::BaseCentre(bone))?;
    let tip = tracing.point(Landmark::Tip(bone))?;
    Some((base.toward(tip, 0.5), base.distance_px(tip)))
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Origin, PlacedPoint};

    use super::*;

    fn put(tracing: &mut FilmTracing, bone: LongBone, x_px: f64) {
        for (landmark, y_px) in [
            (Landmark::BaseCentre(bone), 500.0),
            (Landmark::Tip(bone), 200.0),
        ] {
            let at = FilmPoint::new(x_px, y_px);
            let placed = PlacedPoint {
                at,
                sd_px: 1.0,
                origin: Origin::Hand,
            };
            tracing.points.insert(landmark, placed);
        }
    }

    #[test]
    fn a_bone_on_top_of_another_is_told() {
        let mut tracing = FilmTracing::default();
        put(&mut tracing, LongBone::M1, 300.0);
        put(&mut tracing, LongBone::M2, 310.0);
        let mistake = mistake_about(LongBone::M2, &tracing).expect("told");
        assert!(mistake.contains("first metatarsal"), "{mistake}");
    }

    #[test]
    fn neighbours_in_their_order_are_no_mistake_on_either_foot() {
        for direction in [-60.0, 60.0] {
            let mut tracing = FilmTracing::default();
            let mut x_px = 400.0;
            for bone in LongBone::METATARSALS {
                put(&mut tracing, bone, x_px);
                assert_eq!(mistake_about(bone, &tracing), None, "{bone:?}");
                x_px += direction;
            }
        }
    }

    #[test]
    fn two_metatarsals_exchanged_are_told() {
        let mut tracing = FilmTracing::default();
        for (bone, x_px) in [
            (LongBone::M1, 100.0),
            (LongBone::M2, 160.0),
            (LongBone::M3, 280.0),
            (LongBone::M4, 220.0),
        ] {
            put(&mut tracing, bone, x_px);
        }
        let mistake = mistake_about(LongBone::M4, &tracing).expect("told");
        assert!(mistake.contains("order"), "{mistake}");
    }
}
