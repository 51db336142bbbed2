//! Feeds damaged files to everything that reads files from outside, and ends with an error at the first panic, hang,
//! or allocation beyond the limit.
//!
//! ```sh
//! cargo run -p plumbray-tests --bin plumbray-fuzz -- --seconds 60
//! cargo run -p plumbray-tests --bin plumbray-fuzz -- --inputs 10000000 --part 1/2
//! ```
//!
//! Inputs follow from the seeds beside this file and a number, so that a failure repeats: `--first N --inputs 1`.
//! `tests/fuzz/long-run.md` tells of the longest run.

mod mutation;
mod options;
mod seeds;
mod targets;
mod watch;

use std::{
    alloc::System,
    collections::BTreeMap,
    io::Write as _,
    panic::{AssertUnwindSafe, catch_unwind},
    path::PathBuf,
    process::ExitCode,
    time::{Duration, Instant},
};

use cap::Cap;

use self::{mutation::mutated, options::Options, seeds::Seed, targets::Answer, watch::Watch};

/// What all inputs together may hold in memory at any time, in bytes. The largest picture that a few kilobytes can
/// honestly announce has some twenty million pixels; decoders need a few times their memory.
const MOST_BYTES: usize = 640 << 20;

#[global_allocator]
static MEMORY: Cap<System> = Cap::new(System, MOST_BYTES);

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            let _nobody_listens = writeln!(std::io::stderr(), "{problem:#}");
            ExitCode::FAILURE
        }
    }
}

/// What became of the inputs of one target.
#[derive(Default)]
struct Tally {
    inputs: u64,
    accepted: u64,
    slowest: Duration,
}

fn run() -> anyhow::Result<()> {
    let options = Options::read(std::env::args().skip(1))?;
    let seeds = seeds::read()?;
    // A panic behind a fence is an error of its file and nothing to print.
    std::panic::set_hook(Box::new(|_| {}));
    let watch = Watch::start();
    let begun = Instant::now();
    let mut tallies: BTreeMap<&str, Tally> = BTreeMap::new();
    let mut number = options.first_of_part();
    while options.goes_on(number, begun.elapsed()) {
        let seed = &seeds[usize::try_from(number % seeds.len() as u64)?];
        let input = mutated(&seeds, seed, number);
        watch.begins(number);
        let started = Instant::now();
        let answer = catch_unwind(AssertUnwindSafe(|| (seed.target.read)(&input)));
        let took = started.elapsed();
        let Ok(answer) = answer else {
            let kept = keep(seed, number, &input)?;
            anyhow::bail!(
                "input {number} of target {} panics; it is kept as {}",
                seed.target.name,
                kept.display()
            );
        };
        let tally = tallies.entry(seed.target.name).or_default();
        tally.inputs += 1;
        tally.accepted += u64::from(answer == Answer::Accepted);
        tally.slowest = tally.slowest.max(took);
        number += options.step();
    }
    report(&tallies, begun.elapsed())
}

/// Keeps an input that failed.
fn keep(seed: &Seed, number: u64, input: &[u8]) -> anyhow::Result<PathBuf> {
    let path = std::env::temp_dir().join(format!("plumbray-fuzz-{}-{number}", seed.target.name));
    std::fs::write(&path, input)?;
    Ok(path)
}

fn report(tallies: &BTreeMap<&str, Tally>, took: Duration) -> anyhow::Result<()> {
    let mut output = std::io::stdout();
    writeln!(
        output,
        "| target | inputs | accepted | refused | slowest |\n| --- | ---: | ---: | ---: | ---: |"
    )?;
    for (target, tally) in tallies {
        writeln!(
            output,
            "| {target} | {} | {} | {} | {:.1} ms |",
            tally.inputs,
            tally.accepted,
            tally.inputs - tally.accepted,
            tally.slowest.as_secs_f64() * 1e3
        )?;
    }
    let inputs: u64 = tallies.values().map(|tally| tally.inputs).sum();
    writeln!(
        output,
        "{inputs} inputs in {:.0} s; no panic, no hang; at most {} MiB at any time of {} allowed; version {}",
        took.as_secs_f64(),
        MEMORY.max_allocated() >> 20,
        MOST_BYTES >> 20,
        env!("CARGO_PKG_VERSION")
    )?;
    Ok(())
}
