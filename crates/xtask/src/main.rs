//! The jobs around the program, each as one command: `cargo xtask` names them.
//!
//! A bare machine runs these through the scripts in `.setup/`, which first install what cargo itself
//! needs.

mod checks;
mod outside;
mod sample;

use std::{
    path::{Path, PathBuf},
    process::Command,
};

use anyhow::{Context as _, Result, bail};

const USAGE: &str = "\
cargo xtask ci             everything that the continuous checks run
cargo xtask lint           format, lints and documents only
cargo xtask test           all tests only
cargo xtask outside        the Python environment of the outside checks (target/outside-venv)
cargo xtask open-sample    the window on a sample foot";

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["ci"] => checks::lint().and_then(|()| checks::test()),
        ["lint"] => checks::lint(),
        ["test"] => checks::test(),
        ["outside"] => outside::prepare(),
        ["open-sample"] => sample::open(),
        _ => bail!("name one of these jobs:\n{USAGE}"),
    }
}

/// The top of the repository, wherever the command was started.
fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .expect("xtask lies in crates/xtask")
}

/// Where a job may leave files that git ignores; the same folder wherever cargo itself builds, since
/// the tests look for the Python environment there.
fn scratch_folder() -> PathBuf {
    repository().join("target")
}

/// The cargo that started this job, at the top of the repository.
fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments).current_dir(repository());
    command
}

/// Runs a command to its end, showing what it prints; fails when it fails.
fn run(command: &mut Command) -> Result<()> {
    eprintln!("\n→ {}", shown(command));
    let status = command
        .status()
        .with_context(|| format!("could not start {}", shown(command)))?;
    if !status.success() {
        bail!("{} failed ({status})", shown(command));
    }
    Ok(())
}

/// A command as a person would type it: the name of the program without its folder.
fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program())
        .file_name()
        .unwrap_or_else(|| command.get_program());
    std::iter::once(program)
        .chain(command.get_args())
        .map(|word| word.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}
