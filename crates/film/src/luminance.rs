//! Grey from colour.

/// The luminance of a colour in the range of its components, rounded to the nearest.
///
/// ```text
/// Y = 0.299 R + 0.587 G + 0.114 B
/// ```
///
/// These are the coefficients of ITU-R BT.601 and of the Y of DICOM's YBR_FULL (PS3.3
/// C.7.6.3.1.2), so that a film stored as RGB and as YBR_FULL becomes the same grey. They sum to
/// one: a grey stored as colour keeps its value exactly.
#[must_use]
pub fn luminance(red: u16, green: u16, blue: u16) -> u16 {
    let thousandfold = 299 * u32::from(red) + 587 * u32::from(green) + 114 * u32::from(blue);
    u16::try_from((thousandfold + 500) / 1000).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grey_stored_as_colour_keeps_its_value() {
        for value in [0, 1, 127, 255, 4095, 65_534, u16::MAX] {
            assert_eq!(luminance(value, value, value), value, "{value}");
        }
    }

    #[test]
    fn the_primaries_weigh_as_bt_601_says() {
        assert_eq!(luminance(255, 0, 0), 76, "0.299 × 255 = 76.245");
        assert_eq!(luminance(0, 255, 0), 150, "0.587 × 255 = 149.685");
        assert_eq!(luminance(0, 0, 255), 29, "0.114 × 255 = 29.07");
    }
}
