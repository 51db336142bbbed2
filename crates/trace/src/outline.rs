//! The two sides of a bone, chosen together along a line through it.

use plumbray_anatomy::PhysicalPoint;

use crate::{
    edge::{EdgeMaps, median, quantile},
    line_fit,
    path::{Stiffness, best_pair},
    raster::{Raster, count_from},
    strip::{Frame, Ruler, straightened},
};

/// Where, and for how wide a bone, to look for its two sides. Lengths in pixel widths.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Search {
    pub(crate) frame: Frame,
    /// The piece of the line along which to look.
    pub(crate) along: (f64, f64),
    /// How far to each side of the line.
    pub(crate) reach: f64,
    /// The width that is expected.
    pub(crate) waist: f64,
    /// The narrowest and widest that is possible, over the expected width.
    pub(crate) widths: (f64, f64),
    /// How far the middle of the bone usually lies from the line.
    pub(crate) off_line: f64,
    /// Columns per expected width.
    pub(crate) columns_per_waist: f64,
}

/// Both sides of a bone at equal steps along a frame.
#[derive(Clone, Debug)]
pub(crate) struct Outline {
    pub(crate) frame: Frame,
    pub(crate) along: Ruler,
    /// The side at smaller `v`, at each place along.
    pub(crate) one: Vec<f64>,
    /// The side at larger `v`.
    pub(crate) two: Vec<f64>,
    /// Strength of the weaker of both edges at each place, from 0 to 1.
    pub(crate) strength: Vec<f64>,
    /// The steepest slopes over those of noise alone: about 2 where there is nothing but noise.
    pub(crate) contrast: f64,
}

/// How much an unusual width costs per profile at one standard deviation, and an unusual place.
const PLAUSIBILITY_COST: f64 = 0.15;
/// Standard deviation of the logarithm of a bone's width about the expected one.
const WIDTH_SPREAD: f64 = 0.35;

impl Search {
    /// The pair of sides that fits best; nothing when none is possible.
    pub(crate) fn outline(&self, raster: &Raster<'_>) -> Option<Outline> {
        let step = self.waist / self.columns_per_waist;
        let half_count = count_from(self.reach / step, 8, 70) as f64;
        let across = Ruler::spanning(-half_count * step, half_count * step, step, 16);
        let along = Ruler::spanning(self.along.0, self.along.1, 2.0 * step, 8);
        let strip = straightened(raster, &self.frame, along, across);
        let edges = EdgeMaps::new(&strip, 1.3, 1.3);
        let margin = count_from(0.15 * self.columns_per_waist, 2, 8);
        let score = |row: usize, one: usize, two: usize| {
            let width = (two as f64 - one as f64) * step / self.waist;
            if two <= one || width < self.widths.0 || width > self.widths.1 {
                return f64::NEG_INFINITY;
            }
            let unusual_width = width.ln() / WIDTH_SPREAD;
            let centre = f64::midpoint(across.at(one), across.at(two));
            let unusual_place = centre / self.off_line;
            edges.pair(row, one, two, margin)
                - 0.5
                    * PLAUSIBILITY_COST
                    * (unusual_width * unusual_width + unusual_place * unusual_place)
        };
        let stiffness = Stiffness {
            bend_cost: 0.08,
            most_move: 3,
        };
        let pairs = best_pair(along.count, across.count, stiffness, score)?;
        let strength = |(row, pair): (usize, &(usize, usize))| {
            edges
                .rising
                .at(row, pair.0)
                .min(edges.falling.at(row, pair.1))
        };
        Some(Outline {
            frame: self.frame,
            along,
            one: pairs.iter().map(|pair| across.at(pair.0)).collect(),
            two: pairs.iter().map(|pair| across.at(pair.1)).collect(),
            strength: pairs.iter().enumerate().map(strength).collect(),
            contrast: edges.contrast,
        })
    }
}

impl Outline {
    /// The width at a place along.
    pub(crate) fn width(&self, index: usize) -> f64 {
        self.two[index] - self.one[index]
    }

    /// The width of the narrow part of the shaft: a low quantile, so that flares do not count.
    pub(crate) fn waist(&self) -> f64 {
        let widths: Vec<f64> = (0..self.along.count)
            .map(|index| self.width(index))
            .collect();
        quantile(&widths, 0.25)
    }

    /// How well both edges are seen, from 0 to 1: the middle of the strengths along the shaft.
    pub(crate) fn typical_strength(&self) -> f64 {
        median(&self.strength)
    }

    /// The same outline over the part of the line between two places.
    pub(crate) fn between(&self, from: f64, to: f64) -> Self {
        let first = self.along.nearest(from);
        let last = self.along.nearest(to).max(first);
        let part = |values: &[f64]| values[first..=last].to_vec();
        Self {
            frame: self.frame,
            along: Ruler {
                start: self.along.at(first),
                step: self.along.step,
                count: last - first + 1,
            },
            one: part(&self.one),
            two: part(&self.two),
            strength: part(&self.strength),
            contrast: self.contrast,
        }
    }

    /// A frame along the middle of the outline, in the same direction, with its origin at the middle.
    ///
    /// Where one edge was seen poorly, the place counts less; far-off midpoints hardly at all.
    pub(crate) fn centred_frame(&self) -> Option<Frame> {
        let middles: Vec<(f64, f64)> = (0..self.along.count)
            .map(|index| {
                (
                    self.along.at(index),
                    f64::midpoint(self.one[index], self.two[index]),
                )
            })
            .collect();
        let line = line_fit::robust_line(&middles, &self.strength)?;
        let ends = [self.along.at(0), self.along.at(self.along.count - 1)];
        let point = |u: f64| -> PhysicalPoint { self.frame.point(u, line.at(u)) };
        let frame = Frame::between(point(ends[0]), point(ends[1]))?;
        Some(Frame {
            origin: point(f64::midpoint(ends[0], ends[1])),
            ..frame
        })
    }
}
