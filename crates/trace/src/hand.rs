//! The hand that points at a film: how far it is to be trusted, and how far its points may move.

use plumbray_anatomy::{FilmPoint, Origin, PlacedPoint};
use plumbray_film::GreyView;

use crate::{point::snap_point, shaft::BoneTrace, stroke::Stroke};

/// The spread of a point put down by hand, in millimetres.
///
/// It follows from how well readers repeat the 1–2 intermetatarsal angle: ± 3.60° in 95 % of readings (Condon
/// et al., Foot Ankle Int 2002;23:717–721), a standard deviation of 1.84°. That angle stands on two axes, each
/// through two points about 30 mm apart, half of a metatarsal; a point that lies off by σ turns its axis by
/// σ / 30 mm, and four of them together turn the angle by 2σ / 30 mm. So σ = 0.0321 · 30 mm / 2. The hallux
/// valgus angle, of whose repeats 86.2 % lie within 5° (Coughlin, Freund, Foot Ankle Int 2001;22:369–379), gives
/// 0.37 mm in the same way, with 14 mm between the points of the phalanx; the larger one stands.
pub const SPREAD_MM: f64 = 0.48;

/// The same where the size of a pixel is not known, as a share of the film's longer side: half a millimetre
/// on a film of 160 mm, the picture of one foot cut close. Ours.
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
    /// The hand on this film, whose pixels are so many millimetres wide, where that is known.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "films are far below 2^52 pixels wide"
    )]
    pub fn on(film: &GreyView<'_>, mm_per_pixel_width: Option<f64>) -> Self {
        let longer_side = film.width.max(film.height) as f64;
        Self {
            sd_px: mm_per_pixel_width.map_or(longer_side * SPREAD_SHARE, |mm| SPREAD_MM / mm),
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The standard deviation of an angle in degrees whose two axes each go through two points of this
    /// spread, so far apart.
    fn angle_sd(spread_mm: f64, apart_mm: [f64; 2]) -> f64 {
        let axis = apart_mm.map(|apart| std::f64::consts::SQRT_2 * spread_mm / apart);
        axis[0].hypot(axis[1]).to_degrees()
    }

    #[test]
    fn the_hand_s_spread_is_that_of_published_readers() {
        let intermetatarsal = angle_sd(SPREAD_MM, [30.0, 30.0]);
        assert!(
            (1.96 * intermetatarsal - 3.6).abs() < 0.05,
            "± 3.60° in 95 % of readings: {intermetatarsal}"
        );
        let hallux_valgus = angle_sd(0.37, [30.0, 14.0]);
        let of_repeats = 1.4833 * std::f64::consts::SQRT_2 * hallux_valgus;
        assert!(
            (of_repeats - 5.0).abs() < 0.1,
            "86.2 % of repeats within 5°: {of_repeats}"
        );
    }

    #[test]
    fn a_calibrated_film_tells_the_hand_s_spread_in_millimetres() {
        let film = GreyView {
            width: 1000,
            height: 2000,
            samples: &[],
            bone_is_bright: true,
            proportions: plumbray_anatomy::Proportions::SQUARE,
        };
        for (mm, expected) in [(Some(0.1), 4.8), (None, 6.0)] {
            let sd_px = Hand::on(&film, mm).sd_px;
            assert!((sd_px - expected).abs() < 1e-9, "{mm:?}: {sd_px}");
        }
    }
}
