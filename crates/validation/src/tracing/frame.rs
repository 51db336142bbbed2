//! A bone's true direction on a film.

use plumbray_anatomy::{Cortices, FilmPoint, Landmark, LongBone, View};

use super::truth::Truth;

/// Base and tip, the unit vector from one to the other, and the one toward lateral or dorsal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    base: FilmPoint,
    tip: FilmPoint,
    along: [f64; 2],
    across: [f64; 2],
}

impl Frame {
    /// Nothing where the truth has no such bone, or nothing that tells lateral or dorsal.
    pub(super) fn of(truth: &Truth, bone: LongBone) -> Option<Self> {
        let point = |landmark| truth.tracing.point(landmark);
        let base = point(Landmark::BaseCentre(bone))?;
        let tip = point(Landmark::Tip(bone))?;
        let length = base.distance_px(tip);
        let along = [
            (tip.x_px - base.x_px) / length,
            (tip.y_px - base.y_px) / length,
        ];
        let beside = [-along[1], along[0]];
        let height =
            |at: FilmPoint| (at.x_px - base.x_px) * beside[0] + (at.y_px - base.y_px) * beside[1];
        // Lateral is toward the fourth metatarsal's base or, from there, away from the second's; dorsal
        // is away from the floor.
        let outward = match (truth.view, bone) {
            (View::Ap, LongBone::M4 | LongBone::M5) => {
                -height(point(Landmark::BaseCentre(LongBone::M2))?)
            }
            (View::Ap, _) => height(point(Landmark::BaseCentre(LongBone::M4))?),
            (View::Lateral, _) => -height(point(Landmark::FloorAnterior)?),
        };
        (length > 0.0 && outward.abs() > 0.0).then(|| Self {
            base,
            tip,
            along,
            across: beside.map(|part| part * outward.signum()),
        })
    }

    /// From one point to another, along the bone and across it.
    pub(super) fn offset_mm(&self, from: FilmPoint, to: FilmPoint, pixel_mm: f64) -> [f64; 2] {
        let (x, y) = (to.x_px - from.x_px, to.y_px - from.y_px);
        [self.along, self.across].map(|axis| (x * axis[0] + y * axis[1]) * pixel_mm)
    }

    /// Where a level crosses two cortices, in pixels across the bone from its base–tip line, the medial
    /// one first.
    pub(super) fn margins_px(&self, cortices: &Cortices, level: u8) -> Option<[f64; 2]> {
        let at = self.base.toward(self.tip, f64::from(level) / 100.0);
        let crossing = |cortex: &[FilmPoint]| {
            cortex
                .windows(2)
                .filter_map(|piece| {
                    let [before, after] =
                        [piece[0], piece[1]].map(|point| self.offset_mm(at, point, 1.0));
                    let crosses = before[0].min(after[0]) <= 0.0 && before[0].max(after[0]) >= 0.0;
                    let share = before[0] / (before[0] - after[0]);
                    (crosses && share.is_finite())
                        .then(|| before[1] + share * (after[1] - before[1]))
                })
                .min_by(|one, other| one.abs().total_cmp(&other.abs()))
        };
        let (one, two) = (crossing(&cortices.one)?, crossing(&cortices.two)?);
        Some([one.min(two), one.max(two)])
    }
}
