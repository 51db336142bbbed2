//! A minute of damaged files for everything that reads files from outside (`tests/fuzz`).

use std::process::Command;

/// How long, in seconds. The longest run is told of in `tests/fuzz/long-run.md`.
const SECONDS: &str = "60";

/// Fewer inputs in that time would mean that something became slow; a busy machine of two cores does ten times as many.
const FEWEST: u64 = 50_000;

#[test]
fn a_minute_of_damaged_files_ends_without_panic_hang_or_too_much_memory() {
    let output = Command::new(env!("CARGO_BIN_EXE_plumbray-fuzz"))
        .args(["--seconds", SECONDS])
        .output()
        .expect("the program runs");
    let report = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success(),
        "{report}{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let last = report.lines().last().unwrap_or_default();
    let inputs = last
        .split(' ')
        .next()
        .and_then(|word| word.parse::<u64>().ok());
    assert!(inputs >= Some(FEWEST), "{report}");
}
