//! A simulated film with its true tracing, and the same seen otherwise.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, PixelSpacing, Proportions, Similarity,
};
use plumbray_compare::FilmToLay;
use plumbray_film::GreyView;
use plumbray_measure::TracedFilm;
use plumbray_phantom::{SimulatedFilm, normal_pair};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};

/// A film with what was traced on it.
#[derive(Clone)]
pub(crate) struct Film {
    pub(crate) size: [u32; 2],
    pub(crate) samples: Vec<u16>,
    pub(crate) tracing: FilmTracing,
    pub(crate) calibration: Option<Calibration>,
}

pub(crate) fn traced<'a>(
    tracing: &'a FilmTracing,
    calibration: Option<&'a Calibration>,
) -> TracedFilm<'a> {
    TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration,
    }
}

/// A film of which only the tracing is at hand.
pub(crate) fn bare(tracing: &FilmTracing) -> FilmToLay<'_> {
    FilmToLay {
        traced: traced(tracing, None),
        grey: None,
    }
}

impl Film {
    /// Calibrated at the detector.
    pub(crate) fn of(film: SimulatedFilm) -> Self {
        let size = [film.width, film.height].map(|side| u32::try_from(side).expect("a small film"));
        Self {
            size,
            samples: film.samples,
            tracing: film.truth.feet[0].tracing.clone(),
            calibration: Some(Calibration {
                spacing: PixelSpacing::new(
                    film.truth.exposure.pixel_mm,
                    film.truth.exposure.pixel_mm,
                )
                .expect("possible"),
                basis: CalibrationBasis::AtDetector,
                relative_sd: 0.0,
            }),
        }
    }

    pub(crate) fn to_lay(&self) -> FilmToLay<'_> {
        FilmToLay {
            traced: traced(&self.tracing, self.calibration.as_ref()),
            grey: Some(GreyView {
                width: self.size[0] as usize,
                height: self.size[1] as usize,
                samples: &self.samples,
                bone_is_bright: true,
                proportions: Proportions::SQUARE,
            }),
        }
    }

    /// The grey at a place, between pixels in proportion; 0 outside.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the film, checked just before"
    )]
    fn grey_at(&self, at: FilmPoint) -> f64 {
        let (x, y) = (at.x_px - 0.5, at.y_px - 0.5);
        let [width, height] = self.size.map(f64::from);
        if !(x >= 0.0 && y >= 0.0 && x < width - 1.0 && y < height - 1.0) {
            return 0.0;
        }
        let (column, row) = (x as usize, y as usize);
        let (right, down) = (x.fract(), y.fract());
        let value = |dx: usize, dy: usize| {
            f64::from(self.samples[(row + dy) * self.size[0] as usize + column + dx])
        };
        (value(0, 0) * (1.0 - right) + value(1, 0) * right) * (1.0 - down)
            + (value(0, 1) * (1.0 - right) + value(1, 1) * right) * down
    }

    /// The same film on a frame of this size, uncalibrated: black, and without anything traced, outside the
    /// field.
    pub(crate) fn seen(
        &self,
        frame_from_film: &Similarity,
        size: [u32; 2],
        is_in_field: impl Fn(FilmPoint) -> bool,
    ) -> Self {
        let mut samples = Vec::new();
        for row in 0..size[1] {
            for column in 0..size[0] {
                let at = FilmPoint::new(f64::from(column) + 0.5, f64::from(row) + 0.5);
                let on_film = frame_from_film.back(Proportions::SQUARE.physical(at));
                let grey = if is_in_field(at) {
                    self.grey_at(Proportions::SQUARE.film(on_film))
                } else {
                    0.0
                };
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a grey between those of the film"
                )]
                samples.push(grey as u16);
            }
        }
        let [width, height] = size.map(f64::from);
        let is_on_frame = |at: FilmPoint| {
            (0.0..width).contains(&at.x_px) && (0.0..height).contains(&at.y_px) && is_in_field(at)
        };
        let mut tracing = seen(&self.tracing, frame_from_film);
        tracing.points.retain(|_, placed| is_on_frame(placed.at));
        for cortices in tracing.cortices.values_mut() {
            cortices.one.retain(|at| is_on_frame(*at));
            cortices.two.retain(|at| is_on_frame(*at));
        }
        Self {
            size,
            samples,
            tracing,
            calibration: None,
        }
    }
}

/// A tracing as it lies on a film that is seen through a map.
pub(crate) fn seen(tracing: &FilmTracing, map: &Similarity) -> FilmTracing {
    let moved = |at: FilmPoint| Proportions::SQUARE.film(map.of(Proportions::SQUARE.physical(at)));
    let mut seen = tracing.clone();
    for placed in seen.points.values_mut() {
        placed.at = moved(placed.at);
    }
    for cortices in seen.cortices.values_mut() {
        for at in cortices.one.iter_mut().chain(&mut cortices.two) {
            *at = moved(*at);
        }
    }
    seen
}

/// A seeded source of normally distributed numbers.
pub(crate) struct Chance(ChaCha8Rng);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    pub(crate) fn normal(&mut self, sd: f64) -> f64 {
        let mut share = || (f64::from(self.0.next_u32()) + 0.5) / 4_294_967_296.0;
        normal_pair(sd, [share(), share()])[0]
    }

    /// A tracing whose points a reader missed by this standard deviation in x and in y.
    pub(crate) fn missed(&mut self, tracing: &FilmTracing, sd_px: f64) -> FilmTracing {
        let mut missed = tracing.clone();
        for placed in missed.points.values_mut() {
            placed.at.x_px += self.normal(sd_px);
            placed.at.y_px += self.normal(sd_px);
        }
        missed
    }
}
