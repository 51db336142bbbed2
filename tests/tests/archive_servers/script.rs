//! The program as a script runs it, with a home of its own.

use std::{
    path::{Path, PathBuf},
    process::{Command, Output},
};

use plumbray_tests::plumbray_program;
use tempfile::TempDir;

use super::temporary;

/// A user's home, which is also where the script runs.
pub(crate) struct Home(TempDir);

impl Home {
    /// A home in which nothing is yet.
    pub(crate) fn new() -> Self {
        Self(temporary("home"))
    }

    /// Its folder.
    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    /// A file of this name in it.
    pub(crate) fn file(&self, name: &str) -> PathBuf {
        self.path().join(name)
    }

    /// Runs the program there.
    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        let home = self.path();
        Command::new(plumbray_program())
            .args(arguments)
            .current_dir(home)
            .env("HOME", home)
            .env("XDG_CONFIG_HOME", home.join("config"))
            .env("XDG_DATA_HOME", home.join("data"))
            .env("PLUMBRAY_ARCHIVE_SECRET", "open sesame")
            .output()
            .expect("the program starts")
    }

    /// Makes an archive of associations on this machine known as Clinic.
    pub(crate) fn knows_clinic_at(&self, port: u16) {
        let port = port.to_string();
        let at = ["--host", "127.0.0.1", "--port", &port];
        self.printed(&[&["archives", "add", "Clinic"][..], &at].concat());
    }

    /// What the program prints when all goes well.
    pub(crate) fn printed(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(output.status.success(), "{arguments:?}: {output:?}");
        String::from_utf8(output.stdout).expect("text")
    }
}
