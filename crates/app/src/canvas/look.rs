//! What a film's codes look like: window and level, curve, inversion.

use std::sync::Arc;

use plumbray_film::{CodeRamp, DisplayTable, Film, GreyScale, NamedWindow, Window};

/// How the reader wants a film's values shown.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmLook {
    /// Window and level; while a curve is shown, the span that it covers.
    pub window: Window,
    /// The curve of the film's file in place of the window's ramp (see [`NamedWindow::curve`]).
    pub curve: Option<Arc<[u16]>>,
    /// Dark and bright exchanged, on top of what the film itself needs.
    pub inverted: bool,
}

impl FilmLook {
    /// As the film's file wants to be shown.
    #[must_use]
    pub fn of_film(film: &Film) -> Self {
        Self::of_window(film.grey().default_window())
    }

    /// As one of the film's own windows, not inverted.
    #[must_use]
    pub fn of_window(named: &NamedWindow) -> Self {
        Self {
            window: named.window,
            curve: named.curve.clone(),
            inverted: false,
        }
    }

    /// The same with another window, which replaces any curve.
    #[must_use]
    pub fn with_window(&self, window: Window) -> Self {
        Self {
            window,
            curve: None,
            inverted: self.inverted,
        }
    }

    /// The grey of each code.
    pub(super) fn table(&self, grey: &GreyScale) -> DisplayTable {
        match &self.curve {
            Some(curve) => grey.curve_table(curve, self.inverted),
            None => grey.ramp_table(self.window, self.inverted),
        }
    }

    /// The window's ramp in codes.
    pub(super) fn ramp(&self, grey: &GreyScale) -> CodeRamp {
        self.window.in_codes(grey.scale)
    }
}
