//! Which rows the worksheet shows: a short set for the clinic and a full one, both as the reader likes
//! them.

use plumbray_measure::{Measurement, Outcome, Question, Row};
use serde::{Deserialize, Serialize};

use super::{Workbench, command::Command, state::Request};

/// A set of rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RowSet {
    /// The few that a clinic reads of every foot.
    #[default]
    Clinic,
    /// Everything.
    Full,
}

impl RowSet {
    /// Both sets, the short one first.
    pub const ALL: [Self; 2] = [Self::Clinic, Self::Full];

    /// The name of the set.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Clinic => "Clinic",
            Self::Full => "Full",
        }
    }

    /// Whether a row is in the set until the reader changes it.
    #[must_use]
    pub fn usually_has(self, measurement: Measurement) -> bool {
        match self {
            Self::Clinic => OF_THE_CLINIC.contains(&measurement),
            Self::Full => true,
        }
    }
}

const OF_THE_CLINIC: [Measurement; 13] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::HalluxInterphalangealAngle,
    Measurement::TibialSesamoidPosition,
    Measurement::TibialSesamoidGrade,
    Measurement::M1Length,
    Measurement::LengthRatioM1M2,
    Measurement::RelativeFirstMetatarsalLength,
    Measurement::RelativeFirstMetatarsalLengthRatio,
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
    Measurement::FirstMetatarsalInclinationAngle,
];

/// What the reader changed in a set, by the identifiers of the rows: those that stand as they usually do
/// are in neither list, so that rows of a later version come in as they should.
#[derive(Clone, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ChangedRows {
    /// Taken in.
    pub shown: Vec<String>,
    /// Left out.
    pub hidden: Vec<String>,
}

impl ChangedRows {
    fn set(&mut self, measurement: Measurement, is_shown: bool, usually: bool) {
        let identifier = measurement.identifier();
        for list in [&mut self.shown, &mut self.hidden] {
            list.retain(|known| known != identifier);
        }
        if is_shown != usually {
            let list = if is_shown {
                &mut self.shown
            } else {
                &mut self.hidden
            };
            list.push(identifier.to_owned());
        }
    }
}

/// The rows as the reader likes them.
#[derive(Clone, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct RowChoice {
    /// The set that is on.
    pub set: RowSet,
    /// What was changed in the set for the clinic.
    pub clinic: ChangedRows,
    /// What was changed in the full set.
    pub full: ChangedRows,
}

impl RowChoice {
    /// Whether a row is in the set that is on.
    #[must_use]
    pub fn has(&self, measurement: Measurement) -> bool {
        let changed = match self.set {
            RowSet::Clinic => &self.clinic,
            RowSet::Full => &self.full,
        };
        let is_in = |list: &[String]| list.iter().any(|known| known == measurement.identifier());
        is_in(&changed.shown) || (self.set.usually_has(measurement) && !is_in(&changed.hidden))
    }

    fn changed_mut(&mut self) -> &mut ChangedRows {
        match self.set {
            RowSet::Clinic => &mut self.clinic,
            RowSet::Full => &mut self.full,
        }
    }
}

impl Workbench {
    /// Commands that choose rows; gives back those that do not.
    pub(super) fn apply_to_rows(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::ChooseRows(set) => self.settings.rows.set = set,
            Command::ShowRow(measurement, is_shown) => {
                let rows = &mut self.settings.rows;
                let usually = rows.set.usually_has(measurement);
                rows.changed_mut().set(measurement, is_shown, usually);
            }
            Command::RowsAsUsual => *self.settings.rows.changed_mut() = ChangedRows::default(),
            Command::CopyRow(measurement) => {
                self.requests.push(Request::Copy(vec![measurement]));
                return None;
            }
            Command::CopyTable => {
                let shown = self.shown_rows("").into_iter();
                let shown = shown.map(|row| row.measurement).collect();
                self.requests.push(Request::Copy(shown));
                return None;
            }
            other => return Some(other),
        }
        self.keep_settings();
        None
    }

    /// The rows of the worksheet that are shown now: those of the set that is on which have something to
    /// say of this foot, or, while something is looked for, every row that has all of its words.
    #[must_use]
    pub fn shown_rows(&self, wanted: &str) -> Vec<&Row> {
        let rows = self.worksheet().rows.iter();
        if wanted.trim().is_empty() {
            return rows
                .filter(|row| self.settings.rows.has(row.measurement) && self.has_use(row))
                .collect();
        }
        rows.filter(|row| has_words(row.measurement, wanted))
            .collect()
    }

    /// Rows of the lesser metatarsals appear once they have a number, so that they crowd nothing out
    /// before, and their ratios stand in for lengths where there are no millimetres; the sesamoid's share
    /// stands in the row of its grade; a fragment is there after an operation only.
    fn has_use(&self, row: &Row) -> bool {
        use Measurement as M;
        let lacks = |length: M| {
            let outcome = self.worksheet().outcome(length);
            !matches!(outcome, Some(Outcome::Value(_))) && !matches!(row.outcome, Outcome::Needs(_))
        };
        match row.measurement {
            M::TibialSesamoidShare => self.settings.rows.set == RowSet::Full,
            M::M2Length | M::M3Length | M::M4Length | M::M5Length => {
                !matches!(row.outcome, Outcome::Needs(_))
            }
            M::LengthRatioM3M2 => lacks(M::M3Length),
            M::LengthRatioM4M2 => lacks(M::M4Length),
            M::LengthRatioM5M2 => lacks(M::M5Length),
            other => other.question() != Question::Fragment || self.study().visit.operated,
        }
    }
}

/// Whether a measurement's names have all of some words.
fn has_words(measurement: Measurement, wanted: &str) -> bool {
    let names = [
        measurement.name(),
        measurement.short_name(),
        measurement.question().heading(),
    ]
    .join(" ")
    .to_lowercase();
    let mut words = wanted.split_whitespace().map(str::to_lowercase);
    words.all(|word| names.contains(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_that_is_changed_back_leaves_no_trace() {
        let mut choice = RowChoice::default();
        let row = Measurement::ForefootWidth;
        assert!(!choice.has(row), "not of the clinic");
        choice.changed_mut().set(row, true, false);
        assert!(choice.has(row), "taken in");
        choice.changed_mut().set(row, false, false);
        assert_eq!(choice, RowChoice::default(), "as it was");
    }

    #[test]
    fn each_set_keeps_its_own_changes() {
        let mut choice = RowChoice::default();
        let row = Measurement::HalluxValgusAngle;
        choice.changed_mut().set(row, false, true);
        assert!(!choice.has(row), "left out of the clinic's set");
        choice.set = RowSet::Full;
        assert!(choice.has(row), "still in the full one");
    }

    #[test]
    fn rows_are_found_by_any_of_their_words() {
        for (wanted, found) in [
            ("hallux valgus", true),
            ("VALGUS", true),
            ("deformity hallux", true),
            ("talus", false),
        ] {
            assert_eq!(
                has_words(Measurement::HalluxValgusAngle, wanted),
                found,
                "{wanted}"
            );
        }
    }
}
