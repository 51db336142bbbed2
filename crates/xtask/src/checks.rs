//! What must hold before a change lands.

use anyhow::Result;

use crate::{cargo, outside, run};

/// The package whose tests stand at the end, so that the last line printed counts tests that ran.
const LAST_PACKAGE: &str = "plumbray-tests";

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
pub(crate) fn test() -> Result<()> {
    outside::prepare()?;
    // The window's tests start the program itself; cargo would not build it for another package.
    run(&mut cargo(&["build", "--package", "plumbray", "--locked"]))?;
    run(&mut cargo(&["test", "--workspace", "--doc", "--locked"]))?;
    run(&mut cargo(&[
        "test",
        "--workspace",
        "--exclude",
        LAST_PACKAGE,
        "--lib",
        "--bins",
        "--tests",
        "--locked",
    ]))?;
    run(&mut cargo(&[
        "test",
        "--package",
        LAST_PACKAGE,
        "--tests",
        "--locked",
    ]))
}
