//! Elements of an object that is written, by what they hold.

use dicom_core::{DataElement, PrimitiveValue, Tag, VR, value::DataSetSequence};
use dicom_dictionary_std::tags;
use dicom_object::{InMemDicomObject, mem::InMemElement};
use jiff::Zoned;
use plumbray_anatomy::{Proportions, View};
use plumbray_film::Window;

/// A text, a date, a time or an identifier; several values stand between backslashes.
pub(crate) fn text(tag: Tag, vr: VR, value: impl Into<String>) -> InMemElement {
    DataElement::new(tag, vr, PrimitiveValue::from(value.into()))
}

/// A coded string of the standard.
pub(crate) fn word(tag: Tag, value: &str) -> InMemElement {
    text(tag, VR::CS, value)
}

/// A unique identifier.
pub(crate) fn uid(tag: Tag, value: &str) -> InMemElement {
    text(tag, VR::UI, value)
}

/// A whole number of 16 bits.
pub(crate) fn number(tag: Tag, value: u16) -> InMemElement {
    DataElement::new(tag, VR::US, PrimitiveValue::from(value))
}

/// Numbers of 32 bits with a floating point.
pub(crate) fn reals(tag: Tag, values: Vec<f32>) -> InMemElement {
    DataElement::new(tag, VR::FL, PrimitiveValue::F32(values.into()))
}

/// Bytes that mean something only to whoever asked for them. A value has an even length (PS3.5 7.1.1), so one more byte
/// may follow them.
pub(crate) fn bytes(tag: Tag, vr: VR, mut value: Vec<u8>) -> InMemElement {
    if value.len() % 2 == 1 {
        value.push(0);
    }
    DataElement::new(tag, vr, PrimitiveValue::U8(value.into()))
}

/// The number of the object about the film of a view, among those of a series.
pub(crate) const fn view_number(view: View) -> u16 {
    match view {
        View::Ap => 1,
        View::Lateral => 2,
    }
}

/// A window as the function LINEAR has it (PS3.3 C.11.2.1.2): a ramp of the same ends, by whole steps.
pub(crate) fn linear_window(window: Window) -> [InMemElement; 2] {
    let value = |tag, number: f32, more: f64| text(tag, VR::DS, decimal(f64::from(number) + more));
    [
        value(tags::WINDOW_CENTER, window.centre, 0.5),
        value(tags::WINDOW_WIDTH, window.width, 1.0),
    ]
}

/// Height and width of a pixel as whole numbers; nothing of square ones.
pub(crate) fn aspect_in_numbers(proportions: Proportions) -> Option<String> {
    let tall = proportions.height_over_width();
    ((tall - 1.0).abs() > 1e-9).then(|| format!("{:.0}\\100000", tall * 100_000.0))
}

/// A sequence of items.
pub(crate) fn sequence(tag: Tag, items: Vec<InMemDicomObject>) -> InMemElement {
    DataElement::new(tag, VR::SQ, DataSetSequence::from(items))
}

/// One item of a sequence.
pub(crate) fn item(elements: impl IntoIterator<Item = InMemElement>) -> InMemDicomObject {
    InMemDicomObject::from_element_iter(elements)
}

/// A day as the standard writes it: `20261128`.
pub(crate) fn day(moment: &Zoned) -> String {
    moment.strftime("%Y%m%d").to_string()
}

/// A time of day as the standard writes it: `154501`.
pub(crate) fn time(moment: &Zoned) -> String {
    moment.strftime("%H%M%S").to_string()
}

/// A number as a decimal string (DS): at most 16 letters, rounded no more than that needs.
pub(crate) fn decimal(value: f64) -> String {
    const LONGEST: usize = 16;
    let shortest = value.to_string();
    if shortest.len() <= LONGEST {
        return shortest;
    }
    let rounded = (0..=14_usize)
        .rev()
        .map(|decimals| format!("{value:.decimals$}"))
        .find(|text| text.len() <= LONGEST);
    match rounded {
        // Of a tiny number nothing would be left.
        Some(text) if value.abs() >= 1e-4 => text,
        _ => format!("{value:.8e}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_string_is_short_and_as_exact_as_it_can_be() {
        for (value, expected) in [
            (12.5, "12.5"),
            (-0.0, "-0"),
            (26.123_422_123_456_789, "26.1234221234568"),
            (-6.009_005_957_494_525, "-6.0090059574945"),
            (1.0 / 3.0, "0.33333333333333"),
            (1.234_567_891_234_567e-7, "1.23456789e-7"),
            (-1.234_567_891_234_567e-7, "-1.23456789e-7"),
        ] {
            let text = decimal(value);
            assert_eq!(text, expected, "{value}");
            assert!(text.len() <= 16, "{text}");
        }
    }
}
