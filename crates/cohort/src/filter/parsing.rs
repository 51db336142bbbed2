//! A condition as a person types it.

use std::str::FromStr;

use plumbray_anatomy::Side;
use plumbray_measure::{Class, Measurement};
use plumbray_study::Stance;

use super::{Condition, Relation, TextField};
use crate::{row::HEADLINES, words::class_of};

/// What conditions can be about, as a person types it, with an example each.
pub const FIELDS: &str = "side=left, operated=yes, standing=yes, severity>=moderate, date>=2025-01-31, \
     hva>=30, ima=9..13, dmaa, sesamoid, length (mm) and length_ratio in the same way, path~text, label~text, \
     reader~text, text~text (path or label), readable=no";

/// The longest text that is looked for, in bytes.
const LONGEST: usize = 1_000;

/// Why a text is no condition.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FilterError {
    /// There is no sign between a field and a value.
    #[error(
        "“{text}” is no condition: write a field, a sign (= != < <= > >= ~) and a value, as in {FIELDS}"
    )]
    NoSign {
        /// What was typed.
        text: String,
    },
    /// There is no such field.
    #[error("“{field}” is nothing that studies can be chosen by; there is {FIELDS}")]
    NoField {
        /// What was typed.
        field: String,
    },
    /// The sign makes no sense for the field.
    #[error("“{field}” does not go with {sign}: {instead}")]
    OtherSign {
        /// The field.
        field: String,
        /// The sign.
        sign: &'static str,
        /// What goes with it.
        instead: &'static str,
    },
    /// The value is none of the field's.
    #[error("“{value}” is no value of {field}: {instead}")]
    NoValue {
        /// The field.
        field: String,
        /// What was typed.
        value: String,
        /// What there is.
        instead: &'static str,
    },
    /// The text is longer than any condition.
    #[error("a condition has at most {LONGEST} letters")]
    TooLong,
}

/// The signs, those of two letters first, so that `>=` is not taken for `>`.
const SIGNS: [(&str, Sign); 7] = [
    ("!=", Sign::Relation(Relation::Other)),
    ("<=", Sign::Relation(Relation::UpTo)),
    (">=", Sign::Relation(Relation::From)),
    ("<", Sign::Relation(Relation::Below)),
    (">", Sign::Relation(Relation::Above)),
    ("=", Sign::Relation(Relation::Equal)),
    ("~", Sign::Has),
];

#[derive(Clone, Copy, PartialEq, Eq)]
enum Sign {
    Relation(Relation),
    Has,
}

/// A condition in its three pieces.
struct Pieces<'a> {
    field: &'a str,
    word: &'static str,
    sign: Sign,
    value: &'a str,
}

impl FromStr for Condition {
    type Err = FilterError;

    fn from_str(text: &str) -> Result<Self, FilterError> {
        if text.len() > LONGEST {
            return Err(FilterError::TooLong);
        }
        let pieces = pieces(text)?;
        let field = pieces.field.to_lowercase();
        if let Some(measurement) = measurement_of(&field) {
            return pieces.number(measurement);
        }
        match field.as_str() {
            "side" => pieces.side(),
            "operated" => Ok(Self::Operated(pieces.yes()?)),
            "readable" => Ok(Self::Readable(pieces.yes()?)),
            "standing" => pieces.stance(),
            "severity" => pieces.severity(),
            "date" => pieces.date(),
            "path" => pieces.text(TextField::Path),
            "label" => pieces.text(TextField::Label),
            "reader" => pieces.text(TextField::Reader),
            "text" => pieces.text(TextField::Any),
            _ => Err(FilterError::NoField {
                field: pieces.field.to_owned(),
            }),
        }
    }
}

/// The first sign ends the field: a text that is looked for may hold others.
fn pieces(text: &str) -> Result<Pieces<'_>, FilterError> {
    let at = text.find(['!', '<', '>', '=', '~']);
    let found = at.and_then(|at| {
        let (word, sign) = SIGNS
            .into_iter()
            .find(|(word, _)| text[at..].starts_with(word))?;
        Some(Pieces {
            field: text[..at].trim(),
            word,
            sign,
            value: text[at + word.len()..].trim(),
        })
    });
    found
        .filter(|pieces| !pieces.field.is_empty() && !pieces.value.is_empty())
        .ok_or_else(|| FilterError::NoSign {
            text: text.to_owned(),
        })
}

/// A number of the row by its identifier or by a short name.
fn measurement_of(field: &str) -> Option<Measurement> {
    let short = match field {
        "hva" => Some(Measurement::HalluxValgusAngle),
        "ima" => Some(Measurement::IntermetatarsalAngle12),
        "dmaa" => Some(Measurement::DistalMetatarsalArticularAngle),
        "sesamoid" => Some(Measurement::TibialSesamoidGrade),
        "length" => Some(Measurement::RelativeFirstMetatarsalLength),
        "length_ratio" => Some(Measurement::RelativeFirstMetatarsalLengthRatio),
        _ => None,
    };
    short.or_else(|| Measurement::from_identifier(field).filter(|one| HEADLINES.contains(one)))
}

