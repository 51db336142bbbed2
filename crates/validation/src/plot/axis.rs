//! A straight scale with labelled steps.

/// One axis of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it shows, with its unit.
    pub label: String,
    /// The value at its start.
    pub low: f64,
    /// The value at its end, above `low`.
    pub high: f64,
}

impl Axis {
    /// An axis from `low` to `high`.
    #[must_use]
    pub fn new(label: &str, low: f64, high: f64) -> Self {
        Self {
            label: label.to_owned(),
            low,
            high,
        }
    }

    /// An axis that holds all these values with a little room, from 0 where all are positive and
    /// `from_zero` asks for it. Values that are no numbers are passed over.
    #[must_use]
    pub fn around(label: &str, values: impl IntoIterator<Item = f64>, from_zero: bool) -> Self {
        let (mut low, mut high) = values
            .into_iter()
            .filter(|value| value.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        let room = 0.05 * (high - low).max(1e-9);
        low = if from_zero && low >= 0.0 {
            0.0
        } else {
            low - room
        };
        high += room;
        if high - low < 1e-6 {
            high = low + 1.0;
        }
        Self::new(label, low, high)
    }

    /// Where a value lies along the axis, 0 at its start and 1 at its end.
    #[must_use]
    pub fn share(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }

    /// Three to eight round values along the axis with their labels.
    #[must_use]
    pub fn steps(&self) -> Vec<(f64, String)> {
        let rough = (self.high - self.low) / 7.0;
        let magnitude = 10_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 2.5, 5.0, 10.0]
            .into_iter()
            .map(|factor| factor * magnitude)
            .find(|step| *step >= rough * 0.999)
            .unwrap_or(10.0 * magnitude);
        let decimals = decimals_of(step);
        let first = (self.low / step - 1e-9).ceil();
        (0..32)
            .map(|index| (first + f64::from(index)) * step)
            .take_while(|value| *value <= self.high + 1e-9 * step)
            .map(|value| {
                let text = format!("{:.decimals$}", value.abs());
                let is_zero = text.chars().all(|letter| matches!(letter, '0' | '.'));
                let sign = if value < 0.0 && !is_zero { "−" } else { "" };
                (value, format!("{sign}{text}"))
            })
            .collect()
    }
}

/// How many decimals a step needs.
fn decimals_of(step: f64) -> usize {
    (0..8)
        .find(|decimals| {
            let scaled = step * 10_f64.powi(*decimals);
            (scaled - scaled.round()).abs() < 1e-6
        })
        .map_or(8, |decimals| usize::try_from(decimals).unwrap_or(8))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_lie_on_the_axis() {
        let labels = |low, high| -> Vec<String> {
            Axis::new("angle, °", low, high)
                .steps()
                .into_iter()
                .map(|(_, label)| label)
                .collect()
        };
        assert_eq!(
            labels(0.0, 25.0),
            ["0", "5", "10", "15", "20", "25"],
            "by 5"
        );
        assert_eq!(
            labels(-1.0, 1.0),
            ["−1.0", "−0.5", "0.0", "0.5", "1.0"],
            "by a half"
        );
    }

    #[test]
    fn an_axis_holds_its_values_and_never_has_no_length() {
        let axis = Axis::around("x", [2.0, f64::NAN, 4.0], false);
        assert!(axis.low < 2.0 && axis.high > 4.0, "{axis:?}");
        for values in [vec![], vec![3.0, 3.0]] {
            let axis = Axis::around("x", values, true);
            assert!(axis.high > axis.low, "{axis:?}");
            assert!(!axis.steps().is_empty(), "{axis:?}");
        }
    }
}
