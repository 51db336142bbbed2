//! The program as a script runs it: in a folder of its own, which is also the user's home.

use std::{
    path::Path,
    process::{Command, Output},
};

/// Runs the program in a folder.
pub(crate) fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_plumbray"))
        .args(arguments)
        .current_dir(folder)
        .env("HOME", folder)
        .env("XDG_CACHE_HOME", folder)
        .env("XDG_DATA_HOME", folder)
        .env("XDG_STATE_HOME", folder)
        .output()
        .expect("the program starts")
}

/// What the program prints when all goes well.
pub(crate) fn printed(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {said}");
    String::from_utf8(output.stdout).expect("text")
}

/// What the program says when it refuses; it prints nothing then.
pub(crate) fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(1), "{arguments:?} must fail");
    assert!(output.stdout.is_empty(), "{arguments:?} must print nothing");
    String::from_utf8(output.stderr).expect("text")
}
