//! Where the repository, the built program and the outside checks are.

use std::{
    ffi::OsStr,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use cargo_metadata::{Metadata, MetadataCommand};
use serde::de::DeserializeOwned;
use serde_json::Value;

/// The top of the repository.
///
/// # Panics
/// Never: this package lies in a folder of it.
#[must_use]
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("this package lies in a folder of the repository")
}

/// Every file that is in the repository or would be with the next commit, relative to its top.
///
/// # Panics
/// When git is missing or this is no clone: a copy without its history cannot say what belongs to it.
#[must_use]
pub fn repository_files() -> Vec<PathBuf> {
    let output = Command::new("git")
        .args([
            "ls-files",
            "-z",
            "--cached",
            "--others",
            "--exclude-standard",
        ])
        .current_dir(repository())
        .output()
        .expect("these tests need git (Debian: git)");
    assert!(
        output.status.success(),
        "git could not list the files; these tests need a clone: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    let top = repository();
    String::from_utf8(output.stdout)
        .expect("file names are UTF-8")
        .split_terminator('\0')
        .map(PathBuf::from)
        // A file that was deleted but not yet committed as deleted is still listed.
        .filter(|file| top.join(file).is_file())
        .collect()
}

/// A text file of the repository, by its path from the top.
///
/// # Panics
/// When it cannot be read as text.
#[must_use]
pub fn read_text(file: &Path) -> String {
    fs::read_to_string(repository().join(file))
        .unwrap_or_else(|problem| panic!("{}: {problem}", file.display()))
}

/// What cargo knows of the workspace and of every crate that it depends on, on all platforms.
///
/// # Panics
/// When cargo cannot tell, for example because `Cargo.lock` does not fit `Cargo.toml`.
#[must_use]
pub fn workspace_metadata() -> Metadata {
    MetadataCommand::new()
        .manifest_path(repository().join("Cargo.toml"))
        .other_options(["--locked".to_owned()])
        .exec()
        .expect("cargo metadata describes the workspace")
}

/// The program `plumbray`, built in the same profile and folder as the running test.
///
/// # Panics
/// When it is not there.
#[must_use]
pub fn plumbray_program() -> PathBuf {
    let test = std::env::current_exe().expect("a test knows where it is");
    // A test lies in `<profile>/deps`, a program in `<profile>`.
    let program = test
        .ancestors()
        .nth(2)
        .expect("a test lies inside a target folder")
        .join(format!("plumbray{}", std::env::consts::EXE_SUFFIX));
    assert!(
        program.is_file(),
        "{} is not there: run `cargo build --package plumbray` first, or `cargo xtask test`, which does",
        program.display()
    );
    program
}

/// The Python of the outside checks, with the packages of `tests/outside/requirements.txt`.
///
/// # Panics
/// When the environment was not made yet.
#[must_use]
fn outside_python() -> PathBuf {
    let python = repository().join("target/outside-venv/bin/python");
    assert!(
        python.is_file(),
        "{} is not there: run `cargo xtask outside` first, or `cargo xtask test`, which does",
        python.display()
    );
    python
}

/// What the script `tests/outside/<name>` prints when it is given these arguments.
///
/// # Panics
/// When the environment was not made yet, or the script fails, with what it said.
pub fn printed_outside<A: AsRef<OsStr>>(
    name: &str,
    arguments: impl IntoIterator<Item = A>,
) -> Vec<u8> {
    let output = Command::new(outside_python())
        .arg(repository().join("tests/outside").join(name))
        .args(arguments)
        .output()
        .expect("the Python of target/outside-venv runs");
    assert!(
        output.status.success(),
        "{name} failed: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    output.stdout
}

/// What the script `tests/outside/<name>` answers: it is given the paths of a file that holds the question and of one
/// for its answer, both JSON.
///
/// # Panics
/// When the script fails, with what it said, or when its answer is not of this kind.
#[must_use]
pub fn answered_outside<T: DeserializeOwned>(name: &str, question: &Value) -> T {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let [asked, answered] = ["question.json", "answer.json"].map(|name| folder.path().join(name));
    fs::write(&asked, question.to_string()).expect("the question can be written");
    printed_outside(name, [&asked, &answered]);
    let text = fs::read_to_string(&answered).expect("the script wrote its answer");
    serde_json::from_str(&text).unwrap_or_else(|problem| panic!("{name}: {problem}"))
}
