//! Which end of a stroke is the base: a stroke drawn the wrong way round must not turn an angle
//! of 15° into one of 165°.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone};
use plumbray_trace::Stroke;

/// The stroke from base to head, as far as the bones that are already traced can tell; otherwise as
/// it was drawn, which is what the prompt asks for.
///
/// Metatarsals run the same way as each other. The proximal phalanx begins near the tip of the
/// first metatarsal, the distal phalanx near the tip of the proximal one.
#[must_use]
pub(crate) fn oriented_stroke(bone: LongBone, drawn: Stroke, tracing: &FilmTracing) -> Stroke {
    let before = match bone {
        LongBone::ProximalPhalanx => Some(LongBone::M1),
        LongBone::DistalPhalanx => Some(LongBone::ProximalPhalanx),
        _ => None,
    };
    if let Some(tip) = before.and_then(|bone| tracing.point(Landmark::Tip(bone))) {
        return if drawn.to.distance_px(tip) < drawn.from.distance_px(tip) {
            drawn.reversed()
        } else {
            drawn
        };
    }
    let same_way = LongBone::METATARSALS
        .into_iter()
        .filter(|other| *other != bone && bone.metatarsal_number().is_some())
        .find_map(|other| direction(tracing, other));
    match same_way {
        Some((x, y)) => {
            let along =
                (drawn.to.x_px - drawn.from.x_px) * x + (drawn.to.y_px - drawn.from.y_px) * y;
            if along < 0.0 { drawn.reversed() } else { drawn }
        }
        None => drawn,
    }
}

fn direction(tracing: &FilmTracing, bone: LongBone) -> Option<(f64, f64)> {
    let ends = |from: Landmark, to: Landmark| {
        let (from, to): (FilmPoint, FilmPoint) = tracing.point(from).zip(tracing.point(to))?;
        Some((to.x_px - from.x_px, to.y_px - from.y_px))
    };
    ends(Landmark::BaseCentre(bone), Landmark::Tip(bone))
        .or_else(|| ends(Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)))
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Origin, PlacedPoint};

    use super::*;

    fn put(tracing: &mut FilmTracing, landmark: Landmark, x_px: f64, y_px: f64) {
        let at = FilmPoint::new(x_px, y_px);
        tracing.points.insert(
            landmark,
            PlacedPoint {
                at,
                sd_px: 1.0,
                origin: Origin::Hand,
            },
        );
    }

    fn first_metatarsal() -> FilmTracing {
        let mut tracing = FilmTracing::default();
        put(
            &mut tracing,
            Landmark::BaseCentre(LongBone::M1),
            100.0,
            500.0,
        );
        put(&mut tracing, Landmark::Tip(LongBone::M1), 90.0, 200.0);
        tracing
    }

    fn stroke(from: (f64, f64), to: (f64, f64)) -> Stroke {
        Stroke::new(FilmPoint::new(from.0, from.1), FilmPoint::new(to.0, to.1))
    }

    #[test]
    fn a_metatarsal_drawn_from_head_to_base_is_turned_round() {
        let backward = stroke((210.0, 180.0), (200.0, 520.0));
        let oriented = oriented_stroke(LongBone::M2, backward, &first_metatarsal());
        assert_eq!(
            oriented,
            backward.reversed(),
            "runs as the first metatarsal does"
        );
    }

    #[test]
    fn a_phalanx_begins_near_the_tip_of_the_bone_before_it() {
        let backward = stroke((120.0, 60.0), (95.0, 180.0));
        let tracing = first_metatarsal();
        let oriented = oriented_stroke(LongBone::ProximalPhalanx, backward, &tracing);
        assert_eq!(
            oriented,
            backward.reversed(),
            "base beside the metatarsal’s tip"
        );
    }

    #[test]
    fn the_first_stroke_is_taken_as_it_was_drawn() {
        let drawn = stroke((0.0, 0.0), (10.0, 10.0));
        let oriented = oriented_stroke(LongBone::M1, drawn, &FilmTracing::default());
        assert_eq!(oriented, drawn, "nothing else is known");
    }
}
