//! The typeface: Lato, whose default figures have equal width, ahead of the window library's own.

use std::sync::Arc;

use egui::{FontData, FontDefinitions, FontFamily};

const REGULAR: &[u8] = include_bytes!("../../../../assets/fonts/Lato-Regular.ttf");
const MEDIUM: &[u8] = include_bytes!("../../../../assets/fonts/Lato-Medium.ttf");
const SEMIBOLD: &[u8] = include_bytes!("../../../../assets/fonts/Lato-SemiBold.ttf");

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
    for (name, bytes, family) in families {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
        let mut order = vec![name.to_owned()];
        order.extend(behind.iter().cloned());
        fonts.families.insert(family, order);
    }
    context.set_fonts(fonts);
}
