//! Films of real bones with known truth, read by the rough readers that come with them.
//!
//! Such films are not part of the repository; what was measured on them is kept beside the page.

use std::{collections::BTreeMap, fs, path::Path};

use anyhow::{Context, Result, ensure};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Proportions, Sesamoid, View};
use plumbray_film::GreyView;
use plumbray_measure::{AxisConvention, Choices, Measurement, measure};
use plumbray_trace::Stroke;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::{
    accuracy::measured,
    likeness::{Appearance, Picture, appearance, mean_appearance},
    reader::Hints,
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

/// Reads every film of a folder: `NAME.png` or `.jpg`, `NAME.truth.json` and `NAME.hintsK.csv` each.
///
/// # Errors
/// When the folder, a film, its truth or a reader's hints cannot be read; the message names the file.
pub fn read_folder(folder: &Path) -> Result<RealBones> {
    let entries = fs::read_dir(folder).with_context(|| {
        format!(
            "{} cannot be read; name a folder of films",
            folder.display()
        )
    })?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| name.strip_suffix(".truth.json").map(str::to_owned))
        .collect();
    names.sort_unstable();
    ensure!(
        !names.is_empty(),
        "{} holds no NAME.truth.json; name a folder of films with known truth",
        folder.display()
    );
    let (mut looks, mut good_films, mut readings) = (Vec::new(), Vec::new(), Vec::new());
    for name in &names {
        let film = RealFilm::open(folder, name).with_context(|| format!("the film {name}"))?;
        // A film without an addition to its name was made as a good one.
        if !name.contains('-') {
            looks.push(appearance(&film.picture()?).with_context(|| format!("the film {name}"))?);
            good_films.push([film.angle("hva_quarters")?, film.angle("ima_quarters")?]);
        }
        for reader in 1.. {
            let path = folder.join(format!("{name}.hints{reader}.csv"));
            if !path.exists() {
                break;
            }
            let hints = read_hints(&path).with_context(|| format!("{}", path.display()))?;
            readings.extend(film.read(name, reader, &hints)?);
        }
    }
    Ok(RealBones {
        appearance: mean_appearance(&looks).context("no film of the folder is a good one")?,
        good_films,
        readings,
    })
}

struct RealFilm {
    width: usize,
    height: usize,
    samples: Vec<u16>,
    bone_is_bright: bool,
    truth: Value,
}

impl RealFilm {
    fn open(folder: &Path, name: &str) -> Result<Self> {
        let png = folder.join(format!("{name}.png"));
        let path = if png.exists() {
            png
        } else {
            folder.join(format!("{name}.jpg"))
        };
        let picture = image::open(&path)?.into_luma16();
        let truth = fs::read_to_string(folder.join(format!("{name}.truth.json")))?;
        Ok(Self {
            width: picture.width() as usize,
            height: picture.height() as usize,
            samples: picture.into_raw(),
            bone_is_bright: !name.contains("inverted"),
            truth: serde_json::from_str(&truth)?,
        })
    }

    fn point(&self, name: &str) -> Result<FilmPoint> {
        let pair = &self.truth[name];
        let x_px = pair[0].as_f64();
        x_px.zip(pair[1].as_f64())
            .map(|(x_px, y_px)| FilmPoint::new(x_px, y_px))
            .with_context(|| format!("its truth has no {name}"))
    }

    fn angle(&self, name: &str) -> Result<f64> {
        self.truth["angles_deg"][name]
            .as_f64()
            .with_context(|| format!("its truth has no angle {name}"))
    }

    fn pixel_mm(&self) -> Result<f64> {
        self.truth["pixel_mm_at_detector"]
            .as_f64()
            .context("its truth has no pixel_mm_at_detector")
    }

    fn picture(&self) -> Result<Picture> {
        let full = f64::from(u16::MAX);
        let grey = |sample: &u16| {
            let grey = f64::from(*sample);
            if self.bone_is_bright {
                grey
            } else {
                full - grey
            }
        };
        Ok(Picture {
            width: self.width,
            height: self.height,
            grey: self.samples.iter().map(grey).collect(),
            pixel_mm: self.pixel_mm()?,
            first_metatarsal: [self.point("m1_base_centre")?, self.point("m1_tip")?],
            head_centre: self.point("m1_head_centre_3d_sphere")?,
            second_metatarsal: [self.point("m2_base_centre")?, self.point("m2_tip")?],
        })
    }

    fn read(&self, name: &str, reader: usize, hints: &Hints) -> Result<Vec<RealReading>> {
        let grey = GreyView {
            width: self.width,
            height: self.height,
            samples: &self.samples,
            bone_is_bright: self.bone_is_bright,
            proportions: Proportions::SQUARE,
        };
        let found = snapped(&grey, View::Ap, hints);
        let reading = |what: &str, error, stated_sd| RealReading {
            film: name.to_owned(),
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

fn read_hints(path: &Path) -> Result<Hints> {
    let mut points: BTreeMap<String, FilmPoint> = BTreeMap::new();
    for row in csv::Reader::from_path(path)?.records() {
        let row = row?;
        let cell = |column: usize| row.get(column).context("a row lacks a column");
        let point = FilmPoint::new(cell(1)?.trim().parse()?, cell(2)?.trim().parse()?);
        points.insert(cell(0)?.to_owned(), point);
    }
    let point = |name: &str| points.get(name).copied();
    let strokes = LongBone::ALL.into_iter().filter_map(|bone| {
        let end = |end: &str| point(&format!("{}_shaft_{end}", bone.identifier()));
        Some((bone, Stroke::new(end("start")?, end("end")?)))
    });
    let sesamoids = Sesamoid::ALL
        .into_iter()
        .filter_map(|one| Some((one, point(&format!("{}_centre", one.identifier()))?)));
    Ok(Hints {
        strokes: strokes.collect(),
        head: point("m1_head_centre"),
        sesamoids: sesamoids.collect(),
        ..Hints::default()
    })
}
