//! One study with its worksheet as plain data, documented in `docs/command-line.md`.

use plumbray_anatomy::Side;
use plumbray_measure::{
    AxisConvention, Choices, Class, Foot, Implausible, Measurement, Outcome, SeverityOutcome,
    Worksheet, all_conventions, implausible, worksheet,
};
use plumbray_study::{LateralHeadEdge, Study};
use serde::Serialize;

use crate::{
    own_spread::{KeptOfReader, KeptSpread},
    window::CAUTION,
    workbench::foot_of,
};

/// One study with its worksheet.
#[derive(Debug, Serialize)]
pub(crate) struct MeasuredStudy {
    /// Where it was read from.
    pub study: String,
    /// `left` or `right`; nothing while unknown.
    pub side: Option<&'static str>,
    /// Whether a person confirmed the side.
    pub side_confirmed: bool,
    /// Whether the foot was operated on before this visit.
    pub operated: bool,
    /// Every measurement.
    pub measurements: Vec<Measured>,
    /// The verdict.
    pub severity: MeasuredSeverity,
    /// How the lateral edge of the first metatarsal's head was judged by eye: `round`, `intermediate` or
    /// `angular`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lateral_head_edge: Option<&'static str>,
    /// What looks wrong about the tracing as a whole, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub warnings: Vec<String>,
    /// Whose own spread the intervals hold, where any does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_spread: Option<KeptOfReader>,
    /// What the numbers are not.
    pub caution: &'static str,
}

/// One measurement by the convention in use, and by every other that the tracing allows.
#[derive(Debug, Serialize)]
pub(crate) struct Measured {
    /// Such as `hallux_valgus_angle`.
    pub identifier: &'static str,
    /// As a person reads it.
    pub name: &'static str,
    /// `ap` or `lateral`.
    pub view: &'static str,
    /// `degrees`, `millimetres`, `ratio`, `per_cent`, `position` or `grade`.
    pub unit: &'static str,
    /// The result by the convention in use.
    #[serde(flatten)]
    pub result: MeasuredResult,
    /// The result by every convention that applies.
    pub conventions: Vec<MeasuredResult>,
}

/// A number with its uncertainty, or why there is none.
#[derive(Debug, Serialize)]
pub(crate) struct MeasuredResult {
    /// The axis convention; nothing where no axis is laid.
    pub convention: Option<&'static str>,
    /// `value`, `needs`, `refused` or `degenerate`.
    pub status: &'static str,
    /// The number, in its unit.
    pub value: Option<f64>,
    /// Its standard deviation from the spread of this tracing.
    pub sd: Option<f64>,
    /// The standard deviation of its reader's own readings of one film, where it is known by these axes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_sd: Option<f64>,
    /// Its 95 % interval from the spread of this tracing, and of its reader where that is known.
    pub interval: Option<(f64, f64)>,
    /// Where its millimetres come from.
    pub calibration: Option<String>,
    /// The probability of each class, for positions and grades.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub classes: Vec<ClassProbability>,
    /// What to know beside it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
    /// Why there is no number.
    pub reason: Option<String>,
}

/// A class and how probable it is.
#[derive(Debug, Serialize)]
pub(crate) struct ClassProbability {
    /// The class.
    pub class: String,
    /// From 0 to 1.
    pub probability: f64,
}

/// The verdict.
#[derive(Debug, Serialize)]
pub(crate) struct MeasuredSeverity {
    /// By whose limits.
    pub scheme: &'static str,
    /// `value` or `needs`.
    pub status: &'static str,
    /// The worse class of the two angles.
    pub class: Option<&'static str>,
    /// The class by the hallux valgus angle alone.
    pub class_by_hallux_valgus: Option<&'static str>,
    /// The class by the intermetatarsal angle alone.
    pub class_by_intermetatarsal: Option<&'static str>,
    /// The probability of each class, reader's error included.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub probabilities: Vec<ClassProbability>,
}

impl MeasuredStudy {
    /// The same, naming the reader whose own spread some of the intervals hold.
    #[must_use]
    pub(crate) fn read_by(self, reader: Option<&KeptOfReader>) -> Self {
        let holds = |spread: &KeptSpread| {
            let mut rows = self.measurements.iter();
            rows.any(|row| {
                let mut results = std::iter::once(&row.result).chain(&row.conventions);
                row.identifier == spread.measurement && results.any(|one| one.own_sd.is_some())
            })
        };
        let own_spread = reader.map(|kept| KeptOfReader {
            reader: kept.reader.clone(),
            spreads: kept
                .spreads
                .iter()
                .filter(|one| holds(one))
                .cloned()
                .collect(),
        });
        Self {
            own_spread: own_spread.filter(|kept| !kept.spreads.is_empty()),
            ..self
        }
    }
}

