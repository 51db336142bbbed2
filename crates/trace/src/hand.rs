//! The hand that points at a film: how far it is to be trusted, and how far its points may move.

use plumbray_anatomy::{FilmPoint, Origin, PlacedPoint};
use plumbray_film::GreyView;

use crate::{point::snap_point, shaft::BoneTrace, stroke::Stroke};

/// The spread of a point put down by hand, as a share of the film's longer side: about half a
/// millimetre on a film of a whole foot. Common practice, no source.
const SPREAD_SHARE: f64 = 0.003;

/// How far a single point may move when it snaps, as a share of the film's longer side.
const SNAP_REACH_SHARE: f64 = 0.008;

/// A bone's end farther from the stroke's than this share of the stroke is another bone's: a hand that
/// misses by 5 mm is off by a twelfth of a metatarsal.
const FARTHEST_END_SHARE: f64 = 0.25;

/// A person's hand on one film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// Standard deviation of a point that it puts down, in pixels.
    pub sd_px: f64,
    /// How far such a point may move when it snaps, in pixels.
    pub reach_px: f64,
}

impl Hand {
    /// The hand on this film.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "films are far below 2^52 pixels wide"
    )]
    pub fn on(film: &GreyView<'_>) -> Self {
        let longer_side = film.width.max(film.height) as f64;
        Self {
            sd_px: longer_side * SPREAD_SHARE,
            reach_px: longer_side * SNAP_REACH_SHARE,
        }
    }

    /// A point exactly where it was put.
    #[must_use]
    pub const fn placed(self, at: FilmPoint) -> PlacedPoint {
        PlacedPoint {
            at,
            sd_px: self.sd_px,
            origin: Origin::Hand,
        }
    }

    /// A point at the nearest edge or corner within reach, or where it was put when there is none.
    #[must_use]
    pub fn snapped(self, film: &GreyView<'_>, at: FilmPoint) -> PlacedPoint {
        let Some(snap) = snap_point(film, at, self.reach_px) else {
            return self.placed(at);
        };
        PlacedPoint {
            at: snap.at,
            // Across an edge the film tells the place; along it only the hand does.
            sd_px: snap.sd_px.max(self.sd_px),
            origin: Origin::Snapped,
        }
    }
}

impl BoneTrace {
    /// Whether what was found ends so far from the stroke's ends that the outline of other bones was
    /// followed, as on a lateral film where the metatarsals overlap.
    #[must_use]
    pub fn ends_far_from(&self, stroke: &Stroke) -> bool {
        let most_px = FARTHEST_END_SHARE * stroke.from.distance_px(stroke.to);
        [(self.base_centre, stroke.from), (self.tip, stroke.to)]
            .into_iter()
            .any(|(found, drawn)| found.is_some_and(|end| end.at.distance_px(drawn) > most_px))
    }
}
