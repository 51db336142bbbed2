//! Cohen's kappa of two readers.

use serde::{Deserialize, Serialize};

use crate::{
    AgreementError, ConfidenceLevel, DisagreementWeights, Interval, Proportion, RatingPairs,
    proportion,
};

use super::interval;

/// Disagreement below this share of the greatest weight is none.
const NO_DISAGREEMENT: f64 = 1e-12;

/// The agreement of two readers in categories; without unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kappa {
    /// 1 where readers always agree, 0 where they agree as often as chance would have it, below 0 where less.
    pub value: f64,
    /// Its large-sample standard error.
    pub standard_error: f64,
    /// Its interval; nothing where the formula gives it no width, as where readers always agree, however few targets
    /// they rated.
    pub interval: Option<Interval>,
    /// How often both named the same category.
    pub observed_agreement: Proportion,
    /// The weighted disagreement that was found, in the unit of the weights.
    pub observed_disagreement: f64,
    /// The weighted disagreement of chance, in the unit of the weights.
    pub expected_disagreement: f64,
    /// For each category: of the ratings that name it, the share that the other reader shares,
    /// 2 nᵢᵢ / (nᵢ. + n.ᵢ); nothing for a category that nobody named.
    pub agreement_by_category: Vec<Option<f64>>,
}

/// Cohen's kappa, plain or weighted.
///
/// With pᵢⱼ the shares of pairs, pᵢ. and p.ⱼ the readers' own shares and vᵢⱼ the weights of disagreement,
///
/// ```text
/// D = Σ vᵢⱼ pᵢⱼ,   E = Σ vᵢⱼ pᵢ. p.ⱼ,   κ = 1 − D / E
/// aᵢ = Σⱼ vᵢⱼ p.ⱼ,   bⱼ = Σᵢ vᵢⱼ pᵢ.
/// SE(κ)² = (Σ pᵢⱼ (vᵢⱼ − (1 − κ)(aᵢ + bⱼ))² − D²) / (N E²)
/// ```
///
/// The standard error is that of Fleiss, Cohen, Everitt, Psychol Bull 1969;72:323–327, written with weights of
/// disagreement; it is made for large samples and presumes independent targets. The interval is κ ± z SE, cut off at 1.
/// Kappa falls where one category is rare, however well readers agree: read it beside the observed agreement and the
/// agreement by category (Spitzer, Fleiss, Br J Psychiatry 1974;125:341–347, from memory).
///
/// Sources: Cohen, Educ Psychol Meas 1960;20:37–46; Cohen, Psychol Bull 1968;70:213–220.
///
/// # Errors
/// [`AgreementError::NothingToDisagreeOn`] where all ratings lie in one category; what own weights may be wrong with.
pub fn cohens_kappa(
    pairs: &RatingPairs,
    weights: &DisagreementWeights,
    level: ConfidenceLevel,
) -> Result<Kappa, AgreementError> {
    let categories = pairs.category_count();
    let weights = weights.of(categories)?;
    let shares = pairs.shares();
    let (rows, columns) = margins(&shares, categories);
    // What it costs on average to name a category, over what the other reader names.
    let of_row = |row: usize| weighted(&weights[row * categories..][..categories], &columns);
    let of_column = |column: usize| {
        (0..categories)
            .map(|row| weights[row * categories + column] * rows[row])
            .sum()
    };
    let row_costs: Vec<f64> = (0..categories).map(of_row).collect();
    let column_costs: Vec<f64> = (0..categories).map(of_column).collect();
    let observed = weighted(&weights, &shares);
    let expected = weighted(&row_costs, &rows);
    let greatest = weights
        .iter()
        .fold(0.0_f64, |greatest, weight| greatest.max(*weight));
    if expected <= NO_DISAGREEMENT * greatest {
        return Err(AgreementError::NothingToDisagreeOn);
    }
    let share = observed / expected;
    let squares: f64 = (0..categories * categories)
        .map(|cell| {
            let costs = row_costs[cell / categories] + column_costs[cell % categories];
            shares[cell] * (weights[cell] - share * costs).powi(2)
        })
        .sum();
    let targets = pairs.target_count();
    let variance = (squares - observed.powi(2)) / (targets as f64 * expected.powi(2));
    let (value, standard_error) = (1.0 - share, variance.max(0.0).sqrt());
    Ok(Kappa {
        value,
        standard_error,
        interval: interval(value, standard_error, level),
        observed_agreement: proportion(pairs.agreement_count(), targets, level)?,
        observed_disagreement: observed,
        expected_disagreement: expected,
        agreement_by_category: (0..categories)
            .map(|category| {
                let named = rows[category] + columns[category];
                (named > 0.0).then(|| 2.0 * shares[category * (categories + 1)] / named)
            })
            .collect(),
    })
}

