//! The hallux valgus angle over the visits, with what measuring errs by.

use egui::{Align2, FontId, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use plumbray_compare::film_to_film_sd;
use plumbray_measure::Measurement;

use super::super::{number::plain, theme, theme::size};
use crate::workbench::Comparing;

const HEIGHT: f32 = 170.0;
/// Degrees between two lines of the scale.
const STEP: f64 = 10.0;

/// Draws the plot: visits from left to right in their order, the usual range shaded, each number with its
/// 95 % interval.
pub(super) fn plot_ui(ui: &mut Ui, comparing: &Comparing) {
    let tokens = theme::tokens(ui);
    let measurement = Measurement::HalluxValgusAngle;
    let Some(row) = comparing
        .comparison
        .rows
        .iter()
        .find(|row| row.measurement == measurement)
    else {
        return;
    };
    let points: Vec<(usize, f64, f64)> = row
        .outcomes
        .iter()
        .enumerate()
        .filter_map(|(place, outcome)| {
            let reading = outcome.reading()?;
            let sd = reading
                .sd
                .hypot(film_to_film_sd(measurement, reading.value));
            Some((place, reading.value, 1.96 * sd))
        })
        .collect();
    if points.len() < 2 {
        return;
    }
    let low = points
        .iter()
        .fold(0.0, |low, point| f64::min(low, point.1 - point.2));
    let high = points
        .iter()
        .fold(20.0, |high, point| f64::max(high, point.1 + point.2));
    let (low, high) = ((low / STEP).floor() * STEP, (high / STEP).ceil() * STEP);
    let (whole, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let spoken: Vec<String> = points
        .iter()
        .map(|(place, value, half)| {
            let name = &comparing.comparison.visits[*place].name.long;
            format!("{name}: {}° ± {}°", plain(*value, 1), plain(*half, 1))
        })
        .collect();
    let name = format!("Hallux valgus angle over the visits: {}", spoken.join("; "));
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let area = Rect::from_min_max(whole.min + vec2(34.0, 18.0), whole.max - vec2(8.0, 22.0));
    #[expect(clippy::cast_possible_truncation, reason = "a place on the screen")]
    let up = |degrees: f64| area.bottom() - area.height() * ((degrees - low) / (high - low)) as f32;
    #[expect(clippy::cast_precision_loss, reason = "some visits")]
    let across = |place: usize| {
        let last = (comparing.comparison.visits.len() - 1) as f32;
        area.left() + 12.0 + (area.width() - 24.0) * place as f32 / last
    };
    let small = FontId::proportional(size::SMALLEST);
    let painter = ui.painter();
    painter.text(
        whole.left_top(),
        Align2::LEFT_TOP,
        "Hallux valgus angle with its 95 % interval; shaded: usual",
        small.clone(),
        tokens.soft,
    );
    if let Some(range) = measurement.usual_range() {
        let shade = Rect::from_x_y_ranges(
            area.x_range(),
            up(range.high.min(high))..=up(range.low.max(low)),
        );
        painter.rect_filled(shade, 0.0, tokens.good.gamma_multiply(0.15));
    }
    let mut degrees = low;
    while degrees <= high + 0.5 {
        let y = up(degrees);
        painter.hline(area.x_range(), y, Stroke::new(1.0, tokens.line));
        let text = format!("{}°", plain(degrees, 0));
        let at = pos2(area.left() - 6.0, y);
        painter.text(at, Align2::RIGHT_CENTER, text, small.clone(), tokens.soft);
        degrees += STEP;
    }
    let line = points
        .iter()
        .map(|(place, value, _)| pos2(across(*place), up(*value)))
        .collect();
    painter.line(line, Stroke::new(2.0, tokens.accent));
    for (place, value, half) in &points {
        let x = across(*place);
        let bar = Stroke::new(2.0, tokens.accent);
        painter.vline(x, up(value + half)..=up(value - half), bar);
        painter.circle_filled(pos2(x, up(*value)), 4.0, tokens.accent);
        let name = &comparing.comparison.visits[*place].name.short;
        let short: String = name.chars().take(12).collect();
        let anchor = if *place == 0 {
            Align2::LEFT_TOP
        } else if *place + 1 == comparing.comparison.visits.len() {
            Align2::RIGHT_TOP
        } else {
            Align2::CENTER_TOP
        };
        let at = pos2(
            match anchor {
                Align2::LEFT_TOP => x - 12.0,
                Align2::RIGHT_TOP => x + 12.0,
                _ => x,
            },
            area.bottom() + 4.0,
        );
        painter.text(at, anchor, short, small.clone(), tokens.soft);
    }
}
