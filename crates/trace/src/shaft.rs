//! A long bone from a rough stroke along its shaft.

use plumbray_anatomy::{Cortices, LongBone, Origin, PlacedPoint};
use plumbray_film::GreyView;

use crate::{
    bone_end::{Direction, EndContour, Expectation, end_contour},
    bone_shape::BoneShape,
    cortex_edge,
    error::TraceError,
    outline::{Outline, Search},
    raster::Raster,
    strip::Frame,
    stroke::Stroke,
};

/// A traced long bone.
#[derive(Clone, Debug, PartialEq)]
pub struct BoneTrace {
    /// Both outer cortices from the proximal to the distal end of the stroke's direction, over the
    /// whole length on which they were followed.
    pub cortices: Cortices,
    /// The middle of the proximal articular surface, if an end was seen there.
    pub base_centre: Option<PlacedPoint>,
    /// The most distal point of the bone, if an end was seen there.
    pub tip: Option<PlacedPoint>,
    /// How clearly both cortices were seen along the shaft, from 0 (not at all) to 1.
    pub confidence: f64,
    /// What the reader should look at again.
    pub doubts: Vec<TraceDoubt>,
}

/// A part of a trace that the reader should look at again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TraceDoubt {
    /// The cortices are faint along much of the shaft.
    FaintCortices,
    /// The proximal end is hidden or ambiguous.
    BaseUnclear,
    /// The distal end is hidden or ambiguous.
    TipUnclear,
}

/// Below this typical edge strength there is no shaft, and no end.
const LEAST_STRENGTH: f64 = 0.2;
/// Below this ratio of the steepest slopes to those of noise there is nothing but noise.
const LEAST_CONTRAST: f64 = 4.0;
/// Below this strength an end is called unclear, and a shaft faint.
const CLEAR_STRENGTH: f64 = 0.5;

/// Traces a long bone: both outer cortices by sub-pixel edges on many profiles across the shaft,
/// chosen together, and the bone's two ends. The stroke may lie several millimetres off and cover
/// from the middle half to the whole length of the bone.
///
/// The result runs in the stroke's direction, from proximal to distal.
///
/// # Errors
/// When the film or the stroke cannot be used, or no pair of cortices lies along it; the message says
/// what to do.
pub fn trace_long_bone(
    film: &GreyView<'_>,
    bone: LongBone,
    stroke: &Stroke,
) -> Result<BoneTrace, TraceError> {
    let raster = Raster::new(film)?;
    let frame = stroke_frame(film, &raster, bone, stroke)?;
    let shape = BoneShape::of(bone);
    let no_shaft = TraceError::NoShaft { bone };
    let rough = rough_outline(&raster, shape, frame).ok_or(no_shaft)?;
    if rough.contrast < LEAST_CONTRAST || rough.typical_strength() < LEAST_STRENGTH {
        return Err(no_shaft);
    }
    let whole = whole_outline(&raster, shape, frame, &rough).ok_or(no_shaft)?;
    let ends = Ends::find(&raster, shape, &whole, frame.length);
    let cortices =
        cortex_edge::refined(&raster, &whole.outline, whole.waist, ends.span()).ok_or(no_shaft)?;
    let point = |(u, v): (f64, f64)| film.proportions.film(whole.outline.frame.point(u, v));
    let place = |end: &FoundEnd| {
        let placed = PlacedPoint {
            at: point(end.contour.middle()),
            sd_px: end.spread,
            origin: Origin::Derived,
        };
        end.is_seen().then_some(placed)
    };
    let line = |side: &[(f64, f64)]| side.iter().map(|place| point(*place)).collect();
    Ok(BoneTrace {
        base_centre: place(&ends.base),
        tip: place(&ends.tip),
        cortices: Cortices {
            one: line(&cortices.one),
            two: line(&cortices.two),
            sd_px: cortices.sd,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        },
        confidence: cortices.strength,
        doubts: doubts(cortices.strength, &ends),
    })
}

fn doubts(confidence: f64, ends: &Ends) -> Vec<TraceDoubt> {
    [
        (TraceDoubt::FaintCortices, confidence < CLEAR_STRENGTH),
        (TraceDoubt::BaseUnclear, !ends.base.is_clear()),
        (TraceDoubt::TipUnclear, !ends.tip.is_clear()),
    ]
    .into_iter()
    .filter_map(|(doubt, holds)| holds.then_some(doubt))
    .collect()
}

/// The stroke's frame, with its length in pixel widths.
#[derive(Clone, Copy, Debug)]
struct StrokeFrame {
    frame: Frame,
    length: f64,
}

/// A stroke shorter than this cannot say where a shaft runs.
const SHORTEST_STROKE_PX: f64 = 12.0;

fn stroke_frame(
    film: &GreyView<'_>,
    raster: &Raster<'_>,
    bone: LongBone,
    stroke: &Stroke,
) -> Result<StrokeFrame, TraceError> {
    if !stroke.from.is_finite() || !stroke.to.is_finite() {
        return Err(TraceError::NotANumber);
    }
    let (from, to) = (
        film.proportions.physical(stroke.from),
        film.proportions.physical(stroke.to),
    );
    if !raster.contains(from.midpoint(to)) || (to - from).length() > raster.diagonal() {
        return Err(TraceError::OutsideFilm);
    }
    let length = (to - from).length();
    let too_short = TraceError::StrokeTooShort {
        bone,
        length_px: length,
    };
    if length < SHORTEST_STROKE_PX {
        return Err(too_short);
    }
    let frame = Frame::between(from, to).ok_or(too_short)?;
    Ok(StrokeFrame { frame, length })
}

