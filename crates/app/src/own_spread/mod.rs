//! How well a reader repeats himself, as `plumbray agreement` found it, kept so that worksheets can hold it.

mod file;

use jiff::civil::Date;
use plumbray_measure::{
    AxisConvention, Choices, Measurement, OwnDeviation, OwnSpread, Reading, TWO_SIDED_95, Unit,
    Worksheet,
};
use plumbray_report::number;
use plumbray_study::Study;
use serde::{Deserialize, Serialize};

pub use file::{KeptSpreads, SpreadFileError};

use crate::{
    words::{counted, decimals_of},
    workbench::choices_of,
};

/// Fewer degrees of freedom (readings less films) are no ground for an interval. Ours: with ten, the 95 % interval of a
/// standard deviation reaches from 0.70 to 1.75 times what was found (χ² 20.483 and 3.247), with five from 0.62 to 2.45
/// times.
pub const LEAST_DEGREES_OF_FREEDOM: usize = 10;

/// One reader's spread of one measurement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeptSpread {
    /// Which, by its identifier.
    pub measurement: String,
    /// By which axes it was read, by their identifier; nothing where no axis is laid.
    pub convention: Option<String>,
    /// The within-subject standard deviation, in the unit of the measurement; above 0.
    pub sd: f64,
    /// How many films were read more than once.
    pub films: usize,
    /// How often they were read in all.
    pub readings: usize,
    /// The day on which it was kept.
    #[serde(with = "file::day_in_words")]
    pub kept_on: Date,
}

/// What is kept of one reader.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct KeptOfReader {
    /// The reader's name, as the studies have it.
    pub reader: String,
    /// Each measurement once.
    pub spreads: Vec<KeptSpread>,
}

impl KeptSpread {
    /// The measurement; nothing where this version knows none of that name.
    #[must_use]
    pub fn measurement(&self) -> Option<Measurement> {
        Measurement::from_identifier(&self.measurement)
    }

    /// The axes by which it was read.
    #[must_use]
    pub fn axes(&self) -> Option<AxisConvention> {
        AxisConvention::from_identifier(self.convention.as_deref()?)
    }

    /// What it is and where it comes from: "1.3° from 12 films read twice, 2026-11-28".
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {}", self.words_without_day(), self.kept_on)
    }

    /// The same without the day on which it was kept, for what names nobody: "1.3° from 12 films read twice".
    #[must_use]
    pub(crate) fn words_without_day(&self) -> String {
        let unit = self.measurement().map_or(Unit::Ratio, Measurement::unit);
        format!(
            "{} from {}",
            number::in_unit(unit, self.sd, decimals_of(unit)),
            films_in_words(self.films, self.readings)
        )
    }
}

/// On how much a spread stands: "12 films read twice", "12 films read 27 times in all".
#[must_use]
pub(crate) fn films_in_words(films: usize, readings: usize) -> String {
    let counted = counted(films, "film", "films");
    if readings == 2 * films {
        format!("{counted} read twice")
    } else if readings == 3 * films {
        format!("{counted} read three times")
    } else {
        format!("{counted} read {readings} times in all")
    }
}

impl KeptOfReader {
    /// As the engine takes it. What this version does not know is left out.
    #[must_use]
    pub fn own_spread(&self) -> OwnSpread {
        self.spreads.iter().fold(OwnSpread::NONE, |own, kept| {
            let with = kept.measurement().and_then(|measurement| {
                let deviation = OwnDeviation {
                    sd: kept.sd,
                    convention: kept.axes(),
                };
                own.with(measurement, deviation)
            });
            with.unwrap_or(own)
        })
    }

    /// What is kept of a measurement.
    #[must_use]
    pub fn of(&self, measurement: Measurement) -> Option<&KeptSpread> {
        let mut spreads = self.spreads.iter();
        spreads.find(|kept| kept.measurement == measurement.identifier())
    }

    /// What a person should know beside a row: whose spread its interval holds and how it widened it, or why it does
    /// not. Nothing where none is kept.
    #[must_use]
    pub fn about(&self, measurement: Measurement, reading: &Reading) -> Option<String> {
        let kept = self.of(measurement)?;
        if reading.own_sd.is_none() {
            let axes = kept.axes().map_or("no axes", AxisConvention::name);
            return Some(format!(
                "{}’s own spread ({}) was found by {axes}, so it does not count by other axes.",
                self.reader,
                kept.words()
            ));
        }
        let unit = measurement.unit();
        let half = |sd: f64| match unit {
            Unit::Ratio => number::plain(TWO_SIDED_95 * sd, 3),
            _ => number::in_unit(unit, TWO_SIDED_95 * sd, 1),
        };
        Some(format!(
            "{}’s own spread: {}. It widened the interval from ± {} by this tracing alone to ± {}.",
            self.reader,
            kept.words(),
            half(reading.sd),
            half(reading.interval_sd())
        ))
    }

