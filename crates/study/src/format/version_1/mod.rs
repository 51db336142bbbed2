//! Version 1 of the study's file.
//!
//! The names of landmarks, bones, sides and calibrations are those of the vocabulary; everything
//! else has a structure here. `tests/suite/study/` holds a file with each of them.

mod from_study;
mod to_study;

use std::{collections::BTreeMap, num::NonZeroU32, ops::RangeInclusive};

use jiff::{Timestamp, civil::Date};
use plumbray_anatomy::{
    CalibrationBasis, Landmark, LongBone, Origin, PixelSpacing, Proportions, Side, SpacingError,
    View,
};
use plumbray_plan::Plan;
use serde::{Deserialize, Deserializer, Serialize, de::Error};

use super::bounded::{AsText, Coordinate, DistanceMm, FilmName, FilmSize, Spread, Text, each_once};
use crate::{
    content_hash::ContentHash,
    study::{EarlierTracing, LateralHeadEdge, SideSource, Stance, Study},
};

/// The most points that one cortex may have.
const MAX_CORTEX_POINTS: usize = 20_000;

/// The whole file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Document {
    format_version: u32,
    #[serde(default)]
    revision: u64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    recovery: Option<RecoveryEntry>,
    #[serde(default)]
    side: Option<SideEntry>,
    #[serde(default)]
    films: Films,
    #[serde(default)]
    visit: VisitEntry,
    #[serde(default)]
    choices: ChoicesEntry,
    #[serde(default)]
    reader: ReaderEntry,
    #[serde(default)]
    tracing: TracingEntry,
    #[serde(default, skip_serializing_if = "JudgedEntry::is_nothing")]
    judged: JudgedEntry,
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "few"
    )]
    earlier_tracings: Vec<EarlierEntry>,
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "few_plans"
    )]
    plans: Vec<PlanEntry>,
    #[serde(default)]
    history: Vec<HistoryLine>,
}

#[derive(Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct JudgedEntry {
    #[serde(default)]
    lateral_head_edge: Option<LateralHeadEdge>,
}

