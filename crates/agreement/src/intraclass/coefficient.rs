//! The six coefficients with their intervals.

use serde::{Deserialize, Serialize};

use crate::{
    AgreementError, ConfidenceLevel, Interval, MeanSquares,
    distribution::{f_quantile, f_tail},
};

/// Which readers the coefficient speaks of, and whether a constant difference between them counts as error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Form {
    /// ICC(1,·): each target was read by other readers, or the columns are in no order. Every difference is error.
    OneWay,
    /// ICC(2,·), absolute agreement: the readers stand for others like them, and a reader who always reads higher
    /// disagrees. The usual choice for readers of films.
    TwoWayAgreement,
    /// ICC(3,·), consistency: only these readers matter, and a constant difference between them is no error.
    TwoWayConsistency,
}

impl Form {
    /// All, in the order of Shrout and Fleiss.
    pub const ALL: [Self; 3] = [Self::OneWay, Self::TwoWayAgreement, Self::TwoWayConsistency];
}

/// Of what the coefficient gives the reliability.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unit {
    /// A single reading: ICC(·,1).
    Single,
    /// The mean of as many readings as there are readers: ICC(·,k).
    Mean,
}

impl Unit {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Single, Self::Mean];
}

/// An intraclass correlation with its interval and its F test; without unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Coefficient {
    /// Which model.
    pub form: Form,
    /// Of a single reading or of a mean.
    pub unit: Unit,
    /// The coefficient: 1 where all spread comes from the targets, 0 where none does. Below 0 readings of one target
    /// differ more than readings of different targets would by chance.
    pub value: f64,
    /// Its confidence interval.
    pub interval: Interval,
    /// F, the ratio of mean squares that tests whether the coefficient is 0.
    pub f: f64,
    /// Degrees of freedom of the upper mean square of F, between targets.
    pub target_degrees: f64,
    /// Degrees of freedom of the lower mean square of F.
    pub error_degrees: f64,
    /// How probable so large an F is where the true coefficient is 0.
    pub probability: f64,
}

impl MeanSquares {
    /// One of the six intraclass correlations.
    ///
    /// ```text
    /// ICC(1,1) = (MSB − MSW) / (MSB + (k − 1) MSW)                          ICC(1,k) = (MSB − MSW) / MSB
    /// ICC(2,1) = (MSB − MSE) / (MSB + (k − 1) MSE + k (MSJ − MSE) / n)      ICC(2,k) = (MSB − MSE) / (MSB + (MSJ − MSE) / n)
    /// ICC(3,1) = (MSB − MSE) / (MSB + (k − 1) MSE)                          ICC(3,k) = (MSB − MSE) / MSB
    /// ```
    ///
    /// With F = MSB / MSW for the one-way form and F = MSB / MSE for consistency, d₁ = n − 1, d₂ the degrees of freedom
    /// below, q(d₁, d₂) the F value below which half of the level and a half lie, Fₗ = F / q(d₁, d₂) and
    /// Fᵤ = F · q(d₂, d₁), the ends are (F· − 1) / (F· + k − 1) for a single reading and 1 − 1 / F· for a mean.
    /// For absolute agreement the degrees of freedom are those of Satterthwaite: with ρ = ICC(2,1),
    /// r = MSJ / MSE and c = n (1 + (k − 1) ρ) − k ρ,
    ///
    /// ```text
    /// v     = (n − 1)(k − 1) (k ρ r + c)² / ((n − 1) k² ρ² r² + c²)
    /// lower = n (MSB − q(n − 1, v) MSE) / (q(n − 1, v) (k MSJ + (k n − k − n) MSE) + n MSB)
    /// upper = n (q(v, n − 1) MSB − MSE) / (k MSJ + (k n − k − n) MSE + n q(v, n − 1) MSB)
    /// ```
    ///
    /// and for the mean each end e becomes k e / (1 + (k − 1) e). Where v is so small that q(n − 1, v) is infinite, the
    /// lower end is the limit, −n MSE / (k MSJ + (k n − k − n) MSE).
    ///
    /// Sources: Shrout, Fleiss, Psychol Bull 1979;86:420–428; McGraw, Wong, Psychol Methods 1996;1:30–46.
    ///
    /// # Errors
    /// [`AgreementError::NoVariance`] where readings do not differ within targets, or differ by constants only: F is
    /// infinite and the interval has no width however few targets were read. [`AgreementError::OutsideRange`] where
    /// targets differ less than readings of one target, so far that the formula of ICC(2,k) or of its interval
    /// divides by what is not above 0.
    pub fn coefficient(
        &self,
        form: Form,
        unit: Unit,
        level: ConfidenceLevel,
    ) -> Result<Coefficient, AgreementError> {
        let error = self.error(form);
        if error <= 0.0 {
            return Err(AgreementError::NoVariance {
                what: match form {
                    Form::OneWay => "the readings of each target",
                    Form::TwoWayAgreement | Form::TwoWayConsistency => {
                        "the differences between readers"
                    }
                },
                result: "the interval of an intraclass correlation",
            });
        }
        let f = self.between_targets / error;
        let (target_degrees, error_degrees) = (self.n() - 1.0, self.error_degrees(form));
        let (value, lower, upper) = match form {
            Form::OneWay | Form::TwoWayConsistency => {
                let probability = level.upper_probability();
                let ends = [
                    f,
                    f / f_quantile(probability, target_degrees, error_degrees),
                    f * f_quantile(probability, error_degrees, target_degrees),
                ];
                let [value, lower, upper] = ends.map(|f| match unit {
                    Unit::Single => (f - 1.0) / (f + self.k() - 1.0),
                    Unit::Mean => 1.0 - 1.0 / f,
                });
                (value, lower, upper)
            }
            Form::TwoWayAgreement => self.agreement(unit, level)?,
        };
        Ok(Coefficient {
            form,
            unit,
            value,
            interval: Interval {
                lower,
                upper,
                level,
            },
            f,
            target_degrees,
            error_degrees,
            probability: f_tail(f, target_degrees, error_degrees),
        })
    }

