//! Numbers of a truth keep the digits that mean something, so that files are small and the same on
//! every machine.

use plumbray_anatomy::FilmPoint;

/// A number with so many digits after the point.
pub(crate) fn rounded(number: f64, digits: i32) -> f64 {
    let scale = 10.0_f64.powi(digits);
    // Adding zero turns −0 into 0.
    (number * scale).round() / scale + 0.0
}

/// A place on a film to a ten-thousandth of a pixel.
pub(crate) fn film_place(at: FilmPoint) -> FilmPoint {
    FilmPoint::new(rounded(at.x_px, 4), rounded(at.y_px, 4))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_so_many_digits() {
        for (number, digits, expected) in [
            (1.234_56, 2, "1.23"),
            (-7.899_99, 1, "-7.9"),
            (-0.001, 2, "0"),
        ] {
            assert_eq!(rounded(number, digits).to_string(), expected, "{number}");
        }
    }
}
