//! Every colour, size and text style of the window, by role. Raw colours stand here only.

use egui::{
    Color32, CornerRadius, FontFamily, FontId, Margin, Stroke, TextStyle, Theme,
    style::{Selection, WidgetVisuals},
};

/// The colours of one theme, by role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tokens {
    /// Behind the panels.
    pub desk: Color32,
    /// A panel.
    pub panel: Color32,
    /// Something raised above a panel: the selected row, a key cap.
    pub raised: Color32,
    /// A thin line between zones.
    pub line: Color32,
    /// The border of what can be ticked, pressed or written into.
    pub edge: Color32,
    /// Text that is read first.
    pub ink: Color32,
    /// Text that is read second.
    pub soft: Color32,
    /// Text that is read last.
    pub faint: Color32,
    /// What is chosen or can be acted upon.
    pub accent: Color32,
    /// Text on the accent.
    pub on_accent: Color32,
    /// A usual value.
    pub good: Color32,
    /// Look again.
    pub look_again: Color32,
    /// Bad.
    pub bad: Color32,
}

/// The tokens of the dark theme.
pub const DARK: Tokens = Tokens {
    desk: Color32::from_rgb(0x16, 0x18, 0x1b),
    panel: Color32::from_rgb(0x1e, 0x21, 0x24),
    raised: Color32::from_rgb(0x27, 0x2b, 0x2f),
    line: Color32::from_rgb(0x36, 0x3b, 0x41),
    edge: Color32::from_rgb(0x75, 0x7a, 0x80),
    ink: Color32::from_rgb(0xec, 0xe8, 0xe1),
    soft: Color32::from_rgb(0xa9, 0xa6, 0x9f),
    faint: Color32::from_rgb(0x8a, 0x88, 0x80),
    accent: Color32::from_rgb(0x5f, 0xc2, 0xb5),
    on_accent: Color32::from_rgb(0x0d, 0x23, 0x20),
    good: Color32::from_rgb(0x7f, 0xb0, 0x69),
    look_again: Color32::from_rgb(0xe9, 0xa2, 0x3b),
    bad: Color32::from_rgb(0xe5, 0x73, 0x5c),
};

/// The tokens of the light theme.
pub const LIGHT: Tokens = Tokens {
    desk: Color32::from_rgb(0xef, 0xec, 0xe6),
    panel: Color32::from_rgb(0xfa, 0xf8, 0xf4),
    raised: Color32::from_rgb(0xff, 0xff, 0xff),
    line: Color32::from_rgb(0xd9, 0xd4, 0xca),
    edge: Color32::from_rgb(0x85, 0x80, 0x76),
    ink: Color32::from_rgb(0x23, 0x26, 0x2a),
    soft: Color32::from_rgb(0x5f, 0x5d, 0x57),
    faint: Color32::from_rgb(0x6f, 0x6c, 0x65),
    accent: Color32::from_rgb(0x1c, 0x75, 0x6a),
    on_accent: Color32::from_rgb(0xff, 0xff, 0xff),
    good: Color32::from_rgb(0x3d, 0x6f, 0x28),
    look_again: Color32::from_rgb(0x9a, 0x5b, 0x00),
    bad: Color32::from_rgb(0xb2, 0x3a, 0x24),
};

/// Colours over and around the film: the same in both themes, because the film is.
pub mod film {
    use egui::Color32;
    use plumbray_anatomy::FORMER_PLACE_DARKNESS;

    /// Behind the film.
    pub const SURROUND: Color32 = Color32::from_rgb(0x0c, 0x0d, 0x0e);
    /// Over the place that a moved piece of the film has left.
    pub const FORMER_PLACE: Color32 = Color32::from_black_alpha(FORMER_PLACE_DARKNESS);
    /// What a small picture of a film that is left out is multiplied by.
    pub const LEFT_OUT: Color32 = Color32::from_gray(110);
    /// The halo behind every line and label.
    pub const HALO: Color32 = Color32::from_rgba_premultiplied(0, 0, 0, 190);
    /// Text over the film.
    pub const INK: Color32 = Color32::from_rgb(0xec, 0xe8, 0xe1);
    /// Second text over the film.
    pub const SOFT: Color32 = Color32::from_rgb(0xa9, 0xa6, 0x9f);
    /// The graphics that a file lays over its film.
    pub const FILE_GRAPHICS: Color32 = Color32::from_rgb(0xf3, 0xf0, 0xea);
    /// The accent over the film.
    pub const ACCENT: Color32 = Color32::from_rgb(0x5f, 0xc2, 0xb5);
    /// Look again, over the film.
    pub const LOOK_AGAIN: Color32 = Color32::from_rgb(0xe9, 0xa2, 0x3b);
    /// The first ray.
    pub const FIRST_RAY: Color32 = Color32::from_rgb(0xf2, 0xb3, 0x4c);
    /// The lesser rays.
    pub const LESSER_RAYS: Color32 = Color32::from_rgb(0x7c, 0xc3, 0xf0);
    /// The sesamoids.
    pub const SESAMOIDS: Color32 = Color32::from_rgb(0x4f, 0xd1, 0xa5);
    /// Joint lines and the floor.
    pub const JOINT_LINES: Color32 = Color32::from_rgb(0xf4, 0xee, 0x8e);
    /// Talus and calcaneus.
    pub const HINDFOOT: Color32 = Color32::from_rgb(0xb9, 0xa6, 0xf2);
    /// What is planned.
    pub const PLAN: Color32 = Color32::from_rgb(0xe5, 0x9a, 0xc6);
}

