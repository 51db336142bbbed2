//! The later film laid over the earlier one by bones that surgery of the first ray does not touch.

mod on_film;
mod projection;
mod robust;
mod shared_points;

use plumbray_anatomy::{FilmPoint, LongBone, PhysicalPoint, Proportions, Similarity, View};
use plumbray_film::GreyView;
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, TracedFilm, measure, shaft_width_px,
    side_from_bones,
};

pub use projection::Projection;
pub use shared_points::{SharedPoint, shared_points};

/// A later AP film laid over an earlier one.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    /// From the later to the earlier film, in physical proportions of each.
    pub earlier_from_later: Similarity,
    /// The shape of the pixels of the earlier and of the later film.
    pub proportions: [Proportions; 2],
    /// How many points carry it.
    pub points: usize,
    /// How far those points lie apart once laid over each other: the root of the mean square.
    pub residual: Residual,
    /// Whether it was made finer on the films themselves.
    pub is_refined: bool,
    /// How far the two films differ in the direction from which they were taken.
    pub projection: Projection,
}

/// How far the shared points of two films lie apart once laid over each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// As a share of the length of the second metatarsal on the earlier film.
    pub share_of_second_metatarsal: f64,
    /// In millimetres, with the name of the earlier film's calibration; nothing where it has none.
    pub millimetres: Option<(f64, String)>,
}

/// Why a film is not laid over another one.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotLaidOver {
    /// Too few bones beside the first ray are traced on both.
    #[error(
        "the films are not laid over each other: only {shared} of the lesser metatarsals {} traced on both; two are needed, from base to tip",
        if *.shared == 1 { "is" } else { "are" }
    )]
    TooFewBones {
        /// How many are.
        shared: usize,
    },
    /// One of the films is missing at one of the visits.
    #[error("the films are not laid over each other: one of the visits has no AP film")]
    NoFilm,
    /// The lesser metatarsals are not of the same shape on both films.
    #[error(
        "the films are not laid over each other: the lesser metatarsals differ by {residual_per_cent:.1} % of the second one's \
         length, as if they were of another foot or seen from another direction; check the tracing, or compare films taken alike"
    )]
    TooDifferent {
        /// The residual in per cent of the second metatarsal's length.
        residual_per_cent: f64,
    },
    /// The films were taken from too different directions.
    #[error(
        "the films are not laid over each other: along the foot one is stretched by {stretch_per_cent:.0} % against the other; \
         the tube was tilted or the foot stood otherwise, and no number of the two should be subtracted"
    )]
    OtherDirection {
        /// The stretch in per cent.
        stretch_per_cent: f64,
    },
}

/// Lesser metatarsals that agree no better than this, as a share of the second one's length, are not those of
/// the same foot seen alike: about 2.5 mm. Ours; see `docs/comparison.md`.
const LARGEST_RESIDUAL: f64 = 0.035;
/// A film stretched by more than this against the other was taken from another direction: about 25° of the
/// tube. Ours.
const LARGEST_STRETCH: f64 = 0.1;

/// One visit's AP film as it is laid over another one.
#[derive(Clone, Copy, Debug)]
pub struct ApFilm<'a> {
    /// What was traced on it, and its calibration.
    pub traced: TracedFilm<'a>,
    /// Its pixels, where they are at hand.
    pub grey: Option<GreyView<'a>>,
}

