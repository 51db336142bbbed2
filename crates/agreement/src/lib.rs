//! How far readers agree with each other and with themselves: statistics on plain numbers.
//!
//! It knows nothing of feet, films or windows. A *target* is what is read, a *reader* is who reads it, and a
//! *repeat* is one of several readings of one target by one reader; all three are numbers that the caller gives.
//! Values are in any one unit; what is in that unit too says so.
//!
//! A table without spread, a single target or a single reader gives an error that says so, never NaN.
//! `docs/agreement.md` gives each formula with its source and says what the numbers mean.
#![deny(missing_docs)]

mod distribution;
mod error;
mod interval;
mod intraclass;
mod kappa;
mod learning;
mod limits;
mod proportion;
mod readings;
mod repeats;
mod table;

pub use error::AgreementError;
pub use interval::{ConfidenceLevel, Interval};
pub use intraclass::{
    Coefficient, Form, MeanSquares, MeasurementError, Reliability, ReliabilityRange, Unit,
    smallest_detectable_change,
};
pub use kappa::{
    CategoryAmongReaders, DisagreementWeights, FleissKappa, Kappa, RatingPairs, cohens_kappa,
    count_ratings, fleiss_kappa,
};
pub use learning::{
    Chart, Curve, DecisionLimit, LONGEST_WANTED_RUN, MOST_READINGS, MissRates, RUNS, RunLength,
    SEED, Scores, decision_limit, follow, run_length,
};
pub use limits::{
    LimitsOfAgreement, MULTIPLIER_OF_1986, MeanAndDifference, ProportionalBias, USUAL_MULTIPLIER,
    limits_of_agreement,
};
pub use proportion::{Proportion, proportion};
pub use readings::{
    BetweenReaders, IncompleteTarget, LeftOutReader, OneValue, Reading, WithinReader,
    WithinReaders, between_readers, within_readers,
};
pub use repeats::{WithinSubject, within_subject};
pub use table::Table;