/// Text sizes in points, before the user's text size is applied.
pub mod size {
    /// The prompt.
    pub const PROMPT: f32 = 17.0;
    /// Headings.
    pub const HEADING: f32 = 15.0;
    /// Body text.
    pub const BODY: f32 = 14.0;
    /// Secondary text.
    pub const SECONDARY: f32 = 13.0;
    /// The smallest text.
    pub const SMALLEST: f32 = 12.0;
}

/// The step in which spacing grows, in points.
pub const STEP: f32 = 4.0;

/// The family of medium weight.
#[must_use]
pub fn medium() -> FontFamily {
    FontFamily::Name("medium".into())
}

/// The family of semibold weight.
#[must_use]
pub fn semibold() -> FontFamily {
    FontFamily::Name("semibold".into())
}

/// The tokens of the theme in use.
#[must_use]
pub fn tokens(ui: &egui::Ui) -> Tokens {
    of_theme(ui.theme())
}

/// The tokens of a theme.
#[must_use]
pub const fn of_theme(theme: Theme) -> Tokens {
    match theme {
        Theme::Dark => DARK,
        Theme::Light => LIGHT,
    }
}

/// Sets typefaces and both themes' styles once, when the window opens.
pub fn install(context: &egui::Context) {
    super::typeface::install(context);
    for theme in [Theme::Dark, Theme::Light] {
        context.style_mut_of(theme, |style| style_for(style, of_theme(theme)));
    }
}

fn style_for(style: &mut egui::Style, tokens: Tokens) {
    style.text_styles = [
        (TextStyle::Heading, FontId::new(size::HEADING, semibold())),
        (TextStyle::Body, FontId::proportional(size::BODY)),
        (TextStyle::Button, FontId::proportional(size::BODY)),
        (TextStyle::Small, FontId::proportional(size::SMALLEST)),
        (TextStyle::Monospace, FontId::monospace(size::BODY)),
    ]
    .into();
    style.spacing.item_spacing = egui::vec2(2.0 * STEP, STEP);
    style.spacing.button_padding = egui::vec2(2.0 * STEP, STEP);
    style.spacing.window_margin = Margin::same(12);
    style.spacing.interact_size.y = 24.0;
    style.spacing.scroll = egui::style::ScrollStyle::solid();
    style.spacing.scroll.bar_width = 6.0;
    let visuals = &mut style.visuals;
    visuals.panel_fill = tokens.panel;
    visuals.window_fill = tokens.panel;
    visuals.window_stroke = Stroke::new(1.0, tokens.line);
    visuals.extreme_bg_color = tokens.desk;
    visuals.faint_bg_color = tokens.raised;
    visuals.hyperlink_color = tokens.accent;
    visuals.warn_fg_color = tokens.look_again;
    visuals.error_fg_color = tokens.bad;
    visuals.selection = Selection {
        bg_fill: tokens.accent.gamma_multiply(0.35),
        stroke: Stroke::new(1.0, tokens.ink),
    };
    let widget = |fill: Color32, border: Color32, ink: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, border),
        corner_radius: CornerRadius::same(4),
        fg_stroke: Stroke::new(1.0, ink),
        expansion: 0.0,
    };
    visuals.widgets.noninteractive = widget(tokens.panel, tokens.line, tokens.ink);
    visuals.widgets.inactive = widget(tokens.raised, tokens.edge, tokens.ink);
    visuals.widgets.hovered = widget(tokens.raised, tokens.accent, tokens.ink);
    visuals.widgets.active = widget(tokens.raised, tokens.accent, tokens.ink);
    visuals.widgets.open = widget(tokens.raised, tokens.accent, tokens.ink);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast ratio by WCAG 2.1, success criterion 1.4.3.
    fn contrast(first: Color32, second: Color32) -> f64 {
        let luminance = |colour: Color32| {
            let channel = |value: u8| {
                let share = f64::from(value) / 255.0;
                if share <= 0.04045 {
                    share / 12.92
                } else {
                    ((share + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * channel(colour.r())
                + 0.7152 * channel(colour.g())
                + 0.0722 * channel(colour.b())
        };
        let (a, b) = (luminance(first), luminance(second));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_stands_out_from_its_panel_in_both_themes() {
        for tokens in [DARK, LIGHT] {
            let texts = [
                tokens.ink,
                tokens.soft,
                tokens.faint,
                tokens.accent,
                tokens.look_again,
                tokens.bad,
            ];
            for text in texts {
                let ratio = contrast(text, tokens.panel);
                assert!(ratio >= 4.5, "{text:?} on {:?}: {ratio:.2}", tokens.panel);
            }
            assert!(
                contrast(tokens.on_accent, tokens.accent) >= 4.5,
                "text on the accent"
            );
        }
    }

    /// WCAG 2.1, success criterion 1.4.11: an empty tick box is known by its border alone.
    #[test]
    fn an_empty_tick_box_stands_out_from_what_lies_behind_it_in_both_themes() {
        for tokens in [DARK, LIGHT] {
            let mut style = egui::Style::default();
            style_for(&mut style, tokens);
            let border = style.visuals.widgets.inactive.bg_stroke.color;
            for behind in [tokens.desk, tokens.panel, tokens.raised] {
                let ratio = contrast(border, behind);
                assert!(ratio >= 3.0, "{border:?} on {behind:?}: {ratio:.2}");
            }
        }
    }
}
