//! The Python environment in which the outside checks compute the same numbers again.

use std::{fs, path::Path, process::Command};

use anyhow::{Context as _, Result};

use crate::{repository, run, scratch_folder};

/// Makes `target/outside-venv` hold what `tests/outside/requirements.txt` asks for. Does nothing when
/// it was made from the same requirements before.
pub(crate) fn prepare() -> Result<()> {
    let environment = scratch_folder().join("outside-venv");
    let requirements = repository().join("tests/outside/requirements.txt");
    let wanted = fs::read_to_string(&requirements)
        .with_context(|| format!("could not read {}", requirements.display()))?;
    // Written last, so that an environment whose installation was cut short is made again.
    let made_from = environment.join("made-from.txt");
    if fs::read_to_string(&made_from).is_ok_and(|made| made == wanted) {
        return Ok(());
    }
    make(&environment, &requirements)?;
    fs::write(&made_from, wanted)
        .with_context(|| format!("could not write {}", made_from.display()))
}

fn make(environment: &Path, requirements: &Path) -> Result<()> {
    run(Command::new("python3")
        .args(["-m", "venv", "--clear"])
        .arg(environment))
    .context(
        "the outside checks need Python 3 with its venv module (Debian: python3 python3-venv)",
    )?;
    run(Command::new(environment.join("bin/python"))
        .args(["-m", "pip", "install", "--quiet"])
        .args(["--disable-pip-version-check", "--only-binary", ":all:"])
        .arg("--requirement")
        .arg(requirements))
    .context("the packages of the outside checks come from PyPI; is the network there?")
}