/// A study with its worksheet by these choices, under a name.
#[must_use]
pub(crate) fn measured_study(name: &str, study: &Study, choices: &Choices) -> MeasuredStudy {
    let foot = foot_of(study);
    let judged = study.judged.lateral_head_edge;
    MeasuredStudy {
        side_confirmed: study.side.is_some_and(|choice| choice.confirmed),
        lateral_head_edge: judged.map(LateralHeadEdge::identifier),
        ..measured_foot(name, &foot, choices, study.foot())
    }
}

/// A foot by its tracing, with its worksheet, under a name; `said` is which foot somebody said it is, without
/// a person who confirmed it.
#[must_use]
pub(crate) fn measured_foot(
    name: &str,
    foot: &Foot<'_>,
    choices: &Choices,
    said: Option<Side>,
) -> MeasuredStudy {
    let warnings = implausible(foot, said);
    let sheet = worksheet(foot, choices);
    MeasuredStudy {
        study: name.to_owned(),
        side: said.map(Side::identifier),
        side_confirmed: false,
        operated: foot.operated,
        measurements: measurements_of(&sheet, foot, choices),
        severity: severity_of(&sheet, choices),
        lateral_head_edge: None,
        own_spread: None,
        warnings: warnings.iter().map(Implausible::text).collect(),
        caution: CAUTION,
    }
}

/// The rows of a foot's worksheet.
fn measurements_of(sheet: &Worksheet, foot: &Foot<'_>, choices: &Choices) -> Vec<Measured> {
    sheet
        .rows
        .iter()
        .map(|row| Measured {
            identifier: row.measurement.identifier(),
            name: row.measurement.name(),
            view: row.measurement.view().identifier(),
            unit: row.measurement.unit().identifier(),
            result: result_of(in_use(foot, choices, row.measurement), &row.outcome),
            conventions: all_conventions(foot, choices, row.measurement)
                .into_iter()
                .map(|(convention, outcome)| result_of(Some(convention), &outcome))
                .collect(),
        })
        .collect()
}

/// The convention of a measurement that has no number yet; a number names its own.
fn in_use(foot: &Foot<'_>, choices: &Choices, measurement: Measurement) -> Option<AxisConvention> {
    let wanted = choices
        .convention
        .unwrap_or_else(|| foot.default_convention());
    measurement
        .conventions()
        .contains(&wanted)
        .then_some(wanted)
}

fn result_of(convention: Option<AxisConvention>, outcome: &Outcome) -> MeasuredResult {
    let reading = outcome.reading();
    let convention = reading.map_or(convention, |reading| reading.convention);
    MeasuredResult {
        convention: convention.map(AxisConvention::identifier),
        status: outcome.status(),
        value: reading.map(|reading| reading.value),
        sd: reading.map(|reading| reading.sd),
        own_sd: reading.and_then(|reading| reading.own_sd),
        interval: reading.map(|reading| reading.interval),
        calibration: reading.and_then(|reading| reading.calibration_name.clone()),
        classes: reading.map_or_else(Vec::new, |reading| {
            reading
                .classes
                .iter()
                .map(|(class, probability)| ClassProbability {
                    class: (*class).to_owned(),
                    probability: *probability,
                })
                .collect()
        }),
        remarks: reading.map_or_else(Vec::new, |reading| {
            reading
                .remarks
                .iter()
                .map(plumbray_measure::Remark::text)
                .collect()
        }),
        reason: outcome.why_not(),
    }
}

/// The verdict of a foot's worksheet.
fn severity_of(sheet: &Worksheet, choices: &Choices) -> MeasuredSeverity {
    let scheme = choices.severity.identifier();
    match &sheet.severity {
        SeverityOutcome::Graded(severity) => MeasuredSeverity {
            scheme,
            status: "value",
            class: Some(severity.class.identifier()),
            class_by_hallux_valgus: Some(severity.hallux_valgus.class.identifier()),
            class_by_intermetatarsal: Some(severity.intermetatarsal.class.identifier()),
            probabilities: Class::ALL
                .into_iter()
                .zip(severity.probabilities)
                .map(|(class, probability)| ClassProbability {
                    class: class.identifier().to_owned(),
                    probability,
                })
                .collect(),
        },
        SeverityOutcome::Ungraded(_) | SeverityOutcome::ImpossibleReaderError => MeasuredSeverity {
            scheme,
            status: "needs",
            class: None,
            class_by_hallux_valgus: None,
            class_by_intermetatarsal: None,
            probabilities: Vec::new(),
        },
    }
}
