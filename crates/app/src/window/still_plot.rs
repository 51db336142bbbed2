//! A plot that is only looked at: what every plot of the window has in common.

use egui::{Id, Rangef, Ui};
use egui_plot::{AxisHints, Plot};

use super::{theme, theme::size};

/// Room for the numbers of the scale in points.
const SCALE_WIDTH: f32 = 34.0;

/// A plot of this height in points that stays as it is drawn, whatever the pointer does, on the ground of its panel,
/// with the numbers of its scale at the left.
pub(super) fn still_plot(ui: &Ui, id: Id, height: f32) -> Plot<'static> {
    let scale = small_axis(ui, AxisHints::new_y()).min_thickness(SCALE_WIDTH);
    Plot::new(id)
        .height(height)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_axis_zoom_drag(false)
        .show_background(false)
        .show_crosshair(false)
        .grid_fade(0.0)
        .grid_color(theme::tokens(ui).line)
        .custom_x_axes(Vec::new())
        .custom_y_axes(vec![scale])
}

/// An axis with small, soft numbers.
pub(super) fn small_axis(ui: &Ui, hints: AxisHints<'static>) -> AxisHints<'static> {
    hints
        .label_spacing(Rangef::new(16.0, 26.0))
        .tick_label_color(theme::tokens(ui).soft)
        .tick_label_font(egui::FontId::proportional(size::SMALLEST))
}
