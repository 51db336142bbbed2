//! The validators of dicom3tools and dcmtk.

use std::{
    path::Path,
    process::{Command, Output},
};

pub(super) fn run(program: &str, package: &str, arguments: &[&str], file: &Path) -> Output {
    Command::new(program)
        .args(arguments)
        .arg(file)
        .output()
        .unwrap_or_else(|problem| panic!("{program} (Debian: {package}) does not run: {problem}"))
}

pub(super) fn said_by(output: &Output) -> String {
    let texts = [&output.stdout, &output.stderr].map(|text| String::from_utf8_lossy(text));
    texts.concat()
}

/// The lines of dciodvfy about a file that begin so.
pub(super) fn complaints(file: &Path, kind: &str) -> Vec<String> {
    let told = said_by(&run("dciodvfy", "dicom3tools", &[], file));
    let lines = told.lines().filter(|line| line.starts_with(kind));
    let mut lines: Vec<String> = lines.map(str::to_owned).collect();
    lines.sort();
    lines.dedup();
    lines
}