impl JudgedEntry {
    fn is_nothing(&self) -> bool {
        *self == Self::default()
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct EarlierEntry {
    #[serde(default)]
    reader: ReaderEntry,
    #[serde(default)]
    tracing: TracingEntry,
}

fn few<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<EarlierEntry>, D::Error> {
    let entries = Vec::<EarlierEntry>::deserialize(deserializer)?;
    if entries.len() > EarlierTracing::MOST {
        return Err(D::Error::custom(format!(
            "there are {} earlier tracings; a study keeps at most {}",
            entries.len(),
            EarlierTracing::MOST
        )));
    }
    Ok(entries)
}

/// A plan whose numbers can be those of an operation; its fields are those of the planning itself.
#[derive(Clone, Serialize, Deserialize)]
#[serde(try_from = "Plan", into = "Plan")]
struct PlanEntry(Plan);

impl TryFrom<Plan> for PlanEntry {
    type Error = String;

    fn try_from(plan: Plan) -> Result<Self, String> {
        Text::try_from(plan.name.clone())?;
        plan.validate()
            .map_err(|problem| format!("{problem}. Correct it, or take this plan out"))?;
        Ok(Self(plan))
    }
}

impl From<PlanEntry> for Plan {
    fn from(entry: PlanEntry) -> Self {
        entry.0
    }
}

fn few_plans<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<PlanEntry>, D::Error> {
    let entries = Vec::<PlanEntry>::deserialize(deserializer)?;
    if entries.len() > Study::MOST_PLANS {
        return Err(D::Error::custom(format!(
            "there are {} plans; a study keeps at most {}, so take some out",
            entries.len(),
            Study::MOST_PLANS
        )));
    }
    Ok(entries)
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RecoveryEntry {
    original: Text,
    #[serde(default)]
    based_on: Option<AsText<ContentHash>>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SideEntry {
    foot: Side,
    source: SideSource,
    confirmed: bool,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Films {
    #[serde(default)]
    ap: Option<FilmEntry>,
    #[serde(default)]
    lateral: Option<FilmEntry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FilmEntry {
    file: FilmName,
    blake3: AsText<ContentHash>,
    #[serde(default = "first_picture", skip_serializing_if = "is_first_picture")]
    picture: NonZeroU32,
    width_px: FilmSize,
    height_px: FilmSize,
    #[serde(default, deserialize_with = "possible_proportions")]
    pixel_height_over_width: Proportions,
    #[serde(default)]
    calibration: Option<CalibrationEntry>,
    #[serde(default)]
    date: Option<AsText<Date>>,
}

const fn first_picture() -> NonZeroU32 {
    NonZeroU32::MIN
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature that the serialiser calls"
)]
const fn is_first_picture(picture: &NonZeroU32) -> bool {
    picture.get() == 1
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CalibrationEntry {
    spacing: SpacingEntry,
    #[serde(deserialize_with = "possible_basis")]
    basis: CalibrationBasis,
    #[serde(deserialize_with = "possible_share")]
    relative_sd: f64,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SpacingNumbers {
    between_rows_mm: f64,
    between_columns_mm: f64,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "SpacingNumbers", into = "SpacingNumbers")]
struct SpacingEntry(PixelSpacing);

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct VisitEntry {
    #[serde(default)]
    label: Text,
    #[serde(default)]
    operated: bool,
    #[serde(default)]
    operation: Option<OperationEntry>,
    #[serde(default)]
    stance: Stance,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OperationEntry {
    #[serde(default)]
    date: Option<AsText<Date>>,
    #[serde(default)]
    side: Option<Side>,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ChoicesEntry {
    #[serde(default)]
    axis_convention: Option<Text>,
    #[serde(default)]
    axis_levels: Option<AxisLevelsEntry>,
    #[serde(default)]
    severity_scheme: Option<Text>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct AxisLevelsEntry {
    metatarsal_mm: DistanceMm,
    proximal_phalanx_mm: DistanceMm,
    distal_phalanx_mm: DistanceMm,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReaderEntry {
    #[serde(default)]
    name: Text,
    #[serde(default)]
    traced_at: Option<AsText<Timestamp>>,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TracingEntry {
    #[serde(default, deserialize_with = "ap_tracing")]
    ap: FilmTracingEntry,
    #[serde(default, deserialize_with = "lateral_tracing")]
    lateral: FilmTracingEntry,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FilmTracingEntry {
    #[serde(default, deserialize_with = "each_once")]
    points: BTreeMap<Landmark, PointEntry>,
    #[serde(default, deserialize_with = "each_once")]
    cortices: BTreeMap<LongBone, CorticesEntry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PointEntry {
    x_px: Coordinate,
    y_px: Coordinate,
    sd_px: Spread,
    origin: Origin,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CorticesEntry {
    sd_px: Spread,
    #[serde(default, skip_serializing_if = "Spread::is_none")]
    together_sd_px: Spread,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    proximal_sd_px: Option<Spread>,
    origin: Origin,
    one: CortexEntry,
    two: CortexEntry,
}

#[derive(Clone, Serialize, Deserialize)]
#[serde(
    try_from = "Vec<(Coordinate, Coordinate)>",
    into = "Vec<(Coordinate, Coordinate)>"
)]
struct CortexEntry(Vec<(Coordinate, Coordinate)>);

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct HistoryLine {
    first: AsText<Timestamp>,
    last: AsText<Timestamp>,
    who: Text,
    what: Text,
    count: u32,
}

impl TryFrom<SpacingNumbers> for SpacingEntry {
    type Error = SpacingError;

    fn try_from(numbers: SpacingNumbers) -> Result<Self, SpacingError> {
        PixelSpacing::new(numbers.between_rows_mm, numbers.between_columns_mm).map(Self)
    }
}

impl From<SpacingEntry> for SpacingNumbers {
    fn from(entry: SpacingEntry) -> Self {
        Self {
            between_rows_mm: entry.0.between_rows_mm(),
            between_columns_mm: entry.0.between_columns_mm(),
        }
    }
}

impl TryFrom<Vec<(Coordinate, Coordinate)>> for CortexEntry {
    type Error = String;

    fn try_from(points: Vec<(Coordinate, Coordinate)>) -> Result<Self, String> {
        if points.len() <= MAX_CORTEX_POINTS {
            Ok(Self(points))
        } else {
            Err(format!(
                "a cortex of {} points is too long; {MAX_CORTEX_POINTS} are allowed",
                points.len()
            ))
        }
    }
}

impl From<CortexEntry> for Vec<(Coordinate, Coordinate)> {
    fn from(entry: CortexEntry) -> Self {
        entry.0
    }
}

fn within<E: Error>(value: f64, range: &RangeInclusive<f64>, name: &str) -> Result<f64, E> {
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(E::custom(format!(
            "{name} must lie between {} and {}, and this is {value}",
            range.start(),
            range.end()
        )))
    }
}

fn possible_share<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    within(f64::deserialize(deserializer)?, &(0.0..=1.0), "relative_sd")
}

fn possible_proportions<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Proportions, D::Error> {
    let height_over_width = f64::deserialize(deserializer)?;
    Proportions::new(height_over_width).ok_or_else(|| {
        D::Error::custom(format!(
            "pixel_height_over_width must lie between 0.01 and 100, and this is {height_over_width}"
        ))
    })
}

fn possible_basis<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<CalibrationBasis, D::Error> {
    let basis = CalibrationBasis::deserialize(deserializer)?;
    match basis {
        CalibrationBasis::EstimatedMagnification { factor } => {
            within(factor, &(0.01..=100.0), "a magnification factor")?;
        }
        CalibrationBasis::RoundObject { diameter_mm } => {
            within(diameter_mm, &(0.01..=10_000.0), "diameter_mm")?;
        }
        CalibrationBasis::KnownDistance { distance_mm } => {
            within(distance_mm, &(0.01..=10_000.0), "distance_mm")?;
        }
        CalibrationBasis::FileByGeometry
        | CalibrationBasis::FileByFiducial
        | CalibrationBasis::FileOriginUnsaid
        | CalibrationBasis::FileAcceptedByUser
        | CalibrationBasis::AtDetector => {}
    }
    Ok(basis)
}

fn ap_tracing<'de, D: Deserializer<'de>>(deserializer: D) -> Result<FilmTracingEntry, D::Error> {
    tracing_on(View::Ap, deserializer)
}

fn lateral_tracing<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<FilmTracingEntry, D::Error> {
    tracing_on(View::Lateral, deserializer)
}

fn tracing_on<'de, D: Deserializer<'de>>(
    view: View,
    deserializer: D,
) -> Result<FilmTracingEntry, D::Error> {
    let tracing = FilmTracingEntry::deserialize(deserializer)?;
    let misplaced_point = tracing
        .points
        .keys()
        .find(|landmark| !landmark.is_on(view))
        .map(|landmark| landmark.identifier());
    let misplaced_bone = tracing
        .cortices
        .keys()
        .find(|bone| !Landmark::ShaftStart(**bone).is_on(view))
        .map(|bone| format!("the shaft of {}", bone.identifier()));
    match misplaced_point.or(misplaced_bone) {
        Some(name) => Err(D::Error::custom(format!(
            "{name} is not read on the {} film",
            view.name_in_sentence()
        ))),
        None => Ok(tracing),
    }
}
