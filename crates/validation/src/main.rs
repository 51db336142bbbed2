//! Writes `docs/validation.md` from simulated films.

use std::path::PathBuf;

use anyhow::{Result, ensure};
use clap::Parser;
use plumbray_validation::{RealBonesSource, accuracy::Plan, written_page};

/// Measures how true the program's numbers are and writes validation.md with its plots.
#[derive(Debug, Parser)]
struct Arguments {
    /// How many random feet, each with an AP and a lateral film.
    #[arg(long, default_value_t = 200)]
    feet: usize,
    /// How many rough readers read each film.
    #[arg(long, default_value_t = 5)]
    readers: usize,
    /// Seed of feet, films and readers: the same seed gives the same page.
    #[arg(long, default_value_t = 20_260)]
    seed: u64,
    /// Size of a pixel at the detector, in mm.
    #[arg(long, default_value_t = 0.2)]
    pixel: f64,
    /// The folder into which the page is written.
    #[arg(long, default_value = "docs")]
    out: PathBuf,
    /// A folder of films of real bones with known truth; without it, what was measured on such films
    /// before is taken again.
    #[arg(long)]
    films: Option<PathBuf>,
}

fn main() -> Result<()> {
    let arguments = Arguments::parse();
    ensure!(
        (2..=100_000).contains(&arguments.feet) && (1..=64).contains(&arguments.readers),
        "between 2 and 100000 feet and 1 and 64 readers make a page"
    );
    let plan = Plan {
        seed: arguments.seed,
        feet: arguments.feet,
        readers: arguments.readers,
        pixel_mm: arguments.pixel,
    };
    let source = arguments.films.as_deref().map_or(
        RealBonesSource::Kept(&arguments.out),
        RealBonesSource::Films,
    );
    written_page(&plan, source)?.write(&arguments.out)
}
