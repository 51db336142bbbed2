//! From what a network says of its own doubt to a stated standard deviation.
//!
//! The numbers were set on the simulated films of eight seeds (40001, 60817, 88001, 88003, 91101, 91102, 91103 and
//! 91104, 704 feet, good and poor films) so that about nineteen in twenty places lie within the stated 95 % interval.
//! `docs/tracing.md` shows how well that holds.

use plumbray_anatomy::{Landmark, LongBone, View};

/// What makes up the error of a kind of landmark. Both in millimetres of the usual foot.
#[derive(Clone, Copy, Debug)]
struct Calibration {
    /// What the network knows nothing of.
    floor_mm: f64,
    /// How much the network's own spread counts beside it.
    factor: f64,
}

/// The mean of a network's own spreads over all points of a film, in millimetres, which few simulated films
/// exceed.
const USUAL_SPREAD_MM: f64 = 0.15;
/// However unlike a film is, nothing becomes more uncertain than this many times.
const MOST_UNFAMILIAR: f64 = 8.0;
/// No single point makes a film less familiar than if it were spread by this, in millimetres.
const MOST_OF_ONE_POINT_MM: f64 = 3.0;

/// How much less sure a network is of all points of a film together than on the simulated films: 1 where
/// it is as sure.
///
/// A film unlike those that a network learned from shows in its points being spread; those that it happens
/// to be sure of are then no better known than the others.
pub(crate) fn unfamiliarity(spreads_mm: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = spreads_mm.len().max(1) as f64;
    let sum: f64 = spreads_mm
        .map(|spread| spread.min(MOST_OF_ONE_POINT_MM))
        .sum();
    (sum / count / USUAL_SPREAD_MM).clamp(1.0, MOST_UNFAMILIAR)
}

/// The standard deviation in each direction, in millimetres, of a landmark that the network saw with a
/// spread.
pub(crate) fn point_spread_mm(view: View, landmark: Landmark, seen_mm: f64) -> f64 {
    let Calibration { floor_mm, factor } = match view {
        View::Ap => on_ap(landmark),
        View::Lateral => on_lateral(landmark),
    };
    floor_mm.hypot(factor * seen_mm)
}

const fn on_ap(landmark: Landmark) -> Calibration {
    let (floor_mm, factor) = match landmark {
        Landmark::BaseCentre(LongBone::M1) => (0.065, 0.45),
        Landmark::BaseCentre(LongBone::DistalPhalanx) => (0.039, 0.22),
        Landmark::BaseCentre(LongBone::ProximalPhalanx) => (0.052, 0.3),
        Landmark::BaseCentre(_) => (0.058, 0.33),
        Landmark::Tip(LongBone::M1) => (0.149, 0.75),
        Landmark::Tip(LongBone::ProximalPhalanx) => (0.105, 0.66),
        Landmark::Tip(LongBone::DistalPhalanx) => (0.172, 0.82),
        Landmark::Tip(_) => (0.116, 0.88),
        Landmark::HeadCentre | Landmark::HeadEdge => (0.169, 0.81),
        Landmark::ArticularMedial => (0.088, 0.57),
        Landmark::ArticularLateral => (0.102, 0.87),
        Landmark::SesamoidCentre(_) => (0.054, 0.33),
        _ => (0.1, 0.5),
    };
    Calibration { floor_mm, factor }
}

const fn on_lateral(landmark: Landmark) -> Calibration {
    let (floor_mm, factor) = match landmark {
        Landmark::BaseCentre(_) => (0.094, 0.56),
        Landmark::Tip(_) => (0.151, 0.67),
        Landmark::HeadCentre | Landmark::HeadEdge => (0.145, 0.7),
        Landmark::TalusPosterior => (0.112, 0.7),
        Landmark::TalusAnterior => (0.108, 0.67),
        // Across their line: they may lie anywhere along it, and what is measured does not ask where.
        Landmark::CalcaneusPosterior => (0.034, 0.076),
        Landmark::CalcaneusAnterior => (0.041, 0.09),
        Landmark::FloorAnterior | Landmark::FloorPosterior => (0.05, 0.4),
        _ => (0.125, 0.6),
    };
    Calibration { floor_mm, factor }
}

