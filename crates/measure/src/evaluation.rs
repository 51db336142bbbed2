//! One measurement on its way from the tracing to a reading.

use std::collections::BTreeMap;

use plumbray_anatomy::{LongBone, View};

use crate::{
    axis::{Axis, AxisChoice},
    catalogue::Measurement,
    construction::Construction,
    convention::AxisConvention,
    derivative::{Coordinate, Scalar, Slope, Tape},
    foot::{Choices, Foot},
    influence::{Influence, Part, Sensitivity, Source},
    normal_distribution::TWO_SIDED_95,
    outcome::{Outcome, Reading, Remark},
    own_spread::OwnSpread,
    placed::{Gap, PlacedFilm},
    sesamoids::Scale,
    severity::ReaderError,
};

/// What one measurement has to go by.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Evaluation<'a, 't> {
    foot: &'a Foot<'a>,
    tape: &'t Tape,
    /// How axes are laid.
    pub(crate) axes: AxisChoice,
    /// How well a reader repeats an angle.
    pub(crate) reader_error: ReaderError,
}

impl<'a, 't> Evaluation<'a, 't> {
    /// A measurement of this foot by this convention.
    pub(crate) fn new(
        foot: &'a Foot<'a>,
        choices: &Choices,
        convention: AxisConvention,
        tape: &'t Tape,
    ) -> Self {
        Self {
            foot,
            tape,
            axes: AxisChoice {
                convention,
                levels_mm: choices.levels_mm,
                operated: foot.operated,
            },
            reader_error: choices
                .reader_error
                .with_own(&choices.own_spread, convention),
        }
    }

    /// The film of this view.
    pub(crate) fn film(&self, view: View) -> Result<PlacedFilm<'a, 't>, Gap> {
        PlacedFilm::of(self.foot, view, self.tape)
    }
}

/// A number with what it was made from, before its derivatives are asked for.
#[derive(Debug)]
pub(crate) struct Finding<'t> {
    /// The number, in the unit of its measurement; for a sesamoid the share in per cent, not yet
    /// limited to 0 to 100.
    pub(crate) value: Scalar<'t>,
    /// How that number is shown.
    pub(crate) scale: Scale,
    /// Standard deviation from a reader's error, in the number's unit, for the probabilities of classes;
    /// without it there are none.
    pub(crate) reader_sd: Option<f64>,
    /// Standard deviation of the reader's own readings of one film, in the number's unit, where it is known.
    pub(crate) own_sd: Option<f64>,
    /// The convention of its axes.
    pub(crate) convention: Option<AxisConvention>,
    /// The calibration of its millimetres.
    pub(crate) calibration_name: Option<String>,
    /// What the window draws.
    pub(crate) construction: Construction,
    /// What the reader should know.
    pub(crate) remarks: Vec<Remark>,
}

impl<'t> Finding<'t> {
    /// An angle in degrees from one in radians.
    pub(crate) fn degrees(radians: Scalar<'t>) -> Self {
        Self::plain(radians * 1f64.to_degrees())
    }

    /// A number that is shown as it is.
    pub(crate) fn plain(value: Scalar<'t>) -> Self {
        Self {
            value,
            scale: Scale::Plain,
            reader_sd: None,
            own_sd: None,
            convention: None,
            calibration_name: None,
            construction: Construction::default(),
            remarks: Vec::new(),
        }
    }

