//! Numbers and dates as they are printed.

use jiff::civil::Date;
use plumbray_measure::{Reading, Spread, Unit, UsualRange};

/// A number with so many decimals and a true minus sign; never "−0".
#[must_use]
pub fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.chars().all(|sign| matches!(sign, '-' | '0' | '.'));
    let text = if is_zero {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    };
    text.replace('-', "\u{2212}")
}

/// The same with a plus sign above zero, where any of its digits is more than zero.
#[must_use]
pub fn signed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    if value > 0.0 && text.chars().any(|letter| ('1'..='9').contains(&letter)) {
        format!("+{text}")
    } else {
        text
    }
}

/// A share from 0 to 1 as whole per cent with a thin space before the sign.
#[must_use]
pub fn per_cent(share: f64) -> String {
    format!("{}\u{2009}%", plain(share * 100.0, 0))
}

/// A probability from 0 to 1 as whole per cent, which is never told as sure: ">99 %" in place of 100 %, "<1 %" in place
/// of 0 %.
#[must_use]
pub fn likelihood(share: f64) -> String {
    let whole = (share * 100.0).round();
    if whole >= 100.0 {
        ">99\u{2009}%".to_owned()
    } else if whole < 1.0 {
        "<1\u{2009}%".to_owned()
    } else {
        per_cent(share)
    }
}

/// Degrees with one decimal: "14.2°".
#[must_use]
pub fn degrees(degrees: f64) -> String {
    in_unit(Unit::Degrees, degrees, 1)
}

/// Millimetres with one decimal and a thin space before the unit: "9.7 mm".
#[must_use]
pub fn millimetres(mm: f64) -> String {
    in_unit(Unit::Millimetres, mm, 1)
}

/// A day in words: "5 January 2026".
#[must_use]
pub fn day(date: Date) -> String {
    date.strftime("%-d %B %Y").to_string()
}

/// A value and the half-width of its 95 % interval: "32.1°" and "± 3.4". A position or a grade has no
/// half-width; its classes say how sure it is. A share of a sesamoid has none where 0 or 100 % cuts its interval.
#[must_use]
pub fn value_and_spread(unit: Unit, reading: &Reading) -> (String, String) {
    let half = (reading.interval.1 - reading.interval.0) / 2.0;
    let spread = |decimals| format!("± {}", plain(half, decimals));
    match unit {
        Unit::Degrees | Unit::Millimetres => (in_unit(unit, reading.value, 1), spread(1)),
        Unit::Ratio => (in_unit(unit, reading.value, 2), spread(2)),
        Unit::PerCent => (
            in_unit(unit, reading.value, 0),
            share_spread(reading.spread()),
        ),
        Unit::Position => (
            format!("{} of VII", in_unit(unit, reading.value, 0)),
            String::new(),
        ),
        Unit::Grade => (
            format!("{} of 3", in_unit(unit, reading.value, 0)),
            String::new(),
        ),
    }
}

/// How sure a share of a sesamoid is, in per cent: "± 7"; "(0 to 6)", rounded outward, where 0 or 100 % cuts the
/// interval; "(clear)" where the sesamoid lies clear of its line by more than the tracing's spread.
#[must_use]
pub fn share_spread(spread: Spread) -> String {
    match spread {
        Spread::Even(half) => format!("± {}", plain(half, 0)),
        Spread::Cut(low, high) => {
            format!("({} to {})", plain(low.floor(), 0), plain(high.ceil(), 0))
        }
        Spread::Beyond => "(clear)".to_owned(),
    }
}

/// The usual range in the unit of its measurement: "0° to 15°".
pub(crate) fn usual(unit: Unit, range: UsualRange) -> String {
    let decimals = match unit {
        Unit::Ratio => 2,
        _ => usize::from([range.low, range.high].iter().any(|end| end.fract() != 0.0)),
    };
    let low = match unit {
        Unit::Millimetres | Unit::PerCent => plain(range.low, decimals),
        _ => in_unit(unit, range.low, decimals),
    };
    format!("{low} to {}", in_unit(unit, range.high, decimals))
}

/// A number with its unit; a position as the trade writes it: "IV".
#[must_use]
pub fn in_unit(unit: Unit, value: f64, decimals: usize) -> String {
    let number = plain(value, decimals);
    match unit {
        Unit::Degrees => format!("{number}°"),
        Unit::Millimetres => format!("{number}\u{2009}mm"),
        Unit::PerCent => format!("{number}\u{2009}%"),
        Unit::Position => roman(&number).to_owned(),
        Unit::Ratio | Unit::Grade => number,
    }
}

/// A position as the trade writes it.
fn roman(position: &str) -> &str {
    match position {
        "1" => "I",
        "2" => "II",
        "3" => "III",
        "4" => "IV",
        "5" => "V",
        "6" => "VI",
        "7" => "VII",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn no_probability_is_told_as_sure() {
        for (share, words) in [
            (1.0, ">99\u{2009}%"),
            (0.996, ">99\u{2009}%"),
            (0.994, "99\u{2009}%"),
            (0.257, "26\u{2009}%"),
            (0.006, "1\u{2009}%"),
            (0.004, "<1\u{2009}%"),
            (0.0, "<1\u{2009}%"),
        ] {
            assert_eq!(likelihood(share), words, "{share}");
        }
    }

    #[test]
    fn a_negative_number_has_a_true_minus_sign_and_nothing_is_minus_zero() {
        assert_eq!(plain(-7.42, 1), "\u{2212}7.4", "below zero");
        assert_eq!(plain(-0.04, 1), "0.0", "rounds to zero");
    }

    #[test]
    fn a_usual_range_is_written_in_its_unit() {
        let range = |low, high| UsualRange {
            low,
            high,
            source: "a test",
        };
        for (unit, low, high, expected) in [
            (Unit::Degrees, -4.0, 4.0, "\u{2212}4° to 4°"),
            (Unit::Position, 1.0, 4.0, "I to IV"),
            (Unit::Ratio, 0.8, 1.0, "0.80 to 1.00"),
            (Unit::Millimetres, -2.5, 2.0, "\u{2212}2.5 to 2.0\u{2009}mm"),
        ] {
            assert_eq!(usual(unit, range(low, high)), expected, "{unit:?}");
        }
    }

    #[test]
    fn a_share_that_a_limit_cuts_is_never_said_to_have_no_spread() {
        for (spread, expected) in [
            (Spread::Even(7.2), "± 7"),
            (Spread::Cut(0.0, 0.3), "(0 to 1)"),
            (Spread::Cut(93.6, 100.0), "(93 to 100)"),
            (Spread::Beyond, "(clear)"),
        ] {
            assert_eq!(share_spread(spread), expected, "{spread:?}");
        }
    }

    #[test]
    fn a_day_is_written_in_words() {
        assert_eq!(day(date(2026, 1, 5)), "5 January 2026", "a day");
    }
}
