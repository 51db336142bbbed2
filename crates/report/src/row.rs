//! One measurement on the sheet.

use plumbray_measure::{AxisConvention, Measurement, Reading, Remark, Row, UsualRange};

use crate::number;

/// One measurement on the sheet, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetRow {
    /// Its name.
    pub name: &'static str,
    /// Its value: "32.1°".
    pub value: String,
    /// The half-width of its 95 % interval: "± 3.4"; empty for a position or a grade.
    pub spread: String,
    /// Its usual range; empty where no source gives one.
    pub usual: String,
    /// By which convention and calibration, how probable each class is, and what else to know.
    pub convention: String,
    /// Where it lies by its usual range.
    pub standing: Option<Standing>,
}

/// Where a value with its 95 % interval lies by its usual range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// All of the interval is above the range.
    Above,
    /// All of it is within.
    Within,
    /// All of it is below.
    Below,
    /// The interval holds a limit: the spread of this tracing does not decide.
    About,
}

impl Standing {
    /// Where an interval lies by a range.
    #[must_use]
    pub fn of(interval: (f64, f64), usual: UsualRange) -> Self {
        let (low, high) = interval;
        if low > usual.high {
            Self::Above
        } else if high < usual.low {
            Self::Below
        } else if low >= usual.low && high <= usual.high {
            Self::Within
        } else {
            Self::About
        }
    }

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Above => "above",
            Self::Within => "within",
            Self::Below => "below",
            Self::About => "about",
        }
    }
}

impl SheetRow {
    /// A row of the worksheet; nothing where it has no number.
    #[must_use]
    pub fn of(row: &Row) -> Option<Self> {
        let reading = row.outcome.reading()?;
        let measurement = row.measurement;
        let (value, spread) = number::value_and_spread(measurement.unit(), reading);
        let usual = measurement.usual_range();
        Some(Self {
            name: measurement.name(),
            value,
            spread,
            usual: usual.map_or_else(String::new, |range| {
                number::usual(measurement.unit(), range)
            }),
            convention: convention_text(measurement, reading),
            standing: usual.map(|range| Standing::of(reading.interval, range)),
        })
    }
}

fn convention_text(measurement: Measurement, reading: &Reading) -> String {
    let mut parts = Vec::new();
    let classes = classes_text(measurement, &reading.classes);
    if !classes.is_empty() {
        parts.push(classes);
    }
    parts.extend(
        reading
            .convention
            .map(AxisConvention::name)
            .map(str::to_owned),
    );
    parts.extend(reading.calibration_name.clone());
    if reading.own_sd.is_some() {
        parts.push("own spread".to_owned());
    }
    let mut remarks: Vec<String> = reading.remarks.iter().map(Remark::text).collect();
    remarks.dedup();
    parts.extend(remarks);
    parts.join("; ")
}

/// The classes that are not all but impossible, the likeliest first: "V, 91 %; IV, 9 %".
fn classes_text(measurement: Measurement, classes: &[(&'static str, f64)]) -> String {
    let mut likely: Vec<_> = classes.iter().filter(|class| class.1 >= 0.005).collect();
    likely.sort_by(|one, other| other.1.total_cmp(&one.1));
    let texts: Vec<String> = likely
        .into_iter()
        .map(|(class, share)| format!("{class}, {}", number::likelihood(*share)))
        .collect();
    if texts.is_empty() {
        String::new()
    } else {
        let kind = match measurement.unit() {
            plumbray_measure::Unit::Position => "Position",
            _ => "Grade",
        };
        format!("{kind} {}", texts.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: UsualRange = UsualRange {
        low: 0.0,
        high: 15.0,
        source: "a test",
    };

    #[test]
    fn an_interval_that_holds_a_limit_is_about_it() {
        for (interval, expected) in [
            ((15.1, 20.0), Standing::Above),
            ((2.0, 9.0), Standing::Within),
            ((-9.0, -0.1), Standing::Below),
            ((14.0, 16.0), Standing::About),
            ((-1.0, 1.0), Standing::About),
            ((-1.0, 16.0), Standing::About),
            ((15.0, 16.0), Standing::About),
            ((0.0, 15.0), Standing::Within),
        ] {
            assert_eq!(Standing::of(interval, USUAL), expected, "{interval:?}");
        }
    }

    #[test]
    fn classes_stand_with_their_probability_the_likeliest_first() {
        let classes = [("IV", 0.09), ("V", 0.906), ("VI", 0.004)];
        assert_eq!(
            classes_text(Measurement::TibialSesamoidPosition, &classes),
            "Position V, 91\u{2009}%; IV, 9\u{2009}%",
            "sorted"
        );
    }
}
