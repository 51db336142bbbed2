//! The later film laid over the earlier one by bones that surgery of the first ray does not touch.

mod compared_places;
mod hindfoot;
mod lesser_rays;
mod not_laid_over;
mod on_film;
mod projection;
mod reduced;
mod residual;
mod robust;
mod shared;

use plumbray_anatomy::{FilmPoint, Proportions, Similarity, View};
use plumbray_film::GreyView;
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm, measure};

pub use not_laid_over::NotLaidOver;
pub use projection::Projection;
pub use residual::{ReferenceLength, Residual};
use shared::Shared;
pub use shared::{SharedPoint, shared_points};

/// A later film laid over an earlier one of the same view.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    /// The view of both.
    pub view: View,
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
    /// How far two AP films differ in the direction from which they were taken; nothing of lateral ones.
    pub projection: Option<Projection>,
}

/// Lesser metatarsals that agree no better than this, as a share of the second one's length, are not those of
/// the same foot seen alike: about 2.5 mm. Ours; see `docs/comparison.md`.
const LARGEST_RESIDUAL_AP: f64 = 0.035;
/// The same of the hindfoot, as a share of the length from the heel to the head of the talus. Ours; see
/// `docs/comparison.md`.
const LARGEST_RESIDUAL_LATERAL: f64 = 0.035;
/// A film stretched by more than this against the other was taken from another direction: about 25° of the
/// tube. Ours.
const LARGEST_STRETCH: f64 = 0.1;

/// One visit's film as it is laid over another one.
#[derive(Clone, Copy, Debug)]
pub struct FilmToLay<'a> {
    /// What was traced on it, and its calibration.
    pub traced: TracedFilm<'a>,
    /// Its pixels, where they are at hand.
    pub grey: Option<GreyView<'a>>,
}

/// Lays a later film over an earlier one of the same foot and view.
///
/// The points that both share on bones which surgery of the first ray leaves alone ([`shared_points`]) are
/// brought together by a map that keeps angles, with points that do not fit counting less; where both films'
/// pixels are at hand the map is then made finer on them, around these bones. A mirrored film is mirrored
/// back: the order of the bones tells.
///
/// # Errors
/// Where too few bones are traced on both, or the films are too different.
pub fn lay_over(
    view: View,
    earlier: FilmToLay<'_>,
    later: FilmToLay<'_>,
) -> Result<Registration, NotLaidOver> {
    let shared = match view {
        View::Ap => lesser_rays::shared(earlier.traced, later.traced)?,
        View::Lateral => hindfoot::shared(earlier.traced, later.traced)?,
    };
    let in_one_place = NotLaidOver::InOnePlace { view };
    let fitted =
        robust::fitted(&shared.points, shared.mirrored, shared.least_spread).ok_or(in_one_place)?;
    let finer = earlier.grey.zip(later.grey).and_then(|(one, other)| {
        on_film::refined(
            one,
            other,
            &shared.strips,
            shared.length,
            shared.farthest,
            &fitted.map,
        )
    });
    let map = finer.unwrap_or(fitted.map);
    let residual = residual(earlier.traced, &shared, &fitted.weights, &map)?;
    let projection = match view {
        View::Ap => Some(direction(earlier.traced, &shared, &fitted.weights, &map)?),
        View::Lateral => None,
    };
    Ok(Registration {
        view,
        earlier_from_later: map,
        proportions: [earlier.traced.proportions, later.traced.proportions],
        points: shared.points.len(),
        residual,
        is_refined: finer.is_some(),
        projection,
    })
}

/// How far the points then lie apart, unless that is too far.
fn residual(
    earlier: TracedFilm<'_>,
    shared: &Shared,
    weights: &[f64],
    map: &Similarity,
) -> Result<Residual, NotLaidOver> {
    let of = shared.reference;
    let away = robust::root_mean_square(&shared.points, weights, map);
    let share = away / shared.length;
    let largest = match of.view() {
        View::Ap => LARGEST_RESIDUAL_AP,
        View::Lateral => LARGEST_RESIDUAL_LATERAL,
    };
    if share > largest {
        let residual_per_cent = 100.0 * share;
        return Err(NotLaidOver::TooDifferent {
            residual_per_cent,
            of,
        });
    }
    let millimetres = earlier.calibration.map(|calibration| {
        let mm = away * calibration.mm_per_pixel_width();
        (mm, calibration.basis.name())
    });
    Ok(Residual {
        share,
        of,
        millimetres,
    })
}

/// How the directions of two AP films differ, unless that is too much.
fn direction(
    earlier: TracedFilm<'_>,
    shared: &Shared,
    weights: &[f64],
    map: &Similarity,
) -> Result<Projection, NotLaidOver> {
    let projection = Projection::between(&shared.points, weights, map, earlier);
    if projection.stretch.abs() > LARGEST_STRETCH {
        return Err(NotLaidOver::OtherDirection {
            stretch_per_cent: 100.0 * projection.stretch.abs(),
        });
    }
    Ok(projection)
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
    /// changed on the later one by its direction alone; nothing for lateral films.
    #[must_use]
    pub fn apparent_intermetatarsal_change(
        &self,
        foot: &Foot<'_>,
        convention: AxisConvention,
    ) -> Option<f64> {
        let projection = self.projection?;
        let choices = Choices {
            convention: Some(convention),
            ..Choices::default()
        };
        let outcome = measure(foot, &choices, Measurement::IntermetatarsalAngle12);
        let angle = outcome.reading()?.value;
        Some(projection.apparent_change_of(angle))
    }
}