impl Pieces<'_> {
    fn relation(&self) -> Result<Relation, FilterError> {
        match self.sign {
            Sign::Relation(relation) => Ok(relation),
            Sign::Has => Err(self.other_sign("use = != < <= > >=")),
        }
    }

    fn equal(&self) -> Result<(), FilterError> {
        match self.sign {
            Sign::Relation(Relation::Equal) => Ok(()),
            _ => Err(self.other_sign("use =")),
        }
    }

    fn other_sign(&self, instead: &'static str) -> FilterError {
        FilterError::OtherSign {
            field: self.field.to_owned(),
            sign: self.word,
            instead,
        }
    }

    fn no_value(&self, instead: &'static str) -> FilterError {
        FilterError::NoValue {
            field: self.field.to_owned(),
            value: self.value.to_owned(),
            instead,
        }
    }

    fn yes(&self) -> Result<bool, FilterError> {
        self.equal()?;
        match self.value.to_lowercase().as_str() {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err(self.no_value("yes or no")),
        }
    }

    fn side(&self) -> Result<Condition, FilterError> {
        self.equal()?;
        match self.value.to_lowercase().as_str() {
            "left" => Ok(Condition::Side(Some(Side::Left))),
            "right" => Ok(Condition::Side(Some(Side::Right))),
            "unknown" => Ok(Condition::Side(None)),
            _ => Err(self.no_value("left, right or unknown")),
        }
    }

    fn stance(&self) -> Result<Condition, FilterError> {
        self.equal()?;
        match self.value.to_lowercase().as_str() {
            "yes" => Ok(Condition::Stance(Stance::Standing)),
            "no" => Ok(Condition::Stance(Stance::NotStanding)),
            "unknown" => Ok(Condition::Stance(Stance::Unknown)),
            _ => Err(self.no_value("yes, no or unknown")),
        }
    }

    fn severity(&self) -> Result<Condition, FilterError> {
        let class: Option<Class> = class_of(&self.value.to_lowercase());
        let class = class.ok_or_else(|| self.no_value("normal, mild, moderate or severe"))?;
        Ok(Condition::Severity(self.relation()?, class))
    }

    fn date(&self) -> Result<Condition, FilterError> {
        let date = self
            .value
            .parse()
            .ok()
            .ok_or_else(|| self.no_value("a day as 2025-01-31"))?;
        Ok(Condition::Date(self.relation()?, date))
    }

    fn number(&self, measurement: Measurement) -> Result<Condition, FilterError> {
        let relation = self.relation()?;
        let number = |text: &str| {
            text.trim()
                .parse::<f64>()
                .ok()
                .filter(|one| one.is_finite())
        };
        let Some((low, high)) = self.value.split_once("..") else {
            let limit = number(self.value).ok_or_else(|| self.no_value(A_NUMBER))?;
            return Ok(Condition::Number(measurement, relation, limit));
        };
        self.equal()?;
        match (number(low), number(high)) {
            (Some(low), Some(high)) if low <= high => {
                Ok(Condition::Between(measurement, low, high))
            }
            _ => Err(self.no_value(A_NUMBER)),
        }
    }

    fn text(&self, field: TextField) -> Result<Condition, FilterError> {
        if self.sign != Sign::Has {
            return Err(self.other_sign("use ~"));
        }
        Ok(Condition::Text(field, self.value.to_owned()))
    }
}

const A_NUMBER: &str = "a number, or two with .. between them, the smaller one first, as in 9..13";

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn conditions_are_read_as_they_are_typed() {
        for (text, condition) in [
            (
                "hva>=30",
                Condition::Number(Measurement::HalluxValgusAngle, Relation::From, 30.0),
            ),
            (
                " IMA = 9 .. 13 ",
                Condition::Between(Measurement::IntermetatarsalAngle12, 9.0, 13.0),
            ),
            (
                "relative_first_metatarsal_length<-2.5",
                Condition::Number(
                    Measurement::RelativeFirstMetatarsalLength,
                    Relation::Below,
                    -2.5,
                ),
            ),
            ("side=left", Condition::Side(Some(Side::Left))),
            ("side=unknown", Condition::Side(None)),
            ("operated=no", Condition::Operated(false)),
            ("standing=yes", Condition::Stance(Stance::Standing)),
            (
                "severity!=mild",
                Condition::Severity(Relation::Other, Class::Mild),
            ),
            (
                "date<2025-02-01",
                Condition::Date(Relation::Below, "2025-02-01".parse().expect("a day")),
            ),
            (
                "label~6 weeks >= half",
                Condition::Text(TextField::Label, "6 weeks >= half".to_owned()),
            ),
            ("readable=no", Condition::Readable(false)),
        ] {
            assert_eq!(text.parse(), Ok(condition), "{text}");
        }
    }

    #[test]
    fn what_is_no_condition_is_told_with_what_there_is() {
        for (text, words) in [
            ("", "no condition"),
            ("hva", "no condition"),
            ("hva>=", "no condition"),
            ("=left", "no condition"),
            ("!left", "no condition"),
            ("shoe=42", "hva>=30"),
            ("side>left", "use ="),
            ("side=both", "left, right or unknown"),
            ("hva~3", "use = != <"),
            ("hva>=thirty", "a number"),
            ("hva>=nan", "a number"),
            ("hva=30..20", "smaller one first"),
            ("hva>20..30", "use ="),
            ("date=31.1.2025", "2025-01-31"),
            ("severity=awful", "moderate"),
            ("path=oak", "use ~"),
            ("m1_length>60", "nothing that studies"),
        ] {
            let problem = text.parse::<Condition>().expect_err(text);
            assert!(problem.to_string().contains(words), "{text}: {problem}");
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_stumble(text in "\\PC{0,60}") {
            let _either = text.parse::<Condition>();
        }
    }
}
