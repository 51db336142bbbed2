//! Writes `docs/validation.md`, `docs/tracing.md`, `docs/reliability.md`, `docs/visits.md` and `docs/plans.md` from simulated feet.

use std::path::PathBuf;

use anyhow::{Result, ensure};
use clap::{Args, Parser, Subcommand};
use plumbray_validation::{
    RealBonesSource,
    accuracy::Plan,
    plans::PlansRun,
    plans_page,
    reliability::ReliabilityPlan,
    reliability_page,
    tracing::{TracingPlan, write_errors},
    tracing_page,
    visits::VisitsPlan,
    visits_page, written_page,
};

/// Measures how true the program's numbers are and writes validation.md with its plots.
#[derive(Debug, Parser)]
#[command(args_conflicts_with_subcommands = true)]
struct Arguments {
    #[command(subcommand)]
    job: Option<Job>,
    #[command(flatten)]
    validation: Validation,
}

#[derive(Debug, Subcommand)]
enum Job {
    /// Measures how well bones are found, beside the bars that the tracing is held to, and writes tracing.md.
    Tracing(Tracing),
    /// Measures how far a change between two films can be trusted, and writes visits.md.
    Visits(Visits),
    /// Carries plans out on films and on the simulated feet themselves, and writes plans.md.
    Plans(Plans),
    /// Measures whether classes come true as often as their probability says, and writes reliability.md.
    Reliability(Reliability),
}

