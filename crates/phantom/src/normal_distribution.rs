//! Numbers of the normal distribution from numbers that are all equally likely.

/// Two independent numbers of the normal distribution with mean 0 and this standard deviation, made from
/// two independent numbers above 0 and up to 1 that are all equally likely (Box and Muller, Ann Math Stat
/// 1958;29:610–611).
#[must_use]
pub fn normal_pair(sd: f64, [first, second]: [f64; 2]) -> [f64; 2] {
    let radius = sd * (-2.0 * first.ln()).sqrt();
    let (sin, cos) = (std::f64::consts::TAU * second).sin_cos();
    [radius * cos, radius * sin]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_extremes_of_a_seeded_source_give_numbers() {
        for share in [f64::MIN_POSITIVE, 0.5, 1.0] {
            let pair = normal_pair(2.0, [share, share]);
            assert!(pair.iter().all(|number| number.is_finite()), "{share}");
        }
        let [along, across] = normal_pair(2.0, [1.0, 0.25]);
        assert!(along.abs() + across.abs() < 1e-12, "the middle");
    }
}
