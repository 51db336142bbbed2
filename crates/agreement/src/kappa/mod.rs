//! Agreement in categories beyond what chance explains.

mod cohen;
mod fleiss;
mod rating_pairs;
mod weights;

pub use cohen::{Kappa, cohens_kappa};
pub use fleiss::{CategoryAmongReaders, FleissKappa, count_ratings, fleiss_kappa};
pub use rating_pairs::RatingPairs;
pub use weights::DisagreementWeights;

use crate::{ConfidenceLevel, Interval, distribution::normal_quantile};

/// A standard error that rounding alone could have left.
const NO_STANDARD_ERROR: f64 = 1e-9;

/// The interval of a kappa, which cannot exceed 1; nothing where the formula gives it no width.
fn interval(value: f64, standard_error: f64, level: ConfidenceLevel) -> Option<Interval> {
    let half = normal_quantile(level.upper_probability()) * standard_error;
    let around = Interval::around(value, half, level);
    (standard_error > NO_STANDARD_ERROR).then_some(Interval {
        upper: around.upper.min(1.0),
        ..around
    })
}
