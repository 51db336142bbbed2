//! The axis of a long bone by each named convention.

mod fit;
mod levels;
mod operated;

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, PhysicalVector};

use crate::{
    construction::{Line, LineRole},
    convention::{AxisConvention, AxisLevels},
    outcome::Remark,
    placed::{Gap, PlacedFilm, SHORTEST_LINE, both},
    plane::{Point, Vector},
};

use self::levels::{ReferenceLine, Shaft};

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
            AxisConvention::HeadBase => head_base(film),
            AxisConvention::HeadShaft => self.head_shaft(film),
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
        if self.leans_on_cut_bone(bone) {
            operated::cut_level(film)?;
        }
        if is_drawn_by_hand(film, bone) {
            let axis = drawn_by_hand(film, bone)?;
            if self.leans_on_cut_bone(bone) {
                operated::check_line(film, axis.ends)?;
            }
            return Ok(axis);
        }
        let shaft = match convention {
            AxisConvention::MidDiaphysealMm => {
                both(Shaft::of(film, bone), film.mm_per_pixel_width())?.0
            }
            _ => Shaft::of(film, bone)?,
        };
        let shares = match convention {
            AxisConvention::MidDiaphysealMm => {
                shaft.shares_at_mm(self.levels_mm.of(bone))?.to_vec()
            }
            AxisConvention::ShaftFit => fit::level_shares()
                .map(|share| film.constant(share))
                .collect(),
            _ => QUARTERS.map(|share| film.constant(share)).to_vec(),
        };
        if self.leans_on_cut_bone(bone) {
            let most_distal = shares
                .iter()
                .map(|share| share.value())
                .fold(f64::MIN, f64::max);
            operated::check_share(film, shaft.reference(), most_distal)?;
        }
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
            many => fit::line_through(film, bone, many)?,
        };
        let reference = shaft.reference();
        let axis = Axis {
            bone,
            through,
            direction: direction.along(reference.vector.value()),
            marks: middles.iter().map(|middle| middle.value()).collect(),
            levels: crossings
                .iter()
                .map(|crossing| crossing.map(Point::value))
                .collect(),
            ends: reference.ends(),
            remark: None,
        };
        long_enough(axis)
    }

    fn head_shaft<'t>(&self, film: &PlacedFilm<'_, 't>) -> Result<Axis<'t>, Gap> {
        let bone = LongBone::M1;
        if self.operated {
            operated::cut_level(film)?;
        }
        let proximal = Shaft::of(film, bone).and_then(|shaft| {
            if self.operated {
                operated::check_share(film, shaft.reference(), QUARTERS[0])?;
            }
            shaft.crossings(film.constant(QUARTERS[0]))
        });
        let (proximal, head) = both(proximal, film.point(Landmark::HeadCentre))?;
        let middle = proximal[0].midpoint(proximal[1]);
        let axis = Axis {
            bone,
            through: middle,
            direction: head - middle,
            marks: vec![middle.value(), head.value()],
            levels: vec![proximal.map(Point::value)],
            ends: [middle.value(), head.value()],
            remark: None,
        };
        long_enough(axis)
    }

    fn leans_on_cut_bone(&self, bone: LongBone) -> bool {
        self.operated && bone == LongBone::M1
    }
}

fn head_base<'t>(film: &PlacedFilm<'_, 't>) -> Result<Axis<'t>, Gap> {
    let bone = LongBone::M1;
    let landmarks = [Landmark::BaseCentre(bone), Landmark::HeadCentre];
    let (base, head) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    let ends = [base.value(), head.value()];
    film.far_enough_apart((landmarks[0], ends[0]), (landmarks[1], ends[1]))?;
    Ok(Axis {
        bone,
        through: base,
        direction: head - base,
        marks: ends.to_vec(),
        levels: Vec::new(),
        ends,
        remark: None,
    })
}

/// A shaft without cortices whose stroke was placed is the line as it was drawn.
fn is_drawn_by_hand(film: &PlacedFilm<'_, '_>, bone: LongBone) -> bool {
    !film.film.tracing.cortices.contains_key(&bone)
        && film.has(Landmark::ShaftStart(bone))
        && film.has(Landmark::ShaftEnd(bone))
}

fn drawn_by_hand<'t>(film: &PlacedFilm<'_, 't>, bone: LongBone) -> Result<Axis<'t>, Gap> {
    let landmarks = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
    let (start, end) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    film.far_enough_apart((landmarks[0], start.value()), (landmarks[1], end.value()))?;
    let drawn = end - start;
    let direction = match bone_direction(film, bone)? {
        Some(guide) => drawn.along(guide),
        None => drawn,
    };
    let mut ends = [start.value(), end.value()];
    if direction.value().dot(ends[1] - ends[0]) < 0.0 {
        ends.reverse();
    }
    Ok(Axis {
        bone,
        through: start,
        direction,
        marks: ends.to_vec(),
        levels: Vec::new(),
        ends,
        remark: Some(Remark::DrawnByHand(bone)),
    })
}

/// From base to tip, where both were placed.
fn bone_direction(
    film: &PlacedFilm<'_, '_>,
    bone: LongBone,
) -> Result<Option<PhysicalVector>, Gap> {
    let landmarks = [Landmark::BaseCentre(bone), Landmark::Tip(bone)];
    if !landmarks.iter().all(|landmark| film.has(*landmark)) {
        return Ok(None);
    }
    let reference = ReferenceLine::of(film, bone)?;
    Ok(Some(reference.vector.value()))
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
