//! How like a film of real bones a simulated film looks, in curves and numbers.

mod noise;
mod profile;

use anyhow::{Context, Result};
use plumbray_anatomy::FilmPoint;
use serde::{Deserialize, Serialize};

use crate::statistics::mean;

pub use noise::frequencies;
pub use profile::{HEAD_REACH_MM, PLACES, SHAFT_REACH};

/// A film with the few landmarks that say where to look.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// Grey, row by row, bone bright.
    pub grey: Vec<f64>,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
    /// The first metatarsal from the middle of its base to its tip.
    pub first_metatarsal: [FilmPoint; 2],
    /// The centre of its head.
    pub head_centre: FilmPoint,
    /// The second metatarsal from the middle of its base to its tip.
    pub second_metatarsal: [FilmPoint; 2],
}

impl Picture {
    /// Grey between pixels; nothing outside the film.
    fn grey_at(&self, at: FilmPoint) -> Option<f64> {
        let (x, y) = (at.x_px - 0.5, at.y_px - 0.5);
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and checked against the film's size"
        )]
        let (column, row) = (x as usize, y as usize);
        if column + 1 >= self.width || row + 1 >= self.height {
            return None;
        }
        let (u, v) = (x.fract(), y.fract());
        let index = row * self.width + column;
        let upper = self.grey[index] * (1.0 - u) + self.grey[index + 1] * u;
        let below = index + self.width;
        let lower = self.grey[below] * (1.0 - u) + self.grey[below + 1] * u;
        Some(upper * (1.0 - v) + lower * v)
    }
}

/// What a film, or the mean of several, looks like.
///
/// Grey is 0 in the soft tissue between the first two metatarsals and 1 on the lateral cortex of the
/// first one, so that films of different processing can be laid over each other.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Appearance {
    /// Grey across the middle of the first metatarsal's shaft, at [`PLACES`] even places from
    /// −[`SHAFT_REACH`] to [`SHAFT_REACH`] half-widths of the bone, medial first.
    pub shaft: Vec<f64>,
    /// Grey across the centre of the head, at [`PLACES`] even places from −[`HEAD_REACH_MM`] to
    /// [`HEAD_REACH_MM`], medial first.
    pub head: Vec<f64>,
    /// Power of the noise in the soft tissue between the metatarsals at [`frequencies`], each over its
    /// mean from half to two cycles in a millimetre.
    pub noise_power: Vec<f64>,
    /// The numbers.
    pub numbers: AppearanceNumbers,
}

/// An appearance in a few numbers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct AppearanceNumbers {
    /// Grey in the middle of the canal.
    pub canal: f64,
    /// Grey of the medial cortex at its brightest.
    pub medial_cortex: f64,
    /// Width of the shaft between its outer edges, in mm at the detector.
    pub shaft_width_mm: f64,
    /// How far apart 10 and 90 % of the lateral cortex' brightness lie at its outer edge, in mm.
    pub edge_width_mm: f64,
    /// Standard deviation of grey in a patch of soft tissue without its slope.
    pub noise_sd: f64,
    /// Slope of log power over log frequency from half to two cycles in a millimetre.
    pub noise_slope: f64,
}

/// What a picture looks like.
///
/// # Errors
/// When the places looked at lie outside the film or show no bone.
pub fn appearance(picture: &Picture) -> Result<Appearance> {
    let across = profile::across(picture).context("no shaft is seen where the landmarks lie")?;
    let noise = noise::soft_tissue_noise(picture, across.contrast)
        .context("no soft tissue is seen between the metatarsals")?;
    Ok(Appearance {
        numbers: AppearanceNumbers {
            canal: across.canal,
            medial_cortex: across.medial_cortex,
            shaft_width_mm: across.width_mm,
            edge_width_mm: across.edge_width_mm,
            noise_sd: noise.sd,
            noise_slope: noise.slope,
        },
        shaft: across.shaft,
        head: across.head,
        noise_power: noise.power,
    })
}

