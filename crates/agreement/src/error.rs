//! What can be wrong with numbers that readers gave.

/// Why a statistic could not be computed, and what to do about it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AgreementError {
    /// A reading is infinite or not a number.
    #[error(
        "reading {reading} of the list ({value}) is not a finite number: leave out what was not read"
    )]
    NotANumber {
        /// Its place in what was given, from 0; in a table, row by row.
        reading: usize,
        /// What was given.
        value: f64,
    },
    /// One reader gave two values for one repeat of one target.
    #[error(
        "reader {reader} gave repeat {repeat} of target {target} twice: number each repeat once"
    )]
    Duplicate {
        /// The target.
        target: usize,
        /// The reader.
        reader: usize,
        /// The repeat.
        repeat: usize,
    },
    /// The rows of a table differ in length.
    #[error("row {row} holds {found} values where {expected} are wanted: every row needs as many")]
    Ragged {
        /// The row, from 0.
        row: usize,
        /// How many values it holds.
        found: usize,
        /// How many it should hold.
        expected: usize,
    },
    /// There are too few of something.
    #[error("{found} {what} cannot be judged: at least {needed} are needed")]
    TooFew {
        /// Of what, in the plural.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there must be.
        needed: usize,
    },
    /// Two lists that belong together differ in length.
    #[error(
        "the first list holds {first} ratings and the second {second}: both rate the same targets, so give one of each for every target"
    )]
    UnequalLists {
        /// Length of the first.
        first: usize,
        /// Length of the second.
        second: usize,
    },
    /// Everything of some kind is the same number.
    #[error("{what} do not vary, so {result} is not defined: it needs values that differ")]
    NoVariance {
        /// What does not vary, in the plural.
        what: &'static str,
        /// What cannot be computed.
        result: &'static str,
    },
    /// A formula leads outside its range.
    #[error(
        "{result} is not defined for these values: the targets differ less than the readings of one target"
    )]
    OutsideRange {
        /// What cannot be computed.
        result: &'static str,
    },
    /// A category that does not exist.
    #[error(
        "rating {rating} names category {category}, but there are only {categories}, counted from 0"
    )]
    UnknownCategory {
        /// The place of the rating in what was given, from 0.
        rating: usize,
        /// What it names.
        category: usize,
        /// How many categories there are.
        categories: usize,
    },
    /// Chance alone would make the readers agree wholly.
    #[error(
        "kappa is not defined: all ratings lie in one category, or in categories whose disagreement weighs nothing, so that chance alone explains the agreement"
    )]
    NothingToDisagreeOn,
    /// Disagreement weights that weigh nothing sensible.
    #[error(
        "the weight of rating one category as {row} and as {column} is {value}: weights of disagreement are 0 for the same category, otherwise finite and not negative"
    )]
    UnusableWeight {
        /// The first reader's category.
        row: usize,
        /// The second reader's category.
        column: usize,
        /// What was given.
        value: f64,
    },
    /// Not every target was rated by as many readers.
    #[error(
        "target {target} has {found} ratings where the first has {expected}: every target needs as many"
    )]
    UnequalRatings {
        /// The target, from 0.
        target: usize,
        /// How many ratings it has.
        found: u64,
        /// How many the first has.
        expected: u64,
    },
    /// More successes than attempts.
    #[error("{part} of {total} is no share: the part cannot exceed the whole")]
    PartExceedsWhole {
        /// The part.
        part: u64,
        /// The whole.
        total: u64,
    },
    /// A number that the caller chose is outside what makes sense.
    #[error("{what} is {value}, but must be {allowed}")]
    Unusable {
        /// What the number is.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What is allowed, in words.
        allowed: &'static str,
    },
}
