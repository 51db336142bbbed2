//! Rough readers: strokes and clicks that miss by millimetres, as a hurried hand does.

use std::collections::BTreeMap;

use anyhow::{Context, Result};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Sesamoid, View};
use plumbray_phantom::FilmTruth;
use plumbray_trace::Stroke;

use crate::chance::Chance;

/// Standard deviation in x and in y of strokes and clicks from which the program searches, in mm at the
/// detector.
pub const ROUGH_MM: f64 = 3.0;

/// Standard deviation in x and in y of a point that no search moves, in mm at the detector: the axis of
/// the talus and the floor stay where the hand puts them.
pub const CAREFUL_MM: f64 = 1.0;

/// Where a reader pointed on one film.
#[derive(Clone, Debug, Default)]
pub struct Hints {
    /// Strokes along shafts, from proximal to distal.
    pub strokes: BTreeMap<LongBone, Stroke>,
    /// A click in the head of the first metatarsal.
    pub head: Option<FilmPoint>,
    /// The two ends of the joint surface, medial first.
    pub joint_surface: Option<[FilmPoint; 2]>,
    /// Clicks on the sesamoids.
    pub sesamoids: BTreeMap<Sesamoid, FilmPoint>,
    /// Pairs that the reader draws: talus, plantar border of the calcaneus, floor, posterior end first.
    pub pairs: BTreeMap<Landmark, [FilmPoint; 2]>,
    /// The middle and the edge of the ball or coin.
    pub round_object: Option<[FilmPoint; 2]>,
}

/// The pairs of the lateral film, posterior landmark first.
pub(crate) const PAIRS: [[Landmark; 2]; 3] = [
    [Landmark::TalusPosterior, Landmark::TalusAnterior],
    [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
    [Landmark::FloorPosterior, Landmark::FloorAnterior],
];

/// What a rough reader points at on a film whose truth is known.
///
/// Strokes run between 10 to 25 % of the bone's length from its base and as much from its tip.
///
/// # Errors
/// When the truth lacks a landmark that every film of the view has.
pub fn rough_hints(truth: &FilmTruth, chance: &mut Chance) -> Result<Hints> {
    let tracing = &truth.feet.first().context("a film without a foot")?.tracing;
    let mut hand = Hand {
        tracing,
        pixel_mm: truth.exposure.pixel_mm,
        chance,
    };
    let mut hints = Hints {
        head: Some(hand.click(Landmark::HeadCentre, ROUGH_MM)?),
        ..Hints::default()
    };
    let bones: &[LongBone] = match truth.view {
        View::Ap => &LongBone::ALL,
        View::Lateral => &[LongBone::M1],
    };
    for bone in bones {
        hints.strokes.insert(*bone, hand.stroke(*bone)?);
    }
    match truth.view {
        View::Ap => {
            hints.joint_surface = Some([
                hand.click(Landmark::ArticularMedial, ROUGH_MM)?,
                hand.click(Landmark::ArticularLateral, ROUGH_MM)?,
            ]);
            for sesamoid in Sesamoid::ALL {
                let at = hand.click(Landmark::SesamoidCentre(sesamoid), ROUGH_MM)?;
                hints.sesamoids.insert(sesamoid, at);
            }
        }
        View::Lateral => {
            for [posterior, anterior] in PAIRS {
                let sd = if posterior == Landmark::CalcaneusPosterior {
                    ROUGH_MM
                } else {
                    CAREFUL_MM
                };
                let pair = [hand.click(posterior, sd)?, hand.click(anterior, sd)?];
                hints.pairs.insert(posterior, pair);
            }
        }
    }
    hints.round_object = truth.round_object.map(|object| {
        // A ball or coin is swept from its middle to its edge.
        let centre = hand.miss(object.centre, CAREFUL_MM);
        let edge = FilmPoint::new(
            object.centre.x_px + 0.5 * object.diameter_px,
            object.centre.y_px,
        );
        [centre, hand.miss(edge, CAREFUL_MM)]
    });
    Ok(hints)
}

/// A hand that misses.
struct Hand<'a> {
    tracing: &'a FilmTracing,
    pixel_mm: f64,
    chance: &'a mut Chance,
}

impl Hand<'_> {
    fn place(&self, landmark: Landmark) -> Result<FilmPoint> {
        self.tracing
            .point(landmark)
            .with_context(|| format!("the truth has no {landmark}"))
    }

    fn miss(&mut self, at: FilmPoint, sd_mm: f64) -> FilmPoint {
        let sd_px = sd_mm / self.pixel_mm;
        FilmPoint::new(
            at.x_px + self.chance.normal(sd_px),
            at.y_px + self.chance.normal(sd_px),
        )
    }

    fn click(&mut self, landmark: Landmark, sd_mm: f64) -> Result<FilmPoint> {
        let at = self.place(landmark)?;
        Ok(self.miss(at, sd_mm))
    }

    fn stroke(&mut self, bone: LongBone) -> Result<Stroke> {
        let base = self.place(Landmark::BaseCentre(bone))?;
        let tip = self.place(Landmark::Tip(bone))?;
        let from = base.toward(tip, self.chance.between(0.1, 0.25));
        let to = base.toward(tip, self.chance.between(0.75, 0.9));
        Ok(Stroke::new(
            self.miss(from, ROUGH_MM),
            self.miss(to, ROUGH_MM),
        ))
    }
}
