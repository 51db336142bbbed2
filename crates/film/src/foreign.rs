//! A fence around decoders that this project did not write.

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::error::FilmProblem;

/// Runs a third-party decoder, and makes an error of a panic in it.
///
/// Header numbers are checked before a decoder sees them, so a panic is rare; the panic hook of the
/// program still prints its line, because only the program may change that hook.
pub(crate) fn fenced<T>(
    format: &'static str,
    decode: impl FnOnce() -> Result<T, FilmProblem>,
) -> Result<T, FilmProblem> {
    catch_unwind(AssertUnwindSafe(decode)).unwrap_or_else(|_panic| {
        Err(FilmProblem::damaged(
            format,
            "the decoder gave up on contradictory content",
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_in_a_decoder_becomes_an_error() {
        let empty: [u8; 0] = [];
        let outcome = fenced("PNG", || Ok(empty[std::hint::black_box(0)]));
        assert!(
            matches!(outcome, Err(FilmProblem::Damaged { format: "PNG", .. })),
            "{outcome:?}"
        );
    }
}