    fn n(&self) -> f64 {
        self.targets as f64
    }

    fn k(&self) -> f64 {
        self.readers as f64
    }

    /// The mean square that counts as error.
    fn error(&self, form: Form) -> f64 {
        match form {
            Form::OneWay => self.within_targets,
            Form::TwoWayAgreement | Form::TwoWayConsistency => self.residual,
        }
    }

    fn error_degrees(&self, form: Form) -> f64 {
        match form {
            Form::OneWay => self.n() * (self.k() - 1.0),
            Form::TwoWayAgreement | Form::TwoWayConsistency => (self.n() - 1.0) * (self.k() - 1.0),
        }
    }

    /// ICC(2,·) and the ends of its interval.
    fn agreement(
        &self,
        unit: Unit,
        level: ConfidenceLevel,
    ) -> Result<(f64, f64, f64), AgreementError> {
        let (n, k) = (self.n(), self.k());
        let (msb, msj, mse) = (self.between_targets, self.between_readers, self.residual);
        let single = (msb - mse) / (msb + (k - 1.0) * mse + k * (msj - mse) / n);
        let ratio = msj / mse;
        let constant = n * (1.0 + (k - 1.0) * single) - k * single;
        let of_readers = k * single * ratio;
        let degrees = (n - 1.0) * (k - 1.0) * (of_readers + constant).powi(2)
            / ((n - 1.0) * of_readers.powi(2) + constant.powi(2));
        if !(degrees > 0.0 && degrees.is_finite()) {
            return Err(outside_range());
        }
        let probability = level.upper_probability();
        // The lower end with both sides over its quantile, which is infinite for the few degrees of freedom that
        // readers who hardly differ may leave.
        let down = msb / f_quantile(probability, n - 1.0, degrees);
        let up = f_quantile(probability, degrees, n - 1.0);
        let spread = k * msj + (k * n - k - n) * mse;
        let lower = n * (down - mse) / divisor(spread + n * down)?;
        let upper = n * (up * msb - mse) / divisor(spread + n * up * msb)?;
        match unit {
            Unit::Single => Ok((single, lower, upper)),
            Unit::Mean => {
                let stepped_up = |end: f64| Ok(k * end / divisor(1.0 + (k - 1.0) * end)?);
                Ok((stepped_up(single)?, stepped_up(lower)?, stepped_up(upper)?))
            }
        }
    }
}

