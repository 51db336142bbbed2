//! The differences of every two readers over their means.

use plumbray_agreement::{
    Interval, LimitsOfAgreement, OneValue, USUAL_MULTIPLIER, between_readers, limits_of_agreement,
};
use plumbray_measure::Unit;
use plumbray_report::{LimitsPlot, PlotLine};

use super::{
    readings::MeasuredReadings,
    statistic::{LEVEL, pairs},
};

/// A plot for each two readers who read films both, of which the limits are defined.
pub(super) fn plots(
    readings: &MeasuredReadings,
    unit: Unit,
    one_value: OneValue,
    readers: &[String],
) -> Vec<LimitsPlot> {
    let of_pair = |pair: [usize; 2]| {
        let shared = between_readers(&readings.of_readers(&pair), one_value, 1).ok()?;
        let values = shared.table.pairs(0, 1);
        let limits = limits_of_agreement(&values, USUAL_MULTIPLIER, LEVEL).ok()?;
        let [first, second] = pair.map(|place| readers[place].as_str());
        let heading = format!("{first} less {second}, {}", unit.identifier());
        Some(plot(heading.replace('_', " "), &limits))
    };
    let all = pairs(&readings.readers()).into_iter();
    all.filter_map(of_pair).collect()
}

fn plot(heading: String, limits: &LimitsOfAgreement) -> LimitsPlot {
    let line = |at: f64, interval: &Interval| PlotLine {
        at,
        low: interval.lower,
        high: interval.upper,
    };
    let targets = limits.targets.iter();
    LimitsPlot {
        heading,
        points: targets.map(|one| (one.mean, one.difference)).collect(),
        bias: line(limits.bias, &limits.bias_interval),
        lower: line(limits.lower, &limits.lower_interval),
        upper: line(limits.upper, &limits.upper_interval),
    }
}
