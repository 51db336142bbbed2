//! Rough readers: strokes and clicks that miss by millimetres, as a hurried hand does.

use anyhow::{Context, Result};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Sesamoid, View};
use plumbray_phantom::FilmTruth;
use plumbray_proposal::Hints;

use crate::chance::Chance;

/// Standard deviation in x and in y of strokes and clicks from which the program searches, in mm at the
/// detector.
pub const ROUGH_MM: f64 = 3.0;

/// Standard deviation in x and in y of a point that no search moves, in mm at the detector: the axis of
/// the talus and the floor stay where the hand puts them.
pub const CAREFUL_MM: f64 = 1.0;

/// Where a reader pointed on one film.
#[derive(Clone, Debug, Default)]
pub struct Pointed {
    /// Strokes from proximal to distal, and clicks, by landmark.
    pub hints: Hints,
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
pub fn rough_hints(truth: &FilmTruth, chance: &mut Chance) -> Result<Pointed> {
    let tracing = &truth.feet.first().context("a film without a foot")?.tracing;
    let mut hand = Hand {
        tracing,
        pixel_mm: truth.exposure.pixel_mm,
        chance,
        hints: Hints::default(),
    };
    hand.click(Landmark::HeadCentre, ROUGH_MM)?;
    match truth.view {
        View::Ap => hand.ap()?,
        View::Lateral => hand.lateral()?,
    }
    let round_object = truth.round_object.map(|object| {
        // A ball or coin is swept from its middle to its edge.
        let centre = hand.miss(object.centre, CAREFUL_MM);
        let edge = FilmPoint::new(
            object.centre.x_px + 0.5 * object.diameter_px,
            object.centre.y_px,
        );
        [centre, hand.miss(edge, CAREFUL_MM)]
    });
    Ok(Pointed {
        hints: hand.hints,
        round_object,
    })
}

/// A hand that misses, and where it pointed so far.
struct Hand<'a> {
    tracing: &'a FilmTracing,
    pixel_mm: f64,
    chance: &'a mut Chance,
    hints: Hints,
}

impl Hand<'_> {
    fn ap(&mut self) -> Result<()> {
        for bone in LongBone::ALL {
            self.stroke(bone)?;
        }
        self.click(Landmark::ArticularMedial, ROUGH_MM)?;
        self.click(Landmark::ArticularLateral, ROUGH_MM)?;
        for sesamoid in Sesamoid::ALL {
            self.click(Landmark::SesamoidCentre(sesamoid), ROUGH_MM)?;
        }
        Ok(())
    }

    fn lateral(&mut self) -> Result<()> {
        self.stroke(LongBone::M1)?;
        for [posterior, anterior] in PAIRS {
            let sd = if posterior == Landmark::CalcaneusPosterior {
                ROUGH_MM
            } else {
                CAREFUL_MM
            };
            self.click(posterior, sd)?;
            self.click(anterior, sd)?;
        }
        Ok(())
    }

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

    fn click(&mut self, landmark: Landmark, sd_mm: f64) -> Result<()> {
        let at = self.place(landmark)?;
        let near = self.miss(at, sd_mm);
        self.hints.points.insert(landmark, near);
        Ok(())
    }

    fn stroke(&mut self, bone: LongBone) -> Result<()> {
        let base = self.place(Landmark::BaseCentre(bone))?;
        let tip = self.place(Landmark::Tip(bone))?;
        let from = base.toward(tip, self.chance.between(0.1, 0.25));
        let to = base.toward(tip, self.chance.between(0.75, 0.9));
        for (landmark, at) in [
            (Landmark::ShaftStart(bone), from),
            (Landmark::ShaftEnd(bone), to),
        ] {
            let near = self.miss(at, ROUGH_MM);
            self.hints.points.insert(landmark, near);
        }
        Ok(())
    }
}