    /// The rows whose interval holds the reader's own spread, each with what is kept of it.
    pub(crate) fn held_by<'a>(
        &'a self,
        worksheet: &'a Worksheet,
    ) -> impl Iterator<Item = (Measurement, &'a KeptSpread)> {
        let rows = worksheet.rows.iter();
        rows.filter(|row| {
            let reading = row.outcome.reading();
            reading.is_some_and(|reading| reading.own_sd.is_some())
        })
        .filter_map(|row| Some((row.measurement, self.of(row.measurement)?)))
    }

    /// What a sheet says below its rows of those whose interval holds the reader's own spread; of whom, and since when
    /// it is kept, only where the sheet may tell the reader.
    #[must_use]
    pub(crate) fn sheet_lines(
        &self,
        worksheet: &Worksheet,
        chosen: &[Measurement],
        tells_reader: bool,
    ) -> Vec<String> {
        let told: Vec<String> = self
            .held_by(worksheet)
            .filter(|(measurement, _)| chosen.contains(measurement))
            .map(|(measurement, kept)| {
                let words = if tells_reader {
                    kept.words()
                } else {
                    kept.words_without_day()
                };
                format!("{}, {words}", measurement.name())
            })
            .collect();
        if told.is_empty() {
            return Vec::new();
        }
        let whose = if tells_reader {
            self.reader.as_str()
        } else {
            "the reader"
        };
        vec![format!(
            "The ± of these holds the own spread of {whose} (one standard deviation) beside that of the tracing: {}.",
            told.join("; ")
        )]
    }
}

/// The choices of a study's reader, who may have a spread of his own.
#[must_use]
pub(crate) fn choices_by(study: &Study, reader: Option<&KeptOfReader>) -> Choices {
    Choices {
        own_spread: reader.map_or(OwnSpread::NONE, KeptOfReader::own_spread),
        ..choices_of(study)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn films_are_counted_in_words() {
        for (films, readings, words) in [
            (12, 24, "12 films read twice"),
            (6, 18, "6 films read three times"),
            (12, 27, "12 films read 27 times in all"),
            (1, 12, "1 film read 12 times in all"),
        ] {
            assert_eq!(
                films_in_words(films, readings),
                words,
                "{films}, {readings}"
            );
        }
    }

    fn kept(convention: AxisConvention) -> KeptOfReader {
        KeptOfReader {
            reader: "Ann".to_owned(),
            spreads: vec![KeptSpread {
                measurement: "hallux_valgus_angle".to_owned(),
                convention: Some(convention.identifier().to_owned()),
                sd: 1.3,
                films: 12,
                readings: 24,
                kept_on: jiff::civil::date(2026, 11, 28),
            }],
        }
    }

    fn reading(own_sd: Option<f64>) -> Reading {
        Reading {
            value: 30.0,
            sd: 0.5,
            own_sd,
            interval: (29.0, 31.0),
            convention: Some(AxisConvention::HeadBase),
            calibration_name: None,
            influences: Vec::new(),
            sensitivities: Vec::new(),
            construction: plumbray_measure::Construction::default(),
            classes: Vec::new(),
            remarks: Vec::new(),
        }
    }

    #[test]
    fn a_row_says_where_its_spread_comes_from_and_what_it_widened() {
        let kept = kept(AxisConvention::HeadBase);
        let words = kept
            .about(Measurement::HalluxValgusAngle, &reading(Some(1.3)))
            .expect("kept");
        // 1.96 · 0.5 = 0.98 and 1.96 · √(0.25 + 1.69) = 2.73.
        assert_eq!(
            words,
            "Ann’s own spread: 1.3° from 12 films read twice, 2026-11-28. It widened the interval from ± 1.0° by this \
             tracing alone to ± 2.7°.",
            "in words"
        );
        let other = kept.about(Measurement::IntermetatarsalAngle12, &reading(None));
        assert_eq!(other, None, "nothing is kept of another row");
    }

    #[test]
    fn a_spread_by_other_axes_says_that_it_does_not_count() {
        let words = kept(AxisConvention::MidDiaphysealQuarters)
            .about(Measurement::HalluxValgusAngle, &reading(None))
            .expect("kept");
        assert!(words.contains("does not count by other axes"), "{words}");
    }

    #[test]
    fn what_the_engine_is_given_is_what_was_kept() {
        let own = kept(AxisConvention::HeadBase).own_spread();
        let sd = own.sd(
            Measurement::HalluxValgusAngle,
            Some(AxisConvention::HeadBase),
        );
        assert_eq!(sd, Some(1.3), "its spread");
        assert_eq!(own.measurements().len(), 1, "nothing else");
    }
}
