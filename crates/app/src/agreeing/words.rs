//! The same in words: what stands on every line of a table, on paper and on the screen.

use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Unit};
use plumbray_report::number;

use super::{MeasuredReadings, MeasurementAgreement, Told, statistic::Statistic};
use crate::words::{counted, decimals_of, once};

/// One statistic that has a value, or several that have none for one reason.
pub(crate) enum Line {
    Defined {
        label: &'static str,
        value: String,
        /// Its 95 % interval; empty where it has none.
        interval: String,
        /// On how many films, and of whom; then what to know beside it.
        beside: String,
    },
    Undefined {
        who: String,
        labels: String,
        why: String,
    },
}

/// All statistics of a measurement. What is not defined for one reason is told once.
pub(crate) fn lines_of(measured: &MeasurementAgreement) -> Vec<Line> {
    let unit = measured.measurement.unit();
    let mut lines = Vec::new();
    let mut rest = &measured.statistics[..];
    while let Some(first) = rest.first() {
        let alike = rest.iter().take_while(|next| is_alike(first, next)).count();
        let (now, later) = rest.split_at(alike.max(1));
        lines.push(line(first, now, unit));
        rest = later;
    }
    lines
}

fn line(first: &Statistic, alike: &[Statistic], unit: Unit) -> Line {
    let Some(value) = first.value else {
        return Line::Undefined {
            who: once(alike.iter().map(|one| joined(&one.readers))).join("; "),
            labels: once(alike.iter().map(|one| one.label)).join("; "),
            why: first.remark.clone(),
        };
    };
    let decimals = decimals(first.statistic, unit);
    let remark = if first.remark.is_empty() {
        String::new()
    } else {
        format!("; {}", first.remark)
    };
    let number = |value: f64| {
        if is_coefficient(first.statistic) {
            never_rounded_to_one(value, decimals)
        } else {
            number::plain(value, decimals)
        }
    };
    Line::Defined {
        label: first.label,
        value: number(value),
        interval: match (first.low, first.high) {
            (Some(low), Some(high)) => format!("95 % {} to {}", number(low), number(high)),
            _ => String::new(),
        },
        beside: format!(
            "{}, {}{remark}",
            counted(first.count, "film", "films"),
            joined(&first.readers)
        ),
    }
}

/// Whether both are not defined for one reason.
fn is_alike(first: &Statistic, next: &Statistic) -> bool {
    first.value.is_none() && next.value.is_none() && first.remark == next.remark
}

/// Names in a sentence: "Ann, Ben and Cy".
pub(crate) fn joined(readers: &[String]) -> String {
    match readers {
        [] => "nobody".to_owned(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Coefficients and ratios need more digits than angles.
fn decimals(statistic: &str, unit: Unit) -> usize {
    if is_coefficient(statistic) || unit == Unit::Ratio {
        3
    } else if statistic.ends_with("per_cent") {
        0
    } else {
        2
    }
}

fn is_coefficient(statistic: &str) -> bool {
    statistic.starts_with("icc") || statistic.contains("kappa")
}

/// A coefficient whose end is 1, never rounded up to that: ">0.99". Exactly 1 stays 1.
pub(super) fn never_rounded_to_one(value: f64, decimals: usize) -> String {
    let text = number::plain(value, decimals);
    if value < 1.0 && text == number::plain(1.0, decimals) {
        let nines = "9".repeat(decimals);
        format!(">0.{nines}")
    } else {
        text
    }
}

/// A measurement with its unit, and by which axes and whose millimetres it was read.
pub(crate) fn heading_of(measured: &MeasurementAgreement) -> String {
    let by = measured.readings.by_words();
    let by = if by.is_empty() {
        String::new()
    } else {
        format!(" ({})", by.join(", "))
    };
    let unit = measured.measurement.unit().identifier();
    format!("{}, {unit}{by}", measured.measurement.name())
}

/// Which of a reader's readings counts between readers.
pub(crate) const fn one_value_words(one_value: OneValue) -> &'static str {
    match one_value {
        OneValue::First => "each reader’s first reading of a film",
        OneValue::Mean => "the mean of each reader’s readings of a film",
    }
}

impl MeasuredReadings {
    /// By which axes and whose millimetres they were read.
    fn by_words(&self) -> Vec<String> {
        let named = |by: &&'static str| {
            AxisConvention::from_identifier(by).map_or(*by, AxisConvention::name)
        };
        let conventions = self.conventions.iter().map(|by| named(by).to_owned());
        conventions
            .chain(self.calibrations.iter().cloned())
            .collect()
    }
}

/// What the readers' page says of one measurement, worked out once and not at each drawing.
#[derive(Debug)]
pub(crate) struct Card {
    /// How much was read, by which axes and whose millimetres.
    pub basis: String,
    /// What the statistics say.
    pub told: Told,
    /// Readers without any reading; empty where there is none.
    pub silent: String,
}

impl MeasurementAgreement {
    /// What the readers' page says.
    pub(crate) fn card(&self, readers: &[String]) -> Card {
        let counts = std::iter::once(self.counts_in_words());
        let basis: Vec<String> = counts.chain(self.readings.by_words()).collect();
        Card {
            basis: basis.join(" · "),
            told: self.told(),
            silent: self.silent(readers),
        }
    }

    /// How much was read: "3 readers of 6 films, 25 readings; up to 3 of one film by one reader".
    pub(crate) fn counts_in_words(&self) -> String {
        let readings = &self.readings;
        format!(
            "{} of {}, {}; up to {} of one film by one reader",
            counted(readings.readers().len(), "reader", "readers"),
            counted(readings.film_count(), "film", "films"),
            counted(readings.readings.len(), "reading", "readings"),
            readings.most_repeats()
        )
    }

    /// Readers without any reading; empty where there is none.
    pub(crate) fn silent(&self, readers: &[String]) -> String {
        let heard = self.readings.readers();
        let all = readers.iter().enumerate();
        let silent: Vec<&str> = all
            .filter(|(place, _)| !heard.contains(place))
            .map(|(_, name)| name.as_str())
            .collect();
        silent.join(", ")
    }

    /// A value of this measurement with its unit, as a person reads it: "1.3°".
    pub(crate) fn in_unit(&self, value: f64) -> String {
        let unit = self.measurement.unit();
        number::in_unit(unit, value, decimals_of(unit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coefficient_is_never_rounded_up_to_one() {
        for (value, words) in [
            (0.996, ">0.99"),
            (0.994, "0.99"),
            (1.0, "1.00"),
            (-0.2, "\u{2212}0.20"),
        ] {
            assert_eq!(never_rounded_to_one(value, 2), words, "{value}");
        }
        assert_eq!(
            never_rounded_to_one(0.9996, 3),
            ">0.999",
            "with three digits"
        );
    }
}
