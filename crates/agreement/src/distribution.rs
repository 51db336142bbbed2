//! Quantiles and tails of the distributions that intervals are made with. Degrees of freedom need not be whole.

use statrs::distribution::{ChiSquared, ContinuousCDF as _, FisherSnedecor, Normal, StudentsT};

const DEGREES: &str = "degrees of freedom are positive";

/// The F value below which so much of the distribution lies.
pub(crate) fn f_quantile(probability: f64, upper_degrees: f64, lower_degrees: f64) -> f64 {
    let distribution = FisherSnedecor::new(upper_degrees, lower_degrees).expect(DEGREES);
    distribution.inverse_cdf(probability)
}

/// How probable an F value at least as large is.
pub(crate) fn f_tail(value: f64, upper_degrees: f64, lower_degrees: f64) -> f64 {
    let distribution = FisherSnedecor::new(upper_degrees, lower_degrees).expect(DEGREES);
    distribution.sf(value)
}

/// The t value below which so much of the distribution lies.
pub(crate) fn t_quantile(probability: f64, degrees: f64) -> f64 {
    let distribution = StudentsT::new(0.0, 1.0, degrees).expect(DEGREES);
    distribution.inverse_cdf(probability)
}

/// How probable a t value at least as far from 0 is, in either direction.
pub(crate) fn t_two_sided(value: f64, degrees: f64) -> f64 {
    let distribution = StudentsT::new(0.0, 1.0, degrees).expect(DEGREES);
    2.0 * distribution.sf(value.abs())
}

/// The standard normal value below which so much of the distribution lies.
pub(crate) fn normal_quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(probability)
}

/// How probable a standard normal value at least as far from 0 is, in either direction.
pub(crate) fn normal_two_sided(value: f64) -> f64 {
    2.0 * Normal::standard().sf(value.abs())
}

/// The χ² value below which so much of the distribution lies.
pub(crate) fn chi_squared_quantile(probability: f64, degrees: f64) -> f64 {
    let distribution = ChiSquared::new(degrees).expect(DEGREES);
    distribution.inverse_cdf(probability)
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn quantiles_are_those_of_printed_tables() {
        // The usual tables at the foot of any textbook of statistics, to their printed digits.
        assert_close(f_quantile(0.95, 5.0, 15.0), 2.90, 5e-3, "F 5, 15");
        assert_close(f_quantile(0.975, 3.0, 10.0), 4.83, 5e-3, "F 3, 10");
        assert_close(t_quantile(0.975, 16.0), 2.120, 5e-4, "t 16");
        assert_close(normal_quantile(0.975), 1.959_964, 5e-7, "normal");
        assert_close(chi_squared_quantile(0.975, 10.0), 20.483, 5e-4, "χ² 10");
        assert_close(chi_squared_quantile(0.025, 10.0), 3.247, 5e-4, "χ² 10");
    }

    #[test]
    fn a_quantile_leads_back_to_its_probability() {
        for upper in [1.0, 2.5, 9.0, 120.0] {
            for lower in [0.7, 3.3, 40.0, 900.0] {
                let value = f_quantile(0.975, upper, lower);
                let tail = f_tail(value, upper, lower);
                assert_close(tail, 0.025, 1e-10, &format!("F {upper}, {lower}"));
            }
        }
        for degrees in [1.0, 2.0, 16.0, 500.0] {
            let value = t_quantile(0.995, degrees);
            let what = format!("t {degrees}");
            assert_close(t_two_sided(value, degrees), 0.01, 1e-10, &what);
        }
        assert_close(normal_two_sided(-1.959_963_985), 0.05, 1e-9, "normal");
    }
}
