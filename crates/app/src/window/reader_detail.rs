//! What the interval of a row holds of its reader.

use egui::Ui;
use plumbray_measure::{Measurement, Reading};

use super::{number, widgets};
use crate::workbench::Workbench;

/// What the interval holds: the tracing's spread alone, or the reader's own too.
pub(super) fn reader_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    measurement: Measurement,
    reading: &Reading,
) {
    let kept = workbench.own_spread();
    let about = kept.and_then(|kept| kept.about(measurement, reading));
    let has_own = reading.own_sd.is_some();
    if !has_own {
        ui.label(widgets::soft(
            ui,
            "The interval holds 95 % of tracings that spread like this one, without the reader’s own error; \
             what makes a position or grade likely holds both.",
        ));
        let published = workbench.choices().reader_error;
        if let Some(with_reader) = published.half_width_with(measurement, reading.sd) {
            let text = format!(
                "With the error of published readers, who place the same points again: ± {}°.",
                number::plain(with_reader, 1)
            );
            ui.label(text);
        }
        if let Some(why) = workbench.why_no_own_spread() {
            ui.label(widgets::soft(ui, why));
        }
    }
    if let Some(about) = about {
        if has_own {
            ui.label(about);
        } else {
            ui.label(widgets::soft(ui, about));
        }
    }
}
