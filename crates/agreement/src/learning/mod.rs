//! Whether a reader's misses stay few, or a learner has shown competence, reading by reader.

mod chart;
mod decision_limit;
mod rates;

pub use chart::{Chart, Curve, follow};
pub use decision_limit::{
    DecisionLimit, LONGEST_WANTED_RUN, MOST_READINGS, RUNS, RunLength, SEED, decision_limit,
    run_length,
};
pub use rates::{MissRates, Scores};
