//! The hallux valgus angle over the visits, with what measuring errs by.

use egui::{Align2, FontId, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use plumbray_compare::on_one_film;
use plumbray_measure::Measurement;

use super::super::{number::plain, theme, theme::size};
use crate::workbench::Comparing;

const HEIGHT: f32 = 170.0;
/// Degrees between two lines of the scale.
const STEP: f64 = 10.0;
/// The angle that is followed.
const FOLLOWED: Measurement = Measurement::HalluxValgusAngle;
/// So much of a visit's name fits below its place.
const LONGEST_NAME: usize = 12;

/// One visit's number.
struct Point {
    /// The visit's place among all of them.
    place: usize,
    degrees: f64,
    half_interval: f64,
}

/// Where degrees and visits lie on the screen.
struct Scale {
    area: Rect,
    low: f64,
    high: f64,
    visits: usize,
}

impl Scale {
    fn of(points: &[Point], area: Rect, visits: usize) -> Self {
        let low = points.iter().fold(0.0, |low, point| {
            f64::min(low, point.degrees - point.half_interval)
        });
        let high = points.iter().fold(20.0, |high, point| {
            f64::max(high, point.degrees + point.half_interval)
        });
        Self {
            area,
            low: (low / STEP).floor() * STEP,
            high: (high / STEP).ceil() * STEP,
            visits,
        }
    }

    #[expect(clippy::cast_possible_truncation, reason = "a place on the screen")]
    fn up(&self, degrees: f64) -> f32 {
        let share = ((degrees - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.area.bottom() - self.area.height() * share as f32
    }

    #[expect(clippy::cast_precision_loss, reason = "some visits")]
    fn across(&self, place: usize) -> f32 {
        let last = self.visits.saturating_sub(1).max(1) as f32;
        self.area.left() + 12.0 + (self.area.width() - 24.0) * place as f32 / last
    }
}

/// Draws the plot: visits from left to right in their order, the usual range shaded, each number with its
/// 95 % interval.
pub(super) fn plot_ui(ui: &mut Ui, comparing: &Comparing) {
    let points = points_of(comparing);
    if points.len() < 2 {
        return;
    }
    let (whole, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let name = spoken(comparing, &points);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let area = Rect::from_min_max(whole.min + vec2(34.0, 26.0), whole.max - vec2(8.0, 22.0));
    let scale = Scale::of(&points, area, comparing.comparison.visits.len());
    let small = FontId::proportional(size::SMALLEST);
    ui.painter().text(
        whole.left_top(),
        Align2::LEFT_TOP,
        "Hallux valgus angle with its 95 % interval; shaded: usual",
        small,
        theme::tokens(ui).soft,
    );
    grid_ui(ui, &scale);
    points_ui(ui, comparing, &scale, &points);
}

fn points_of(comparing: &Comparing) -> Vec<Point> {
    comparing
        .comparison
        .row(FOLLOWED)
        .into_iter()
        .flat_map(|row| row.outcomes.iter().enumerate())
        .filter_map(|(place, outcome)| {
            let reading = outcome.reading()?;
            Some(Point {
                place,
                degrees: reading.value,
                half_interval: on_one_film(FOLLOWED, reading).half_interval(),
            })
        })
        .collect()
}

/// What a screen reader says of the plot.
fn spoken(comparing: &Comparing, points: &[Point]) -> String {
    let each: Vec<String> = points
        .iter()
        .map(|point| {
            let name = &comparing.comparison.visits[point.place].name.long;
            let [degrees, half] = [point.degrees, point.half_interval].map(|value| plain(value, 1));
            format!("{name}: {degrees}° ± {half}°")
        })
        .collect();
    format!("Hallux valgus angle over the visits: {}", each.join("; "))
}

/// The usual range and the lines of the scale.
fn grid_ui(ui: &Ui, scale: &Scale) {
    let tokens = theme::tokens(ui);
    let painter = ui.painter();
    if let Some(range) = FOLLOWED.usual_range() {
        let shade = Rect::from_x_y_ranges(
            scale.area.x_range(),
            scale.up(range.high)..=scale.up(range.low),
        );
        painter.rect_filled(shade, 0.0, tokens.good.gamma_multiply(0.15));
    }
    let mut degrees = scale.low;
    while degrees <= scale.high + 0.5 {
        let y = scale.up(degrees);
        painter.hline(scale.area.x_range(), y, Stroke::new(1.0, tokens.line));
        let text = format!("{}°", plain(degrees, 0));
        let at = pos2(scale.area.left() - 6.0, y);
        let small = FontId::proportional(size::SMALLEST);
        painter.text(at, Align2::RIGHT_CENTER, text, small, tokens.soft);
        degrees += STEP;
    }
}

/// The numbers, the line through them, and the visits' names.
fn points_ui(ui: &Ui, comparing: &Comparing, scale: &Scale, points: &[Point]) {
    let tokens = theme::tokens(ui);
    let painter = ui.painter();
    let stroke = Stroke::new(2.0, tokens.accent);
    let line = points
        .iter()
        .map(|point| pos2(scale.across(point.place), scale.up(point.degrees)))
        .collect();
    painter.line(line, stroke);
    for point in points {
        let x = scale.across(point.place);
        let ends = [point.half_interval, -point.half_interval].map(|half| point.degrees + half);
        painter.vline(x, scale.up(ends[0])..=scale.up(ends[1]), stroke);
        painter.circle_filled(pos2(x, scale.up(point.degrees)), 4.0, tokens.accent);
        let name = &comparing.comparison.visits[point.place].name.short;
        let short: String = name.chars().take(LONGEST_NAME).collect();
        let (anchor, x) = if point.place == 0 {
            (Align2::LEFT_TOP, x - 12.0)
        } else if point.place + 1 == scale.visits {
            (Align2::RIGHT_TOP, x + 12.0)
        } else {
            (Align2::CENTER_TOP, x)
        };
        let at = pos2(x, scale.area.bottom() + 4.0);
        let small = FontId::proportional(size::SMALLEST);
        painter.text(at, anchor, short, small, tokens.soft);
    }
}
