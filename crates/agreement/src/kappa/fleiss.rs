//! Fleiss' kappa of any number of readers.

use serde::{Deserialize, Serialize};

use crate::{
    AgreementError, ConfidenceLevel, Interval, distribution::normal_two_sided, table::at_least,
};

use super::{interval, rating_pairs::known};

/// One category among several readers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct CategoryAmongReaders {
    /// The share of all ratings that name it.
    pub share: f64,
    /// When one reader names it, how often another does so for the same target; nothing where nobody named it.
    pub agreement: Option<f64>,
    /// That agreement beyond chance, (agreement − share) / (1 − share); nothing where nobody or everybody named it.
    pub kappa: Option<f64>,
}

/// The agreement of several readers in categories; without unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FleissKappa {
    /// How many targets.
    pub targets: usize,
    /// How many ratings each target has.
    pub readers: u64,
    /// 1 where readers always agree, 0 where they agree as often as chance would have it.
    pub value: f64,
    /// Its standard error where readers do agree, which the interval stands on; nothing for a single target.
    pub standard_error: Option<f64>,
    /// Its interval; nothing for a single target, or where the formula gives it no width.
    pub interval: Option<Interval>,
    /// Its standard error if readers agreed by chance alone, for the test.
    pub standard_error_by_chance: f64,
    /// Kappa over its standard error by chance, about standard normal if readers agreed by chance alone.
    pub z: f64,
    /// How probable a z at least as far from 0 is by chance alone.
    pub probability: f64,
    /// The share of pairs of readers who agree on a target, averaged over targets.
    pub observed_agreement: f64,
    /// The same by chance.
    pub expected_agreement: f64,
    /// Each category.
    pub categories: Vec<CategoryAmongReaders>,
}

/// How many readers named each category for each target, from lists of ratings: a row a target.
///
/// # Errors
/// [`AgreementError::UnknownCategory`], with the place counted row by row.
pub fn count_ratings<R: AsRef<[usize]>>(
    ratings: &[R],
    categories: usize,
) -> Result<Vec<Vec<u32>>, AgreementError> {
    let mut place = 0;
    let mut counts = Vec::with_capacity(ratings.len());
    for row in ratings {
        let mut counted = vec![0; categories];
        for category in row.as_ref() {
            known(place, *category, categories)?;
            counted[*category] += 1;
            place += 1;
        }
        counts.push(counted);
    }
    Ok(counts)
}

