//! What stands on the sheet of a comparison, in words.

use crate::{
    content::{Paper, SheetFilm, SheetSide},
    course::Course,
};

/// What stands at the top of a comparison's sheet.
pub const COMPARISON_TITLE: &str = "Foot radiographs compared";

/// Everything that stands on the sheet of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparisonContent {
    /// The paper.
    pub paper: Paper,
    /// Which foot.
    pub side: SheetSide,
    /// Which two visits, with their days, and by which axes everything is read, in one line.
    pub visits: String,
    /// The AP film of the earlier and of the later visit; either may be absent.
    pub films: Vec<SheetFilm>,
    /// The lateral films of both, where both visits have one; else empty.
    pub lateral_films: Vec<SheetFilm>,
    /// The short name of every visit, in their order.
    pub columns: Vec<String>,
    /// The chosen rows.
    pub rows: Vec<ComparisonRow>,
    /// A plan held against its result, where there is one.
    pub plan: Option<PlanResultTable>,
    /// The followed angles over the visits.
    pub courses: Vec<Course>,
    /// What a surgeon asks, under headings.
    pub answers: Vec<(String, Vec<String>)>,
    /// What should be known before any of it is believed; stands above the numbers.
    pub warnings: Vec<String>,
    /// Whose millimetres they are.
    pub notes: Vec<String>,
    /// A measuring aid, not a medical device.
    pub caution: String,
    /// Program and version.
    pub program: String,
    /// Program and files.
    pub origin: String,
}

/// A measurement at every visit, and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ComparisonRow {
    /// "Hallux valgus angle".
    pub name: String,
    /// The number at each visit with its unit; "–" where there is none.
    pub values: Vec<String>,
    /// "+5.2 ± 2.1", or why the two are not subtracted.
    pub change: String,
    /// "real change", "within measurement error"; empty where there is none.
    pub verdict: String,
}

/// What was planned beside what was achieved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanResultTable {
    /// Which plan of which visit, and at which visit it is held against the result.
    pub heading: String,
    /// The numbers.
    pub rows: Vec<PlanResultRow>,
    /// How they are meant, a sentence or two each.
    pub notes: Vec<String>,
}

/// A number before, as intended and as achieved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanResultRow {
    /// What it is, with the calibration's name where it is in millimetres.
    pub name: String,
    /// Before, intended and achieved, with their spreads and units; "–" where there is none.
    pub values: [String; 3],
    /// Achieved less intended, or why the two are not subtracted.
    pub difference: String,
    /// "beyond measurement error"; empty where there is no difference.
    pub verdict: String,
}
