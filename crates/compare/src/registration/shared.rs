//! What two films of a foot share on bones that surgery of the first ray leaves alone.

use plumbray_anatomy::{
    Landmark, LongBone, PhysicalPoint, PhysicalVector, PlacedPoint, Similarity, View,
};
use plumbray_measure::{Foot, TracedFilm, shaft_width_px};

use super::{ReferenceLength, compared_places::Strip, hindfoot, lesser_rays};

/// No point counts for more than if it spread by so many pixel widths: seen from a slightly other direction
/// the outlines of a bone are others.
const LEAST_SPREAD_PX: f64 = 1.0;

/// A point that both films show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedPoint {
    /// The metatarsal that it belongs to; nothing for a point of the tarsus.
    pub bone: Option<LongBone>,
    /// Where it lies on the earlier film, in physical proportions.
    pub earlier: PhysicalPoint,
    /// Where it lies on the later film, in physical proportions.
    pub later: PhysicalPoint,
    /// How much it counts: one over the sum of both variances in pixel widths.
    pub weight: f64,
    /// The direction on the earlier film of the line of its bone that it may be placed anywhere along, of
    /// length 1; nothing for a point of the bone itself.
    pub along: Option<PhysicalVector>,
}

/// How much less a point counts along the line that it may lie anywhere along: as if its spread were twice as
/// large. The anterior plantar point of the calcaneus, on which a ruler rests, moves so by up to 4 % of the
/// length from heel to talus between films of one simulated foot; were it to count still less, the map would
/// no longer be held lengthwise. Ours.
const ALONG_COUNTS: f64 = 0.25;

impl SharedPoint {
    /// From its place and spread on either film.
    pub(super) fn new(
        bone: Option<LongBone>,
        (earlier, one_sd): (PhysicalPoint, f64),
        (later, other_sd): (PhysicalPoint, f64),
    ) -> Self {
        let variance = |sd: f64| sd.max(LEAST_SPREAD_PX).powi(2);
        Self {
            bone,
            earlier,
            later,
            weight: 1.0 / (variance(one_sd) + variance(other_sd)),
            along: None,
        }
    }

    /// How much being off by (x, y) on the earlier film counts: xx, xy and yy of
    ///
    /// ```text
    /// xx·x² + 2·xy·x·y + yy·y²  =  across² + along² / 4
    /// ```
    ///
    /// or x² + y² where it is a point of the bone itself.
    pub(super) fn metric(&self) -> [f64; 3] {
        self.along.map_or([1.0, 0.0, 1.0], |along| {
            let less = 1.0 - ALONG_COUNTS;
            [
                1.0 - less * along.x * along.x,
                -less * along.x * along.y,
                1.0 - less * along.y * along.y,
            ]
        })
    }

    /// How far the point of the later film then lies from the one of the earlier film, in pixel widths of the
    /// earlier one; less along a line that it may lie anywhere along.
    pub(super) fn distance(&self, map: &Similarity) -> f64 {
        let off = map.of(self.later) - self.earlier;
        let [xx, xy, yy] = self.metric();
        (xx * off.x * off.x + 2.0 * xy * off.x * off.y + yy * off.y * off.y)
            .max(0.0)
            .sqrt()
    }
}

/// What two films of one view share.
pub(super) struct Shared {
    pub(super) points: Vec<SharedPoint>,
    /// Whether one of the films shows the foot mirrored against the other.
    pub(super) mirrored: bool,
    /// The least spread of the points by which one of them is doubted, in pixel widths of the earlier film.
    pub(super) least_spread: f64,
    /// The length of which the residual is a share, and how long it is on the earlier film in pixel widths.
    pub(super) reference: ReferenceLength,
    pub(super) length: f64,
    /// How far the map may be moved on the pixels, in pixel widths of the earlier film.
    pub(super) farthest: f64,
    /// Where on the earlier film the pixels are compared.
    pub(super) strips: Vec<Strip>,
}

/// The points that two films of this view share on bones that surgery of the first ray leaves alone.
///
/// On AP films these are of the second to fifth metatarsal (base, tip, and the middle of the shaft at three
/// levels) and of the tarsus; on lateral films of the talus, the calcaneus, the medial cuneiform and the
/// proximal part of the first metatarsal.
#[must_use]
pub fn shared_points(
    view: View,
    earlier: TracedFilm<'_>,
    later: TracedFilm<'_>,
) -> Vec<SharedPoint> {
    match view {
        View::Ap => lesser_rays::points(earlier, later),
        View::Lateral => hindfoot::points(earlier, later),
    }
}

/// A landmark in physical proportions with its spread in pixel widths.
pub(super) fn placed(film: TracedFilm<'_>, landmark: Landmark) -> Option<(PhysicalPoint, f64)> {
    let PlacedPoint { at, sd_px, .. } = film.tracing.points.get(&landmark)?;
    at.is_finite()
        .then(|| (film.proportions.physical(*at), *sd_px))
}

/// The middle of a shaft at a share of its length, in physical proportions, with its spread.
pub(super) fn shaft_middle(
    film: TracedFilm<'_>,
    view: View,
    bone: LongBone,
    share: f64,
) -> Option<(PhysicalPoint, f64)> {
    let mut foot = Foot::default();
    match view {
        View::Ap => foot.ap = Some(film),
        View::Lateral => foot.lateral = Some(film),
    }
    let outcome = shaft_width_px(&foot, view, bone, share);
    let reading = outcome.reading()?;
    let level = reading.construction.lines.first()?;
    let [from, to] = [level.from, level.to].map(|end| film.proportions.physical(end));
    Some((from.midpoint(to), reading.sd))
}
