//! Which studies a table and its summary are about.

mod parsing;

use jiff::civil::Date;
use plumbray_anatomy::Side;
use plumbray_measure::{Class, Measurement};
use plumbray_study::Stance;

use crate::{feet::FootVisit, row::StudyFacts};

pub use parsing::{FIELDS, FilterError};

/// Conditions that all must hold. Without any, every study is meant.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Filter {
    /// The conditions.
    pub conditions: Vec<Condition>,
}

/// How two values are held against each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// `<`
    Below,
    /// `<=`
    UpTo,
    /// `=`
    Equal,
    /// `!=`
    Other,
    /// `>=`
    From,
    /// `>`
    Above,
}

impl Relation {
    fn holds<T: PartialOrd>(self, one: &T, other: &T) -> bool {
        match self {
            Self::Below => one < other,
            Self::UpTo => one <= other,
            Self::Equal => one == other,
            Self::Other => one != other,
            Self::From => one >= other,
            Self::Above => one > other,
        }
    }
}

/// What a text is looked for in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextField {
    /// The study's path in the series.
    Path,
    /// What the visit is called.
    Label,
    /// Who traced it.
    Reader,
    /// The path or what the visit is called.
    Any,
}

/// Something that must hold of a study. Of a study that cannot be read only conditions on its path and on whether it
/// can be read ever hold; a number that is missing meets no condition.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// It is of this foot; nothing for studies whose side nobody knows.
    Side(Option<Side>),
    /// Whether the foot had been operated on.
    Operated(bool),
    /// Whether the foot bore weight, as somebody said.
    Stance(Stance),
    /// Its class of severity, whatever the set of limits.
    Severity(Relation, Class),
    /// The day of its films.
    Date(Relation, Date),
    /// A number of the row, by the study's own convention, in the unit of the measurement.
    Number(Measurement, Relation, f64),
    /// A number of the row between two, both included.
    Between(Measurement, f64, f64),
    /// A text, in large or small letters, in a field.
    Text(TextField, String),
    /// Whether the study can be read.
    Readable(bool),
}

impl Filter {
    /// The filter of these conditions, each as a person types it: `hva>=30`, `side=left`, `label~weeks`.
    ///
    /// # Errors
    /// When one of them is no condition; the message says what there is.
    pub fn parse<T: AsRef<str>>(
        conditions: impl IntoIterator<Item = T>,
    ) -> Result<Self, FilterError> {
        let conditions = conditions
            .into_iter()
            .map(|text| text.as_ref().parse())
            .collect::<Result<_, _>>()?;
        Ok(Self { conditions })
    }

    /// Whether every condition holds of a visit's study.
    #[must_use]
    pub fn passes(&self, visit: &FootVisit) -> bool {
        self.conditions
            .iter()
            .all(|condition| condition.holds(visit))
    }
}

impl Condition {
    /// Whether it holds of a visit's study.
    #[must_use]
    pub fn holds(&self, visit: &FootVisit) -> bool {
        let facts = visit.row.facts();
        match self {
            Self::Readable(readable) => facts.is_some() == *readable,
            Self::Text(field, text) => has_text(visit, *field, text),
            _ => facts.is_some_and(|facts| self.holds_of(facts)),
        }
    }

    fn holds_of(&self, facts: &StudyFacts) -> bool {
        match self {
            Self::Side(side) => facts.side == *side,
            Self::Operated(operated) => facts.operated == *operated,
            Self::Stance(stance) => facts.stance == *stance,
            Self::Severity(relation, class) => facts
                .severity
                .is_some_and(|found| relation.holds(&found, class)),
            Self::Date(relation, date) => facts
                .date()
                .is_some_and(|found| relation.holds(&found, date)),
            Self::Number(measurement, relation, limit) => {
                value(facts, *measurement).is_some_and(|found| relation.holds(&found, limit))
            }
            Self::Between(measurement, low, high) => {
                value(facts, *measurement).is_some_and(|found| (*low..=*high).contains(&found))
            }
            Self::Text(..) | Self::Readable(_) => false,
        }
    }
}

fn value(facts: &StudyFacts, measurement: Measurement) -> Option<f64> {
    Some(facts.number(measurement)?.value()?.value)
}

fn has_text(visit: &FootVisit, field: TextField, text: &str) -> bool {
    let wanted = text.to_lowercase();
    let has = |found: &str| found.to_lowercase().contains(&wanted);
    let (path, label) = (&visit.row.path, &visit.name);
    match field {
        TextField::Path => has(path),
        TextField::Label => has(label),
        TextField::Reader => visit.row.facts().is_some_and(|facts| has(&facts.reader)),
        TextField::Any => has(path) || has(label),
    }
}
