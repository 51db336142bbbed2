//! One measurement of every tracing, as readings of films by readers; what gave none is named.

use std::collections::{BTreeMap, BTreeSet};

use plumbray_agreement::Reading;
use plumbray_anatomy::{FilmTracing, Side, View};
use plumbray_compare::{choices_of, foot_with};
use plumbray_measure::{AxisConvention, Choices, Measurement, measure};

use super::studies::{Gathered, OneTracing, ReadStudy};
use crate::words::once;

/// A film of one foot: its content, and which foot, since a film may show both.
type FilmKey = (String, Option<Side>);

/// What all tracings give for one measurement.
#[derive(Debug)]
pub(crate) struct MeasuredReadings {
    /// A target is a film by its place in `films`; readers are those of the studies.
    pub readings: Vec<Reading>,
    /// By which axes each of them was read, in the same order.
    pub axes: Vec<Option<AxisConvention>>,
    /// What the films are called.
    pub films: Vec<String>,
    /// What was left out, and why, a sentence each.
    pub left_out: Vec<String>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// On how many readings a value between readers stands, at least and at most; 1 and 1 until they are put together.
    pub readings_a_value: (usize, usize),
    /// By which axes it was read.
    pub conventions: BTreeSet<&'static str>,
    /// Where millimetres come from.
    pub calibrations: BTreeSet<String>,
}

impl MeasuredReadings {
    /// How often a reader read one film at most.
    pub(crate) fn most_repeats(&self) -> usize {
        let mut counts: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for reading in &self.readings {
            *counts.entry((reading.reader, reading.target)).or_default() += 1;
        }
        counts.into_values().max().unwrap_or(0)
    }

    /// The readers who gave at least one reading, by their places.
    pub(crate) fn readers(&self) -> Vec<usize> {
        let readers: BTreeSet<usize> = self.readings.iter().map(|one| one.reader).collect();
        readers.into_iter().collect()
    }

    /// The films that were read at all.
    pub(crate) fn film_count(&self) -> usize {
        let films: BTreeSet<usize> = self.readings.iter().map(|one| one.target).collect();
        films.len()
    }

    /// The readings of these readers alone.
    pub(crate) fn of_readers(&self, readers: &[usize]) -> Vec<Reading> {
        let all = self.readings.iter().copied();
        all.filter(|reading| readers.contains(&reading.reader))
            .collect()
    }
}

/// Measures every tracing, by its study's own axes or by `convention`.
pub(crate) fn measured_readings(
    gathered: &Gathered,
    measurement: Measurement,
    convention: Option<AxisConvention>,
) -> MeasuredReadings {
    let view = measurement.view();
    let films = Films::of(gathered, view);
    let mut measured = MeasuredReadings {
        readings: Vec::new(),
        axes: Vec::new(),
        films: films.names.clone(),
        left_out: Vec::new(),
        notes: Vec::new(),
        readings_a_value: (1, 1),
        conventions: BTreeSet::new(),
        calibrations: BTreeSet::new(),
    };
    let mut seen: BTreeMap<(usize, usize), Vec<&FilmTracing>> = BTreeMap::new();
    for one in &gathered.tracings {
        let read = &gathered.studies[one.study];
        let Some(target) = films.place(read, view) else {
            measured.left_out.push(format!(
                "{} holds no {} film",
                read.path.display(),
                in_words(view)
            ));
            continue;
        };
        let earlier = seen.entry((one.reader, target)).or_default();
        let placed = one.tracing.on(view);
        let repeat = earlier.len();
        let who = format!(
            "{}, {}, tracing {}",
            gathered.readers[one.reader],
            films.names[target],
            repeat + 1
        );
        // A copy of a study would pass for a reader who repeats himself without any error.
        if *placed != FilmTracing::default() && earlier.contains(&placed) {
            measured
                .left_out
                .push(format!("{who}: the same tracing again, so a copy"));
            continue;
        }
        earlier.push(placed);
        measured.add(read, one, [target, repeat], measurement, convention, &who);
    }
    measured.note_mixtures();
    measured.left_out = once(std::mem::take(&mut measured.left_out));
    measured
}

impl MeasuredReadings {
    fn add(
        &mut self,
        read: &ReadStudy,
        one: &OneTracing,
        [target, repeat]: [usize; 2],
        measurement: Measurement,
        convention: Option<AxisConvention>,
        who: &str,
    ) {
        let own = choices_of(&read.study);
        let choices = Choices {
            convention: convention.or(own.convention),
            ..own
        };
        let outcome = measure(&foot_with(&read.study, &one.tracing), &choices, measurement);
        let Some(reading) = outcome.reading() else {
            let why = outcome.why_not().unwrap_or_default();
            self.left_out.push(format!("{who}: {why}"));
            return;
        };
        self.readings.push(Reading {
            target,
            reader: one.reader,
            repeat,
            value: reading.value,
        });
        self.axes.push(reading.convention);
        let by = reading.convention.map(AxisConvention::identifier);
        self.conventions.extend(by);
        self.calibrations.extend(reading.calibration_name.clone());
    }

    /// Readings by different axes or scales differ for that reason alone.
    fn note_mixtures(&mut self) {
        if self.conventions.len() > 1 {
            self.notes.push(
                "The axis conventions differ, which counts as disagreement; choose one for all tracings."
                    .to_owned(),
            );
        }
        if self.calibrations.len() > 1 {
            self.notes
                .push("The calibrations differ, which counts as disagreement.".to_owned());
        }
    }
}

/// The films of one view, each once.
struct Films {
    /// Where each stands among the names.
    places: BTreeMap<FilmKey, usize>,
    names: Vec<String>,
}

impl Films {
    fn of(gathered: &Gathered, view: View) -> Self {
        let mut films = Self {
            places: BTreeMap::new(),
            names: Vec::new(),
        };
        for read in &gathered.studies {
            let (Some(key), Some(film)) = (key(read, view), read.study.film(view)) else {
                continue;
            };
            if films.places.contains_key(&key) {
                continue;
            }
            let file = film.file.rsplit('/').next().unwrap_or(&film.file);
            let side = read.side.map_or("side unknown", Side::identifier);
            let mut name = format!("{file} ({side})");
            if films.names.contains(&name) {
                let start: String = key.0.chars().take(8).collect();
                name = format!("{file} {start} ({side})");
            }
            films.places.insert(key, films.names.len());
            films.names.push(name);
        }
        films
    }

    fn place(&self, read: &ReadStudy, view: View) -> Option<usize> {
        let key = key(read, view)?;
        self.places.get(&key).copied()
    }
}

fn key(read: &ReadStudy, view: View) -> Option<FilmKey> {
    let film = read.study.film(view)?;
    Some((film.picture_identity(), read.side))
}

fn in_words(view: View) -> &'static str {
    match view {
        View::Ap => "AP",
        View::Lateral => "lateral",
    }
}
