//! The styles of text that more than one kind of page uses.

use crate::{layout::block::Style, mark::Ink, typeface::Weight};

/// Above a part of a page.
pub(super) const HEADING: Style = Style::new(Weight::SemiBold, 9.0, Ink::Black);
/// Names, values and answers.
pub(super) const TEXT: Style = Style::new(Weight::Regular, 8.2, Ink::Black);
/// What stands out among them.
pub(super) const STRONG: Style = Style::new(Weight::SemiBold, 8.2, Ink::Black);
/// Below a page's tables.
pub(super) const NOTE: Style = Style::new(Weight::Regular, 7.5, Ink::Soft);
/// Below a film.
pub(super) const CAPTION: Style = Style::new(Weight::Regular, 7.5, Ink::Black);
/// In the place of a film that is not there.
pub(super) const ABSENT: Style = Style::new(Weight::Regular, 8.5, Ink::Black);
/// Above a plot.
pub(super) const PLOT_HEADING: Style = Style::new(Weight::SemiBold, 8.0, Ink::Black);
/// At a plot's axes.
pub(super) const PLOT_NUMBER: Style = Style::new(Weight::Regular, 7.0, Ink::Soft);
/// Beside a plot's lines.
pub(super) const PLOT_NAME: Style = Style::new(Weight::Regular, 7.2, Ink::Black);
