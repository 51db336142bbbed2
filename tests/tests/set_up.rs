//! The set-up scripts behind the README's two commands, on machines made of stand-ins: each test lays a
//! folder of small programs as the only ones that the script finds.

use std::{
    fs,
    os::unix::fs::{PermissionsExt as _, symlink},
    path::Path,
    process::{Command, Output},
};

use plumbray_tests::{read_text, repository};
use tempfile::TempDir;

/// Programs of the real machine that the scripts may rely on everywhere.
const EVERYWHERE: [&str; 3] = ["cut", "dirname", "env"];

/// A machine that has only what a test gives it.
struct Machine {
    programs: TempDir,
}

impl Machine {
    fn new() -> Self {
        let programs = tempfile::tempdir().expect("a temporary folder");
        for name in EVERYWHERE {
            let real = ["/usr/bin", "/bin"]
                .iter()
                .map(|folder| Path::new(folder).join(name))
                .find(|path| path.exists())
                .unwrap_or_else(|| panic!("this machine has {name}"));
            symlink(real, programs.path().join(name)).expect("a link");
        }
        Self { programs }
    }

    /// Adds a program that runs these lines of shell.
    fn with(self, name: &str, lines: &str) -> Self {
        let file = self.programs.path().join(name);
        fs::write(&file, format!("#!/bin/sh\n{lines}\n")).expect("a program");
        fs::set_permissions(&file, fs::Permissions::from_mode(0o755)).expect("may be run");
        self
    }

    /// A Debian on which only `gcc` is installed, and on which installing is written to standard output.
    fn debian(self) -> Self {
        self.with(
            "dpkg-query",
            "case $3 in gcc) echo installed ;; *) exit 1 ;; esac",
        )
        .with("apt-get", "echo \"apt-get $*\"")
    }

    fn user(self, number: u32) -> Self {
        self.with("id", &format!("echo {number}"))
    }

    fn run(&self, lines: &str) -> Output {
        Command::new("/bin/sh")
            .args(["-euc", &format!(". .setup/prepare.sh\n{lines}")])
            .current_dir(repository())
            .env_clear()
            .env("PATH", self.programs.path())
            .env("HOME", self.programs.path())
            .output()
            .expect("a shell")
    }
}

/// All that a script printed.
fn printed(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// The shell commands of a script, without comments and empty lines.
fn commands(script: &str) -> Vec<&str> {
    script
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .collect()
}

#[test]
fn the_continuous_checks_run_the_second_command_of_the_readme_and_nothing_else() {
    let readme = read_text(Path::new("README.md"));
    let second = readme
        .split("```sh\n")
        .nth(2)
        .and_then(|block| block.lines().next())
        .expect("a second command");
    let checks = read_text(Path::new(".ci/run"));
    assert_eq!(
        commands(&checks),
        [
            "set -eu",
            "cd \"$(dirname \"$0\")/..\"",
            &format!("exec {second}")
        ],
        "goes to the top of the repository and runs `{second}`"
    );
}

#[test]
fn only_missing_packages_are_installed_and_root_is_asked_for_by_sudo() {
    let machine = Machine::new()
        .debian()
        .user(1000)
        .with("sudo", "echo asked for root; exec \"$@\"");
    let output = machine.run("install_packages gcc xvfb");
    let printed = printed(&output);
    assert!(output.status.success(), "{printed}");
    assert!(
        printed.contains("asked for root"),
        "through sudo: {printed}"
    );
    assert!(
        printed.contains("apt-get install -qq -y --no-install-recommends xvfb"),
        "xvfb alone: {printed}"
    );
}

#[test]
fn root_is_not_asked_for_when_nothing_is_missing() {
    let machine = Machine::new().debian().user(1000);
    let output = machine.run("install_packages gcc");
    assert!(output.status.success(), "{}", printed(&output));
    assert_eq!(printed(&output), "", "not a word");
}

#[test]
fn without_root_and_sudo_the_command_for_root_is_shown() {
    let machine = Machine::new().debian().user(1000);
    let output = machine.run("install_packages gcc xvfb");
    let printed = printed(&output);
    assert!(!output.status.success(), "it cannot go on: {printed}");
    assert!(
        printed.contains("apt-get install --no-install-recommends xvfb"),
        "what root has to run: {printed}"
    );
}

#[test]
fn a_system_that_is_not_debian_is_told_what_to_install() {
    let machine = Machine::new().with("cc", "");
    let output = machine.run("install_packages gcc libx11-6 xvfb xdotool");
    let printed = printed(&output);
    assert!(!output.status.success(), "it cannot go on: {printed}");
    assert!(
        printed.contains("missing: Xvfb xdotool"),
        "by command: {printed}"
    );
    assert!(
        printed.contains("libxkbcommon-x11"),
        "the libraries too: {printed}"
    );
}

#[test]
fn a_system_that_is_not_debian_goes_on_when_it_has_everything() {
    let machine = Machine::new().with("cc", "").with("Xvfb", "");
    let output = machine.run("install_packages gcc libx11-6 xvfb");
    assert!(output.status.success(), "{}", printed(&output));
}

#[test]
fn a_machine_without_cargo_is_told_where_rust_comes_from() {
    let output = Machine::new().run("prepare_compiler");
    let printed = printed(&output);
    assert!(!output.status.success(), "it cannot go on: {printed}");
    assert!(printed.contains("rustup"), "{printed}");
}

#[test]
fn an_old_compiler_is_replaced_through_rustup() {
    let machine = Machine::new()
        .with("cargo", "exit 1")
        .with("rustc", "echo 'rustc 1.80.1 (3f5fd8dd4 2024-08-06)'")
        .with("rustup", "echo \"rustup $*\"");
    let output = machine.run("prepare_compiler; echo \"chosen: $RUSTUP_TOOLCHAIN\"");
    let printed = printed(&output);
    assert!(output.status.success(), "{printed}");
    assert!(
        printed.contains("rustup toolchain install 1.95.0"),
        "fetched: {printed}"
    );
    assert!(
        printed.contains("chosen: 1.95.0"),
        "used from here on: {printed}"
    );
}

#[test]
fn a_newer_compiler_builds_the_program_but_does_not_check_it() {
    let machine = || {
        Machine::new()
            .with("cargo", "exit 1")
            .with("rustc", "echo 'rustc 1.101.0 (0123456789 2027-01-01)'")
            .with("rustup", "echo \"rustup $*\"")
    };
    let build = printed(&machine().run("prepare_compiler"));
    assert_eq!(build, "", "good enough for the program");
    let check = printed(&machine().run("prepare_checking_compiler"));
    assert!(
        check.contains("rustup toolchain install 1.95.0"),
        "its lints are not the checks' own: {check}"
    );
}