/// Lays a later AP film over an earlier one of the same foot.
///
/// The points that both share of the second to fifth metatarsal and of the tarsus are brought together by a
/// map that keeps angles, with points that do not fit counting less; where both films' pixels are at hand the
/// map is then made finer on them, around these bones. A mirrored film is mirrored back: the order of the
/// bones tells.
///
/// # Errors
/// Where too few bones are traced on both, or the films are too different.
pub fn lay_over(earlier: ApFilm<'_>, later: ApFilm<'_>) -> Result<Registration, NotLaidOver> {
    let points = shared_points(earlier.traced, later.traced);
    let shared = shared_points::bones_of(&points);
    if shared < 2 {
        return Err(NotLaidOver::TooFewBones { shared });
    }
    let mirrored = side_from_bones(earlier.traced) != side_from_bones(later.traced);
    let too_few = NotLaidOver::TooFewBones { shared };
    let fitted = robust::fitted(&points, mirrored).ok_or_else(|| too_few.clone())?;
    let finer = earlier
        .grey
        .zip(later.grey)
        .and_then(|(one, other)| on_film::refined(one, other, earlier.traced, &fitted.map));
    let map = finer.unwrap_or(fitted.map);
    let length = second_length(earlier.traced).ok_or(too_few)?;
    let share = robust::root_mean_square(&points, &fitted.weights, &map) / length;
    let projection = Projection::between(&points, &fitted.weights, &map, earlier.traced);
    if share > LARGEST_RESIDUAL {
        return Err(NotLaidOver::TooDifferent {
            residual_per_cent: 100.0 * share,
        });
    }
    if projection.stretch.abs() > LARGEST_STRETCH {
        return Err(NotLaidOver::OtherDirection {
            stretch_per_cent: 100.0 * projection.stretch.abs(),
        });
    }
    let millimetres = earlier.traced.calibration.map(|calibration| {
        let mm = share * length * calibration.mm_per_pixel_width();
        (mm, calibration.basis.name())
    });
    Ok(Registration {
        earlier_from_later: map,
        proportions: [earlier.traced.proportions, later.traced.proportions],
        points: points.len(),
        residual: Residual {
            share_of_second_metatarsal: share,
            millimetres,
        },
        is_refined: finer.is_some(),
        projection,
    })
}

impl Registration {
    /// Where a point of the later film lies on the earlier one.
    #[must_use]
    pub fn on_earlier(&self, later: FilmPoint) -> FilmPoint {
        let at = self
            .earlier_from_later
            .of(self.proportions[1].physical(later));
        self.proportions[0].film(at)
    }

    /// Which point of the later film lies there on the earlier one.
    #[must_use]
    pub fn on_later(&self, earlier: FilmPoint) -> FilmPoint {
        let at = self
            .earlier_from_later
            .back(self.proportions[0].physical(earlier));
        self.proportions[1].film(at)
    }

    /// How much larger a pixel width of the later film is on the earlier one.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.earlier_from_later.scale()
    }

    /// By how many degrees the 1–2 intermetatarsal angle, so large on the earlier film, would seem to have
    /// changed on the later one by its direction alone.
    #[must_use]
    pub fn apparent_intermetatarsal_change(
        &self,
        foot: &Foot<'_>,
        convention: AxisConvention,
    ) -> Option<f64> {
        let choices = Choices {
            convention: Some(convention),
            ..Choices::default()
        };
        let outcome = measure(foot, &choices, Measurement::IntermetatarsalAngle12);
        let angle = outcome.reading()?.value;
        Some(self.projection.apparent_change_of(angle))
    }
}

/// The length of the second metatarsal from base to tip, or that of another lesser one where it is not
/// traced, in pixel widths.
fn second_length(film: TracedFilm<'_>) -> Option<f64> {
    shared_points::lesser_ends(film)
        .map(|[base, tip]| (tip - base).length())
        .find(|length| *length > 0.0)
}

/// A tracing on an AP film as the engine takes it.
fn foot_on(film: TracedFilm<'_>) -> Foot<'_> {
    Foot {
        ap: Some(film),
        ..Foot::default()
    }
}

/// The middle of a shaft at a share of its length, in physical proportions.
fn shaft_middle(film: TracedFilm<'_>, bone: LongBone, share: f64) -> Option<(PhysicalPoint, f64)> {
    let outcome = shaft_width_px(&foot_on(film), View::Ap, bone, share);
    let reading = outcome.reading()?;
    let level = reading.construction.lines.first()?;
    let [from, to] = [level.from, level.to].map(|end| film.proportions.physical(end));
    Some((from.midpoint(to), reading.sd))
}
