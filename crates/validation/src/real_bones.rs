//! How rough readers read films of real bones with known truth, by the plain searches.
//!
//! Such films are not part of the repository; what was measured on them is kept beside the page.

use std::path::Path;

use anyhow::{Context, Result};
use plumbray_anatomy::{Landmark, LongBone, Sesamoid, View};
use plumbray_measure::{AxisConvention, Choices, Measurement, measure};
use plumbray_proposal::Hints;
use serde::{Deserialize, Serialize};

use crate::{
    accuracy::measured,
    likeness::{Appearance, appearance, mean_appearance},
    real_film::{RealFilm, real_films},
    snapping::{Snapped, snapped},
};

/// What was measured on films of real bones.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RealBones {
    /// The mean look of the good films.
    pub appearance: Appearance,
    /// Of the good films, hallux valgus and intermetatarsal angle in degrees: which feet of ours to lay
    /// beside them.
    pub good_films: Vec<[f64; 2]>,
    /// Every reading.
    pub readings: Vec<RealReading>,
}

/// One kind of error of one reader on one film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RealReading {
    /// The film.
    pub film: String,
    /// Which reader.
    pub reader: usize,
    /// What was read, with its unit.
    pub what: String,
    /// Read less true; nothing where nothing was found.
    pub error: Option<f64>,
    /// The stated standard deviation, where one is stated.
    pub stated_sd: Option<f64>,
}

/// Names of the two angles among the readings.
pub const HALLUX: &str = "hallux valgus angle, °";
/// See [`HALLUX`].
pub const INTERMETATARSAL: &str = "1–2 intermetatarsal angle, °";

/// Reads every film of a folder: see [`real_films`].
///
/// # Errors
/// When the folder, a film, its truth or a reader's hints cannot be read; the message names the file.
pub fn read_folder(folder: &Path) -> Result<RealBones> {
    let (mut looks, mut good_films, mut readings) = (Vec::new(), Vec::new(), Vec::new());
    for film in real_films(folder)? {
        let film = film?;
        if film.is_good() {
            let look = film.picture().and_then(|picture| appearance(&picture));
            looks.push(look.with_context(|| format!("the film {}", film.name))?);
            good_films.push([film.angle("hva_quarters")?, film.angle("ima_quarters")?]);
        }
        for (reader, hints) in (1..).zip(&film.hints) {
            readings.extend(film.read(reader, hints)?);
        }
    }
    Ok(RealBones {
        appearance: mean_appearance(&looks).context("no film of the folder is a good one")?,
        good_films,
        readings,
    })
}

impl RealFilm {
    fn read(&self, reader: usize, hints: &Hints) -> Result<Vec<RealReading>> {
        let grey = self.grey();
        let found = snapped(&grey, View::Ap, hints);
        let reading = |what: &str, error, stated_sd| RealReading {
            film: self.name.clone(),
            reader,
            what: what.to_owned(),
            error,
            stated_sd,
        };
        let mut readings = Vec::new();
        for (what, measurement, truth) in [
            (HALLUX, Measurement::HalluxValgusAngle, "hva_quarters"),
            (
                INTERMETATARSAL,
                Measurement::IntermetatarsalAngle12,
                "ima_quarters",
            ),
        ] {
            let truth = self.angle(truth)?;
            let choices = Choices {
                convention: Some(AxisConvention::MidDiaphysealQuarters),
                ..Choices::default()
            };
            let outcome = measure(
                &measured(View::Ap, &found.tracing, None),
                &choices,
                measurement,
            );
            let read = outcome.reading();
            readings.push(reading(
                what,
                read.map(|read| rounded(read.value - truth)),
                read.map(|read| rounded(read.sd)),
            ));
        }
        for (what, error) in self.distances(&found)? {
            readings.push(reading(what, error.map(rounded), None));
        }
        Ok(readings)
    }

    /// How far landmarks lie from their truth, in mm at the detector.
    fn distances(&self, found: &Snapped) -> Result<Vec<(&'static str, Option<f64>)>> {
        let pixel_mm = self.pixel_mm()?;
        let mut distances = Vec::new();
        for (what, landmark, truth, bone) in [
            (
                "tip of M1, along the bone, mm",
                Landmark::Tip(LongBone::M1),
                "m1_tip",
                "m1",
            ),
            (
                "base of M1, along the bone, mm",
                Landmark::BaseCentre(LongBone::M1),
                "m1_base_centre",
                "m1",
            ),
            (
                "tip of M2, along the bone, mm",
                Landmark::Tip(LongBone::M2),
                "m2_tip",
                "m2",
            ),
        ] {
            let [along, _] = self
                .offset(found, landmark, truth, bone)?
                .map_or([None; 2], |both| both.map(Some));
            distances.push((what, along.map(|px| px * pixel_mm)));
        }
        let [_, across] = self
            .offset(
                found,
                Landmark::HeadCentre,
                "m1_head_centre_3d_sphere",
                "m1",
            )?
            .map_or([None; 2], |both| both.map(Some));
        distances.push((
            "centre of the head, across the bone, mm",
            across.map(|px| px * pixel_mm),
        ));
        for (what, sesamoid) in [
            ("centre of the tibial sesamoid, mm", Sesamoid::Tibial),
            ("centre of the fibular sesamoid, mm", Sesamoid::Fibular),
        ] {
            let truth = self.point(&format!("{}_centre", sesamoid.identifier()))?;
            let place = found.tracing.point(Landmark::SesamoidCentre(sesamoid));
            distances.push((what, place.map(|place| place.distance_px(truth) * pixel_mm)));
        }
        Ok(distances)
    }

    /// How far a landmark lies from its truth along and across a bone, in pixels.
    fn offset(
        &self,
        found: &Snapped,
        landmark: Landmark,
        truth: &str,
        bone: &str,
    ) -> Result<Option<[f64; 2]>> {
        let truth = self.point(truth)?;
        let base = self.point(&format!("{bone}_base_centre"))?;
        let tip = self.point(&format!("{bone}_tip"))?;
        let length = base.distance_px(tip);
        let along = (
            (tip.x_px - base.x_px) / length,
            (tip.y_px - base.y_px) / length,
        );
        Ok(found.tracing.point(landmark).map(|place| {
            let (x, y) = (place.x_px - truth.x_px, place.y_px - truth.y_px);
            [x * along.0 + y * along.1, x * along.1 - y * along.0]
        }))
    }
}

/// To four decimals: finer ones would only make the kept file long.
fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
