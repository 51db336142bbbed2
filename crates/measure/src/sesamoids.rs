//! The sesamoids' outlines, and where the tibial one lies against the axis of the first metatarsal.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, Sesamoid, View};

use crate::{
    construction::{Ellipse, Line, LineRole},
    derivative::Scalar,
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    normal_distribution::probability_below,
    placed::{Gap, PlacedFilm, both},
    plane::{Point, Vector},
};

/// An outline narrower than this across the axis, in pixel widths, is no sesamoid.
const NARROWEST_OUTLINE: f64 = 2.0;

/// An outline that encloses less than this times π, in square pixel widths, is a line.
const SMALLEST_OUTLINE: f64 = 1.0;

/// Half the width of the bands around touching, in per cent of the sesamoid's width. Ours.
const TOUCHING: f64 = 3.0;

/// The band within which the sesamoid counts as bisected, in per cent. Ours.
const BISECTED: [f64; 2] = [45.0, 55.0];

/// How a share of the sesamoid's width is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Scale {
    /// The number itself.
    Plain,
    /// Per cent, limited to 0 to 100.
    PerCent,
    /// Position I to VII as 1 to 7.
    Position,
    /// Grade 0 to 3.
    Grade,
}

/// The upper limit of a class of the share, in per cent, and whether it belongs to the class.
type UpperLimit = (f64, bool);

const POSITION_LIMITS: [UpperLimit; 6] = [
    (-TOUCHING, false),
    (TOUCHING, true),
    (BISECTED[0], false),
    (BISECTED[1], true),
    (100.0 - TOUCHING, false),
    (100.0 + TOUCHING, true),
];
const POSITION_NAMES: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];

const GRADE_LIMITS: [UpperLimit; 3] = [(0.0, true), (50.0, true), (100.0, false)];
const GRADE_NAMES: [&str; 4] = ["0", "1", "2", "3"];

impl Scale {
    /// What is shown for this number.
    pub(crate) fn shown(self, number: f64) -> f64 {
        match self {
            Self::Plain => number,
            Self::PerCent => number.clamp(0.0, 100.0),
            Self::Position => 1.0 + classes_below(&POSITION_LIMITS, number),
            Self::Grade => classes_below(&GRADE_LIMITS, number),
        }
    }

    /// The probability of each class, for a position or a grade.
    pub(crate) fn classes(self, number: f64, sd: f64) -> Vec<(&'static str, f64)> {
        match self {
            Self::Plain | Self::PerCent => Vec::new(),
            Self::Position => probabilities(&POSITION_NAMES, &POSITION_LIMITS, number, sd),
            Self::Grade => probabilities(&GRADE_NAMES, &GRADE_LIMITS, number, sd),
        }
    }
}

/// How many whole classes lie below this share.
fn classes_below(limits: &[UpperLimit], share: f64) -> f64 {
    limits
        .iter()
        .filter(|(limit, included)| share > *limit || (share >= *limit && !included))
        .map(|_| 1.0)
        .sum()
}

fn probabilities(
    names: &[&'static str],
    limits: &[UpperLimit],
    share: f64,
    sd: f64,
) -> Vec<(&'static str, f64)> {
    let up_to = limits
        .iter()
        .map(|(limit, included)| probability_below(*limit, *included, share, sd))
        .chain(std::iter::once(1.0));
    let mut before = 0.0;
    names
        .iter()
        .zip(up_to)
        .map(|(name, up_to)| {
            let of_class = up_to - before;
            before = up_to;
            (*name, of_class)
        })
        .collect()
}

/// The share of the tibial sesamoid's width, measured across the axis of the first metatarsal, that
/// lies lateral to it, in per cent; below 0 where it lies clear medially, above 100 clear laterally.
///
/// ```text
/// s = (c − q) · n,   h = √((u · n)² + (v · n)²),   share = 100 (s + h) / (2 h)
/// ```
///
/// with c the centre of the ellipse, u and v two conjugate half-diameters, q a point of the axis and
/// n the unit vector across it that points laterally: h is half the ellipse's width along n.
pub(crate) fn tibial_share<'t>(
    evaluation: &Evaluation<'_, 't>,
    scale: Scale,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let parts = both(
        evaluation.axes.axis(&film, LongBone::M1),
        Outline::of(&film, Sesamoid::Tibial),
    );
    let ((axis, outline), side) = both(parts, lateral_turn(&film))?;
    let across = axis.direction.perpendicular();
    let length = axis.direction.length();
    let off_axis = (outline.centre - axis.through).dot(across) * side.sign() / length;
    let half_width = outline.half_width(across, length)?;
    let share = (off_axis / half_width * 0.5 + 0.5) * 100.0;
    let mut finding = Finding::plain(share).by_axes(&evaluation.axes, &film, [&axis]);
    finding.scale = scale;
    finding.reader_sd = reader_sd(evaluation, &outline, axis.carried_about(), half_width);
    finding.construction.ellipse = Some(outline.on_film(&film));
    let centre = outline.centre.value();
    let through = axis.through.value();
    let direction = axis.direction.value();
    let along = (centre - through).dot(direction) / direction.dot(direction);
    finding.construction.lines.push(Line {
        role: LineRole::Perpendicular,
        from: film.on_film(through + direction * along),
        to: film.on_film(centre),
    });
    Ok(finding)
}

