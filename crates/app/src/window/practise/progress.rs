//! The progress of a resident: errors over the attempts, the chart of misses, and what costs most.

use egui::{Label, RichText, Role, Ui, WidgetInfo};
use egui_plot::{AxisHints, HLine, Line, LineStyle, Plot, PlotPoints, Points};
use plumbray_agreement::Chart;
use plumbray_measure::Measurement;
use plumbray_practise::{LessonDefaults, MISSES_LIMIT, Progress, miss_rates};

use super::super::{number::plain, theme, theme::size, widgets};

/// Height of a plot in points.
const HEIGHT: f32 = 96.0;
/// Weak points that are named.
const WEAKEST: usize = 4;

/// Draws the progress; nothing before the first attempt.
pub(super) fn progress_ui(ui: &mut Ui, progress: &Progress, limits: &LessonDefaults) {
    let count = progress.attempts.len();
    if count == 0 {
        return;
    }
    ui.add_space(12.0);
    let heading = if count == 1 {
        "Your first foot".to_owned()
    } else {
        format!("Your {count} feet so far")
    };
    ui.label(widgets::heading(ui, heading));
    chart_ui(ui, progress);
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ] {
        let limit = limits.limit(measurement).map(|limit| limit.largest);
        errors_ui(ui, progress, measurement, limit);
    }
    weakest_ui(ui, progress);
}

fn small_plot(id: &str) -> Plot<'static> {
    Plot::new(egui::Id::unique(id))
        .height(HEIGHT)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_axis_zoom_drag(false)
        .show_background(false)
        .show_crosshair(false)
        .show_grid([false, true])
        .custom_x_axes(Vec::new())
        .custom_y_axes(vec![AxisHints::new_y().min_thickness(30.0)])
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a resident makes far fewer than 2^52 attempts"
)]
fn place(index: usize) -> f64 {
    (index + 1) as f64
}

/// The chart of misses with its limit.
fn chart_ui(ui: &mut Ui, progress: &Progress) {
    let Ok(curve) = progress.chart(Chart::Misses, miss_rates(), MISSES_LIMIT) else {
        return;
    };
    let tokens = theme::tokens(ui);
    let heading = RichText::new("Misses, summed: up at a miss, down at each foot without one");
    ui.label(heading.size(size::SMALLEST).color(tokens.soft));
    let rates = miss_rates();
    let note = format!(
        "Sum of misses: up by {}, down by {} at a foot without a miss. It tells {} % of misses from {} %.",
        plain(rates.scores(Chart::Misses).miss, 2),
        plain(rates.scores(Chart::Misses).hit.abs(), 2),
        plain(rates.unacceptable() * 100.0, 0),
        plain(rates.acceptable() * 100.0, 0),
    );
    let sums: Vec<[f64; 2]> = curve
        .sums
        .iter()
        .enumerate()
        .map(|(index, sum)| [place(index), *sum])
        .collect();
    let top = sums.iter().map(|at| at[1]).fold(MISSES_LIMIT, f64::max) * 1.15;
    let shown = small_plot("chart of misses").show(ui, |plot| {
        plot.set_plot_bounds_x(0.5..=place(sums.len().max(8)));
        plot.set_plot_bounds_y(-0.1..=top);
        let limit = HLine::new("", MISSES_LIMIT)
            .color(tokens.bad)
            .style(LineStyle::dashed_loose());
        plot.hline(limit);
        let line = Line::new("", PlotPoints::from(sums.clone()));
        plot.line(line.color(tokens.accent).width(1.5).allow_hover(false));
        let dots = Points::new("", PlotPoints::from(sums.clone()));
        plot.points(dots.color(tokens.accent).radius(3.0));
    });
    let signals = curve.signals.len();
    let spoken = format!(
        "Chart of misses, {} of {} feet missed, {signals} times above the limit",
        curve.misses,
        sums.len()
    );
    shown
        .response
        .on_hover_text(&note)
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
    let words = if signals > 0 {
        "Above the dashed line: ask for help before you go on."
    } else {
        "Below the dashed line; above it ask for help."
    };
    ui.add(
        Label::new(
            widgets::soft(
                ui,
                format!("{} of {} feet missed. {words}", curve.misses, sums.len()),
            )
            .size(size::SMALLEST),
        )
        .wrap(),
    );
}

/// How far an angle was off, attempt by attempt.
fn errors_ui(ui: &mut Ui, progress: &Progress, measurement: Measurement, limit: Option<f64>) {
    let errors: Vec<[f64; 2]> = progress
        .errors(measurement)
        .into_iter()
        .map(|(index, error)| [place(index), error])
        .collect();
    if errors.is_empty() {
        return;
    }
    let tokens = theme::tokens(ui);
    ui.add_space(6.0);
    let heading = RichText::new(format!("{}, off by", measurement.name()));
    ui.label(heading.size(size::SMALLEST).color(tokens.soft));
    let least = limit.unwrap_or(2.0);
    let most = errors.iter().map(|at| at[1].abs()).fold(least, f64::max) * 1.1;
    let last = place(progress.attempts.len().max(8));
    let shown = small_plot(measurement.identifier()).show(ui, |plot| {
        plot.set_plot_bounds_x(0.5..=last);
        plot.set_plot_bounds_y(-most..=most);
        plot.hline(HLine::new("", 0.0).color(tokens.line));
        for limit in limit.into_iter().flat_map(|limit| [limit, -limit]) {
            let line = HLine::new("", limit).color(tokens.bad);
            plot.hline(line.style(LineStyle::dashed_loose()));
        }
        let dots = Points::new("", PlotPoints::from(errors.clone()));
        plot.points(dots.color(tokens.accent).radius(3.0));
    });
    let spoken = format!("{}, errors of {} feet", measurement.name(), errors.len());
    shown
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
}

fn weakest_ui(ui: &mut Ui, progress: &Progress) {
    let weaknesses = progress.weaknesses();
    if weaknesses.is_empty() {
        return;
    }
    ui.add_space(8.0);
    ui.label(widgets::soft(ui, "What costs you most"));
    for weakness in weaknesses.iter().take(WEAKEST) {
        let words = format!(
            "{}, {} times as far off as a careful hand",
            weakness.thing.name(),
            plain(weakness.relative_square.sqrt(), 1)
        );
        ui.add(Label::new(RichText::new(words).size(size::SECONDARY)).wrap());
    }
}