/// Both sides along the stroke, where the bone's scale is known only from the stroke's length.
fn rough_outline(raster: &Raster<'_>, shape: BoneShape, stroke: StrokeFrame) -> Option<Outline> {
    let scale = shape.scale_from_stroke(stroke.length);
    let waist = shape.waist_mm * scale;
    let off_line = 3.0 * scale;
    Search {
        frame: stroke.frame,
        along: (0.0, stroke.length),
        reach: 0.95 * waist + 2.5 * off_line,
        waist,
        widths: (0.5, 1.9),
        off_line,
        columns_per_waist: 14.0,
    }
    .outline(raster)
}

/// The outline followed along the whole bone, in a frame along the middle of the shaft.
struct WholeBone {
    outline: Outline,
    /// Width of the shaft's narrow part, in pixel widths.
    waist: f64,
    /// The stroke's middle in the frame's `u`.
    stroke_middle: f64,
}

/// Centres the frame on the shaft, then follows both sides beyond the stroke as far as a bone of this
/// width can reach.
fn whole_outline(
    raster: &Raster<'_>,
    shape: BoneShape,
    stroke: StrokeFrame,
    rough: &Outline,
) -> Option<WholeBone> {
    let mut waist = rough.waist();
    let mut frame = rough.centred_frame()?;
    let mut half_span = 0.5 * stroke.length;
    let mut outline = None;
    for round in 0..2 {
        let followed = Search {
            frame,
            along: (-half_span, half_span),
            reach: 1.3 * waist,
            waist,
            widths: (0.6, 2.2),
            off_line: 0.3 * waist,
            columns_per_waist: 20.0,
        }
        .outline(raster)?;
        waist = followed
            .between(-0.3 * stroke.length, 0.3 * stroke.length)
            .waist();
        if round == 0 {
            frame = followed.centred_frame()?;
            half_span = 0.65 * likely_length(shape, waist, stroke.length);
        }
        outline = Some(followed);
    }
    let (stroke_middle, _) = frame.coordinates(stroke.frame.point(0.5 * stroke.length, 0.0));
    Some(WholeBone {
        outline: outline?,
        waist,
        stroke_middle,
    })
}

/// The length of a bone whose shaft is so wide and whose stroke is so long.
///
/// Both say it to within a quarter or so: bones are slender or stout, and strokes cover from a half
/// to the whole of a bone. Their geometric mean errs less than either.
fn likely_length(shape: BoneShape, waist: f64, stroke: f64) -> f64 {
    let by_width = waist * shape.length_mm / shape.waist_mm;
    let by_stroke = stroke / BoneShape::USUAL_STROKE_SHARE;
    (by_width * by_stroke)
        .sqrt()
        .clamp(0.95 * stroke, 2.2 * stroke)
}

struct FoundEnd {
    contour: EndContour,
    spread: f64,
}

impl FoundEnd {
    fn is_seen(&self) -> bool {
        self.contour.strength >= LEAST_STRENGTH
    }

    fn is_clear(&self) -> bool {
        self.contour.strength >= CLEAR_STRENGTH && self.contour.lead >= CLEAR_LEAD
    }
}

/// Below this lead over the next best contour an end is ambiguous.
const CLEAR_LEAD: f64 = 0.15;

/// Standard deviation of an end's place over the bone's width there: a rounded or hollow surface has no
/// single end, and where its middle is called differs as much.
const END_SPREAD: f64 = 0.12;
/// How much larger that is where other bones overlap the end.
const OVERLAPPED: f64 = 3.0;

/// Standard deviation of an end's place; larger where other bones overlap it, and where another contour
/// would do nearly as well.
fn end_spread(contour: &EndContour, is_overlapped: bool) -> f64 {
    let overlap = if is_overlapped { OVERLAPPED } else { 1.0 };
    let ambiguity = (1.0 - contour.lead / CLEAR_LEAD).clamp(0.0, 1.0);
    (END_SPREAD * overlap * contour.width).hypot(0.5 * ambiguity * contour.rival_distance)
}

struct Ends {
    base: FoundEnd,
    tip: FoundEnd,
}

impl Ends {
    fn find(raster: &Raster<'_>, shape: BoneShape, bone: &WholeBone, stroke: f64) -> Self {
        let length = likely_length(shape, bone.waist, stroke);
        let find = |direction: Direction| {
            let shift = match direction {
                Direction::Backward => -bone.stroke_middle,
                Direction::Forward => bone.stroke_middle,
            };
            let expected = Expectation {
                at: 0.5 * length + shift,
                spread: 0.15 * length,
                nearest: 0.3 * length + shift,
                farthest: 0.8 * length + shift,
                gap: 3.0 * bone.waist / shape.waist_mm,
            };
            let contour = end_contour(raster, &bone.outline, bone.waist, direction, expected);
            let is_overlapped = direction == Direction::Backward && shape.base_is_overlapped;
            let spread = end_spread(&contour, is_overlapped);
            FoundEnd { contour, spread }
        };
        Self {
            base: find(Direction::Backward),
            tip: find(Direction::Forward),
        }
    }

    /// The part of the frame's `u` between both ends.
    fn span(&self) -> (f64, f64) {
        (self.base.contour.middle().0, self.tip.contour.middle().0)
    }
}
