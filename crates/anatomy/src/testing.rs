//! What the tests of every crate use to compare numbers; present with the feature `testing` only.

/// Fails the test unless two numbers differ by no more than a tolerance, which is not negative.
///
/// The message says what the number is; the failure shows both numbers and their distance.
///
/// # Panics
/// When the numbers lie further apart, or when one of the three is not a number.
#[track_caller]
pub fn assert_close(actual: f64, expected: f64, tolerance: f64, message: &str) {
    let distance = (actual - expected).abs();
    assert!(
        distance <= tolerance,
        "{message}: {actual} is not within {tolerance} of {expected}, but {distance} away"
    );
}

#[cfg(test)]
mod tests {
    use super::assert_close;

    #[test]
    fn a_distance_up_to_the_tolerance_is_close() {
        assert_close(1.5, 1.0, 0.5, "the tolerance itself");
        assert_close(-2.0, -2.0, 0.0, "the same number");
    }

    #[test]
    #[should_panic(expected = "an angle: 1.5 is not within 0.25 of 1, but 0.5 away")]
    fn a_larger_distance_fails_with_both_numbers() {
        assert_close(1.5, 1.0, 0.25, "an angle");
    }

    #[test]
    #[should_panic(expected = "an angle: NaN")]
    fn what_is_not_a_number_is_never_close() {
        assert_close(f64::NAN, 1.0, 0.25, "an angle");
    }
}
