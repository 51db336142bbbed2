//! The series in a few numbers.

use std::collections::BTreeMap;

use plumbray_compare::{Recurrence, Standing};
use plumbray_measure::{AxisConvention, Class, Measurement, Unit};
use serde::Serialize;

use crate::{
    feet::{Grouping, SeriesFoot, change_between},
    reading::SHARED_CONVENTION,
    readings::LatestReadings,
    row::{HEADLINES, StudyFacts},
    statistics::{Mean, Share},
};

/// Numbers by more conventions and calibrations than this are counted and not put together.
const MOST_KINDS: usize = 64;

/// The series in a few numbers. Each foot counts once, by the first of its visits that passes the filter, so that a foot
/// that was seen often weighs no more than another. Several studies of one film count once, by the latest tracing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Studies that pass.
    pub studies: u64,
    /// Of them, those that cannot be read.
    pub unreadable: u64,
    /// Of how many films of one foot they are, AP and lateral film of one study counted once.
    pub films: u64,
    /// Of the studies, those that the program traced and nobody has looked at.
    pub drafts: u64,
    /// Feet with a visit that passes and can be read.
    pub feet: u64,
    /// Of them, those whose visits a time line names.
    pub feet_by_time_line: u64,
    /// Of them, those whose visits are of one side and lie in one folder.
    pub feet_by_folder: u64,
    /// Classes of severity by each set of limits that a reader chose, in the order of their identifiers.
    pub severity: Vec<SeverityShares>,
    /// Feet without a class, since an angle is missing.
    pub without_severity: u64,
    /// The feet with each grade of the tibial sesamoid, from 0 to 3.
    pub sesamoid_grades: [Share; 4],
    /// Means of the other numbers, never of two conventions or of two calibrations together.
    pub numbers: Vec<NumberSummary>,
    /// Numbers that were left out of the means, since there are too many conventions and calibrations.
    pub numbers_left_out: u64,
    /// Changes from the last standing visit before surgery to the last standing one after it, by the convention that
    /// visits share.
    pub changes: Vec<ChangeSummary>,
    /// Whether the deformity is back at the last standing visit after surgery.
    pub recurrence: RecurrenceSummary,
}

/// How many feet are in each class by one set of limits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeverityShares {
    /// The set of limits, by identifier.
    pub scheme: String,
    /// Each class by its identifier, the mildest first.
    pub classes: Vec<(&'static str, Share)>,
}

/// A number over the feet of the series, by one convention and one calibration.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NumberSummary {
    /// The identifier of the measurement.
    pub measurement: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The identifier of the axis convention; nothing where no axis is laid.
    pub convention: Option<String>,
    /// Where its millimetres come from.
    pub calibration: Option<String>,
    /// Of how many feet.
    pub feet: u64,
    /// Their mean.
    pub mean: Option<f64>,
    /// Their standard deviation; nothing of one.
    pub sd: Option<f64>,
    /// The 95 % interval of the mean; nothing of one.
    pub interval: Option<(f64, f64)>,
}

/// The change of a number by surgery over the feet of the series.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangeSummary {
    /// The change, later minus earlier.
    #[serde(flatten)]
    pub number: NumberSummary,
    /// The feet in which it is more than the error of measuring.
    pub real: Share,
}

/// Whether the deformity is back.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecurrenceSummary {
    /// By which limit, by identifier.
    pub limit: &'static str,
    /// The feet whose whole interval lies within the limit.
    pub within: u64,
    /// The feet that are too close to the limit to say.
    pub too_close_to_say: u64,
    /// The feet whose whole interval lies beyond the limit, of all that have the number.
    pub beyond: Share,
}

type NumberKey = (Measurement, Option<String>, Option<String>);

/// Sums up a series foot by foot.
#[derive(Debug)]
pub(crate) struct SummingUp {
    limit: Recurrence,
    latest: LatestReadings,
    studies: u64,
    unreadable: u64,
    drafts: u64,
    by_grouping: BTreeMap<Grouping, u64>,
    severity: BTreeMap<String, [u64; 4]>,
    without_severity: u64,
    grades: [u64; 4],
    numbers: BTreeMap<NumberKey, Mean>,
    left_out: u64,
    changes: BTreeMap<NumberKey, (Mean, u64)>,
    standings: [u64; 3],
}

impl SummingUp {
    pub(crate) fn by(limit: Recurrence, latest: LatestReadings) -> Self {
        Self {
            limit,
            latest,
            studies: 0,
            unreadable: 0,
            drafts: 0,
            by_grouping: BTreeMap::new(),
            severity: BTreeMap::new(),
            without_severity: 0,
            grades: [0; 4],
            numbers: BTreeMap::new(),
            left_out: 0,
            changes: BTreeMap::new(),
            standings: [0; 3],
        }
    }

