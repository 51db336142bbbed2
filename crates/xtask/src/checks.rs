//! What must hold before a change lands.

use std::{
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, Result, ensure};

use crate::{cargo, outside, repository, run};

/// The folder of the package whose tests stand at the end, so that the last line printed counts tests that
/// ran.
const LAST: &str = "tests";

/// Format, lints and documents, each without a warning.
pub(crate) fn lint() -> Result<()> {
    run(&mut cargo(&["fmt", "--all", "--check"]))?;
    run(&mut cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "-D",
        "warnings",
    ]))?;
    run(cargo(&["doc", "--workspace", "--no-deps", "--locked"]).env("RUSTDOCFLAGS", "-D warnings"))
}

/// Every test: examples in doc comments, each crate's own, and last the checks from outside.
///
/// Each step names the whole workspace and picks its targets: a step that named some packages would have
/// their dependencies built with other features, and so most of them once more.
pub(crate) fn test() -> Result<()> {
    outside::prepare()?;
    run(&mut cargo(&["test", "--workspace", "--doc", "--locked"]))?;
    let crates = folders_of_crates()?;
    // The program that the last step starts is built here, for the tests that lie beside it.
    run(cargo(&["test", "--workspace", "--locked", "--lib", "--bins"]).args(targets(&crates)?))?;
    run(cargo(&["test", "--workspace", "--locked"]).args(targets(&[repository().join(LAST)])?))
}

fn folders_of_crates() -> Result<Vec<PathBuf>> {
    let mut folders = entries(&repository().join("crates"))?;
    folders.retain(|folder| folder.join("Cargo.toml").exists());
    Ok(folders)
}

/// The arguments that pick the integration tests of packages.
fn targets(packages: &[PathBuf]) -> Result<Vec<String>> {
    let mut arguments = Vec::new();
    for package in packages {
        let tests = package.join("tests");
        if !tests.exists() {
            continue;
        }
        for entry in entries(&tests)? {
            let is_target = entry.extension().is_some_and(|ending| ending == "rs")
                || entry.join("main.rs").exists();
            if let Some(name) = entry.file_stem().filter(|_| is_target) {
                arguments.extend(["--test".to_owned(), name.to_string_lossy().into_owned()]);
            }
        }
    }
    ensure!(
        !arguments.is_empty(),
        "there are no tests beside these packages: {packages:?}"
    );
    Ok(arguments)
}

/// What lies in a folder, by name.
fn entries(folder: &Path) -> Result<Vec<PathBuf>> {
    let read = || -> std::io::Result<Vec<PathBuf>> {
        fs::read_dir(folder)?
            .map(|entry| entry.map(|entry| entry.path()))
            .collect()
    };
    let mut paths = read().with_context(|| format!("cannot read {}", folder.display()))?;
    paths.sort_unstable();
    Ok(paths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_test_beside_a_package_is_picked_and_nothing_else() {
        let folder = repository().join(LAST);
        let picked = targets(&[folder]).expect("tests");
        for name in ["layering", "recomputation"] {
            assert!(picked.iter().any(|one| one == name), "{name}: {picked:?}");
        }
        let crates = folders_of_crates().expect("crates");
        assert!(crates.len() > 5, "{crates:?}");
        let picked = targets(&crates).expect("tests");
        assert!(picked.iter().any(|one| one == "engine"), "{picked:?}");
        assert!(picked.iter().all(|one| one != "outside"), "{picked:?}");
    }
}
