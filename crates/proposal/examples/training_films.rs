//! Makes the simulated films from which the networks learn: `training_films FOLDER SEED FIRST COUNT
//! [SECONDS]`.
//!
//! Every foot is random, one in seven has been operated on; it gets two AP films and a lateral one, each
//! exposed and processed in a way of its own, at a coarse pixel because the networks look at coarse films.
//! Beside each `NAME.png` lies its truth, `NAME.json`. Feet that are not begun within the seconds are left
//! out; the same number always gives the same foot and films.

use std::{
    env, fs,
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use anyhow::{Context, Result};
use plumbray_phantom::{
    Collimation, Exposure, Foot, FootParameters, Operation, Positioning, Processing, SimulatedFilm,
    SimulationError, render_ap, render_lateral,
};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};
use rayon::prelude::*;

fn main() -> Result<()> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [folder, seed, first, count, rest @ ..] = arguments.as_slice() else {
        anyhow::bail!("usage: training_films FOLDER SEED FIRST COUNT [SECONDS]");
    };
    let folder = PathBuf::from(folder);
    let seed: u64 = seed.parse().context("the seed is no number")?;
    let first: u64 = first.parse().context("the first foot is no number")?;
    let count: u64 = count.parse().context("the count is no number")?;
    let allowed = match rest.first() {
        Some(seconds) => Duration::from_secs(seconds.parse().context("the seconds are no number")?),
        None => Duration::MAX,
    };
    fs::create_dir_all(&folder)?;
    let begun = Instant::now();
    (first..first + count)
        .into_par_iter()
        .try_for_each(|number| {
            if begun.elapsed() > allowed {
                return Ok(());
            }
            films_of(&folder, seed, number).with_context(|| format!("foot {number}"))
        })
}

fn films_of(folder: &Path, seed: u64, number: u64) -> Result<()> {
    let mut chance = Chance::new(seed, number);
    let mut parameters = FootParameters::random(chance.source.next_u64());
    if chance.happens(1.0 / 7.0) {
        parameters.operation = Some(Operation::default());
        if parameters.validate().is_err() {
            parameters.operation = None;
        }
    }
    let foot = Foot::new(parameters)?;
    for (name, film) in [
        ("ap-a", render_ap(&foot, &chance.exposure())),
        ("ap-b", render_ap(&foot, &chance.exposure())),
        ("lateral", render_lateral(&foot, &chance.exposure())),
    ] {
        match film {
            Ok(film) => write(&film, &folder.join(format!("{number:06}-{name}")))?,
            // Such a film has no truth to learn from.
            Err(SimulationError::Outline { .. }) => {}
            Err(other) => return Err(other.into()),
        }
    }
    Ok(())
}

fn write(film: &SimulatedFilm, path: &Path) -> Result<()> {
    film.write_png(&path.with_extension("png"))?;
    fs::write(
        path.with_extension("json"),
        serde_json::to_vec(&film.truth)?,
    )?;
    Ok(())
}

/// The chances of one foot and its films.
struct Chance {
    source: ChaCha8Rng,
}

impl Chance {
    fn new(seed: u64, number: u64) -> Self {
        let mut source = ChaCha8Rng::seed_from_u64(seed);
        source.set_stream(number);
        Self { source }
    }

    fn between(&mut self, lowest: f64, highest: f64) -> f64 {
        let share = f64::from(self.source.next_u32()) / f64::from(u32::MAX);
        lowest + share * (highest - lowest)
    }

    fn happens(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    /// A value in the middle of a range more often than at its ends.
    fn about(&mut self, middle: f64, reach: f64) -> f64 {
        let sum: f64 = (0..3).map(|_| self.between(-1.0, 1.0)).sum();
        middle + reach * sum / 3.0
    }

    /// Films from good to poor, as tube, hand and software differ between clinics.
    fn exposure(&mut self) -> Exposure {
        let margin = self.between(-20.0, 8.0);
        Exposure {
            pixel_mm: 0.4,
            tube_tilt_degrees: self.about(14.0, 14.0),
            tube_voltage_kv: self.between(48.0, 66.0),
            photons_per_pixel: self.between(500.0_f64.ln(), 40_000.0_f64.ln()).exp(),
            saturation_share: if self.happens(0.15) { 0.65 } else { 8.0 },
            motion_mm: if self.happens(0.2) {
                [self.between(0.0, 1.2), self.between(0.0, 1.2)]
            } else {
                [0.0, 0.0]
            },
            scatter_share: self.between(0.1, 0.6),
            collimation: Collimation::even(margin),
            positioning: Positioning {
                turn_degrees: self.about(0.0, 14.0),
                obliquity_degrees: self.about(0.0, 14.0),
            },
            processing: Processing {
                background_grey: self.between(0.0, 0.1),
                bone_grey: self.between(0.6, 0.95),
                curvature: self.between(0.0, 2.2),
                detail_equalisation: self.between(0.0, 0.9),
                base_spread_mm: self.between(2.5, 8.0),
                edge_enhancement: self.between(0.0, 1.2),
                ..Processing::default()
            },
            calibration_object: self.happens(0.5),
            side_letter: self.happens(0.7),
            seed: self.source.next_u64(),
            ..Exposure::default()
        }
    }
}
