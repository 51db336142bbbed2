//! Waiting for something to become true, rather than for some time to pass.

use std::{
    thread::sleep,
    time::{Duration, Instant},
};

/// Longer than anything takes on a slow and busy machine: who waits this long has failed.
const PATIENCE: Duration = Duration::from_secs(90);

/// How often is looked.
const PAUSE: Duration = Duration::from_millis(100);

/// Looks again and again until there is something.
///
/// # Panics
/// When there is nothing in the end: with what was waited for.
pub(crate) fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    within(PATIENCE, &mut look)
        .unwrap_or_else(|| panic!("waited {} s in vain for {what}", PATIENCE.as_secs()))
}

/// Looks again and again until there is something or the time is over.
pub(crate) fn within<T>(time: Duration, mut look: impl FnMut() -> Option<T>) -> Option<T> {
    let begun = Instant::now();
    loop {
        let seen = look();
        if seen.is_some() || begun.elapsed() > time {
            return seen;
        }
        sleep(PAUSE);
    }
}
