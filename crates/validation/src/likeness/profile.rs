//! Grey across the first metatarsal.

use plumbray_anatomy::FilmPoint;

use super::Picture;
use crate::statistics::{mean, quantile};

/// Places of each curve.
pub const PLACES: usize = 121;

/// How far the curve across the shaft reaches to either side, in half-widths of the bone.
pub const SHAFT_REACH: f64 = 1.6;

/// How far the curve across the head reaches to either side, in mm at the detector.
pub const HEAD_REACH_MM: f64 = 16.0;

/// Along the bone, profiles are averaged over so many mm to either side.
const BAND_MM: f64 = 1.2;

/// Within this distance of the axis an outer edge of the shaft is looked for, in mm.
const EDGE_RANGE_MM: [f64; 2] = [3.0, 11.0];

/// Step of the fine profile in which edges are found, in mm.
const FINE_MM: f64 = 0.05;

/// What is seen across one first metatarsal.
pub(super) struct Across {
    pub(super) shaft: Vec<f64>,
    pub(super) head: Vec<f64>,
    pub(super) canal: f64,
    pub(super) medial_cortex: f64,
    pub(super) width_mm: f64,
    pub(super) edge_width_mm: f64,
    /// From soft tissue to the lateral cortex, in the film's grey.
    pub(super) contrast: f64,
}

/// Nothing where no shaft is seen.
pub(super) fn across(picture: &Picture) -> Option<Across> {
    let frame = Frame::of(picture)?;
    let [base, tip] = picture.first_metatarsal;
    let line = Line {
        picture,
        frame,
        at: base.toward(tip, 0.5),
    };
    let medial = line.outer_edge(-1.0)?;
    let lateral = line.outer_edge(1.0)?;
    let (middle, half) = (f64::midpoint(medial, lateral), 0.5 * (lateral - medial));
    // Between the two bones, clear of both.
    let soft = line.grey_between(lateral + 0.25 * half, lateral + 0.6 * half)?;
    let cortex = line.brightest(lateral - 0.5 * half, lateral)?;
    let contrast = cortex - soft;
    if contrast <= 0.0 {
        return None;
    }
    let relative = |grey: f64| (grey - soft) / contrast;
    let head_line = Line {
        at: picture.head_centre,
        ..line
    };
    Some(Across {
        shaft: line.curve(middle, SHAFT_REACH * half, relative)?,
        head: head_line.curve(0.0, HEAD_REACH_MM, relative)?,
        canal: relative(line.grey_between(middle - 0.15 * half, middle + 0.15 * half)?),
        medial_cortex: relative(line.brightest(medial, medial + 0.5 * half)?),
        width_mm: 2.0 * half,
        edge_width_mm: line.edge_width(lateral, half, relative)?,
        contrast,
    })
}

/// Directions of length one along the bone and across it to lateral.
#[derive(Clone, Copy)]
struct Frame {
    along: (f64, f64),
    lateral: (f64, f64),
}

impl Frame {
    fn of(picture: &Picture) -> Option<Self> {
        let [base, tip] = picture.first_metatarsal;
        let length = base.distance_px(tip);
        if !(length.is_finite() && length > 1.0) {
            return None;
        }
        let along = (
            (tip.x_px - base.x_px) / length,
            (tip.y_px - base.y_px) / length,
        );
        let across = (-along.1, along.0);
        let [other, _] = picture.second_metatarsal;
        let toward = (other.x_px - base.x_px) * across.0 + (other.y_px - base.y_px) * across.1;
        let sign = if toward < 0.0 { -1.0 } else { 1.0 };
        Some(Self {
            along,
            lateral: (sign * across.0, sign * across.1),
        })
    }
}

/// A line across the bone through a place, averaged over a band along the bone.
#[derive(Clone, Copy)]
struct Line<'a> {
    picture: &'a Picture,
    frame: Frame,
    at: FilmPoint,
}

impl Line<'_> {
    /// Grey at so many mm to lateral; nothing outside the film.
    fn grey(&self, lateral_mm: f64) -> Option<f64> {
        const LINES: i32 = 6;
        let Frame { along, lateral } = self.frame;
        let across = lateral_mm / self.picture.pixel_mm;
        let values = (-LINES..=LINES)
            .map(|line| {
                let up = BAND_MM * f64::from(line) / f64::from(LINES) / self.picture.pixel_mm;
                self.picture.grey_at(FilmPoint::new(
                    self.at.x_px + across * lateral.0 + up * along.0,
                    self.at.y_px + across * lateral.1 + up * along.1,
                ))
            })
            .collect::<Option<Vec<f64>>>()?;
        mean(&values)
    }

    fn between(&self, from_mm: f64, to_mm: f64) -> Option<Vec<(f64, f64)>> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "some hundred steps"
        )]
        let steps = ((to_mm - from_mm) / FINE_MM).clamp(1.0, 4000.0) as usize;
        (0..=steps)
            .map(|step| {
                let place = from_mm + (to_mm - from_mm) * step as f64 / steps as f64;
                Some((place, self.grey(place)?))
            })
            .collect()
    }

    /// Where grey falls most steeply going outward to one side: the outer edge of the cortex.
    fn outer_edge(&self, side: f64) -> Option<f64> {
        let [nearest, farthest] = EDGE_RANGE_MM;
        let fall = |place: f64| {
            Some(self.grey(side * (place - 0.15))? - self.grey(side * (place + 0.15))?)
        };
        let steps = 160;
        (0..=steps)
            .map(|step| nearest + (farthest - nearest) * f64::from(step) / f64::from(steps))
            .map(|place| Some((place, fall(place)?)))
            .collect::<Option<Vec<_>>>()?
            .into_iter()
            .max_by(|one, other| one.1.total_cmp(&other.1))
            .map(|(place, _)| side * place)
    }

    fn grey_between(&self, from_mm: f64, to_mm: f64) -> Option<f64> {
        let values: Vec<f64> = self
            .between(from_mm, to_mm)?
            .into_iter()
            .map(|(_, grey)| grey)
            .collect();
        quantile(&values, 0.5)
    }

    fn brightest(&self, from_mm: f64, to_mm: f64) -> Option<f64> {
        self.between(from_mm, to_mm)?
            .into_iter()
            .map(|(_, grey)| grey)
            .max_by(f64::total_cmp)
    }

    fn curve(&self, middle: f64, reach: f64, relative: impl Fn(f64) -> f64) -> Option<Vec<f64>> {
        (0..PLACES)
            .map(|place| {
                let share = 2.0 * place as f64 / (PLACES - 1) as f64 - 1.0;
                self.grey(middle + share * reach).map(&relative)
            })
            .collect()
    }

    /// From the last place with 90 % of the cortex' brightness outward to the first with 10 %.
    fn edge_width(&self, edge: f64, half: f64, relative: impl Fn(f64) -> f64) -> Option<f64> {
        let places = self.between(edge - 0.5 * half, edge + 0.6 * half)?;
        let low = places
            .iter()
            .find(|(place, grey)| *place > edge && relative(*grey) <= 0.1)?;
        let high = places
            .iter()
            .rev()
            .find(|(place, grey)| *place < low.0 && relative(*grey) >= 0.9)?;
        Some(low.0 - high.0)
    }
}
