//! Where the head's fragment and the great toe come to lie.

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PhysicalPoint, PhysicalVector,
    PlacedPoint, Proportions, Similarity,
};

use crate::{
    cut::PlannedCut,
    foot_before::{FootBefore, ViewBefore},
    in_space::InSpace,
    plan::Plan,
};

/// The motions of the parts that a plan moves, in physical proportions of their film.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// Of the head's fragment on the AP film.
    pub fragment: Similarity,
    /// Of the great toe, as far as the wedge, on the AP film.
    pub toe: Similarity,
    /// Of the toe distal of the wedge; the same as `toe` without one.
    pub toe_beyond_wedge: Similarity,
    /// Of the head's fragment on the lateral film; nothing where that does not serve.
    pub fragment_on_lateral: Option<Similarity>,
    /// How far the fragment travels along the cut, in pixel widths of the AP film.
    pub travel: f64,
    /// How far it is shifted dorsally, in pixel widths of the AP film.
    pub dorsal: f64,
}

/// Where along the proximal phalanx the wedge is taken, from 0 at the base to 1 at the tip: proximal of both
/// levels of its axis (ours).
pub(crate) const WEDGE_SHARE: f64 = 0.2;

/// The bones of the great toe.
const TOE: [LongBone; 2] = [LongBone::ProximalPhalanx, LongBone::DistalPhalanx];

/// A turn about a place by `angle` radians, from along toward the negative of across (medial or plantar), and then
/// a shift.
pub(crate) fn turn_and_shift(
    view: &ViewBefore,
    about: PhysicalPoint,
    angle: f64,
    shift: PhysicalVector,
) -> Similarity {
    let sense = -view.frame.along.cross(view.frame.across).signum();
    let turn = Similarity::new(PhysicalPoint::new(0.0, 0.0), 1.0, angle * sense, false);
    let turned = turn.of(about);
    let origin = PhysicalPoint::new(0.0, 0.0) + (about - turned) + shift;
    Similarity::new(origin, 1.0, angle * sense, false)
}

/// One motion after another.
pub(crate) fn followed_by(first: &Similarity, then: &Similarity) -> Similarity {
    Similarity::new(
        then.of(first.origin()),
        1.0,
        first.turn() + then.turn(),
        false,
    )
}

/// The motion of the head's fragment on each film for a travel along the cut and a dorsal shift, both in pixel
/// widths of the AP film.
pub(crate) fn fragment_motions(
    before: &FootBefore,
    heads: [Option<PhysicalPoint>; 2],
    cut: &PlannedCut,
    plan: &Plan,
    travel: f64,
    dorsal: f64,
) -> (Similarity, Option<Similarity>) {
    let moved = cut.displacement(travel);
    let ap = &before.ap;
    let fragment = heads[0].map_or(Similarity::IDENTITY, |head| {
        let turn = plan.head.medial_turn_degrees.to_radians();
        turn_and_shift(ap, head, turn, ap.direction(moved.x, moved.y))
    });
    let lateral = before.lateral.as_ref().zip(heads[1]).map(|(view, head)| {
        // The same places on the lateral film, by the length of the bone there.
        let scale = view.length / ap.length;
        let looks = InSpace::of(before).lateral_looks() * moved.x;
        let shift = view.direction((dorsal + looks.x) * scale, (moved.y + looks.y) * scale);
        let tilt = plan.head.plantar_tilt_degrees.to_radians();
        turn_and_shift(view, head, tilt, shift)
    });
    (fragment, lateral)
}

/// The AP tracing after a plan: the landmarks of the fragment and of the toe moved, the rest where it was.
pub(crate) fn moved_ap(
    before: &FootBefore,
    tracing: &FilmTracing,
    cut: &PlannedCut,
    movement: &Movement,
) -> FilmTracing {
    let ap = &before.ap;
    let mut moved = tracing.clone();
    let shift = |at: FilmPoint, motion: &Similarity| through(ap.proportions, at, motion);
    for (landmark, placed) in &mut moved.points {
        if is_of_fragment(*landmark) {
            placed.at = shift(placed.at, &movement.fragment);
        } else if let Some(motion) = toe_motion(*landmark, movement) {
            placed.at = shift(placed.at, motion);
        }
    }
    if let Some(at) = tip_after(ap, tracing, &movement.fragment)
        && let Some(tip) = moved.points.get_mut(&Landmark::Tip(LongBone::M1))
    {
        tip.at = at;
    }
    let wedge_normal = toe_axis(ap.proportions, tracing);
    for (bone, cortices) in &mut moved.cortices {
        if *bone == LongBone::M1 {
            let is_distal = |at: FilmPoint| {
                let place = ap.on_bone(ap.proportions.physical(at));
                Some((place - cut.middle).dot(cut.normal()))
            };
            cut_cortices(cortices, is_distal, cut.kerf / 2.0, |at| {
                shift(at, &movement.fragment)
            });
        } else if TOE.contains(bone) {
            for line in [&mut cortices.one, &mut cortices.two] {
                for at in line {
                    let beyond = *bone == LongBone::DistalPhalanx
                        || wedge_normal
                            .is_none_or(|axis| axis.share(ap.proportions, *at) > WEDGE_SHARE);
                    let motion = if beyond {
                        &movement.toe_beyond_wedge
                    } else {
                        &movement.toe
                    };
                    *at = shift(*at, motion);
                }
            }
        }
    }
    let level = PlacedPoint {
        at: ap.film_point(cut.middle),
        sd_px: 0.0,
        origin: Origin::Derived,
    };
    moved.points.insert(Landmark::OsteotomyLevel, level);
    moved
}