/// Fleiss' kappa of counts: a row for each target, in it how many readers named each category.
///
/// Readers need not be the same for every target, but every target needs as many ratings. With nᵢⱼ the counts, N
/// targets, n ratings of each, pⱼ the share of category j in all ratings and qⱼ = 1 − pⱼ,
///
/// ```text
/// Pᵢ = (Σⱼ nᵢⱼ² − n) / (n (n − 1)),   P = mean of Pᵢ,   E = Σⱼ pⱼ²,   κ = (P − E) / (1 − E)
/// SE by chance = √(2 ((Σ pⱼ qⱼ)² − Σ pⱼ qⱼ (qⱼ − pⱼ))) / (Σ pⱼ qⱼ √(N n (n − 1)))
/// Eᵢ = Σⱼ pⱼ nᵢⱼ / n,   κᵢ = ((Pᵢ − E) − 2 (1 − κ)(Eᵢ − E)) / (1 − E),   SE² = Σ (κᵢ − κ)² / (N (N − 1))
/// ```
///
/// The standard error by chance tests whether there is any agreement and must not make an interval; SE does that. It
/// follows targets as a sample of others.
///
/// Sources: Fleiss, Psychol Bull 1971;76:378–382; Fleiss, Nee, Landis, Psychol Bull 1979;86:974–977 (by chance);
/// Gwet, Educ Psychol Meas 2021;81:781–790 (SE).
///
/// # Errors
/// [`AgreementError::TooFew`] for no target, fewer than two categories or readers; [`AgreementError::Ragged`],
/// [`AgreementError::UnequalRatings`], and [`AgreementError::NothingToDisagreeOn`] where all ratings lie in one
/// category.
pub fn fleiss_kappa<R: AsRef<[u32]>>(
    counts: &[R],
    level: ConfidenceLevel,
) -> Result<FleissKappa, AgreementError> {
    let rows: Vec<&[u32]> = counts.iter().map(AsRef::as_ref).collect();
    let readers = ratings_of_each(&rows)?;
    let (targets, n) = (rows.len() as f64, readers as f64);
    let shares = shares(&rows, targets * n);
    if shares.iter().any(|share| *share >= 1.0) {
        return Err(AgreementError::NothingToDisagreeOn);
    }
    let pairs = n * (n - 1.0);
    let of_target = |row: &[u32]| {
        let squares: f64 = row.iter().map(|count| (f64::from(*count)).powi(2)).sum();
        (squares - n) / pairs
    };
    let agreements: Vec<f64> = rows.iter().map(|row| of_target(row)).collect();
    let observed = agreements.iter().sum::<f64>() / targets;
    let expected: f64 = shares.iter().map(|share| share.powi(2)).sum();
    let value = (observed - expected) / (1.0 - expected);

    let squares: f64 = rows
        .iter()
        .zip(&agreements)
        .map(|(row, agreement)| {
            let by_chance: f64 = row
                .iter()
                .zip(&shares)
                .map(|(count, share)| f64::from(*count) * share / n)
                .sum();
            let from_chance = 2.0 * (1.0 - value) * (by_chance - expected);
            ((agreement - expected - from_chance) / (1.0 - expected) - value).powi(2)
        })
        .sum();
    let standard_error = (rows.len() > 1).then(|| (squares / (targets * (targets - 1.0))).sqrt());
    let standard_error_by_chance = error_by_chance(&shares, targets * pairs);
    let z = value / standard_error_by_chance;
    Ok(FleissKappa {
        targets: rows.len(),
        readers,
        value,
        standard_error,
        interval: standard_error.and_then(|error| interval(value, error, level)),
        standard_error_by_chance,
        z,
        probability: normal_two_sided(z),
        observed_agreement: observed,
        expected_agreement: expected,
        categories: categories(&rows, &shares, n),
    })
}

/// How many ratings every target has; refuses counts that are no such table.
fn ratings_of_each(rows: &[&[u32]]) -> Result<u64, AgreementError> {
    at_least("targets", rows.len(), 1)?;
    let categories = rows[0].len();
    at_least("categories", categories, 2)?;
    let ratings = |row: &[u32]| row.iter().copied().map(u64::from).sum::<u64>();
    let readers = ratings(rows[0]);
    for (target, row) in rows.iter().enumerate() {
        if row.len() != categories {
            return Err(AgreementError::Ragged {
                row: target,
                found: row.len(),
                expected: categories,
            });
        }
        let found = ratings(row);
        if found != readers {
            return Err(AgreementError::UnequalRatings {
                target,
                found,
                expected: readers,
            });
        }
    }
    let few = usize::try_from(readers).unwrap_or(usize::MAX);
    at_least("ratings of each target", few, 2)?;
    Ok(readers)
}

/// The share of each category in all ratings.
fn shares(rows: &[&[u32]], ratings: f64) -> Vec<f64> {
    (0..rows[0].len())
        .map(|category| rows.iter().map(|row| f64::from(row[category])).sum::<f64>() / ratings)
        .collect()
}

/// The standard error of kappa if readers agreed by chance alone, with `pairs` N n (n − 1).
fn error_by_chance(shares: &[f64], pairs: f64) -> f64 {
    let products = || shares.iter().map(|share| (*share, share * (1.0 - share)));
    let sum: f64 = products().map(|(_, product)| product).sum();
    let skew: f64 = products()
        .map(|(share, product)| product * (1.0 - 2.0 * share))
        .sum();
    (2.0 * (sum.powi(2) - skew)).sqrt() / (sum * pairs.sqrt())
}

