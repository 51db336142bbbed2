//! Numbers as the trade prints them: a true minus sign, one unit, equal figures.

pub(crate) use plumbray_report::number::{degrees, likelihood, millimetres, per_cent, plain};

/// A share from 0 to 1 as per cent with one decimal and a thin space before the sign.
#[must_use]
pub(crate) fn per_cent_precise(share: f64) -> String {
    format!("{}\u{2009}%", plain(share * 100.0, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_negative_number_has_a_true_minus_sign() {
        assert_eq!(degrees(-7.42), "\u{2212}7.4°", "hallux varus");
    }

    #[test]
    fn nothing_is_minus_zero() {
        assert_eq!(plain(-0.04, 1), "0.0", "rounds to zero");
        assert_eq!(plain(-0.06, 1), "\u{2212}0.1", "does not");
    }

    #[test]
    fn per_cent_and_millimetres_have_a_thin_space() {
        assert_eq!(per_cent(0.256), "26\u{2009}%", "per cent");
        assert_eq!(millimetres(61.25), "61.2\u{2009}mm", "millimetres");
    }
}
