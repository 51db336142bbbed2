//! How far the readers of some studies agree, with each other and with themselves: the numbers behind
//! `plumbray agreement` and the page of the same name.

mod data;
mod grades;
mod numbers;
mod own;
mod paper;
mod plots;
mod readings;
mod sentences;
mod statistic;
mod studies;
mod words;

use std::{path::PathBuf, sync::Arc};

use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement, Unit};
use plumbray_report::LimitsPlot;

pub(crate) use data::{json, table};
pub(crate) use own::Keepable;
pub(crate) use paper::agreement_pdf;
pub(crate) use readings::MeasuredReadings;
use sentences::Told;
pub(crate) use statistic::Statistic;
pub(crate) use studies::{Gathered, NO_NAME, ReaderCounts};
pub(crate) use words::{Card, Line, heading_of, lines_of, one_value_words};

/// What is judged unless something else is asked for.
pub(crate) const USUAL: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidGrade,
];

/// What stands under every table, since the statistics presume it and no study can tell.
pub(crate) const PRESUMED: &str = "Each film counts as a foot of its own: two films of one foot make agreement look surer than it is.";

/// What is asked of the readers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Asked {
    pub measurements: Vec<Measurement>,
    /// The axes for every tracing; nothing for each study's own.
    pub convention: Option<AxisConvention>,
    /// Which of a reader's readings of one film counts between readers.
    pub one_value: OneValue,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            measurements: USUAL.to_vec(),
            convention: None,
            one_value: OneValue::First,
        }
    }
}

/// How one measurement fares among the readers.
#[derive(Debug)]
pub(crate) struct MeasurementAgreement {
    pub measurement: Measurement,
    pub readings: MeasuredReadings,
    pub statistics: Vec<Statistic>,
    /// The differences of every two readers who have limits of agreement.
    pub plots: Vec<LimitsPlot>,
}

/// Everything that is told.
#[derive(Debug)]
pub(crate) struct Agreement {
    pub gathered: Arc<Gathered>,
    pub one_value: OneValue,
    pub measurements: Vec<MeasurementAgreement>,
}

impl Agreement {
    /// Measures every tracing and works out the statistics. Takes a while with many studies: call it on a worker.
    pub(crate) fn of(gathered: &Arc<Gathered>, asked: &Asked) -> Self {
        let judged =
            |measurement: &Measurement| MeasurementAgreement::of(gathered, *measurement, asked);
        Self {
            gathered: Arc::clone(gathered),
            one_value: asked.one_value,
            measurements: asked.measurements.iter().map(judged).collect(),
        }
    }

    /// The files that nothing may take the place of: the studies and their films.
    pub(crate) fn files_read(&self) -> Vec<PathBuf> {
        let studies = self.gathered.studies.iter();
        let mut read = self.gathered.film_paths();
        read.extend(studies.map(|study| study.path.clone()));
        read
    }
}

impl MeasurementAgreement {
    fn of(gathered: &Gathered, measurement: Measurement, asked: &Asked) -> Self {
        let mut readings = readings::measured_readings(gathered, measurement, asked.convention);
        let readers = &gathered.readers;
        let (statistics, plots) = match categories(measurement) {
            Some(categories) => (
                grades::statistics(&mut readings, &categories, readers),
                Vec::new(),
            ),
            None => (
                numbers::statistics(&mut readings, asked.one_value, readers),
                plots::plots(&readings, measurement.unit(), asked.one_value, readers),
            ),
        };
        Self {
            measurement,
            readings,
            statistics,
            plots,
        }
    }
}

/// The values that a position or a grade can have, in their order; nothing for a number.
fn categories(measurement: Measurement) -> Option<Vec<f64>> {
    match measurement.unit() {
        Unit::Grade => Some((0..=3).map(f64::from).collect()),
        Unit::Position => Some((1..=7).map(f64::from).collect()),
        Unit::Degrees | Unit::Millimetres | Unit::Ratio | Unit::PerCent => None,
    }
}
