//! The program `plumbray`.

use std::{
    io::{ErrorKind, Write as _, stdout},
    process::ExitCode,
};

use clap::Parser as _;

fn main() -> ExitCode {
    let mut output = Vec::new();
    if let Err(problem) = plumbray::command_line::CommandLine::parse().run(&mut output) {
        eprintln!("plumbray: {}", plumbray::command_line::in_words(&problem));
        return ExitCode::FAILURE;
    }
    match stdout().write_all(&output) {
        Ok(()) => ExitCode::SUCCESS,
        // Whoever reads the output has read enough, as `head` does.
        Err(problem) if problem.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("plumbray: the output cannot be written: {problem}");
            ExitCode::FAILURE
        }
    }
}
