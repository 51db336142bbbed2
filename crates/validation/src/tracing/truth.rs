//! A film as pixels, with everything that is true of it and the places where rough readers point.

use std::collections::BTreeMap;

use anyhow::{Context, Result};
use plumbray_anatomy::{
    Calibration, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, Proportions,
    Sesamoid, Side, View,
};
use plumbray_film::GreyView;
use plumbray_measure::{Choices, LineRole, Measurement, Reading, Unit, measure};
use plumbray_phantom::SimulatedFilm;
use plumbray_proposal::Hints;

use crate::{accuracy::measured, quality::Quality, real_film::RealFilm, requested::true_tracing};

/// What is true of a film.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// The direction from which it was taken.
    pub view: View,
    /// Which foot it shows.
    pub side: Side,
    /// The size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
    /// The landmarks and outlines.
    pub tracing: FilmTracing,
    /// Every number that needs no calibration, by its default convention.
    pub numbers: BTreeMap<Measurement, f64>,
    /// The axes of the bones of the first ray and of the second metatarsal, by the default convention,
    /// proximal end first.
    pub axes: BTreeMap<LongBone, [FilmPoint; 2]>,
}

impl Truth {
    /// The truth that follows from the true outlines.
    #[must_use]
    pub fn of_tracing(view: View, side: Side, pixel_mm: f64, tracing: FilmTracing) -> Self {
        let readings = readings(view, &tracing);
        Self {
            view,
            side,
            pixel_mm,
            axes: axes(&readings),
            numbers: readings
                .into_iter()
                .map(|(measurement, reading)| (measurement, reading.value))
                .collect(),
            tracing,
        }
    }
}

/// The bones whose axis direction is judged.
pub const AXES: [LongBone; 3] = [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx];

/// Every number of a tracing that needs no calibration, by its default convention.
#[must_use]
pub fn readings(view: View, tracing: &FilmTracing) -> BTreeMap<Measurement, Reading> {
    let uncalibrated: Option<&Calibration> = None;
    let foot = measured(view, tracing, uncalibrated);
    Measurement::ALL
        .into_iter()
        .filter(|one| one.view() == view && one.unit() != Unit::Millimetres)
        .filter_map(|one| {
            let outcome = measure(&foot, &Choices::default(), one);
            Some((one, outcome.reading()?.clone()))
        })
        .collect()
}

/// The axes that stand behind the angles of an AP film.
#[must_use]
pub fn axes(readings: &BTreeMap<Measurement, Reading>) -> BTreeMap<LongBone, [FilmPoint; 2]> {
    [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ]
    .into_iter()
    .filter_map(|measurement| readings.get(&measurement))
    .flat_map(|reading| &reading.construction.lines)
    .filter_map(|line| match line.role {
        LineRole::Axis(bone) if AXES.contains(&bone) => Some((bone, [line.from, line.to])),
        _ => None,
    })
    .collect()
}

/// A film whose truth is known.
#[derive(Clone, Debug)]
pub struct KnownFilm {
    /// Number of columns.
    pub width: usize,
    /// Number of rows.
    pub height: usize,
    /// The pixels, row by row from the top.
    pub samples: Vec<u16>,
    /// Whether bone has larger samples than air.
    pub bone_is_bright: bool,
    /// What is true of it.
    pub truth: Truth,
    /// Where each rough reader points.
    pub hints: Vec<Hints>,
}

impl KnownFilm {
    /// A simulated film of this quality.
    ///
    /// # Errors
    /// When there is no foot on it or its lossy copy cannot be made.
    pub fn simulated(film: &SimulatedFilm, quality: Quality, hints: Vec<Hints>) -> Result<Self> {
        let tracing = true_tracing(&film.truth)?;
        let foot = film.truth.feet.first().context("a film without a foot")?;
        let pixel_mm = film.truth.exposure.pixel_mm;
        Ok(Self {
            width: film.width,
            height: film.height,
            samples: quality.samples(film)?,
            bone_is_bright: true,
            truth: Truth::of_tracing(film.truth.view, foot.side, pixel_mm, tracing),
            hints,
        })
    }

    /// A film of a real foot: its truth has points, axes and two angles, but no outlines.
    ///
    /// # Errors
    /// When its truth lacks one of them.
    pub fn real(film: RealFilm) -> Result<Self> {
        let truth = real_truth(&film)?;
        let grey = film.grey();
        Ok(Self {
            width: grey.width,
            height: grey.height,
            bone_is_bright: grey.bone_is_bright,
            samples: grey.samples.to_vec(),
            truth,
            hints: film.hints,
        })
    }

    /// The pixels, for tracing.
    #[must_use]
    pub fn grey(&self) -> GreyView<'_> {
        GreyView {
            width: self.width,
            height: self.height,
            samples: &self.samples,
            bone_is_bright: self.bone_is_bright,
            proportions: Proportions::SQUARE,
        }
    }
}

fn real_truth(film: &RealFilm) -> Result<Truth> {
    let mut tracing = FilmTracing::default();
    let mut put = |landmark: Landmark, name: &str| -> Result<()> {
        let placed = PlacedPoint {
            at: film.point(name)?,
            sd_px: 0.0,
            origin: Origin::Imported,
        };
        tracing.points.insert(landmark, placed);
        Ok(())
    };
    for bone in LongBone::ALL {
        // The fifth metatarsal has no truth: it is one shell with its neighbours.
        if bone != LongBone::M5 {
            for landmark in [Landmark::BaseCentre(bone), Landmark::Tip(bone)] {
                put(landmark, &landmark.identifier())?;
            }
        }
    }
    for sesamoid in Sesamoid::ALL {
        let centre = Landmark::SesamoidCentre(sesamoid);
        put(centre, &centre.identifier())?;
    }
    put(Landmark::HeadCentre, "m1_head_centre_3d_sphere")?;
    let axes = AXES
        .into_iter()
        .map(|bone| {
            Ok((
                bone,
                film.axis(&format!("{}_axis_quarters", bone.identifier()))?,
            ))
        })
        .collect::<Result<_>>()?;
    let numbers = [
        (Measurement::HalluxValgusAngle, "hva_quarters"),
        (Measurement::IntermetatarsalAngle12, "ima_quarters"),
    ]
    .into_iter()
    .map(|(measurement, name)| Ok((measurement, film.angle(name)?)))
    .collect::<Result<_>>()?;
    Ok(Truth {
        view: View::Ap,
        side: film.side(),
        pixel_mm: film.pixel_mm()?,
        tracing,
        numbers,
        axes,
    })
}
