//! From what a network says of its own doubt to a stated standard deviation.
//!
//! The numbers were set on the simulated films of two seeds (40001 and 88001, 112 feet, good and poor
//! films) so that nineteen in twenty places lie within the stated 95 % interval. `docs/tracing.md` shows
//! how well that holds.

use plumbray_anatomy::{Landmark, LongBone, View};

/// What makes up the error of a kind of landmark. Both in millimetres of the usual foot.
#[derive(Clone, Copy, Debug)]
struct Calibration {
    /// What the network knows nothing of.
    floor_mm: f64,
    /// How much the network's own spread counts beside it.
    factor: f64,
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
        Landmark::BaseCentre(LongBone::M1) => (0.062, 0.43),
        Landmark::BaseCentre(_) => (0.058, 0.33),
        Landmark::Tip(LongBone::M1) => (0.135, 0.68),
        Landmark::Tip(LongBone::ProximalPhalanx) => (0.09, 0.57),
        Landmark::Tip(LongBone::DistalPhalanx) => (0.2, 0.95),
        Landmark::Tip(_) => (0.1, 0.76),
        Landmark::HeadCentre | Landmark::HeadEdge => (0.15, 0.72),
        Landmark::ArticularMedial => (0.105, 0.68),
        Landmark::ArticularLateral => (0.1, 0.85),
        Landmark::SesamoidCentre(_) => (0.055, 0.33),
        _ => (0.1, 0.5),
    };
    Calibration { floor_mm, factor }
}

const fn on_lateral(landmark: Landmark) -> Calibration {
    let (floor_mm, factor) = match landmark {
        Landmark::BaseCentre(_) => (0.095, 0.56),
        Landmark::Tip(_) => (0.135, 0.6),
        Landmark::TalusPosterior | Landmark::TalusAnterior | Landmark::CalcaneusAnterior => {
            (0.12, 0.75)
        }
        Landmark::CalcaneusPosterior => (0.22, 0.9),
        _ => (0.16, 0.75),
    };
    Calibration { floor_mm, factor }
}

/// The standard deviation across the shaft, in millimetres, of a bone's cortices that end so steeply
/// (scores to the millimetre).
pub(crate) fn cortex_spread_mm(view: View, bone: LongBone, steepness: f64) -> f64 {
    let floor_mm: f64 = match (view, bone) {
        (View::Lateral, _) => 0.12,
        (View::Ap, LongBone::M1) => 0.165,
        (View::Ap, LongBone::ProximalPhalanx | LongBone::DistalPhalanx) => 0.085,
        (View::Ap, _) => 0.05,
    };
    floor_mm.hypot(STEEPNESS_SHARE / steepness.max(LEAST_STEEPNESS))
}

const STEEPNESS_SHARE: f64 = 0.35;
const LEAST_STEEPNESS: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_doubt_of_the_network_is_more_spread() {
        for view in [View::Ap, View::Lateral] {
            for landmark in Landmark::all() {
                let [sure, unsure] = [0.0, 1.0].map(|seen| point_spread_mm(view, landmark, seen));
                assert!(0.0 < sure && sure < unsure, "{landmark} on {view:?}");
            }
        }
        let [steep, faint] = [10.0, 0.0].map(|edge| cortex_spread_mm(View::Ap, LongBone::M2, edge));
        assert!(steep < faint && faint.is_finite(), "cortices");
    }
}
