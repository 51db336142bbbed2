//! The program `plumbray`.

use std::{
    io::{ErrorKind, Write as _, stdout},
    process::ExitCode,
};

use clap::Parser as _;
use plumbray::command_line::{CommandLine, Ending, in_words};

fn main() -> ExitCode {
    let mut output = Vec::new();
    let code = match CommandLine::parse().run(&mut output) {
        Ok(Ending::Complete) => ExitCode::SUCCESS,
        Ok(Ending::WithFailures) => ExitCode::FAILURE,
        Err(problem) => {
            eprintln!("plumbray: {}", in_words(&problem));
            return ExitCode::FAILURE;
        }
    };
    match stdout().write_all(&output) {
        Ok(()) => code,
        // Whoever reads the output has read enough, as `head` does.
        Err(problem) if problem.kind() == ErrorKind::BrokenPipe => code,
        Err(problem) => {
            eprintln!("plumbray: the output cannot be written: {problem}");
            ExitCode::FAILURE
        }
    }
}
