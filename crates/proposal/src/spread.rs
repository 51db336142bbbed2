//! From what a network says of its own doubt to a stated standard deviation.

use plumbray_anatomy::{Landmark, LongBone};

/// The part of a kind of landmark's error that the network knows nothing of, and how much its own spread
/// counts beside it. Both in millimetres of the usual foot.
#[derive(Clone, Copy, Debug)]
struct Calibration {
    floor_mm: f64,
    factor: f64,
}

/// The standard deviation in each direction, in millimetres, of a landmark that the network saw with a
/// spread.
pub(crate) fn point_spread_mm(landmark: Landmark, seen_mm: f64) -> f64 {
    let Calibration { floor_mm, factor } = calibration(landmark);
    floor_mm.hypot(factor * seen_mm)
}

const fn calibration(landmark: Landmark) -> Calibration {
    let (floor_mm, factor) = match landmark {
        Landmark::BaseCentre(LongBone::M1) => (0.4, 1.0),
        Landmark::BaseCentre(_) => (0.5, 1.0),
        Landmark::Tip(_) => (0.4, 1.0),
        Landmark::HeadCentre | Landmark::HeadEdge => (0.5, 1.0),
        Landmark::ArticularMedial | Landmark::ArticularLateral => (0.45, 1.0),
        Landmark::SesamoidCentre(_) => (0.4, 1.0),
        Landmark::SesamoidLongEnd(_) | Landmark::SesamoidShortEnd(_) => (0.5, 1.0),
        _ => (0.6, 1.0),
    };
    Calibration { floor_mm, factor }
}

/// The standard deviation across the shaft, in millimetres, of a cortex that ends so steeply (scores to
/// the millimetre).
pub(crate) fn cortex_spread_mm(steepness: f64) -> f64 {
    CORTEX_FLOOR_MM.hypot(CORTEX_FACTOR / steepness.max(0.5))
}

const CORTEX_FLOOR_MM: f64 = 0.08;
const CORTEX_FACTOR: f64 = 0.5;