#[derive(Debug, Args)]
struct Validation {
    /// How many random feet, each with an AP and a lateral film.
    #[arg(long, default_value_t = 200)]
    feet: usize,
    /// How many rough readers read each film.
    #[arg(long, default_value_t = 5)]
    readers: usize,
    /// Seed of feet, films and readers: the same seed gives the same page.
    #[arg(long, default_value_t = 20_260)]
    seed: u64,
    #[command(flatten)]
    page: PageArguments,
    /// A folder of films of real bones with known truth; without it, what was measured on such films
    /// before is taken again.
    #[arg(long)]
    films: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct Tracing {
    /// How many random feet, each with an AP and a lateral film.
    #[arg(long, default_value_t = 200)]
    feet: usize,
    /// How many rough readers read each film.
    #[arg(long, default_value_t = 10)]
    readers: usize,
    /// Seed of feet, films, readers and changes: the same seed gives the same page. The default is used
    /// for nothing else; calibrate on another one.
    #[arg(long, default_value_t = 73_291)]
    seed: u64,
    #[command(flatten)]
    page: PageArguments,
    /// A folder of films of real bones with known truth.
    #[arg(long)]
    films: Option<PathBuf>,
    /// A CSV file for the error of every single place and number on the simulated films.
    #[arg(long)]
    errors: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct Reliability {
    /// How many random feet.
    #[arg(long, default_value_t = 100)]
    feet: usize,
    /// How many tracings of each foot, in both ways.
    #[arg(long, default_value_t = 40)]
    tracings: usize,
    /// Seed of feet and tracings: the same seed gives the same page.
    #[arg(long, default_value_t = 31_500)]
    seed: u64,
    /// The folder into which the page is written.
    #[arg(long, default_value = "docs")]
    out: PathBuf,
}

#[derive(Debug, Args)]
struct Visits {
    /// How many random feet stand several times, for the spread between films.
    #[arg(long, default_value_t = 200)]
    standing: usize,
    /// How many random feet are filmed twice unchanged and once changed.
    #[arg(long, default_value_t = 200)]
    pairs: usize,
    /// How many deformed feet are operated on.
    #[arg(long, default_value_t = 50)]
    operated: usize,
    /// Seed of feet, stances and films: the same seed gives the same page.
    #[arg(long, default_value_t = 5_521)]
    seed: u64,
    #[command(flatten)]
    page: PageArguments,
}

#[derive(Debug, Args)]
struct Plans {
    /// How many plans, each on a deformed foot of its own.
    #[arg(long, default_value_t = 50)]
    plans: usize,
    /// Seed of feet and plans: the same seed gives the same page. The default is used for nothing else.
    #[arg(long, default_value_t = 8_852)]
    seed: u64,
    /// The folder into which the page is written.
    #[arg(long, default_value = "docs")]
    out: PathBuf,
}

/// What several pages ask for.
#[derive(Debug, Args)]
struct PageArguments {
    /// Size of a pixel at the detector, in mm.
    #[arg(long, default_value_t = 0.2)]
    pixel: f64,
    /// The folder into which the page is written.
    #[arg(long, default_value = "docs")]
    out: PathBuf,
}

/// The seed from which the seeds of the films follow that the program learnt from.
const SEED_OF_TRAINING: u64 = 51;

fn main() -> Result<()> {
    let arguments = Arguments::parse();
    match arguments.job {
        None => validation(&arguments.validation),
        Some(Job::Tracing(tracing)) => tracing.run(),
        Some(Job::Visits(visits)) => {
            let plan = VisitsPlan {
                seed: visits.seed,
                feet_standing_again: visits.standing,
                pairs: visits.pairs,
                follow_ups: visits.operated,
                pixel_mm: visits.page.pixel,
            };
            visits_page(&plan)?.write(&visits.page.out)
        }
        Some(Job::Plans(plans)) => {
            let run = PlansRun {
                seed: plans.seed,
                plans: plans.plans,
            };
            plans_page(&run)?.write(&plans.out)
        }
        Some(Job::Reliability(reliability)) => {
            let plan = ReliabilityPlan {
                seed: reliability.seed,
                feet: reliability.feet,
                tracings: reliability.tracings,
            };
            reliability_page(&plan)?.write(&reliability.out)
        }
    }
}

fn validation(arguments: &Validation) -> Result<()> {
    check(arguments.feet, arguments.readers)?;
    let plan = Plan {
        seed: arguments.seed,
        feet: arguments.feet,
        readers: arguments.readers,
        pixel_mm: arguments.page.pixel,
    };
    let source = arguments.films.as_deref().map_or(
        RealBonesSource::Kept(&arguments.page.out),
        RealBonesSource::Films,
    );
    written_page(&plan, source)?.write(&arguments.page.out)
}

impl Tracing {
    fn run(&self) -> Result<()> {
        check(self.feet, self.readers)?;
        ensure!(
            self.seed != SEED_OF_TRAINING,
            "the films that the program learnt from follow from the seed {SEED_OF_TRAINING}; take another one"
        );
        let plan = TracingPlan {
            seed: self.seed,
            feet: self.feet,
            readers: self.readers,
            pixel_mm: self.page.pixel,
        };
        let page = tracing_page(&plan, self.films.as_deref())?;
        page.write(&self.page.out)?;
        if let Some(path) = &self.errors {
            write_errors(path, &page.films)?;
        }
        Ok(())
    }
}

fn check(feet: usize, readers: usize) -> Result<()> {
    ensure!(
        (2..=100_000).contains(&feet) && (1..=64).contains(&readers),
        "between 2 and 100000 feet and 1 and 64 readers make a page"
    );
    Ok(())
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn both_commands_are_understood_and_have_seeds_of_their_own() {
        Arguments::command().debug_assert();
        let plain = Arguments::try_parse_from(["validation", "--feet", "3"]).expect("one page");
        assert!(plain.job.is_none(), "validation.md");
        assert_eq!(plain.validation.feet, 3, "feet");
        let other = Arguments::try_parse_from(["validation", "tracing", "--feet", "3"]);
        let Some(Job::Tracing(tracing)) = other.expect("the other page").job else {
            panic!("tracing.md was asked for");
        };
        assert_eq!(tracing.feet, 3, "feet");
        assert_ne!(tracing.seed, plain.validation.seed, "no feet in common");
    }

    #[test]
    fn the_seed_of_training_and_too_few_feet_are_refused_before_anything_is_simulated() {
        for (arguments, word) in [
            (["--seed", "51"], "51"),
            (["--feet", "1"], "between"),
            (["--readers", "65"], "between"),
        ] {
            let all = ["validation", "tracing"].into_iter().chain(arguments);
            let Some(Job::Tracing(tracing)) = Arguments::parse_from(all).job else {
                panic!("tracing.md was asked for");
            };
            let error = tracing.run().expect_err("refused");
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
