//! Ends the program when an input takes too long.

use std::{
    io::Write as _,
    process,
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
    thread,
    time::{Duration, Instant},
};

/// Longer than this, an input hangs. Damaged pictures of twenty million pixels take a few seconds on a busy machine.
const LONGEST: Duration = Duration::from_secs(30);

/// Looks from a thread of its own at which input is being read, and since when.
pub(crate) struct Watch {
    begun: Instant,
    number: Arc<AtomicU64>,
    since_ms: Arc<AtomicU64>,
}

impl Watch {
    pub(crate) fn start() -> Self {
        let watch = Self {
            begun: Instant::now(),
            number: Arc::default(),
            since_ms: Arc::default(),
        };
        let (begun, number, since_ms) = (
            watch.begun,
            Arc::clone(&watch.number),
            Arc::clone(&watch.since_ms),
        );
        thread::spawn(move || {
            loop {
                thread::sleep(Duration::from_secs(1));
                let since = Duration::from_millis(since_ms.load(Ordering::Relaxed));
                if begun.elapsed().saturating_sub(since) > LONGEST {
                    let number = number.load(Ordering::Relaxed);
                    let _nobody_listens = writeln!(
                        std::io::stderr(),
                        "input {number} takes longer than {} s",
                        LONGEST.as_secs()
                    );
                    process::exit(2);
                }
            }
        });
        watch
    }

    /// An input is about to be read.
    pub(crate) fn begins(&self, number: u64) {
        self.number.store(number, Ordering::Relaxed);
        let now = u64::try_from(self.begun.elapsed().as_millis()).unwrap_or(u64::MAX);
        self.since_ms.store(now, Ordering::Relaxed);
    }
}