    /// The same with the axes that it was made from: their convention, remarks and lines.
    ///
    /// The convention is that of the first metatarsal where it takes part, else the one by which the
    /// other bones really went.
    pub(crate) fn by_axes<const N: usize>(
        mut self,
        axes: &AxisChoice,
        film: &PlacedFilm<'_, '_>,
        laid: [&Axis<'_>; N],
    ) -> Self {
        let has_first_metatarsal = laid.iter().any(|axis| axis.bone == LongBone::M1);
        self.convention = Some(if has_first_metatarsal {
            axes.convention
        } else {
            axes.convention.for_bone(LongBone::M2)
        });
        for axis in laid {
            self.construction.lines.extend(axis.lines(film));
            self.construction
                .points
                .extend(axis.marks.iter().map(|mark| film.on_film(*mark)));
            self.remarks.extend(axis.remark.filter(|remark| {
                has_first_metatarsal || !matches!(remark, Remark::ByTheQuarters(_))
            }));
        }
        self
    }

    /// The same with the reader's own spread of this measurement, where it was found by the same axes.
    pub(crate) fn by_reader(self, own: &OwnSpread, measurement: Measurement) -> Self {
        Self {
            own_sd: own.sd(measurement, self.convention),
            ..self
        }
    }

    /// The reading: value, spread, interval and where the spread comes from.
    ///
    /// Every construction checks its own input; that neither number is infinite is checked once more
    /// here, because a number that is none must never be shown.
    pub(crate) fn outcome(self, tape: &Tape) -> Outcome {
        let slopes = tape.slopes(self.value);
        let variance: f64 = slopes.iter().map(variance_of).sum();
        let value = self.value.value();
        if value.is_finite() && variance.is_finite() {
            Outcome::Value(Box::new(self.reading(&slopes, variance)))
        } else {
            Outcome::Degenerate {
                landmarks: influences(&slopes, variance)
                    .iter()
                    .map(|influence| influence.part.name().to_owned())
                    .collect(),
                reason: "these points give no number; place them again".to_owned(),
            }
        }
    }

    fn reading(self, slopes: &[Slope], variance: f64) -> Reading {
        let value = self.value.value();
        let sd = variance.sqrt();
        let classes = self.classes(sd);
        let half_width = TWO_SIDED_95 * sd.hypot(self.own_sd.unwrap_or(0.0));
        let shown = |number| self.scale.shown(number);
        Reading {
            value: shown(value),
            sd,
            own_sd: self.own_sd,
            interval: (shown(value - half_width), shown(value + half_width)),
            convention: self.convention,
            calibration_name: self.calibration_name,
            influences: influences(slopes, variance),
            sensitivities: sensitivities(slopes, variance),
            construction: self.construction,
            classes,
            remarks: self.remarks,
        }
    }
}

impl Finding<'_> {
    /// The probability of each class, by the spread of this tracing and the reader's error.
    fn classes(&self, sd: f64) -> Vec<(&'static str, f64)> {
        self.reader_sd.map_or_else(Vec::new, |reader_sd| {
            self.scale.classes(self.value.value(), sd.hypot(reader_sd))
        })
    }
}

fn variance_of(slope: &Slope) -> f64 {
    (slope.slope * slope.sd).powi(2)
}

fn share_of(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

fn influences(slopes: &[Slope], variance: f64) -> Vec<Influence> {
    let mut by_part: BTreeMap<Part, f64> = BTreeMap::new();
    for slope in slopes.iter().filter(|slope| slope.slope != 0.0) {
        *by_part.entry(slope.source.part()).or_default() += variance_of(slope);
    }
    let mut influences: Vec<Influence> = by_part
        .into_iter()
        .map(|(part, of_part)| Influence {
            part,
            share: share_of(of_part, variance),
        })
        .collect();
    influences.sort_by(|one, other| other.share.total_cmp(&one.share));
    influences
}

fn sensitivities(slopes: &[Slope], variance: f64) -> Vec<Sensitivity> {
    let mut by_source: BTreeMap<Source, Sensitivity> = BTreeMap::new();
    for slope in slopes {
        let entry = by_source.entry(slope.source).or_insert(Sensitivity {
            source: slope.source,
            per_x: 0.0,
            per_y: 0.0,
            sd: slope.sd,
            share: 0.0,
        });
        match slope.coordinate {
            Coordinate::X => entry.per_x = slope.slope,
            Coordinate::Y => entry.per_y = slope.slope,
        }
        entry.share += share_of(variance_of(slope), variance);
    }
    by_source
        .into_values()
        .filter(|sensitivity| sensitivity.per_x != 0.0 || sensitivity.per_y != 0.0)
        .collect()
}
