//! How a film's values become greys on the screen.

use std::{ops::RangeInclusive, sync::Arc};

use rayon::prelude::*;

use crate::{film::ValueScale, window::Window};

/// How a film's values become greys on the screen, as its file says or its pixels suggest.
#[derive(Clone, Debug, PartialEq)]
pub struct GreyScale {
    /// The windows to choose from; never empty, and the first is the default.
    pub windows: Vec<NamedWindow>,
    /// Whether large values are dark: MONOCHROME1, or a Presentation LUT Shape of INVERSE.
    pub shown_inverted: bool,
    /// The codes of pixels outside the picture (DICOM Pixel Padding), shown black and never counted.
    pub padding: Option<RangeInclusive<u16>>,
    /// The relation between codes and film values.
    pub scale: ValueScale,
}

/// A window with the explanation that its file gives, if any.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedWindow {
    /// The explanation; empty where the file has none.
    pub explanation: String,
    /// The ramp; for a curve the span that the curve covers.
    pub window: Window,
    /// Where the file prescribes more than a ramp (a VOI LUT or the function SIGMOID): the
    /// brightness of each code, 65,536 entries from 0 (dark) to 65,535 (bright), before any
    /// inversion.
    pub curve: Option<Arc<[u16]>>,
}

/// What a film looks like through one window: an 8-bit grey for each code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DisplayTable(Box<[u8]>);

/// So many samples take long enough to be worth a thread's attention.
const SAMPLES_PER_TASK: usize = 1 << 18;

/// The number of 16-bit codes.
pub(crate) const CODES: usize = 1 << 16;

impl GreyScale {
    /// The window that the film opens with.
    ///
    /// # Panics
    /// When the public field `windows` was emptied.
    #[must_use]
    pub fn default_window(&self) -> &NamedWindow {
        self.windows.first().expect("a film has a default window")
    }

    /// The 8-bit grey of each code through a ramp. `inverted` is the reader's wish and comes on top
    /// of what the film itself needs.
    #[must_use]
    pub fn ramp_table(&self, window: Window, inverted: bool) -> DisplayTable {
        let ramp = window.in_codes(self.scale);
        self.table(inverted, |code| ramp.brightness(f32::from(code)))
    }

    /// The 8-bit grey of each code through a curve of [`NamedWindow::curve`].
    #[must_use]
    pub fn curve_table(&self, curve: &[u16], inverted: bool) -> DisplayTable {
        self.table(inverted, |code| {
            let brightness = curve.get(usize::from(code)).copied().unwrap_or(u16::MAX);
            f32::from(brightness) / f32::from(u16::MAX)
        })
    }

    /// The 8-bit grey of each code through a window as its file means it.
    #[must_use]
    pub fn named_table(&self, window: &NamedWindow, inverted: bool) -> DisplayTable {
        match &window.curve {
            Some(curve) => self.curve_table(curve, inverted),
            None => self.ramp_table(window.window, inverted),
        }
    }

    fn table(&self, inverted: bool, brightness: impl Fn(u16) -> f32) -> DisplayTable {
        let dark_is_large = self.shown_inverted != inverted;
        let grey_of = |code: u16| {
            if self.is_padding(code) {
                return 0;
            }
            let bright = brightness(code);
            let shown = if dark_is_large { 1.0 - bright } else { bright };
            rounded_grey(shown)
        };
        DisplayTable((0..=u16::MAX).map(grey_of).collect())
    }

    /// Whether a code stands for "outside the picture".
    #[must_use]
    pub fn is_padding(&self, code: u16) -> bool {
        self.padding
            .as_ref()
            .is_some_and(|padding| padding.contains(&code))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the value is clamped to 0 … 255 first"
)]
fn rounded_grey(brightness: f32) -> u8 {
    (brightness * 255.0).round().clamp(0.0, 255.0) as u8
}

impl DisplayTable {
    /// The grey of one code.
    #[must_use]
    pub fn grey(&self, code: u16) -> u8 {
        self.0.get(usize::from(code)).copied().unwrap_or(u8::MAX)
    }

    /// Writes the grey of each sample; stops at the end of the shorter slice.
    pub fn apply(&self, samples: &[u16], greys: &mut [u8]) {
        let Ok(table) = <&[u8; CODES]>::try_from(&*self.0) else {
            return;
        };
        greys
            .par_chunks_mut(SAMPLES_PER_TASK)
            .zip(samples.par_chunks(SAMPLES_PER_TASK))
            .for_each(|(greys, samples)| {
                for (grey, sample) in greys.iter_mut().zip(samples) {
                    *grey = table[usize::from(*sample)];
                }
            });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(shown_inverted: bool, padding: Option<RangeInclusive<u16>>) -> GreyScale {
        GreyScale {
            windows: vec![NamedWindow {
                explanation: String::new(),
                window: Window::between(0.0, 255.0),
                curve: None,
            }],
            shown_inverted,
            padding,
            scale: ValueScale::IDENTITY,
        }
    }

    #[test]
    fn an_inverted_film_is_inverted_once_and_the_readers_wish_comes_on_top() {
        let window = Window::between(0.0, 255.0);
        assert_eq!(
            scale(false, None).ramp_table(window, false).grey(200),
            200,
            "plain"
        );
        assert_eq!(
            scale(true, None).ramp_table(window, false).grey(200),
            55,
            "film inverted"
        );
        assert_eq!(
            scale(true, None).ramp_table(window, true).grey(200),
            200,
            "inverted back"
        );
    }

    #[test]
    fn padding_is_black_either_way() {
        let window = Window::between(0.0, 255.0);
        for inverted in [false, true] {
            let table = scale(true, Some(250..=255)).ramp_table(window, inverted);
            assert_eq!(table.grey(252), 0, "inverted {inverted}");
        }
    }

    #[test]
    fn a_curve_is_followed_entry_by_entry() {
        let curve: Vec<u16> = (0..=u16::MAX).rev().collect();
        let table = scale(false, None).curve_table(&curve, false);
        assert_eq!((table.grey(0), table.grey(u16::MAX)), (255, 0), "falling");
    }

    #[test]
    fn applying_a_table_is_looking_each_sample_up() {
        let table = scale(false, None).ramp_table(Window::between(0.0, 255.0), false);
        let mut greys = [9; 4];
        table.apply(&[0, 100, 300], &mut greys);
        assert_eq!(greys, [0, 100, 255, 9], "the rest is untouched");
    }
}
