//! What happens to films before they reach a reader.

use anyhow::Result;

use super::{
    affine::{mirrored, scaled, sixteen_bits, turned},
    marks,
    truth::KnownFilm,
};
use crate::{chance::Chance, quality::lossy_copy, statistics::quantile};

/// A change of a good film. The foot stays as it is and so do its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// Left and right exchanged, so that it shows the other foot.
    Mirrored,
    /// Turned by any angle, on a larger canvas.
    Turned,
    /// Grey values upside down: bone is dark.
    Inverted,
    /// Saved as a lossy copy of 8 bits: JPEG at quality 60.
    LossyCopy,
    /// Half as many columns and rows.
    HalfResolution,
    /// Twice as many columns and rows.
    DoubleResolution,
    /// More noise.
    Noisy,
    /// Two metal screws drawn over the first metatarsal.
    Screws,
    /// Blades of a collimator drawn in close to the bones, a little askew.
    Blades,
    /// A large side letter drawn beside the first ray.
    SideLetter,
}

/// Standard deviation of the added noise as a share of the range of the film's greys.
const NOISE_SHARE: f64 = 0.04;

impl Change {
    /// Every change.
    pub const ALL: [Self; 10] = [
        Self::Mirrored,
        Self::Turned,
        Self::Inverted,
        Self::LossyCopy,
        Self::HalfResolution,
        Self::DoubleResolution,
        Self::Noisy,
        Self::Screws,
        Self::Blades,
        Self::SideLetter,
    ];

    /// The name as a table has it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mirrored => "mirrored",
            Self::Turned => "turned",
            Self::Inverted => "inverted",
            Self::LossyCopy => "lossy copy",
            Self::HalfResolution => "half resolution",
            Self::DoubleResolution => "double resolution",
            Self::Noisy => "noisy",
            Self::Screws => "metal screws",
            Self::Blades => "collimator's blades",
            Self::SideLetter => "side letter",
        }
    }

    /// How it is made, in a few words.
    #[must_use]
    pub const fn recipe(self) -> &'static str {
        match self {
            Self::Mirrored => "left and right exchanged; the side with them",
            Self::Turned => "by any angle, each as likely, on a canvas that holds the whole film",
            Self::Inverted => "bone dark; the program is told so, as a film's file tells it",
            Self::LossyCopy => "8 bits, JPEG at quality 60",
            Self::HalfResolution => "the mean of each two by two pixels",
            Self::DoubleResolution => "four pixels for each, bilinear",
            Self::Noisy => "normal noise with a standard deviation of 4 % of the film's range",
            Self::Screws => "two threaded screws of 4 mm drawn over the first metatarsal's shaft",
            Self::Blades => {
                "four blades drawn 4 to 12 mm off the outermost landmarks, each up to 4° askew"
            }
            Self::SideLetter => {
                "the side's letter, 16 mm high, drawn medial to the first metatarsal's head"
            }
        }
    }

    /// The changed film, with its truth and its readers' hints.
    ///
    /// # Errors
    /// When the lossy copy cannot be made.
    pub fn applied(self, film: &KnownFilm, chance: &mut Chance) -> Result<KnownFilm> {
        Ok(match self {
            Self::Mirrored => mirrored(film),
            Self::Turned => turned(film, chance.between(0.0, 360.0)),
            Self::Inverted => inverted(film),
            Self::LossyCopy => {
                let bytes: Vec<u8> = film
                    .samples
                    .iter()
                    .map(|sample| sample.to_be_bytes()[0])
                    .collect();
                KnownFilm {
                    samples: lossy_copy(&bytes, film.width, film.height)?,
                    ..film.clone()
                }
            }
            Self::HalfResolution => scaled(film, 0.5),
            Self::DoubleResolution => scaled(film, 2.0),
            Self::Noisy => noisy(film, chance),
            Self::Screws => marks::with_screws(film, chance),
            Self::Blades => marks::with_blades(film, chance),
            Self::SideLetter => marks::with_side_letter(film, chance),
        })
    }
}

fn inverted(film: &KnownFilm) -> KnownFilm {
    KnownFilm {
        samples: film
            .samples
            .iter()
            .map(|sample| u16::MAX - sample)
            .collect(),
        bone_is_bright: !film.bone_is_bright,
        ..film.clone()
    }
}

fn noisy(film: &KnownFilm, chance: &mut Chance) -> KnownFilm {
    // Every 97th pixel tells the range well enough.
    let greys: Vec<f64> = film
        .samples
        .iter()
        .step_by(97)
        .map(|sample| f64::from(*sample))
        .collect();
    let centile = |share| quantile(&greys, share).unwrap_or(0.0);
    let sd = NOISE_SHARE * (centile(0.99) - centile(0.01));
    let add = |sample: &u16| sixteen_bits(f64::from(*sample) + chance.normal(sd));
    KnownFilm {
        samples: film.samples.iter().map(add).collect(),
        ..film.clone()
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Landmark, LongBone, testing::assert_close};
    use plumbray_measure::Measurement;
    use plumbray_phantom::{Exposure, render_ap};

    use super::*;
    use crate::{cohort::random_foot, quality::Quality};

    fn film() -> KnownFilm {
        let exposure = Exposure {
            pixel_mm: 0.6,
            ..Exposure::default()
        };
        let foot = random_foot(3, 1).expect("possible");
        let simulated = render_ap(&foot, &exposure).expect("a film");
        KnownFilm::simulated(&simulated, Quality::Good, Vec::new()).expect("known")
    }

    #[test]
    fn no_change_changes_a_number_and_only_the_mirror_changes_the_side() {
        let film = film();
        let valgus = film.truth.numbers[&Measurement::HalluxValgusAngle];
        for change in Change::ALL {
            let changed = change
                .applied(&film, &mut Chance::new(9, change as u64))
                .expect("made");
            let name = change.name();
            let same = changed.truth.numbers[&Measurement::HalluxValgusAngle];
            assert_close(same, valgus, 1e-6, name);
            let swaps = changed.truth.side == film.truth.side.opposite();
            assert_eq!(swaps, change == Change::Mirrored, "{name}: side");
            let pixels = changed.width * changed.height;
            assert_eq!(changed.samples.len(), pixels, "{name}: pixels");
            let is_other = changed.samples != film.samples;
            assert!(is_other, "{name}: the picture changes");
            let length_mm = |film: &KnownFilm| {
                let at = |landmark| film.truth.tracing.point(landmark).expect("placed");
                at(Landmark::BaseCentre(LongBone::M1)).distance_px(at(Landmark::Tip(LongBone::M1)))
                    * film.truth.pixel_mm
            };
            assert_close(length_mm(&changed), length_mm(&film), 1e-6, name);
        }
    }

    #[test]
    fn the_blades_leave_every_landmark_in_the_open_field() {
        let film = film();
        let changed = Change::Blades
            .applied(&film, &mut Chance::new(9, 0))
            .expect("made");
        for (landmark, placed) in &film.truth.tracing.points {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a landmark on the film"
            )]
            let index = placed.at.y_px as usize * film.width + placed.at.x_px as usize;
            assert_eq!(changed.samples[index], film.samples[index], "{landmark}");
        }
    }
}
