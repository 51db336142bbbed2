//! The axis of a long bone by each named convention.

mod drawn;
mod fit;
mod head;
mod levels;
mod operated;

use plumbray_anatomy::{LongBone, PhysicalPoint};

use crate::{
    construction::{Line, LineRole},
    convention::{AxisConvention, AxisLevels},
    derivative::Scalar,
    outcome::Remark,
    placed::{Gap, PlacedFilm, SHORTEST_LINE, both},
    plane::{Point, Vector},
};

pub(crate) use self::levels::Shaft;
pub(crate) use self::operated::{check_share as before_the_cut, cut_level};

/// The levels of the mid-diaphyseal line at the quarters, as shares of the length from the base.
const QUARTERS: [f64; 2] = [0.25, 0.75];

/// A directed line through a long bone, from proximal to distal.
#[derive(Clone, Debug)]
pub(crate) struct Axis<'t> {
    /// The bone.
    pub(crate) bone: LongBone,
    /// A point of the line.
    pub(crate) through: Point<'t>,
    /// Its direction, of any length.
    pub(crate) direction: Vector<'t>,
    /// The points that carry the line, to be marked on the film.
    pub(crate) marks: Vec<PhysicalPoint>,
    /// Where the levels meet the cortices.
    pub(crate) levels: Vec<[PhysicalPoint; 2]>,
    /// How far the bone reaches along the line, where its ends are known.
    pub(crate) ends: [PhysicalPoint; 2],
    /// What the reader should know about it.
    pub(crate) remark: Option<Remark>,
}

impl Axis<'_> {
    /// The lines that show the axis and its levels.
    pub(crate) fn lines(&self, film: &PlacedFilm<'_, '_>) -> Vec<Line> {
        let [from, to] = self.span().map(|end| film.on_film(end));
        let axis = Line {
            role: LineRole::Axis(self.bone),
            from,
            to,
        };
        let levels = self.levels.iter().map(|[one, two]| Line {
            role: LineRole::Level,
            from: film.on_film(*one),
            to: film.on_film(*two),
        });
        std::iter::once(axis).chain(levels).collect()
    }

    /// The middle of the points that carry the axis: a hand that lays it askew turns it about there.
    pub(crate) fn carried_about(&self) -> PhysicalPoint {
        match (self.marks.first(), self.marks.last()) {
            (Some(first), Some(last)) => first.midpoint(*last),
            _ => self.through.value(),
        }
    }

    /// The stretch of the axis beside the bone: its ends dropped on the line.
    pub(crate) fn span(&self) -> [PhysicalPoint; 2] {
        let (through, direction) = (self.through.value(), self.direction.value());
        let square = direction.dot(direction);
        self.ends
            .map(|end| through + direction * ((end - through).dot(direction) / square))
    }
}

/// What an axis depends on beside the bone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AxisChoice {
    /// The convention asked for.
    pub(crate) convention: AxisConvention,
    /// The levels of [`AxisConvention::MidDiaphysealMm`].
    pub(crate) levels_mm: AxisLevels,
    /// Whether the first metatarsal was cut before this visit.
    pub(crate) operated: bool,
}

impl AxisChoice {
    /// The axis of a bone on a film.
    pub(crate) fn axis<'t>(
        &self,
        film: &PlacedFilm<'_, 't>,
        bone: LongBone,
    ) -> Result<Axis<'t>, Gap> {
        let convention = self.convention.for_bone(bone);
        let mut axis = match convention {
            AxisConvention::HeadBase => head::base_to_head(film),
            AxisConvention::HeadShaft => head::shaft_to_head(film, self.operated),
            AxisConvention::MidDiaphysealQuarters
            | AxisConvention::MidDiaphysealMm
            | AxisConvention::ShaftFit => self.shaft_axis(film, bone, convention),
        }?;
        if convention != self.convention && axis.remark.is_none() {
            axis.remark = Some(Remark::ByTheQuarters(bone));
        }
        Ok(axis)
    }

    fn shaft_axis<'t>(
        &self,
        film: &PlacedFilm<'_, 't>,
        bone: LongBone,
        convention: AxisConvention,
    ) -> Result<Axis<'t>, Gap> {
        let was_cut = self.operated && bone == LongBone::M1;
        if was_cut {
            operated::cut_level(film)?;
        }
        if drawn::is_drawn_by_hand(film, bone) {
            let axis = drawn::axis(film, bone)?;
            if was_cut {
                operated::check_line(film, axis.ends)?;
            }
            return Ok(axis);
        }
        let shaft = Shaft::of(film, bone);
        let (shaft, shares) = if convention == AxisConvention::MidDiaphysealMm {
            let (shaft, scale) = both(shaft, film.mm_per_pixel_width())?;
            let shares = shaft.shares_at_mm(self.levels_mm.of(bone), scale)?;
            (shaft, shares.to_vec())
        } else {
            let shares: &[f64] = match convention {
                AxisConvention::ShaftFit => &fit::LEVEL_SHARES,
                _ => &QUARTERS,
            };
            let shares = shares.iter().map(|share| film.constant(*share));
            (shaft?, shares.collect())
        };
        if was_cut {
            let most_distal = shares
                .iter()
                .map(|share| share.value())
                .fold(f64::MIN, f64::max);
            operated::check_share(film, shaft.ends(), most_distal)?;
        }
        through_levels(film, &shaft, shares)
    }
}

/// The axis through the middles of a shaft at these levels: the line through two, the best fit
/// through more.
pub(crate) fn through_levels<'t>(
    film: &PlacedFilm<'_, 't>,
    shaft: &Shaft<'_, '_, 't>,
    shares: Vec<Scalar<'t>>,
) -> Result<Axis<'t>, Gap> {
    let crossings = shares
        .into_iter()
        .map(|share| shaft.crossings(share))
        .collect::<Result<Vec<_>, Gap>>()?;
    let middles: Vec<Point<'t>> = crossings
        .iter()
        .map(|[one, two]| one.midpoint(*two))
        .collect();
    let (through, direction) = match middles.as_slice() {
        [proximal, distal] => (*proximal, *distal - *proximal),
        many => fit::line_through(film, shaft.bone(), many)?,
    };
    long_enough(Axis {
        bone: shaft.bone(),
        through,
        direction: direction.along(shaft.ends().vector().value()),
        marks: middles.iter().map(|middle| middle.value()).collect(),
        levels: crossings
            .iter()
            .map(|crossing| crossing.map(Point::value))
            .collect(),
        ends: shaft.ends().places(),
        remark: None,
    })
}

fn long_enough(axis: Axis<'_>) -> Result<Axis<'_>, Gap> {
    let reach = match (axis.marks.first(), axis.marks.last()) {
        (Some(first), Some(last)) => (*last - *first).length(),
        _ => 0.0,
    };
    if reach >= SHORTEST_LINE {
        return Ok(axis);
    }
    Err(Gap::Degenerate {
        landmarks: vec![format!("Axis of the {}", axis.bone.name())],
        reason: format!(
            "the points that carry it lie only {reach:.1} pixels apart; trace the bone again"
        ),
    })
}