    /// Takes a foot and the places of those visits that pass the filter.
    pub(crate) fn add(&mut self, foot: &SeriesFoot, passing: &[usize]) {
        self.studies += passing.len() as u64;
        let rows = passing.iter().filter_map(|place| foot.visits.get(*place));
        let readable: Vec<_> = rows
            .filter_map(|visit| Some((visit, visit.row.facts()?)))
            .collect();
        self.unreadable += (passing.len() - readable.len()) as u64;
        let is_draft = |(_, facts): &&(_, &StudyFacts)| facts.draft.is_some();
        self.drafts += readable.iter().filter(is_draft).count() as u64;
        // What was read again elsewhere, and later, counts there.
        let counted = readable
            .iter()
            .find(|(visit, _)| self.latest.counts(&visit.row));
        let Some((_, first)) = counted.copied() else {
            return;
        };
        *self.by_grouping.entry(foot.grouping).or_default() += 1;
        self.add_severity(first);
        self.add_numbers(first);
        self.add_changes(foot);
        if let Some(standing) = foot.recurrence(self.limit) {
            self.standings[match standing {
                Standing::Within => 0,
                Standing::TooCloseToSay => 1,
                Standing::Beyond => 2,
            }] += 1;
        }
    }

    fn add_severity(&mut self, facts: &StudyFacts) {
        let Some(class) = facts.severity else {
            self.without_severity += 1;
            return;
        };
        let counts = self
            .severity
            .entry(facts.severity_scheme.clone())
            .or_default();
        counts[class as usize] += 1;
    }

    fn add_numbers(&mut self, facts: &StudyFacts) {
        for (measurement, number) in HEADLINES.into_iter().zip(&facts.numbers) {
            let Some(value) = number.value() else {
                continue;
            };
            if measurement.unit() == Unit::Grade {
                self.add_grade(value.value);
                continue;
            }
            let key = (
                measurement,
                value.convention.clone(),
                value.calibration.clone(),
            );
            if self.numbers.len() < MOST_KINDS || self.numbers.contains_key(&key) {
                self.numbers.entry(key).or_default().add(value.value);
            } else {
                self.left_out += 1;
            }
        }
    }

    fn add_grade(&mut self, grade: f64) {
        for (place, count) in (0_u32..).zip(&mut self.grades) {
            if (grade - f64::from(place)).abs() < 0.5 {
                *count += 1;
            }
        }
    }

    fn add_changes(&mut self, foot: &SeriesFoot) {
        let Some((before, after)) = foot.around_surgery() else {
            return;
        };
        for measurement in HEADLINES {
            if measurement.unit() == Unit::Grade {
                continue;
            }
            let Ok(change) = change_between(before, after, measurement) else {
                continue;
            };
            let number = after
                .row
                .facts()
                .and_then(|facts| facts.compared(measurement)?.value());
            let key = (
                measurement,
                number.and_then(|number| number.convention.clone()),
                number.and_then(|number| number.calibration.clone()),
            );
            if self.changes.len() < MOST_KINDS || self.changes.contains_key(&key) {
                let (mean, real) = self.changes.entry(key).or_default();
                mean.add(change.difference);
                *real += u64::from(change.is_real);
            } else {
                self.left_out += 1;
            }
        }
    }

    pub(crate) fn summary(self) -> Summary {
        let of = |grouping| self.by_grouping.get(&grouping).copied().unwrap_or_default();
        let graded: u64 = self.grades.iter().sum();
        let [within, too_close_to_say, beyond] = self.standings;
        Summary {
            studies: self.studies,
            unreadable: self.unreadable,
            films: self.latest.films(),
            drafts: self.drafts,
            feet: self.by_grouping.values().sum(),
            feet_by_time_line: of(Grouping::TimeLine),
            feet_by_folder: of(Grouping::Folder),
            severity: self.severity.into_iter().map(shares).collect(),
            without_severity: self.without_severity,
            sesamoid_grades: self.grades.map(|count| Share::of(count, graded)),
            numbers: self
                .numbers
                .into_iter()
                .map(|(key, mean)| number_summary(key, &mean))
                .collect(),
            numbers_left_out: self.left_out,
            changes: self
                .changes
                .into_iter()
                .map(|(key, (mean, real))| ChangeSummary {
                    number: number_summary(key, &mean),
                    real: Share::of(real, mean.count()),
                })
                .collect(),
            recurrence: RecurrenceSummary {
                limit: self.limit.identifier(),
                within,
                too_close_to_say,
                beyond: Share::of(beyond, within + too_close_to_say + beyond),
            },
        }
    }
}

fn shares((scheme, counts): (String, [u64; 4])) -> SeverityShares {
    let all: u64 = counts.iter().sum();
    SeverityShares {
        scheme,
        classes: Class::ALL
            .into_iter()
            .zip(counts)
            .map(|(class, count)| (class.identifier(), Share::of(count, all)))
            .collect(),
    }
}

fn number_summary((measurement, convention, calibration): NumberKey, mean: &Mean) -> NumberSummary {
    NumberSummary {
        measurement: measurement.identifier(),
        unit: measurement.unit().identifier(),
        convention,
        calibration,
        feet: mean.count(),
        mean: mean.value(),
        sd: mean.sd(),
        interval: mean.interval(),
    }
}

/// The convention by which changes are told, as a person reads it.
#[must_use]
pub const fn shared_convention_name() -> &'static str {
    let convention: AxisConvention = SHARED_CONVENTION;
    convention.name()
}