/// What a reader's error in the line beside a sesamoid does to the share of its width beyond that line, as a
/// standard deviation in per cent.
///
/// ```text
/// sd = 100 d tan(ε) / (2 h)
/// ```
///
/// with ε [one axis's](crate::ReaderError::axis_sd_degrees) standard deviation, d the distance from the
/// middle of what carries the line to the sesamoid's centre, and h half the sesamoid's width. Ours: no
/// published standard deviation of the share is known to us. No number where the reader's error is
/// impossible.
pub(crate) fn reader_sd<'t>(
    evaluation: &Evaluation<'_, 't>,
    outline: &Outline<'t>,
    carried_about: PhysicalPoint,
    half_width: Scalar<'t>,
) -> Option<f64> {
    if !evaluation.reader_error.is_possible() {
        return None;
    }
    let away = (outline.centre.value() - carried_about).length();
    let error = evaluation.reader_error.axis_sd_degrees().to_radians();
    Some(50.0 * away * error.tan() / half_width.value())
}

/// A sesamoid's ellipse.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outline<'t> {
    sesamoid: Sesamoid,
    pub(crate) centre: Point<'t>,
    to_long_end: Vector<'t>,
    to_short_end: Vector<'t>,
}

impl<'t> Outline<'t> {
    /// The outline as it was placed.
    pub(crate) fn of(film: &PlacedFilm<'_, 't>, sesamoid: Sesamoid) -> Result<Self, Gap> {
        let [centre, long_end, short_end] = Landmark::of_sesamoid(sesamoid);
        let ((centre, long_end), short_end) = both(
            both(film.point(centre), film.point(long_end)),
            film.point(short_end),
        )?;
        let outline = Self {
            sesamoid,
            centre,
            to_long_end: long_end - centre,
            to_short_end: short_end - centre,
        };
        let area = outline
            .to_long_end
            .value()
            .cross(outline.to_short_end.value());
        if area.abs() >= SMALLEST_OUTLINE {
            Ok(outline)
        } else {
            Err(outline.flat())
        }
    }

    /// Half the ellipse's extent along `across`, whose length is `length`.
    pub(crate) fn half_width(
        &self,
        across: Vector<'t>,
        length: Scalar<'t>,
    ) -> Result<Scalar<'t>, Gap> {
        let long = self.to_long_end.dot(across);
        let short = self.to_short_end.dot(across);
        let square = long * long + short * short;
        if square.value().sqrt() * 2.0 >= NARROWEST_OUTLINE * length.value() {
            Ok(square.sqrt() / length)
        } else {
            Err(self.flat())
        }
    }

    fn flat(&self) -> Gap {
        Gap::degenerate(
            Landmark::of_sesamoid(self.sesamoid),
            "the outline is too flat to be a sesamoid; place the ends of its axes again",
        )
    }

    /// The outline as it is drawn.
    pub(crate) fn on_film(&self, film: &PlacedFilm<'_, '_>) -> Ellipse {
        let centre = self.centre.value();
        Ellipse {
            centre: film.on_film(centre),
            long_end: film.on_film(centre + self.to_long_end.value()),
            short_end: film.on_film(centre + self.to_short_end.value()),
        }
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn each_limit_of_a_position_belongs_to_the_band_that_the_page_says() {
        for (share, position) in [
            (-3.1, 1.0),
            (-3.0, 2.0),
            (3.0, 2.0),
            (3.1, 3.0),
            (44.9, 3.0),
            (45.0, 4.0),
            (55.0, 4.0),
            (55.1, 5.0),
            (96.9, 5.0),
            (97.0, 6.0),
            (103.0, 6.0),
            (103.1, 7.0),
        ] {
            let shown = Scale::Position.shown(share);
            assert_close(shown, position, 0.0, &format!("{share} %"));
        }
    }

    #[test]
    fn each_limit_of_a_grade_belongs_to_the_grade_that_the_page_says() {
        for (share, grade) in [
            (-20.0, 0.0),
            (0.0, 0.0),
            (0.1, 1.0),
            (50.0, 1.0),
            (50.1, 2.0),
            (99.9, 2.0),
            (100.0, 3.0),
            (130.0, 3.0),
        ] {
            let shown = Scale::Grade.shown(share);
            assert_close(shown, grade, 0.0, &format!("{share} %"));
        }
    }

    #[test]
    fn a_share_without_spread_has_one_certain_class() {
        for (scale, name) in [(Scale::Position, "II"), (Scale::Grade, "1")] {
            for (class, probability) in scale.classes(3.0, 0.0) {
                let expected = f64::from(class == name);
                assert_close(probability, expected, 0.0, class);
            }
        }
    }
}
