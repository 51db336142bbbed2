//! `plumbray fetch`: films from an archive into a folder.

use std::{
    io::{IsTerminal as _, Write},
    ops::ControlFlow,
    path::PathBuf,
};

use clap::Args;
use plumbray_archive::{Fetched, Origins, Progress, Uid, WantedFilms};

use super::{archive, book_path, uid};
use crate::{archive_files, command_line::Ending};

#[derive(Debug, Args)]
pub(in crate::command_line) struct FetchArguments {
    /// The archive, by its name in `plumbray archives`.
    archive: String,
    /// The study, as `plumbray find` lists it.
    #[arg(long, value_name = "UID", value_parser = uid)]
    study: Uid,
    /// Only this series of it.
    #[arg(long, value_name = "UID", value_parser = uid)]
    series: Option<Uid>,
    /// Only this film of the series.
    #[arg(long, value_name = "UID", value_parser = uid, requires = "series")]
    film: Option<Uid>,
    /// The folder for the films; it is made if need be.
    #[arg(long, value_name = "FOLDER")]
    into: PathBuf,
}

pub(in crate::command_line) fn fetch(
    arguments: &FetchArguments,
    output: &mut dyn Write,
) -> anyhow::Result<Ending> {
    let wanted = WantedFilms {
        study: arguments.study.clone(),
        series: arguments.series.clone(),
        film: arguments.film.clone(),
    };
    let archive = archive(&arguments.archive)?;
    let is_watched = std::io::stderr().is_terminal();
    let fetched = archive.fetch(&wanted, &arguments.into, &mut |progress: Progress| {
        if is_watched {
            eprint!("\r{} films", progress.arrived);
        }
        ControlFlow::Continue(())
    })?;
    // That the films came is what matters.
    if let Err(problem) = remember(&fetched, &arguments.archive) {
        eprintln!("plumbray: it is not remembered that these films came from there: {problem}");
    }
    for file in &fetched.files {
        writeln!(output, "{}", file.display())?;
    }
    for complaint in &fetched.complaints {
        eprintln!("plumbray: {complaint}");
    }
    Ok(if fetched.complaints.is_empty() {
        Ending::Complete
    } else {
        Ending::WithFailures
    })
}

/// Remembers from which archive films came, so that the window can send back there what was measured.
fn remember(fetched: &Fetched, archive: &str) -> anyhow::Result<()> {
    let path = archive_files::origins(&book_path()?);
    Ok(Origins::note(&path, &fetched.files, archive)?)
}