/// How far the cortices of a bone lie off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CortexSpread {
    /// The standard deviation across the shaft, in millimetres.
    pub(crate) whole_mm: f64,
    /// Its part by which a cortex lies off as a whole.
    pub(crate) together_mm: f64,
}

/// What adds to the spread of each point of the proximal shaft of a first metatarsal on which metal lies, in
/// millimetres.
///
/// Set on simulated operated feet of the seeds 7711 and 7712 so that about nineteen in twenty shifts of the head
/// lie within their 95 % interval.
pub(crate) const PROXIMAL_BESIDE_METAL_MM: f64 = 0.14;

/// The spread of a bone's cortices that end so steeply (scores to the millimetre).
pub(crate) fn cortex_spread(view: View, bone: LongBone, steepness: f64) -> CortexSpread {
    let (floor_mm, together): (f64, f64) = match (view, bone) {
        (View::Lateral, _) => (0.18, 0.0),
        (View::Ap, LongBone::M1) => (0.108, 0.86),
        (View::Ap, LongBone::ProximalPhalanx) => (0.084, 0.975),
        (View::Ap, LongBone::DistalPhalanx) => (0.082, 0.58),
        (View::Ap, LongBone::M2) => (0.025, 0.9),
        (View::Ap, LongBone::M3 | LongBone::M4) => (0.025, 0.4),
        // Its flare toward the base turns it most.
        (View::Ap, LongBone::M5) => (0.09, 0.0),
    };
    let whole_mm = floor_mm.hypot(STEEPNESS_SHARE / steepness.max(LEAST_STEEPNESS));
    CortexSpread {
        whole_mm,
        together_mm: together * whole_mm,
    }
}

/// The standard deviation in each direction, in millimetres, of the outermost place of a bone's outline
/// that ends so steeply there.
pub(crate) fn corner_spread_mm(corner: Landmark, steepness: f64) -> f64 {
    let share = match corner {
        Landmark::BaseMedial(LongBone::M1)
        | Landmark::BaseLateral(LongBone::M1)
        | Landmark::HeadMedialEdge => 0.5,
        Landmark::BaseMedial(_) | Landmark::BaseLateral(LongBone::ProximalPhalanx) => 0.75,
        Landmark::DistalMedial(_) | Landmark::DistalLateral(_) => 0.62,
        _ => 1.0,
    };
    share * CORNER_FLOOR_MM.hypot(STEEPNESS_SHARE / steepness.max(LEAST_STEEPNESS))
}

const CORNER_FLOOR_MM: f64 = 0.3;
const STEEPNESS_SHARE: f64 = 0.35;
const LEAST_STEEPNESS: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_film_is_unfamiliar_by_all_its_points_and_within_limits() {
        let of = |spreads: &[f64]| unfamiliarity(spreads.iter().copied());
        for (spreads, expected, what) in [
            (vec![0.0; 19], 1.0, "a sure look"),
            (Vec::new(), 1.0, "no points"),
            (vec![0.6; 10], 4.0, "four times the usual"),
            (vec![f64::INFINITY; 3], MOST_UNFAMILIAR, "an end to it"),
        ] {
            assert!((of(&spreads) - expected).abs() < 1e-12, "{what}");
        }
        let one_lost = [&[0.0; 18], [40.0].as_slice()].concat();
        assert!(of(&one_lost) < 1.1, "one lost point is not the whole film");
    }

    #[test]
    fn more_doubt_of_the_network_is_more_spread() {
        for view in [View::Ap, View::Lateral] {
            for landmark in Landmark::all() {
                let [sure, unsure] = [0.0, 1.0].map(|seen| point_spread_mm(view, landmark, seen));
                assert!(0.0 < sure && sure < unsure, "{landmark} on {view:?}");
            }
        }
        for bone in LongBone::ALL {
            let [steep, faint] = [10.0, 0.0].map(|edge| cortex_spread(View::Ap, bone, edge));
            assert!(
                steep.whole_mm < faint.whole_mm && faint.whole_mm.is_finite(),
                "cortices of {bone:?}"
            );
            assert!(
                (0.0..=faint.whole_mm).contains(&faint.together_mm),
                "a part of it"
            );
        }
    }
}
