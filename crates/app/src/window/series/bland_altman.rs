//! The differences of two readers over their means, with bias and limits of agreement.

use egui::{Id, RichText, Role, Ui, WidgetInfo};
use egui_plot::{AxisHints, GridMark, HLine, LineStyle, PlotPoints, Points, Span};
use plumbray_measure::Measurement;
use plumbray_report::{LimitsPlot, PlotLine, number::plain, step_of};

use super::super::{
    still_plot::{small_axis, still_plot},
    theme,
    theme::size,
};

/// Height of a plot in points.
const HEIGHT: f32 = 170.0;
/// More lines of a scale are never drawn.
const MOST_MARKS: u32 = 12;
/// Room at every edge, as a share of what is shown.
const BESIDE: f64 = 0.06;

/// Draws a plot: a dot for each film, the bias, both limits, and their 95 % intervals shaded.
pub(super) fn plot_ui(ui: &mut Ui, measurement: Measurement, plot: &LimitsPlot) {
    let tokens = theme::tokens(ui);
    let heading = RichText::new(&plot.heading).size(size::SMALLEST);
    ui.label(heading.color(tokens.soft));
    let across = RichText::new("mean of both").size(size::SMALLEST);
    let id = Id::unique((measurement.identifier(), &plot.heading));
    let drawn = still_plot(ui, id, HEIGHT)
        .y_grid_spacer(|input| marks(input.bounds))
        .x_grid_spacer(|input| marks(input.bounds))
        .custom_x_axes(vec![
            small_axis(ui, AxisHints::new_x()).label(across.color(tokens.soft)),
        ]);
    let shown = drawn.show(ui, |drawing| {
        let (left, right) = with_room(plot.width_range());
        let (low, high) = with_room(plot.height_range());
        drawing.set_plot_bounds_x(left..=right);
        drawing.set_plot_bounds_y(low..=high);
        for (line, colour) in [
            (plot.lower, tokens.look_again),
            (plot.bias, tokens.accent),
            (plot.upper, tokens.look_again),
        ] {
            let band = Span::new("", line.low..=line.high)
                .axis(egui_plot::Axis::Y)
                .fill(colour.gamma_multiply(0.12))
                .border_width(0.0);
            drawing.span(band);
        }
        drawing.hline(HLine::new("", 0.0).color(tokens.soft).width(1.0));
        for line in [plot.lower, plot.upper] {
            let limit = HLine::new("", line.at).color(tokens.look_again);
            drawing.hline(limit.style(LineStyle::dashed_loose()));
        }
        drawing.hline(HLine::new("", plot.bias.at).color(tokens.accent).width(1.5));
        let at: Vec<[f64; 2]> = plot.points.iter().map(|(x, y)| [*x, *y]).collect();
        let dots = Points::new("films", PlotPoints::from(at));
        drawing.points(dots.color(tokens.ink).radius(2.5));
    });
    let spoken = spoken(measurement, plot);
    shown
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
}

/// The lines of the scale between two ends: a handful, at round numbers.
fn marks((low, high): (f64, f64)) -> Vec<GridMark> {
    let step = step_of(high - low);
    let first = (low / step).ceil();
    let marks = (0..MOST_MARKS).map(|place| (first + f64::from(place)) * step);
    marks
        .take_while(|value| *value <= high)
        .map(|value| GridMark {
            value,
            step_size: step,
        })
        .collect()
}

fn with_room((low, high): (f64, f64)) -> (f64, f64) {
    let beside = if high > low {
        BESIDE * (high - low)
    } else {
        1.0
    };
    (low - beside, high + beside)
}

/// What a screen reader says of a plot.
fn spoken(measurement: Measurement, plot: &LimitsPlot) -> String {
    let at = |line: PlotLine| plain(line.at, 2);
    format!(
        "{}, {}: bias {}, limits of agreement {} and {}, {} films",
        measurement.name(),
        plot.heading,
        at(plot.bias),
        at(plot.lower),
        at(plot.upper),
        plot.points.len()
    )
}