fn categories(rows: &[&[u32]], shares: &[f64], n: f64) -> Vec<CategoryAmongReaders> {
    let of_category = |(category, share): (usize, &f64)| {
        let counts = || rows.iter().map(|row| f64::from(row[category]));
        let named: f64 = counts().sum();
        let shared: f64 = counts().map(|count| count * (count - 1.0)).sum();
        let agreement = (named > 0.0).then(|| shared / (named * (n - 1.0)));
        CategoryAmongReaders {
            share: *share,
            agreement,
            kappa: agreement.map(|agreement| (agreement - share) / (1.0 - share)),
        }
    };
    shares.iter().enumerate().map(of_category).collect()
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;
    use crate::{DisagreementWeights, RatingPairs, cohens_kappa};

    /// A worked example that is widely printed: ten targets, fourteen readers, five categories.
    const TEN_BY_FOURTEEN: [[u32; 5]; 10] = [
        [0, 0, 0, 0, 14],
        [0, 2, 6, 4, 2],
        [0, 0, 3, 5, 6],
        [0, 3, 9, 2, 0],
        [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0],
        [3, 2, 6, 3, 0],
        [2, 5, 3, 2, 2],
        [6, 5, 2, 1, 0],
        [0, 2, 2, 3, 7],
    ];

    /// Thirty patients, six psychiatrists, five diagnoses: Fleiss, Psychol Bull 1971;76:378–382.
    const DIAGNOSES: [[u32; 5]; 30] = [
        [0, 0, 0, 6, 0],
        [0, 3, 0, 0, 3],
        [0, 1, 4, 0, 1],
        [0, 0, 0, 0, 6],
        [0, 3, 0, 3, 0],
        [2, 0, 4, 0, 0],
        [0, 0, 4, 0, 2],
        [2, 0, 3, 1, 0],
        [2, 0, 0, 4, 0],
        [0, 0, 0, 0, 6],
        [1, 0, 0, 5, 0],
        [1, 1, 0, 4, 0],
        [0, 3, 3, 0, 0],
        [1, 0, 0, 5, 0],
        [0, 2, 0, 3, 1],
        [0, 0, 5, 0, 1],
        [3, 0, 0, 1, 2],
        [5, 1, 0, 0, 0],
        [0, 2, 0, 4, 0],
        [1, 0, 2, 0, 3],
        [0, 0, 0, 0, 6],
        [0, 1, 0, 5, 0],
        [0, 2, 0, 1, 3],
        [2, 0, 0, 4, 0],
        [1, 0, 0, 4, 1],
        [0, 5, 0, 1, 0],
        [4, 0, 0, 0, 2],
        [0, 2, 0, 4, 0],
        [1, 0, 5, 0, 0],
        [0, 0, 0, 0, 6],
    ];

    fn kappa<R: AsRef<[u32]>>(counts: &[R]) -> FleissKappa {
        fleiss_kappa(counts, ConfidenceLevel::NINETY_FIVE).expect("a kappa")
    }

    #[test]
    fn the_worked_example_comes_out() {
        let found = kappa(&TEN_BY_FOURTEEN);
        assert_close(found.observed_agreement, 0.378_022, 5e-7, "observed");
        assert_close(found.expected_agreement, 0.212_755, 5e-7, "expected");
        assert_close(found.value, 0.209_931, 5e-7, "kappa");
    }

    #[test]
    fn thirty_diagnoses_agree_as_fleiss_found() {
        // Fleiss 1971 prints .430; the digits and z = 17.65183 are those of R's irr, as statsmodels' tests quote them.
        let found = kappa(&DIAGNOSES);
        assert_close(found.value, 0.430_244_5, 5e-8, "kappa");
        assert_close(found.z, 17.651_83, 5e-6, "z");
        assert!(found.probability < 1e-12, "{}", found.probability);
        assert_eq!((found.targets, found.readers), (30, 6), "what was rated");
    }

    #[test]
    fn its_standard_error_is_that_of_leaving_out_one_target_at_a_time() {
        // The jackknife is another way to the same error; on 30 targets both lie close.
        let leave_out = |target: usize| {
            let mut rest = DIAGNOSES.to_vec();
            rest.remove(target);
            kappa(&rest).value
        };
        let values: Vec<f64> = (0..30).map(leave_out).collect();
        let mean = values.iter().sum::<f64>() / 30.0;
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let jackknife = (squares * 29.0 / 30.0).sqrt();
        let found = kappa(&DIAGNOSES).standard_error.expect("thirty targets");
        assert_close(found / jackknife, 1.0, 0.03, "against the jackknife");
    }

    #[test]
    fn a_category_is_agreed_on_by_itself() {
        let found = kappa(&[[2, 0, 0], [1, 1, 0], [0, 2, 0]]);
        let [first, second, third] = found.categories[..] else {
            panic!("three categories: {found:?}")
        };
        assert_close(first.agreement.expect("named"), 2.0 / 3.0, 1e-12, "by hand");
        assert_close(
            first.kappa.expect("named"),
            (2.0 / 3.0 - 0.5) / 0.5,
            1e-12,
            "by hand",
        );
        assert_eq!(first, second, "they mirror each other");
        assert_eq!(
            (third.agreement, third.kappa),
            (None, None),
            "nobody named it"
        );
    }

    #[test]
    fn what_is_no_table_of_ratings_is_refused() {
        let of = |counts: &[Vec<u32>]| fleiss_kappa(counts, ConfidenceLevel::NINETY_FIVE);
        assert_eq!(
            of(&[vec![3, 0], vec![3, 0]]),
            Err(AgreementError::NothingToDisagreeOn),
            "one category"
        );
        assert_eq!(
            of(&[vec![2, 1], vec![1, 1]]),
            Err(AgreementError::UnequalRatings {
                target: 1,
                found: 2,
                expected: 3
            }),
            "a rating is missing"
        );
        for counts in [
            vec![],
            vec![vec![3]],
            vec![vec![1, 0], vec![0, 1]],
            vec![vec![1, 1], vec![2]],
        ] {
            assert!(of(&counts).is_err(), "{counts:?}");
        }
        let single = of(&[vec![2, 1]]).expect("one target has a kappa");
        assert_eq!(
            (single.standard_error, single.interval),
            (None, None),
            "but no error"
        );
        assert_eq!(
            count_ratings(&[vec![0, 1], vec![1, 5]], 2),
            Err(AgreementError::UnknownCategory {
                rating: 3,
                category: 5,
                categories: 2
            }),
            "a category that is not there"
        );
    }

    proptest! {
        #[test]
        fn the_order_of_targets_and_categories_does_not_matter(
            ratings in proptest::collection::vec(proptest::collection::vec(0..4_usize, 5), 2..30),
        ) {
            let mut ratings = ratings;
            ratings[0] = vec![0, 1, 1, 2, 3];
            let counts = count_ratings(&ratings, 4).expect("four categories");
            let mut turned: Vec<Vec<u32>> = counts.iter().rev().cloned().collect();
            for row in &mut turned {
                row.reverse();
            }
            let (one, other) = (kappa(&counts), kappa(&turned));
            prop_assert!((one.value - other.value).abs() < 1e-12, "{one:?} {other:?}");
            let errors = (one.standard_error.expect("targets"), other.standard_error.expect("targets"));
            prop_assert!((errors.0 - errors.1).abs() < 1e-9, "{errors:?}");
        }

        #[test]
        fn two_readers_with_equal_shares_have_the_kappa_of_cohen(
            ratings in proptest::collection::vec((0..3_usize, 0..3_usize), 2..30),
        ) {
            // Each pair and its mirror image, so that both readers name each category as often.
            let mut both: Vec<[usize; 2]> = ratings
                .iter()
                .flat_map(|(first, second)| [[*first, *second], [*second, *first]])
                .collect();
            both.push([0, 0]);
            both.push([1, 1]);
            let fleiss = kappa(&count_ratings(&both, 3).expect("three categories"));
            let (first, second): (Vec<usize>, Vec<usize>) =
                both.iter().map(|[first, second]| (*first, *second)).unzip();
            let pairs = RatingPairs::from_ratings(&first, &second, 3).expect("ratings");
            let cohen = cohens_kappa(&pairs, &DisagreementWeights::Plain, ConfidenceLevel::NINETY_FIVE);
            prop_assert!((fleiss.value - cohen.expect("a kappa").value).abs() < 1e-12, "{fleiss:?}");
        }
    }
}
