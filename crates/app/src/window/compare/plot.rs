//! The followed angles over the visits, with what measuring errs by.

use egui::{Id, RichText, Role, Ui, WidgetInfo};
use egui_plot::{AxisHints, GridMark, HoverPosition, Line, PlotPoints, Points, Span};
use plumbray_report::{Course, CourseScale};

use super::super::{
    number::plain,
    still_plot::{small_axis, still_plot},
    theme,
    theme::size,
    widgets,
};
use crate::{
    comparing::courses,
    workbench::{Command, CompareCommand, Comparing, ComparisonFile},
};

const HEIGHT: f32 = 150.0;
/// Room beside the first and the last visit, as a share of what lies between.
const BESIDE: f64 = 0.06;

/// Draws the plots: visits from left to right by their days, the usual range shaded, each number with its 95 %
/// interval.
pub(super) fn plots_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let courses = courses(&comparing.comparison);
    if courses.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        ui.label(widgets::heading(ui, "Over time"));
        let write = CompareCommand::AskWhere(ComparisonFile::Plot);
        widgets::text_action(ui, &write.text(), Command::Compare(write), commands);
    });
    for course in &courses {
        let heading = RichText::new(course.heading());
        ui.label(heading.size(size::SMALLEST).color(theme::tokens(ui).soft));
        ui.add_space(4.0);
        plot_ui(ui, course);
        ui.add_space(6.0);
    }
}

fn plot_ui(ui: &mut Ui, course: &Course) {
    let tokens = theme::tokens(ui);
    let scale = course.scale();
    let points = course.points.clone();
    let days = small_axis(ui, AxisHints::new_x()).label(
        RichText::new(&course.horizontal)
            .size(size::SMALLEST)
            .color(tokens.soft),
    );
    let plot = still_plot(ui, Id::unique(&course.name), HEIGHT)
        .custom_x_axes(vec![days])
        .y_grid_spacer(move |_| marks(scale))
        .label_formatter(move |hover| {
            let HoverPosition::NearDataPoint {
                index, plot_name, ..
            } = hover
            else {
                return None;
            };
            let point = points.get(*index).filter(|_| !plot_name.is_empty())?;
            Some(format!(
                "{}: {} ± {}°",
                point.visit,
                plain(point.value, 1),
                plain(point.half_interval, 1)
            ))
        });
    let (from, to) = ends(course);
    let shown = plot.show(ui, |plot| {
        plot.set_plot_bounds_x(from..=to);
        plot.set_plot_bounds_y(scale.low..=scale.high);
        if let Some((low, high)) = course.usual {
            let band = Span::new("", low..=high)
                .axis(egui_plot::Axis::Y)
                .fill(tokens.good.gamma_multiply(0.15))
                .border_width(0.0);
            plot.span(band);
        }
        let at: Vec<[f64; 2]> = course
            .points
            .iter()
            .map(|point| [point.at, point.value])
            .collect();
        for point in &course.points {
            let interval = [
                point.value - point.half_interval,
                point.value + point.half_interval,
            ]
            .map(|end| [point.at, end]);
            let line = Line::new("", PlotPoints::from(interval.to_vec()));
            plot.line(line.color(tokens.accent).width(3.0).allow_hover(false));
        }
        let line = Line::new("", PlotPoints::from(at.clone()));
        plot.line(line.color(tokens.accent).width(1.5).allow_hover(false));
        let dots = Points::new("visits", PlotPoints::from(at));
        plot.points(dots.color(tokens.accent).radius(3.0));
    });
    let name = spoken(course);
    shown
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
}

/// The lines of the scale.
fn marks(scale: CourseScale) -> Vec<GridMark> {
    let mark = |value| GridMark {
        value,
        step_size: scale.step,
    };
    scale.lines().map(mark).collect()
}

/// From where to where visits are drawn, with room beside the first and the last.
fn ends(course: &Course) -> (f64, f64) {
    let (from, to) = course.span();
    let beside = if to > from { BESIDE * (to - from) } else { 1.0 };
    (from - beside, to + beside)
}

/// What a screen reader says of a plot.
fn spoken(course: &Course) -> String {
    let each: Vec<String> = course
        .points
        .iter()
        .map(|point| {
            let [value, half] = [point.value, point.half_interval].map(|one| plain(one, 1));
            format!("{}: {value}° ± {half}°", point.visit)
        })
        .collect();
    format!("{} over the visits: {}", course.name, each.join("; "))
}