/// What may be divided by.
fn divisor(value: f64) -> Result<f64, AgreementError> {
    if value > 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(outside_range())
}

fn outside_range() -> AgreementError {
    AgreementError::OutsideRange {
        result: "an intraclass correlation for absolute agreement",
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;
    use crate::Table;

    /// Six targets by four judges: Shrout, Fleiss, Psychol Bull 1979;86:420–428.
    pub(crate) fn shrout_and_fleiss() -> Table {
        Table::from_rows(&[
            [9.0, 2.0, 5.0, 8.0],
            [6.0, 1.0, 3.0, 2.0],
            [8.0, 4.0, 6.0, 8.0],
            [7.0, 1.0, 2.0, 6.0],
            [10.0, 5.0, 6.0, 9.0],
            [6.0, 2.0, 4.0, 7.0],
        ])
        .expect("a full table")
    }

    fn coefficient(table: &Table, form: Form, unit: Unit) -> Coefficient {
        MeanSquares::of(table)
            .and_then(|squares| squares.coefficient(form, unit, ConfidenceLevel::NINETY_FIVE))
            .expect("a table with spread")
    }

    #[test]
    fn the_six_coefficients_are_those_of_shrout_and_fleiss() {
        // The two digits are published, the four are computed from the published data with the published formulas.
        let table = shrout_and_fleiss();
        for (form, unit, published, exact) in [
            (Form::OneWay, Unit::Single, 0.17, 0.1657),
            (Form::TwoWayAgreement, Unit::Single, 0.29, 0.2898),
            (Form::TwoWayConsistency, Unit::Single, 0.71, 0.7148),
            (Form::OneWay, Unit::Mean, 0.44, 0.4428),
            (Form::TwoWayAgreement, Unit::Mean, 0.62, 0.6201),
            (Form::TwoWayConsistency, Unit::Mean, 0.91, 0.9093),
        ] {
            let found = coefficient(&table, form, unit);
            let what = format!("{form:?} of {unit:?}");
            assert_close(found.value, published, 5e-3, &what);
            assert_close(found.value, exact, 5e-5, &what);
            assert!(
                found.interval.holds(found.value),
                "{what}: {:?}",
                found.interval
            );
        }
    }

    #[test]
    fn f_and_its_degrees_of_freedom_are_ratios_of_the_published_mean_squares() {
        let one_way = coefficient(&shrout_and_fleiss(), Form::OneWay, Unit::Single);
        assert_close(one_way.f, 11.2417 / 6.2639, 1e-4, "one way");
        assert_close(one_way.error_degrees, 18.0, 0.0, "six times three");
        let two_way = coefficient(&shrout_and_fleiss(), Form::TwoWayConsistency, Unit::Single);
        assert_close(two_way.f, 11.2417 / 1.01944, 1e-3, "two way");
        assert_close(two_way.target_degrees, 5.0, 0.0, "six less one");
        assert_close(two_way.error_degrees, 15.0, 0.0, "five times three");
        assert!(two_way.probability < 0.001, "{}", two_way.probability);
    }

    #[test]
    fn where_nothing_is_left_over_the_interval_is_not_defined() {
        let constant = Table::from_rows(&[[1.0, 3.0], [2.0, 4.0], [5.0, 7.0]]).expect("a table");
        let squares = MeanSquares::of(&constant).expect("targets that differ");
        let level = ConfidenceLevel::NINETY_FIVE;
        for form in [Form::TwoWayAgreement, Form::TwoWayConsistency] {
            let found = squares.coefficient(form, Unit::Single, level);
            assert!(
                matches!(found, Err(AgreementError::NoVariance { .. })),
                "{form:?}: {found:?}"
            );
        }
        let one_way = squares.coefficient(Form::OneWay, Unit::Single, level);
        assert!(
            one_way.is_ok(),
            "the constant difference is error: {one_way:?}"
        );
    }

    #[test]
    fn where_targets_hardly_differ_a_mean_is_refused_instead_of_exceeding_one() {
        // MSB = 0.0267, MSJ = 0, MSE = 4.03: the formula of ICC(2,k) would give 6.1.
        let crossed = Table::from_rows(&[[-2.0, 2.0], [2.0, -2.0], [-1.1, 1.3], [1.1, -1.3]]);
        let squares = MeanSquares::of(&crossed.expect("a table")).expect("some spread");
        let found = squares.coefficient(
            Form::TwoWayAgreement,
            Unit::Mean,
            ConfidenceLevel::NINETY_FIVE,
        );
        assert!(
            matches!(found, Err(AgreementError::OutsideRange { .. })),
            "{found:?}"
        );
    }

    /// Tables of targets that differ by more than the noise of their readings.
    fn tables() -> impl Strategy<Value = Vec<Vec<f64>>> {
        (3..12_usize, 2..6_usize).prop_flat_map(|(targets, readers)| {
            let row = (0.0..5.0, proptest::collection::vec(-5.0..5.0, readers));
            proptest::collection::vec(row, targets).prop_map(|rows| {
                rows.into_iter()
                    .enumerate()
                    .map(|(target, (value, noise))| {
                        let value = 12.0 * target as f64 + value;
                        noise.into_iter().map(|noise| value + noise).collect()
                    })
                    .collect()
            })
        })
    }

    fn values(rows: &[Vec<f64>]) -> Vec<f64> {
        let table = Table::from_rows(rows).expect("a full table");
        Form::ALL
            .into_iter()
            .map(|form| coefficient(&table, form, Unit::Single))
            .flat_map(|found| [found.value, found.interval.lower, found.interval.upper])
            .collect()
    }

    proptest! {
        #[test]
        fn readers_with_constants_of_their_own_are_as_consistent_and_agree_less(
            rows in tables(),
            constants in proptest::collection::vec(3.0..30.0, 6),
        ) {
            // Readers' means are made equal first, so that constants can only drive them apart.
            let readers = rows[0].len();
            let level: Vec<f64> = (0..readers)
                .map(|reader| rows.iter().map(|row| row[reader]).sum::<f64>() / rows.len() as f64)
                .collect();
            let even: Vec<Vec<f64>> = rows
                .iter()
                .map(|row| row.iter().zip(&level).map(|(value, level)| value - level).collect())
                .collect();
            let apart: Vec<Vec<f64>> = even
                .iter()
                .map(|row| row.iter().zip(&constants).map(|(value, own)| value + own).collect())
                .collect();
            let [even, apart] = [even, apart].map(|rows| Table::from_rows(&rows).expect("a table"));
            let value = |table, form| coefficient(table, form, Unit::Single).value;
            let consistency = [&even, &apart].map(|table| value(table, Form::TwoWayConsistency));
            prop_assert!((consistency[0] - consistency[1]).abs() < 1e-9, "{consistency:?}");
            let agreement = [&even, &apart].map(|table| value(table, Form::TwoWayAgreement));
            prop_assert!(agreement[1].abs() <= agreement[0].abs() + 1e-9, "{agreement:?}");
        }

        #[test]
        fn neither_order_nor_unit_nor_zero_point_matters(
            rows in tables(),
            turn in 0..6_usize,
            scale in prop_oneof![0.01..100.0, -100.0..-0.01],
            shift in -1e3..1e3,
        ) {
            let before = values(&rows);
            let mut turned = rows;
            let length = turned.len();
            turned.rotate_left(turn % length);
            for row in &mut turned {
                row.reverse();
                for value in row {
                    *value = *value * scale + shift;
                }
            }
            let after = values(&turned);
            for (one, other) in before.iter().zip(&after) {
                prop_assert!((one - other).abs() < 1e-6, "{before:?} and {after:?}");
            }
        }

        #[test]
        fn a_surer_interval_is_wider_and_both_hold_the_coefficient(rows in tables()) {
            let squares = MeanSquares::of(&Table::from_rows(&rows).expect("a table")).expect("spread");
            let at = |form, share| {
                let level = ConfidenceLevel::new(share).expect("a level");
                squares.coefficient(form, Unit::Single, level).expect("defined")
            };
            for form in Form::ALL {
                let (usual, sure) = (at(form, 0.9), at(form, 0.99));
                prop_assert!(usual.interval.holds(usual.value), "{usual:?}");
                prop_assert!(sure.interval.lower <= usual.interval.lower, "{sure:?}");
                prop_assert!(sure.interval.upper >= usual.interval.upper, "{sure:?}");
            }
        }
    }
}
