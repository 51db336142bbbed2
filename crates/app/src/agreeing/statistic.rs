//! One statistic as it is told in every form: a value, or why there is none.

use plumbray_agreement::{AgreementError, ConfidenceLevel, Interval};
use serde::Serialize;

/// How sure every interval is.
pub(crate) const LEVEL: ConfidenceLevel = ConfidenceLevel::NINETY_FIVE;

/// A statistic of one measurement.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Statistic {
    /// Its name for programs.
    pub statistic: &'static str,
    /// Its name for people.
    #[serde(skip)]
    pub label: &'static str,
    /// Of whom; the first less the second where they are subtracted.
    pub readers: Vec<String>,
    /// In the unit of the measurement, or without unit; nothing where it is not defined.
    pub value: Option<f64>,
    /// The lower end of its 95 % interval.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
    /// On how many films it stands.
    pub count: usize,
    /// What to know beside it; why there is no value.
    pub remark: String,
}

impl Statistic {
    /// A statistic of some readers on so many films, without a value yet.
    pub(crate) fn new(
        (statistic, label): (&'static str, &'static str),
        readers: &[String],
        count: usize,
    ) -> Self {
        Self {
            statistic,
            label,
            readers: readers.to_vec(),
            value: None,
            low: None,
            high: None,
            count,
            remark: String::new(),
        }
    }

    /// With its value, and its interval where it has one. What is no finite number is told as not defined.
    pub(crate) fn with(self, value: f64, interval: Option<Interval>) -> Self {
        if !value.is_finite() {
            return self.undefined("it is not defined for these readings");
        }
        let ends = interval.filter(|ends| ends.lower.is_finite() && ends.upper.is_finite());
        Self {
            value: Some(value),
            low: ends.map(|ends| ends.lower),
            high: ends.map(|ends| ends.upper),
            ..self
        }
    }

    /// With what to know beside it.
    pub(crate) fn remarked(self, remark: impl Into<String>) -> Self {
        Self {
            remark: remark.into(),
            ..self
        }
    }

    /// Without a value, and why.
    pub(crate) fn undefined(self, why: impl Into<String>) -> Self {
        self.remarked(why)
    }

    /// Without a value, as the statistics say.
    pub(crate) fn refused(self, error: &AgreementError) -> Self {
        self.undefined(error.to_string())
    }
}

/// The names of readers by their places.
pub(crate) fn names(places: &[usize], readers: &[String]) -> Vec<String> {
    places.iter().map(|place| readers[*place].clone()).collect()
}

/// Every two of them, the earlier first.
pub(crate) fn pairs(places: &[usize]) -> Vec<[usize; 2]> {
    let with_later = |(index, first): (usize, &usize)| {
        let first = *first;
        let later = places[index + 1..].to_vec();
        later.into_iter().map(move |second| [first, second])
    };
    places.iter().enumerate().flat_map(with_later).collect()
}
