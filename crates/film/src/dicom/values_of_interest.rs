//! The windows that a file offers: VOI lookup tables and window centres with widths (PS3.3 C.11.2).

use std::sync::Arc;

use dicom_dictionary_std::tags;

use super::{element::DataSet, functional_groups::FunctionalGroups, lookup_table::LookupTable};
use crate::{
    film::ValueScale,
    grey_scale::{CODES, NamedWindow},
    notice::Notice,
    window::Window,
};

/// How a window's centre and width spread greys (VOI LUT Function, 0028,1056).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Function {
    Linear,
    LinearExact,
    Sigmoid,
}

/// The windows of a file, tables before ramps, and what was left out.
pub(super) fn read(
    data_set: &DataSet<'_>,
    groups: &FunctionalGroups<'_>,
    scale: ValueScale,
) -> (Vec<NamedWindow>, Vec<Notice>) {
    let group = groups.first(tags::FRAME_VOILUT_SEQUENCE);
    let holder = group.as_ref().unwrap_or(data_set);
    let mut windows = tables(holder, scale);
    let mut notices = Vec::new();
    ramps(holder, scale, &mut windows, &mut notices);
    (windows, notices)
}

fn tables(holder: &DataSet<'_>, scale: ValueScale) -> Vec<NamedWindow> {
    const MOST_TABLES: usize = 32;
    let signed = scale.value_of_code(0.0) < 0.0;
    holder
        .items(tags::VOILUT_SEQUENCE)
        .take(MOST_TABLES)
        .filter_map(|item| {
            let table = LookupTable::read(&item, tags::LUT_DESCRIPTOR, tags::LUT_DATA, signed)?;
            let (first, last) = table.span();
            Some(NamedWindow {
                explanation: item.text(tags::LUT_EXPLANATION).unwrap_or_default(),
                window: Window::between(first as f32, last as f32),
                curve: Some(curve(scale, |value| table.full_range_entry(rounded(value)))),
            })
        })
        .collect()
}

fn ramps(
    holder: &DataSet<'_>,
    scale: ValueScale,
    windows: &mut Vec<NamedWindow>,
    notices: &mut Vec<Notice>,
) {
    let function = match holder.text(tags::VOILUT_FUNCTION).as_deref() {
        Some("LINEAR_EXACT") => Function::LinearExact,
        Some("SIGMOID") => Function::Sigmoid,
        _ => Function::Linear,
    };
    let centres = holder.numbers(tags::WINDOW_CENTER);
    let widths = holder.numbers(tags::WINDOW_WIDTH);
    let explanations = holder.texts(tags::WINDOW_CENTER_WIDTH_EXPLANATION);
    for (index, (centre, width)) in centres.into_iter().zip(widths).enumerate() {
        match named_window(function, centre, width, scale) {
            Some(window) => windows.push(NamedWindow {
                explanation: explanations.get(index).cloned().unwrap_or_default(),
                ..window
            }),
            None => notices.push(Notice::HeaderValueLeftOut {
                what: format!("Window Center {centre} with Window Width {width}"),
            }),
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "film values are captions, for which 24 bits are enough"
)]
fn named_window(
    function: Function,
    centre: f64,
    width: f64,
    scale: ValueScale,
) -> Option<NamedWindow> {
    let (centre, width) = (centre as f32, width as f32);
    let (window, curve) = match function {
        Function::Linear => (Window::from_dicom_linear(centre, width)?, None),
        Function::LinearExact => (Window::from_dicom_linear_exact(centre, width)?, None),
        Function::Sigmoid => {
            let window = Window::from_dicom_linear_exact(centre, width)?;
            let full = f32::from(u16::MAX);
            let curve = curve(scale, |value| {
                rounded_brightness(full * sigmoid(value, centre, width))
            });
            (window, Some(curve))
        }
    };
    Some(NamedWindow {
        explanation: String::new(),
        window,
        curve,
    })
}

/// The brightness of a value, from 0 to 1, by the function SIGMOID (PS3.3 C.11.2.1.3.1):
///
/// ```text
/// y = 1 / (1 + exp(−4 (x − c) / w))
/// ```
fn sigmoid(value: f32, centre: f32, width: f32) -> f32 {
    1.0 / (1.0 + (-4.0 * (value - centre) / width).exp())
}

fn curve(scale: ValueScale, brightness: impl Fn(f32) -> u16) -> Arc<[u16]> {
    (0..CODES)
        .map(|code| brightness(scale.value_of_code(code as f32)))
        .collect()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a conversion that saturates is what a table's ends want"
)]
fn rounded(value: f32) -> i32 {
    value.round() as i32
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a brightness lies within 0 … 65,535"
)]
fn rounded_brightness(brightness: f32) -> u16 {
    brightness.round() as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sigmoid_is_the_standards() {
        let window =
            named_window(Function::Sigmoid, 2048.0, 4096.0, ValueScale::IDENTITY).expect("valid");
        let curve = window.curve.expect("a curve");
        for x in [0_u16, 1000, 2048, 3000, 4095] {
            let expected = 65_535.0 / (1.0 + (-4.0 * (f64::from(x) - 2048.0) / 4096.0).exp());
            let actual = f64::from(curve[usize::from(x)]);
            assert!(
                (actual - expected).abs() < 1.0,
                "{x}: {actual} for {expected}"
            );
        }
    }

    #[test]
    fn a_linear_window_of_width_zero_is_left_out() {
        for function in [Function::Linear, Function::LinearExact, Function::Sigmoid] {
            assert_eq!(
                named_window(function, 100.0, 0.0, ValueScale::IDENTITY),
                None,
                "{function:?}"
            );
            assert_eq!(
                named_window(function, f64::NAN, 100.0, ValueScale::IDENTITY),
                None,
                "{function:?}"
            );
        }
    }
}
