//! Cortices whose course is already known to a millimetre, found to a fraction of a pixel.

use plumbray_anatomy::{Cortices, FilmPoint, Origin, PhysicalPoint};
use plumbray_film::GreyView;

use crate::{
    cortex_edge,
    outline::Outline,
    raster::Raster,
    strip::{Frame, Ruler},
};

/// Rows to the width of the shaft.
const ROWS_PER_WAIST: f64 = 10.0;
/// Fewer rows than this along a shaft are too few to smooth over.
const LEAST_ROWS: usize = 8;

/// Moves both cortices of a shaft to the steepest edge of the film near them.
///
/// Each is a line of points from proximal to distal, at most a sixth of the shaft's width off. The two
/// must face each other and run one way. Nothing comes back when they do not, or the film cannot be used.
#[must_use]
pub fn refine_cortices(film: &GreyView<'_>, cortices: [&[FilmPoint]; 2]) -> Option<Cortices> {
    let raster = Raster::new(film).ok()?;
    let [one, two] = cortices.map(|line| -> Vec<PhysicalPoint> {
        line.iter()
            .map(|point| film.proportions.physical(*point))
            .collect()
    });
    let base = one.first()?.midpoint(*two.first()?);
    let tip = one.last()?.midpoint(*two.last()?);
    let frame = Frame::between(base, tip)?;
    let places = |line: &[PhysicalPoint]| -> Vec<(f64, f64)> {
        line.iter().map(|point| frame.coordinates(*point)).collect()
    };
    let (mut one, mut two) = (places(&one), places(&two));
    // The side at smaller `v` is the first.
    let is_exchanged = mean_v(&one) > mean_v(&two);
    if is_exchanged {
        std::mem::swap(&mut one, &mut two);
    }
    let span = (
        one.first()?.0.max(two.first()?.0),
        one.last()?.0.min(two.last()?.0),
    );
    let waist = waist(&one, &two)?;
    let step = waist / ROWS_PER_WAIST;
    if !step.is_finite() || step <= 0.0 || span.1 - span.0 < LEAST_ROWS as f64 * step {
        return None;
    }
    let along = Ruler::spanning(span.0, span.1, step, LEAST_ROWS);
    let side = |line: &[(f64, f64)]| -> Vec<f64> {
        (0..along.count)
            .map(|index| interpolated(line, along.at(index)))
            .collect()
    };
    let outline = Outline {
        frame,
        along,
        one: side(&one),
        two: side(&two),
        strength: vec![1.0; along.count],
        contrast: 0.0,
    };
    let refined = cortex_edge::refined(&raster, &outline, waist, span)?;
    let line = |side: &[(f64, f64)]| {
        side.iter()
            .map(|(u, v)| film.proportions.film(frame.point(*u, *v)))
            .collect()
    };
    let (mut one, mut two) = (line(&refined.one), line(&refined.two));
    if is_exchanged {
        std::mem::swap(&mut one, &mut two);
    }
    Some(Cortices {
        one,
        two,
        sd_px: refined.sd,
        together_sd_px: 0.0,
        proximal_sd_px: None,
        origin: Origin::Snapped,
    })
}

fn mean_v(line: &[(f64, f64)]) -> f64 {
    line.iter().map(|(_, v)| v).sum::<f64>() / line.len().max(1) as f64
}

/// The width in the middle half of the shaft, on average.
fn waist(one: &[(f64, f64)], two: &[(f64, f64)]) -> Option<f64> {
    let (first, last) = (one.first()?.0, one.last()?.0);
    let widths: Vec<f64> = (1..8)
        .map(|part| first + (0.25 + 0.5 * f64::from(part) / 8.0) * (last - first))
        .map(|u| interpolated(two, u) - interpolated(one, u))
        .collect();
    let mean = widths.iter().sum::<f64>() / widths.len() as f64;
    (mean > 0.0).then_some(mean)
}

/// The `v` of a line at a `u`; that of its nearer end beyond its ends.
fn interpolated(line: &[(f64, f64)], u: f64) -> f64 {
    let after = line.partition_point(|place| place.0 < u);
    let (Some(before), Some(next)) = (
        after.checked_sub(1).map(|index| line[index]),
        line.get(after),
    ) else {
        let nearest = if after == 0 {
            line.first()
        } else {
            line.last()
        };
        return nearest.map_or(0.0, |place| place.1);
    };
    let way = next.0 - before.0;
    if way <= 0.0 {
        return before.1;
    }
    before.1 + (u - before.0) / way * (next.1 - before.1)
}