fn weighted(weights: &[f64], shares: &[f64]) -> f64 {
    weights
        .iter()
        .zip(shares)
        .map(|(weight, share)| weight * share)
        .sum()
}

/// How often each reader named each category, as shares.
fn margins(shares: &[f64], categories: usize) -> (Vec<f64>, Vec<f64>) {
    let rows = shares
        .chunks_exact(categories)
        .map(|row| row.iter().sum())
        .collect();
    let columns = (0..categories)
        .map(|column| shares.iter().skip(column).step_by(categories).sum())
        .collect();
    (rows, columns)
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;

    const THREE: [DisagreementWeights; 3] = [
        DisagreementWeights::Plain,
        DisagreementWeights::Linear,
        DisagreementWeights::Quadratic,
    ];

    fn kappa(pairs: &RatingPairs, weights: &DisagreementWeights) -> Kappa {
        cohens_kappa(pairs, weights, ConfidenceLevel::NINETY_FIVE).expect("a kappa")
    }

    /// 200 patients by two judges: Cohen, Psychol Bull 1968;70:213–220, whose shares are given to two digits.
    fn cohen_1968() -> RatingPairs {
        RatingPairs::from_counts(&[[88, 14, 18], [10, 40, 10], [2, 6, 12]]).expect("counts")
    }

    #[test]
    fn kappa_and_weighted_kappa_are_those_of_cohen() {
        // Published: .492 and, with his own weights, .348.
        let plain = kappa(&cohen_1968(), &DisagreementWeights::Plain);
        assert_close(plain.value, 0.491_525, 5e-7, "plain");
        assert_close(plain.observed_agreement.share, 0.70, 1e-12, "observed");
        assert_close(1.0 - plain.expected_disagreement, 0.41, 1e-12, "expected");
        let own = DisagreementWeights::Own(vec![
            vec![0.0, 1.0, 3.0],
            vec![1.0, 0.0, 6.0],
            vec![3.0, 6.0, 0.0],
        ]);
        assert_close(
            kappa(&cohen_1968(), &own).value,
            0.347_826,
            5e-7,
            "his weights",
        );
        for (weights, expected) in THREE.iter().zip([0.491_525, 0.473_684, 0.454_545]) {
            assert_close(
                kappa(&cohen_1968(), weights).value,
                expected,
                5e-7,
                &format!("{weights:?}"),
            );
        }
    }

    #[test]
    fn two_hundred_ratings_in_three_categories_have_their_standard_errors() {
        // The table in the style of Fleiss, Cohen, Everitt 1969; kappas computed from the formulas, standard errors by
        // statsmodels 0.15.0 (tests/outside compares many more).
        let counts = [[106, 10, 4], [22, 28, 10], [2, 12, 6]];
        let pairs = RatingPairs::from_counts(&counts).expect("counts");
        let values = [0.428_571, 0.492_308, 0.566_667];
        let errors = [0.053_711, 0.050_719, 0.055_666];
        for ((weights, value), error) in THREE.iter().zip(values).zip(errors) {
            let found = kappa(&pairs, weights);
            let what = format!("{weights:?}");
            assert_close(found.value, value, 5e-7, &what);
            assert_close(found.standard_error, error, 5e-7, &what);
            let interval = found.interval.expect("a standard error");
            assert_close(interval.lower, value - 1.959_964 * error, 2e-6, &what);
        }
        let agreement = kappa(&pairs, &THREE[0]).agreement_by_category;
        assert_close(
            agreement[0].expect("named"),
            212.0 / 250.0,
            1e-12,
            "first category",
        );
        assert_close(
            agreement[2].expect("named"),
            12.0 / 40.0,
            1e-12,
            "third category",
        );
    }

    #[test]
    fn one_category_for_all_is_not_defined_and_full_agreement_has_no_interval() {
        let level = ConfidenceLevel::NINETY_FIVE;
        let alike = RatingPairs::from_ratings(&[1; 8], &[1; 8], 3).expect("ratings");
        for weights in &THREE {
            assert_eq!(
                cohens_kappa(&alike, weights, level),
                Err(AgreementError::NothingToDisagreeOn),
                "{weights:?}"
            );
        }
        let weightless = DisagreementWeights::Own(vec![vec![0.0; 3]; 3]);
        assert_eq!(
            cohens_kappa(&cohen_1968(), &weightless, level),
            Err(AgreementError::NothingToDisagreeOn),
            "weights of 0"
        );
        let same = RatingPairs::from_ratings(&[0, 1, 1], &[0, 1, 1], 3).expect("ratings");
        let found = kappa(&same, &DisagreementWeights::Plain);
        assert_close(found.value, 1.0, 1e-12, "always the same");
        assert_eq!(found.interval, None, "three targets are no certainty");
        assert_eq!(
            found.agreement_by_category[2], None,
            "nobody named the third"
        );
    }

    /// Two lists in up to six categories that name at least two of them.
    fn ratings() -> impl Strategy<Value = (Vec<usize>, Vec<usize>, usize)> {
        (2..6_usize)
            .prop_flat_map(|categories| {
                let pair = (0..categories, 0..categories);
                (proptest::collection::vec(pair, 2..60), Just(categories))
            })
            .prop_map(|(pairs, categories)| {
                let (mut first, mut second): (Vec<_>, Vec<_>) = pairs.into_iter().unzip();
                (first[0], second[0], first[1], second[1]) = (0, 0, 1, 1);
                (first, second, categories)
            })
    }

    proptest! {
        #[test]
        fn neither_who_is_first_nor_the_order_of_targets_matters((first, second, categories) in ratings()) {
            let forward = RatingPairs::from_ratings(&first, &second, categories).expect("ratings");
            let reversed: (Vec<_>, Vec<_>) =
                first.into_iter().rev().zip(second.into_iter().rev()).unzip();
            let swapped = RatingPairs::from_ratings(&reversed.1, &reversed.0, categories).expect("ratings");
            for weights in &THREE {
                let (one, other) = (kappa(&forward, weights), kappa(&swapped, weights));
                prop_assert!((one.value - other.value).abs() < 1e-12, "{one:?} {other:?}");
                prop_assert!((one.standard_error - other.standard_error).abs() < 1e-7, "{one:?} {other:?}");
                prop_assert!(one.value <= 1.0 + 1e-12, "{one:?}");
            }
        }

        #[test]
        fn the_same_ratings_twice_give_one((first, _, categories) in ratings()) {
            let same = RatingPairs::from_ratings(&first, &first, categories).expect("ratings");
            for weights in &THREE {
                prop_assert!((kappa(&same, weights).value - 1.0).abs() < 1e-12, "{weights:?}");
            }
        }

        #[test]
        fn two_categories_leave_nothing_to_weigh((first, second, _) in ratings(), weight in 0.1..10.0) {
            let [first, second] = [first, second].map(|list| -> Vec<usize> {
                list.into_iter().map(|category| category.min(1)).collect()
            });
            let pairs = RatingPairs::from_ratings(&first, &second, 2).expect("ratings");
            let plain = kappa(&pairs, &DisagreementWeights::Plain);
            let own = DisagreementWeights::Own(vec![vec![0.0, weight], vec![weight, 0.0]]);
            for weights in [&DisagreementWeights::Linear, &DisagreementWeights::Quadratic, &own] {
                let found = kappa(&pairs, weights);
                prop_assert!((found.value - plain.value).abs() < 1e-12, "{weights:?}");
                prop_assert!((found.standard_error - plain.standard_error).abs() < 1e-7, "{weights:?}");
            }
        }
    }
}
