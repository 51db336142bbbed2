//! The typeface: Lato, whose default figures have equal width, ahead of the window library's own.

use std::sync::Arc;

use egui::{FontData, FontDefinitions, FontFamily, FontTweak};

const REGULAR: &[u8] = include_bytes!("../../../../assets/fonts/Lato-Regular.ttf");
const MEDIUM: &[u8] = include_bytes!("../../../../assets/fonts/Lato-Medium.ttf");
const SEMIBOLD: &[u8] = include_bytes!("../../../../assets/fonts/Lato-SemiBold.ttf");

/// How far the glyphs are lowered, as a share of the text size.
const LOWERED_BY: f32 = 0.07;

/// Puts Lato first in every proportional family and leaves the library's fonts behind it, for the
/// signs that Lato lacks.
pub(crate) fn install(context: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let behind = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    let families = [
        ("lato", REGULAR, FontFamily::Proportional),
        ("lato medium", MEDIUM, super::theme::medium()),
        ("lato semibold", SEMIBOLD, super::theme::semibold()),
    ];
    // Lato sits high in its line; lowered, it stands in the middle of a button.
    let lowered = FontTweak {
        y_offset_factor: LOWERED_BY,
        ..FontTweak::default()
    };
    for (name, bytes, family) in families {
        fonts.font_data.insert(
            name.to_owned(),
            Arc::new(FontData::from_static(bytes).tweak(lowered.clone())),
        );
        let mut order = vec![name.to_owned()];
        order.extend(behind.iter().cloned());
        fonts.families.insert(family, order);
    }
    context.set_fonts(fonts);
}
