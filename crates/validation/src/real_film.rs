//! Films of real bones with known truth, as a folder holds them.
//!
//! They are for checking only: nothing is fitted to them, and no test needs them.

use std::{fs, path::Path};

use anyhow::{Context, Result, ensure};
use plumbray_anatomy::{FilmPoint, Proportions, Side};
use plumbray_film::GreyView;
use plumbray_proposal::Hints;
use serde_json::Value;

use crate::likeness::Picture;

/// One AP film of a real forefoot.
#[derive(Clone, Debug)]
pub struct RealFilm {
    /// The name of its files, without their endings.
    pub name: String,
    width: usize,
    height: usize,
    samples: Vec<u16>,
    bone_is_bright: bool,
    truth: Value,
    /// Where each rough reader pointed.
    pub hints: Vec<Hints>,
}

/// The films of a folder, by name, each opened when it is asked for: `NAME.png` or `.jpg`,
/// `NAME.truth.json` and `NAME.hintsK.csv` each.
///
/// # Errors
/// When the folder cannot be read or holds no truth. A film that cannot be opened is an error of its own,
/// which names the file.
pub fn real_films(folder: &Path) -> Result<impl Iterator<Item = Result<RealFilm>>> {
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
    Ok(names
        .into_iter()
        .map(|name| RealFilm::open(folder, &name).with_context(|| format!("the film {name}"))))
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
            name: name.to_owned(),
            width: picture.width() as usize,
            height: picture.height() as usize,
            samples: picture.into_raw(),
            bone_is_bright: !name.contains("inverted"),
            truth: serde_json::from_str(&truth)?,
            hints: read_hints(folder, name)?,
        })
    }

    /// Whether it was made as a good film: one without an addition to its name.
    #[must_use]
    pub fn is_good(&self) -> bool {
        !self.name.contains('-')
    }

    /// The side that the film shows: every film is of one right foot, and some are mirrored.
    #[must_use]
    pub fn side(&self) -> Side {
        if self.name.contains("left") {
            Side::Left
        } else {
            Side::Right
        }
    }

    /// The pixels, for tracing.
    #[must_use]
    pub fn grey(&self) -> GreyView<'_> {
        GreyView {
            width: self.width,
            height: self.height,
            samples: &self.samples,
            bone_is_bright: self.bone_is_bright,
            proportions: Proportions::SQUARE,
        }
    }

    /// A point of the truth, by its name in the file.
    ///
    /// # Errors
    /// When the truth has no such point.
    pub fn point(&self, name: &str) -> Result<FilmPoint> {
        point(&self.truth[name]).with_context(|| format!("its truth has no {name}"))
    }

    /// The two points of an axis of the truth, proximal first, by its name in the file.
    ///
    /// # Errors
    /// When the truth has no such axis.
    pub fn axis(&self, name: &str) -> Result<[FilmPoint; 2]> {
        let pair = &self.truth[name];
        let ends = point(&pair[0]).zip(point(&pair[1]));
        ends.map(|(from, to)| [from, to])
            .with_context(|| format!("its truth has no axis {name}"))
    }

    /// An angle of the truth in degrees, by its name in the file.
    ///
    /// # Errors
    /// When the truth has no such angle.
    pub fn angle(&self, name: &str) -> Result<f64> {
        self.truth["angles_deg"][name]
            .as_f64()
            .with_context(|| format!("its truth has no angle {name}"))
    }

    /// The size of a pixel at the detector in mm.
    ///
    /// # Errors
    /// When the truth does not say it.
    pub fn pixel_mm(&self) -> Result<f64> {
        self.truth["pixel_mm_at_detector"]
            .as_f64()
            .context("its truth has no pixel_mm_at_detector")
    }

    /// The film as its look is described.
    ///
    /// # Errors
    /// When the truth lacks a point of the first two metatarsals.
    pub fn picture(&self) -> Result<Picture> {
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
}

fn point(pair: &Value) -> Option<FilmPoint> {
    Some(FilmPoint::new(pair[0].as_f64()?, pair[1].as_f64()?))
}

fn read_hints(folder: &Path, name: &str) -> Result<Vec<Hints>> {
    let mut all = Vec::new();
    for reader in 1.. {
        let path = folder.join(format!("{name}.hints{reader}.csv"));
        if !path.exists() {
            break;
        }
        let hints = fs::read_to_string(&path)
            .map_err(anyhow::Error::from)
            .and_then(|text| Ok(Hints::from_table(&text)?));
        all.push(hints.with_context(|| format!("{}", path.display()))?);
    }
    Ok(all)
}
