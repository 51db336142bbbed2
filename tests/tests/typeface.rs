//! The typeface of the window keeps numbers still and has every sign that a worksheet writes.

use plumbray_tests::repository;
use skrifa::{
    FontRef, MetadataProvider as _,
    instance::{LocationRef, Size},
};

const WEIGHTS: [&str; 3] = ["Lato-Regular.ttf", "Lato-Medium.ttf", "Lato-SemiBold.ttf"];

/// Signs that must have one width, so that a number does not move sideways while a landmark is dragged.
const EQUAL_IN_WIDTH: &str = "0123456789+−";

/// Signs of the worksheet, the prompt line and the keys, beside letters and figures.
const NEEDED: &str = "−–—±×·…°%≤≥<>÷½²³µ→←↑↓.,:;()“”‘’\u{2009}\u{202f}\u{a0}";

fn with_typeface(weight: &str, examine: impl FnOnce(&FontRef<'_>)) {
    let file = repository().join("assets/fonts").join(weight);
    let bytes =
        std::fs::read(&file).unwrap_or_else(|problem| panic!("{}: {problem}", file.display()));
    examine(&FontRef::new(&bytes).expect("a TrueType file"));
}

#[test]
fn figures_plus_and_minus_have_one_width() {
    for weight in WEIGHTS {
        with_typeface(weight, |typeface| {
            let metrics = typeface.glyph_metrics(Size::unscaled(), LocationRef::default());
            let width_of = |sign: char| {
                let glyph = typeface
                    .charmap()
                    .map(sign)
                    .unwrap_or_else(|| panic!("{weight} has {sign}"));
                metrics
                    .advance_width(glyph)
                    .expect("each glyph has a width")
            };
            let zero = width_of('0');
            for sign in EQUAL_IN_WIDTH.chars() {
                let difference = (width_of(sign) - zero).abs();
                assert!(
                    difference < 0.5,
                    "{weight}: {sign} differs by {difference} units from 0"
                );
            }
        });
    }
}

#[test]
fn every_sign_that_the_window_writes_is_there() {
    for weight in WEIGHTS {
        with_typeface(weight, |typeface| {
            let missing: Vec<String> = NEEDED
                .chars()
                .filter(|&sign| typeface.charmap().map(sign).is_none())
                .map(|sign| sign.escape_unicode().to_string())
                .collect();
            assert!(missing.is_empty(), "{weight} lacks {}", missing.join(" "));
        });
    }
}
