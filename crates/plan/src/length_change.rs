//! What a cut does to the length of the first ray, and which part of it does what.

use crate::{cut::PlannedCut, extent::Length, foot_before::FootBefore};

/// What a cut does to the length of the first ray; positive is longer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthChange {
    /// Along the first metatarsal's shaft.
    pub along_first: LengthParts,
    /// Along the second metatarsal, which is what the forefoot feels; nothing where it was not traced.
    pub along_second: Option<LengthParts>,
}

/// A change of length with its parts, which add up to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthParts {
    /// The whole change.
    pub whole: Length,
    /// What the burr takes.
    pub by_kerf: Length,
    /// What travelling along a tilted cut adds.
    pub by_tilt: Length,
    /// What shifting square to the first metatarsal does along the second, which diverges from it.
    pub by_divergence: Length,
}

/// The change of length for a travel `s` along a cut of tilt θ whose kerf closes by k:
///
/// ```text
/// along M1:  s·sin θ − k·cos θ
/// along M2:  s·sin(θ + φ) − k·cos(θ + φ)
/// ```
///
/// with the angle φ by which the shaft of M1 diverges from M2. Of the change along M2, s·sin φ is the part of
/// the divergence, which a cut square to the shaft has as well. Plain geometry.
pub(crate) fn length_change(before: &FootBefore, cut: &PlannedCut, travel: f64) -> LengthChange {
    let parts = |divergence: f64| {
        let turned = cut.tilt + divergence;
        let by_kerf = -cut.closing * turned.cos();
        let by_divergence = travel * divergence.sin();
        let by_tilt = travel * turned.sin() - by_divergence;
        LengthParts {
            whole: cut.length(by_kerf + by_tilt + by_divergence),
            by_kerf: cut.length(by_kerf),
            by_tilt: cut.length(by_tilt),
            by_divergence: cut.length(by_divergence),
        }
    };
    LengthChange {
        along_first: parts(0.0),
        along_second: before.divergence.map(parts),
    }
}