/// Where the tip of the first metatarsal is read after a plan: the most distal point along the bone, which is
/// another one of the round head once the axis or the head has turned. About the head's centre it keeps its
/// place against the axis from base to head (ours: as on a head that is round about its centre).
fn tip_after(ap: &ViewBefore, tracing: &FilmTracing, fragment: &Similarity) -> Option<FilmPoint> {
    let place = |landmark| {
        let at = tracing.point(landmark)?;
        Some(ap.proportions.physical(at))
    };
    let base = place(Landmark::BaseCentre(LongBone::M1))?;
    let head = place(Landmark::HeadCentre)?;
    let tip = place(Landmark::Tip(LongBone::M1))?;
    let moved = fragment.of(head);
    let (before, after) = (head - base, moved - base);
    let turn = before.cross(after).atan2(before.dot(after));
    let turned = Similarity::new(PhysicalPoint::new(0.0, 0.0), 1.0, turn, false);
    let offset = turned.of(PhysicalPoint::new(0.0, 0.0) + (tip - head)) - PhysicalPoint::default();
    Some(ap.proportions.film(moved + offset))
}

/// The lateral tracing after a plan.
pub(crate) fn moved_lateral(
    before: &FootBefore,
    tracing: &FilmTracing,
    cut: &PlannedCut,
    movement: &Movement,
) -> FilmTracing {
    let (Some(view), Some(motion)) = (&before.lateral, &movement.fragment_on_lateral) else {
        return tracing.clone();
    };
    let mut moved = tracing.clone();
    for (landmark, placed) in &mut moved.points {
        if is_of_fragment(*landmark) {
            placed.at = through(view.proportions, placed.at, motion);
        }
    }
    let [shaft, level, fragment] =
        [-1.0, 0.0, 1.0].map(|side| cut.level_on_lateral(before, view, side));
    if let Some(cortices) = moved.cortices.get_mut(&LongBone::M1) {
        let is_distal = |at: FilmPoint| Some(view.on_bone(view.proportions.physical(at)).y - level);
        cut_cortices(cortices, is_distal, (fragment - shaft) / 2.0, |at| {
            through(view.proportions, at, motion)
        });
    }
    let level = PlacedPoint {
        at: view.film_point(PhysicalPoint::new(0.0, level)),
        sd_px: 0.0,
        origin: Origin::Derived,
    };
    moved.points.insert(Landmark::OsteotomyLevel, level);
    moved
}

/// Parts a shaft's cortices at a cut: what lies beyond half a kerf is moved, what lies within it is gone.
fn cut_cortices(
    cortices: &mut Cortices,
    beyond_cut: impl Fn(FilmPoint) -> Option<f64>,
    half_kerf: f64,
    moved: impl Fn(FilmPoint) -> FilmPoint,
) {
    for line in [&mut cortices.one, &mut cortices.two] {
        *line = line
            .iter()
            .filter_map(|at| {
                let beyond = beyond_cut(*at)?;
                if beyond >= half_kerf {
                    Some(moved(*at))
                } else {
                    (beyond <= -half_kerf).then_some(*at)
                }
            })
            .collect();
    }
}

/// Base and direction of the proximal phalanx.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ToeAxis {
    pub(crate) base: PhysicalPoint,
    pub(crate) vector: PhysicalVector,
}

impl ToeAxis {
    fn share(&self, proportions: Proportions, at: FilmPoint) -> f64 {
        let away = proportions.physical(at) - self.base;
        away.dot(self.vector) / self.vector.dot(self.vector)
    }
}

/// The proximal phalanx from base centre to tip, where both were traced.
pub(crate) fn toe_axis(proportions: Proportions, tracing: &FilmTracing) -> Option<ToeAxis> {
    let bone = LongBone::ProximalPhalanx;
    let place = |landmark| tracing.point(landmark).map(|at| proportions.physical(at));
    let base = place(Landmark::BaseCentre(bone))?;
    let vector = place(Landmark::Tip(bone))? - base;
    (vector.length() > 1.0).then_some(ToeAxis { base, vector })
}

/// Whether a landmark lies on the head's fragment of the first metatarsal.
const fn is_of_fragment(landmark: Landmark) -> bool {
    matches!(
        landmark,
        Landmark::Tip(LongBone::M1)
            | Landmark::HeadCentre
            | Landmark::HeadEdge
            | Landmark::ArticularMedial
            | Landmark::ArticularLateral
            | Landmark::HeadMedialEdge
            | Landmark::DorsalDistal(LongBone::M1)
    )
}

/// The motion of a landmark of the great toe; nothing for any other.
const fn toe_motion(landmark: Landmark, movement: &Movement) -> Option<&Similarity> {
    match landmark {
        Landmark::BaseCentre(LongBone::ProximalPhalanx)
        | Landmark::BaseMedial(LongBone::ProximalPhalanx)
        | Landmark::BaseLateral(LongBone::ProximalPhalanx)
        | Landmark::ShaftStart(LongBone::ProximalPhalanx) => Some(&movement.toe),
        Landmark::Tip(LongBone::ProximalPhalanx)
        | Landmark::ShaftEnd(LongBone::ProximalPhalanx)
        | Landmark::DistalMedial(LongBone::ProximalPhalanx)
        | Landmark::DistalLateral(LongBone::ProximalPhalanx)
        | Landmark::BaseCentre(LongBone::DistalPhalanx)
        | Landmark::Tip(LongBone::DistalPhalanx)
        | Landmark::ShaftStart(LongBone::DistalPhalanx)
        | Landmark::ShaftEnd(LongBone::DistalPhalanx) => Some(&movement.toe_beyond_wedge),
        _ => None,
    }
}

fn through(proportions: Proportions, at: FilmPoint, motion: &Similarity) -> FilmPoint {
    proportions.film(motion.of(proportions.physical(at)))
}
