//! What stands on the sheet of how far readers agree: its numbers in words, and its plots.

use crate::content::Paper;

/// What stands at the top of the sheet.
pub const AGREEMENT_TITLE: &str = "Agreement of readers";

/// Everything that stands on the sheet of how far readers agree.
#[derive(Clone, Debug, PartialEq)]
pub struct AgreementContent {
    /// The paper.
    pub paper: Paper,
    /// How many studies and which readers, in one line.
    pub summary: String,
    /// One part for each measurement.
    pub parts: Vec<AgreementPart>,
    /// What to know about all of it.
    pub notes: Vec<String>,
    /// A measuring aid, not a medical device.
    pub caution: String,
    /// Program and version.
    pub program: String,
    /// Program and files.
    pub origin: String,
}

/// One measurement on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct AgreementPart {
    /// Its name and unit, by which axes and whose millimetres.
    pub heading: String,
    /// Its statistics.
    pub rows: Vec<AgreementRow>,
    /// The differences of every two readers.
    pub plots: Vec<LimitsPlot>,
    /// What was left out, and what else to know.
    pub remarks: Vec<String>,
}

/// One statistic in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AgreementRow {
    /// Which.
    pub name: String,
    /// Its value with its interval; "–" where there is none.
    pub value: String,
    /// Of whom, on how many films, and what to know beside it.
    pub beside: String,
}

/// A line across a plot of differences with its 95 % interval, in the unit of the measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlotLine {
    /// Where it lies.
    pub at: f64,
    /// The lower end of its interval.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// Differences of two readers over their means, with bias and limits of agreement: Bland, Altman, Lancet
/// 1986;i:307–310. All in the unit of the measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitsPlot {
    /// Whose difference: "Ann less Ben, degrees".
    pub heading: String,
    /// Of each film the mean of both readings, and the first less the second.
    pub points: Vec<(f64, f64)>,
    /// The mean difference.
    pub bias: PlotLine,
    /// The lower limit of agreement.
    pub lower: PlotLine,
    /// The upper limit of agreement.
    pub upper: PlotLine,
}

impl LimitsPlot {
    /// The ends of what the plot holds from bottom to top: every point, every interval, and zero.
    #[must_use]
    pub fn height_range(&self) -> (f64, f64) {
        let lines = [self.lower, self.bias, self.upper];
        let of_lines = lines
            .into_iter()
            .flat_map(|line| [line.low, line.at, line.high]);
        let of_points = self.points.iter().map(|(_, difference)| *difference);
        range(of_lines.chain(of_points).chain([0.0]))
    }

    /// The ends of the means.
    #[must_use]
    pub fn width_range(&self) -> (f64, f64) {
        range(self.points.iter().map(|(mean, _)| *mean))
    }
}

/// The smallest and the largest of them that are finite; 0 and 1 of none.
fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
    if low <= high { (low, high) } else { (0.0, 1.0) }
}

/// What lies between two lines of a scale over this span: 1, 2 or 5 times a power of ten, so that there are at most
/// six.
#[must_use]
pub fn step_of(span: f64) -> f64 {
    if !span.is_finite() || span <= 0.0 {
        return 1.0;
    }
    let rough = span / 5.0;
    let power = 10.0_f64.powf(rough.log10().floor());
    let times = [1.0, 2.0, 5.0].into_iter();
    times
        .map(|times| times * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_has_round_steps_and_few_lines() {
        for (span, expected) in [
            (10.0, 2.0),
            (11.0, 5.0),
            (0.3, 0.1),
            (26.0, 10.0),
            (5.0, 1.0),
        ] {
            let step = step_of(span);
            assert!((step - expected).abs() < 1e-9, "{span}: {step}");
        }
        assert!((step_of(0.0) - 1.0).abs() < 1e-12, "nothing to span");
        assert!((step_of(f64::NAN) - 1.0).abs() < 1e-12, "no span");
    }

    #[test]
    fn a_plot_holds_zero_every_point_and_every_interval() {
        let line = |at: f64| PlotLine {
            at,
            low: at - 1.0,
            high: at + 1.0,
        };
        let plot = LimitsPlot {
            heading: String::new(),
            points: vec![(30.0, 4.0), (20.0, 9.0)],
            bias: line(5.0),
            lower: line(2.0),
            upper: line(8.0),
        };
        let found = [plot.height_range(), plot.width_range()];
        for ((low, high), (lowest, highest)) in found.into_iter().zip([(0.0, 9.0), (20.0, 30.0)]) {
            assert!((low - lowest).abs() < 1e-12, "from {low}");
            assert!((high - highest).abs() < 1e-12, "to {high}");
        }
    }
}
