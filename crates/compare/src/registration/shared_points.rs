//! The points that two films of a foot share on bones that surgery of the first ray leaves alone.

use std::collections::BTreeSet;

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, PlacedPoint};
use plumbray_measure::TracedFilm;

use super::shaft_middle;

/// The lesser metatarsals, the second first.
pub(super) const LESSER: [LongBone; 4] = [LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5];

/// Points of the tarsus and of the lesser bases that serve too where somebody placed them.
const FURTHER: [Landmark; 6] = [
    Landmark::BaseLateral(LongBone::M4),
    Landmark::BaseLateral(LongBone::M5),
    Landmark::TalonavicularMedial,
    Landmark::CalcaneocuboidLateral,
    Landmark::IntermediateCuneiformProximal,
    Landmark::IntermediateCuneiformDistal,
];

/// Where along a lesser metatarsal the middle of its shaft serves.
const SHARES: [f64; 3] = [0.3, 0.5, 0.7];

/// No point counts for more than if it spread by so many pixel widths: seen from a slightly other direction
/// the outlines of a bone are others.
const LEAST_SPREAD_PX: f64 = 1.0;

/// A point that both films show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedPoint {
    /// The lesser metatarsal that it belongs to; nothing for a point of the tarsus.
    pub bone: Option<LongBone>,
    /// Where it lies on the earlier film, in physical proportions.
    pub earlier: PhysicalPoint,
    /// Where it lies on the later film, in physical proportions.
    pub later: PhysicalPoint,
    /// How much it counts: one over the sum of both variances in pixel widths.
    pub weight: f64,
}

/// The points that both films share of the second to fifth metatarsal (base, tip, and the middle of the shaft
/// at three levels) and of the tarsus.
#[must_use]
pub fn shared_points(earlier: TracedFilm<'_>, later: TracedFilm<'_>) -> Vec<SharedPoint> {
    let landmarks = LESSER.into_iter().flat_map(|bone| {
        [Landmark::BaseCentre(bone), Landmark::Tip(bone)].map(|landmark| (Some(bone), landmark))
    });
    let further = FURTHER.map(|landmark| (None, landmark));
    let placed = landmarks.chain(further).filter_map(|(bone, landmark)| {
        let [one, other] = [earlier, later].map(|film| placed(film, landmark));
        Some(shared(bone, one?, other?))
    });
    let middles = LESSER.into_iter().flat_map(|bone| {
        SHARES.into_iter().filter_map(move |share| {
            let [one, other] = [earlier, later].map(|film| shaft_middle(film, bone, share));
            Some(shared(Some(bone), one?, other?))
        })
    });
    placed.chain(middles).collect()
}

/// On how many lesser metatarsals such points lie.
pub(super) fn bones_of(points: &[SharedPoint]) -> usize {
    let bones: BTreeSet<LongBone> = points.iter().filter_map(|point| point.bone).collect();
    bones.len()
}

/// Base and tip of each lesser metatarsal that is traced from end to end, the second first.
pub(super) fn lesser_ends(film: TracedFilm<'_>) -> impl Iterator<Item = [PhysicalPoint; 2]> {
    LESSER.into_iter().filter_map(move |bone| {
        let place = |landmark| Some(placed(film, landmark)?.0);
        Some([
            place(Landmark::BaseCentre(bone))?,
            place(Landmark::Tip(bone))?,
        ])
    })
}

fn placed(film: TracedFilm<'_>, landmark: Landmark) -> Option<(PhysicalPoint, f64)> {
    let PlacedPoint { at, sd_px, .. } = film.tracing.points.get(&landmark)?;
    at.is_finite()
        .then(|| (film.proportions.physical(*at), *sd_px))
}

fn shared(
    bone: Option<LongBone>,
    (earlier, one_sd): (PhysicalPoint, f64),
    (later, other_sd): (PhysicalPoint, f64),
) -> SharedPoint {
    let variance = |sd: f64| sd.max(LEAST_SPREAD_PX).powi(2);
    SharedPoint {
        bone,
        earlier,
        later,
        weight: 1.0 / (variance(one_sd) + variance(other_sd)),
    }
}
