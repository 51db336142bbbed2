//! The range strip: usual range, class limits and the value with its interval, on one small line.

use egui::{Rect, Response, Sense, Stroke, Ui, pos2, vec2};

use super::theme;

/// What a range strip shows; every number in the unit of the measurement.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RangeStrip {
    /// The ends of the line.
    pub scale: (f64, f64),
    /// The usual range.
    pub usual: Option<(f64, f64)>,
    /// Where classes of severity begin.
    pub limits: Vec<f64>,
    /// The value.
    pub value: f64,
    /// Its interval.
    pub interval: (f64, f64),
}

/// Width and height of a strip in points.
const SIZE: egui::Vec2 = vec2(84.0, 16.0);

impl RangeStrip {
    /// Where a number lies along the strip, 0 to 1; numbers beyond an end lie at that end.
    #[must_use]
    pub(crate) fn share(&self, number: f64) -> f64 {
        let (low, high) = self.scale;
        ((number - low) / (high - low)).clamp(0.0, 1.0)
    }

    /// Draws the strip.
    pub(crate) fn ui(&self, ui: &mut Ui) -> Response {
        let (rect, response) = ui.allocate_exact_size(SIZE, Sense::hover());
        let tokens = theme::tokens(ui);
        let painter = ui.painter();
        let middle = rect.center().y;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a share of a strip 84 points wide"
        )]
        let x = |number: f64| rect.left() + rect.width() * self.share(number) as f32;
        let bar = |from: f64, to: f64, height: f32| {
            Rect::from_min_max(
                pos2(x(from), middle - height / 2.0),
                pos2(x(to), middle + height / 2.0),
            )
        };
        painter.rect_filled(bar(self.scale.0, self.scale.1, 3.0), 1.5, tokens.line);
        if let Some((low, high)) = self.usual {
            painter.rect_filled(bar(low, high, 3.0), 1.5, tokens.good);
        }
        for limit in &self.limits {
            let ends = [pos2(x(*limit), middle - 4.0), pos2(x(*limit), middle + 4.0)];
            painter.line_segment(ends, Stroke::new(1.0, tokens.soft));
        }
        let (low, high) = self.interval;
        painter.rect_filled(bar(low, high, 8.0), 1.0, tokens.accent.gamma_multiply(0.4));
        let mark = [
            pos2(x(self.value), middle - 7.0),
            pos2(x(self.value), middle + 7.0),
        ];
        painter.line_segment(mark, Stroke::new(2.5, tokens.accent));
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_beyond_the_scale_stays_on_the_strip() {
        let strip = RangeStrip {
            scale: (-10.0, 50.0),
            usual: None,
            limits: Vec::new(),
            value: 60.0,
            interval: (58.0, 62.0),
        };
        assert!(
            (strip.share(60.0) - 1.0).abs() < 1e-12,
            "beyond the upper end"
        );
        assert!(strip.share(-90.0).abs() < 1e-12, "beyond the lower end");
        assert!((strip.share(20.0) - 0.5).abs() < 1e-12, "in the middle");
    }
}