/// The mean of several appearances; nothing for none.
#[must_use]
pub fn mean_appearance(all: &[Appearance]) -> Option<Appearance> {
    let curve = |of: fn(&Appearance) -> &Vec<f64>| -> Vec<f64> {
        let places = all.iter().map(|one| of(one).len()).min().unwrap_or(0);
        (0..places)
            .filter_map(|place| mean(&all.iter().map(|one| of(one)[place]).collect::<Vec<_>>()))
            .collect()
    };
    let number = |of: fn(&AppearanceNumbers) -> f64| {
        mean(&all.iter().map(|one| of(&one.numbers)).collect::<Vec<_>>())
    };
    Some(Appearance {
        shaft: curve(|one| &one.shaft),
        head: curve(|one| &one.head),
        noise_power: curve(|one| &one.noise_power),
        numbers: AppearanceNumbers {
            canal: number(|one| one.canal)?,
            medial_cortex: number(|one| one.medial_cortex)?,
            shaft_width_mm: number(|one| one.shaft_width_mm)?,
            edge_width_mm: number(|one| one.edge_width_mm)?,
            noise_sd: number(|one| one.noise_sd)?,
            noise_slope: number(|one| one.noise_slope)?,
        },
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::chance::Chance;

    /// A film of an upright tube 14 mm wide with cortices of 2.5 mm, soft tissue around it at 100, the
    /// cortex at 500 and the canal at 300, white noise of a standard deviation of 8.
    pub(crate) fn drawn_tube() -> Picture {
        let pixel_mm = 0.15;
        let (width, height) = (400, 600);
        let middle = 150.0;
        let mut chance = Chance::new(3, 0);
        let grey = (0..width * height)
            .map(|index| {
                let x_mm = ((index % width) as f64 + 0.5 - middle) * pixel_mm;
                let level = match x_mm.abs() {
                    inner if inner < 4.5 => 300.0,
                    cortex if cortex < 7.0 => 500.0,
                    _ => 100.0,
                };
                level + chance.normal(8.0)
            })
            .collect();
        let line = |x_px: f64| [FilmPoint::new(x_px, 550.0), FilmPoint::new(x_px, 100.0)];
        Picture {
            width,
            height,
            grey,
            pixel_mm,
            first_metatarsal: line(middle),
            head_centre: FilmPoint::new(middle, 160.0),
            second_metatarsal: line(middle + 140.0),
        }
    }

    #[test]
    fn a_drawn_tube_has_its_width_its_canal_and_white_noise() {
        let seen = appearance(&drawn_tube()).expect("a tube");
        let numbers = seen.numbers;
        assert_close(numbers.shaft_width_mm, 14.0, 0.2, "width");
        assert_close(numbers.canal, 0.5, 0.02, "canal");
        assert_close(numbers.medial_cortex, 1.0, 0.02, "medial cortex");
        assert_close(numbers.noise_sd, 8.0 / 400.0, 0.002, "noise");
        assert_close(numbers.noise_slope, 0.0, 0.25, "white noise has no slope");
        assert!(
            numbers.edge_width_mm < 0.5,
            "a sharp edge: {}",
            numbers.edge_width_mm
        );
        assert_eq!(seen.shaft.len(), PLACES, "places");
    }

    #[test]
    fn the_mean_of_one_is_itself_and_of_none_nothing() {
        let seen = appearance(&drawn_tube()).expect("a tube");
        let mean = mean_appearance(std::slice::from_ref(&seen));
        assert_eq!(mean, Some(seen), "one");
        assert_eq!(mean_appearance(&[]), None, "none");
    }

    #[test]
    fn landmarks_beyond_the_film_are_an_error_and_no_panic() {
        let mut picture = drawn_tube();
        picture.first_metatarsal = [FilmPoint::new(-500.0, f64::NAN), FilmPoint::new(1e9, 2.0)];
        assert!(appearance(&picture).is_err(), "nothing is seen there");
    }
}
