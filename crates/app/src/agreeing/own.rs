//! What a reader can keep as his own spread, or why nothing.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use plumbray_agreement::{USUAL_MULTIPLIER, within_subject};
use plumbray_measure::AxisConvention;

use super::{Agreement, MeasurementAgreement, NO_NAME, numbers::repeats_of, statistic::LEVEL};
use crate::own_spread::{KeptSpread, LEAST_DEGREES_OF_FREEDOM};

/// What a reader can keep of all that was judged, and what not, a sentence each.
#[derive(Debug)]
pub(crate) struct Keepable {
    pub spreads: Vec<KeptSpread>,
    pub refused: Vec<String>,
}

impl Agreement {
    /// What a reader of this name can keep on this day.
    ///
    /// # Errors
    /// When there is no such reader among the studies, or the reader has no name.
    pub(crate) fn keepable(&self, reader: &str, day: Date) -> Result<Keepable, String> {
        let reader = reader.trim();
        if reader.is_empty() || reader == NO_NAME {
            return Err(
                "a spread is kept under its reader’s name, and these studies name none; write the reader into them first"
                    .to_owned(),
            );
        }
        let readers = &self.gathered.readers;
        let place = readers.iter().position(|known| known == reader);
        let place = place.ok_or_else(|| {
            format!(
                "“{reader}” has traced none of these studies; one of {}",
                readers.join(", ")
            )
        })?;
        let (mut spreads, mut refused) = (Vec::new(), Vec::new());
        for measured in &self.measurements {
            match measured.own_spread(place, day) {
                Ok(spread) => spreads.push(spread),
                Err(why) => refused.push(format!("{}: {why}", measured.measurement.name())),
            }
        }
        Ok(Keepable { spreads, refused })
    }
}

impl MeasurementAgreement {
    /// The within-subject standard deviation of a reader, as it can be kept.
    ///
    /// # Errors
    /// When the measurement is a class, too little was read again, or by different axes; the words say so.
    pub(crate) fn own_spread(&self, reader: usize, day: Date) -> Result<KeptSpread, String> {
        if !self.measurement.unit().is_number() {
            return Err(
                "a mean of positions or grades is none, so they have no standard deviation"
                    .to_owned(),
            );
        }
        let films = repeats_of(&self.readings.of_readers(&[reader]));
        let again = films.iter().filter(|film| film.len() > 1);
        let degrees: usize = again.map(|film| film.len() - 1).sum();
        if degrees < LEAST_DEGREES_OF_FREEDOM {
            let missing = LEAST_DEGREES_OF_FREEDOM - degrees;
            let films = match (degrees, missing) {
                (0, _) => format!("{missing} films"),
                (_, 1) => "1 more film".to_owned(),
                _ => format!("{missing} more films"),
            };
            return Err(format!(
                "read {films} again; {LEAST_DEGREES_OF_FREEDOM} second readings are needed"
            ));
        }
        let axes: Vec<Option<AxisConvention>> = self.axes_of_repeats(reader).into_iter().collect();
        let [by] = axes[..] else {
            return Err(
                "these readings go by different axes, so that they differ for that reason too; choose one convention for \
                 all tracings"
                    .to_owned(),
            );
        };
        let found = within_subject(&films, USUAL_MULTIPLIER, LEVEL)
            .map_err(|problem| problem.to_string())?;
        if found.standard_deviation <= 0.0 {
            return Err("all its readings of a film are the same to the last digit, so they look like copies".to_owned());
        }
        Ok(KeptSpread {
            measurement: self.measurement.identifier().to_owned(),
            convention: by.map(|by| by.identifier().to_owned()),
            sd: found.standard_deviation,
            films: found.targets,
            readings: found.readings,
            kept_on: day,
        })
    }

    /// By which axes a reader read the films that he read more than once.
    fn axes_of_repeats(&self, reader: usize) -> BTreeSet<Option<AxisConvention>> {
        let mut by_film: BTreeMap<usize, Vec<Option<AxisConvention>>> = BTreeMap::new();
        for (one, axes) in self.readings.readings.iter().zip(&self.readings.axes) {
            if one.reader == reader {
                by_film.entry(one.target).or_default().push(*axes);
            }
        }
        let films = by_film.into_values();
        films.filter(|film| film.len() > 1).flatten().collect()
    }
}
