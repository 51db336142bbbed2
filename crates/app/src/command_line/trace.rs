//! `plumbray trace`: films traced without a click or from hints, and their worksheets.

use std::{
    fs,
    io::Write,
    num::NonZeroU32,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::{Side, View};
use plumbray_cohort::{Cell, Ingredient, Shard};
use plumbray_proposal::Hints;

use super::{
    Ending, TraceArguments, in_words,
    measure_parts::{failure_row, named, worksheet_rows, write_parts},
    trace_output::{measured, summary_line, write_json, write_study},
    traced_film::{Known, TracedFilm, trace_film},
    traced_study::{
        TracedStudy, are_of_one_foot, save, save_or_find, studies_of_film, study_of_pair,
    },
};

/// Endings of the names of pictures, in small letters. A DICOM file needs none.
const PICTURES: [&str; 8] = ["png", "tif", "tiff", "jpg", "jpeg", "bmp", "dcm", "dicom"];

/// A film that is to be traced.
struct Input {
    film: PathBuf,
    /// Whether it was found in a folder and not named itself: then one line of it is enough.
    in_folder: bool,
}

/// What became of one foot or one film.
pub(super) enum Outcome {
    /// A foot, on one film or on two.
    Traced(Box<TracedStudy>),
    /// A film that could not be traced or saved.
    Failed {
        /// The film.
        film: PathBuf,
        /// Why, and what to do.
        problem: String,
    },
}

/// The command under way.
struct Run<'a> {
    arguments: &'a TraceArguments,
    output: &'a mut dyn Write,
    outcomes: Vec<Outcome>,
}

pub(super) fn trace(arguments: &TraceArguments, output: &mut dyn Write) -> anyhow::Result<Ending> {
    let known = Known {
        view: arguments.view.map(View::from),
        side: arguments.side.map(Side::from),
        hints: arguments.hints.as_deref().map(read_hints).transpose()?,
        picture: arguments.picture,
    };
    let mut inputs = inputs_of(&arguments.films)?;
    if let Some(shard) = arguments.shard {
        inputs.retain(|input| shard.has(&named(&input.film).relative));
    }
    if known.hints.is_some() && inputs.len() != 1 {
        bail!("--hints goes with exactly one film, whose pixels they are in");
    }
    if known.picture > NonZeroU32::MIN && inputs.len() != 1 {
        bail!("--picture goes with exactly one film, one of whose pictures it is");
    }
    if let Some(folder) = &arguments.parquet_parts {
        return trace_into_parts(arguments, &inputs, folder, &known, output);
    }
    let mut run = Run {
        arguments,
        output,
        outcomes: Vec::new(),
    };
    run.trace_all(&inputs, &known)?;
    if arguments.json {
        write_json(&run.outcomes, run.output)?;
    }
    Ok(report(&run.outcomes))
}

/// So many films are traced for one part: a killed run loses a minute's work and not an hour's.
const IN_PIECE: usize = 16;

/// Traces into Parquet parts, each film by itself; a film that cannot be traced is a line that says why.
fn trace_into_parts(
    arguments: &TraceArguments,
    inputs: &[Input],
    folder: &Path,
    known: &Known,
    output: &mut dyn Write,
) -> anyhow::Result<Ending> {
    let shard = arguments.shard.unwrap_or(Shard::WHOLE);
    let settings = format!(
        "trace {:?} {:?} {} {}",
        known.view, known.side, known.picture, arguments.save
    );
    let files: Vec<Ingredient> = inputs.iter().map(|input| named(&input.film)).collect();
    let mut ending = Ending::Complete;
    let written = write_parts(folder, shard, &settings, files, IN_PIECE, &mut |piece| {
        let mut rows = Vec::new();
        for file in piece {
            eprintln!("{}", file.path.display());
            match traced_rows(&file.path, known, arguments.save) {
                Ok(traced) => rows.extend(traced),
                Err(problem) => {
                    let words = in_words(&problem);
                    eprintln!("plumbray: {words}");
                    ending = Ending::WithFailures;
                    rows.push(failure_row(&file.path, &words));
                }
            }
        }
        Ok(rows)
    })?;
    writeln!(
        output,
        "shard {shard}: {} films in {} parts, {} of them there already, in {}",
        inputs.len(),
        written.kept + written.made,
        written.kept,
        folder.display()
    )?;
    Ok(ending)
}

/// The lines of a film's worksheets, one worksheet for each foot on it.
fn traced_rows(film: &Path, known: &Known, is_saved: bool) -> anyhow::Result<Vec<Vec<Cell>>> {
    let traced = trace_film(film, known)?;
    let mut rows = Vec::new();
    for mut study in studies_of_film(&traced) {
        if is_saved {
            save_or_find(&mut study)?;
        }
        rows.extend(worksheet_rows(&measured(&study)));
    }
    Ok(rows)
}

impl Run<'_> {
    fn trace_all(&mut self, inputs: &[Input], known: &Known) -> anyhow::Result<()> {
        let mut named_together = Vec::new();
        for (index, input) in inputs.iter().enumerate() {
            let film = &input.film;
            if input.in_folder {
                eprintln!("{} of {}: {}", index + 1, inputs.len(), film.display());
            }
            match trace_film(film, known) {
                Ok(traced) if inputs.len() == 2 && !input.in_folder => named_together.push(traced),
                Ok(traced) => self.add(studies_of_film(&traced), input.in_folder)?,
                Err(problem) => self.outcomes.push(failed(film, &problem)),
            }
        }
        for studies in grouped(named_together) {
            self.add(studies, false)?;
        }
        Ok(())
    }

    /// Saves what was traced where that is asked for, and prints it.
    fn add(&mut self, studies: Vec<TracedStudy>, in_folder: bool) -> anyhow::Result<()> {
        for mut study in studies {
            if self.arguments.save
                && let Err(problem) = save(&mut study)
            {
                self.outcomes.push(failed(study.named_film(), &problem));
                continue;
            }
            if self.arguments.json {
                // All of it is printed at the end, as one list.
            } else if in_folder {
                writeln!(self.output, "{}", summary_line(&study))?;
            } else {
                write_study(&study, self.output)?;
            }
            self.outcomes.push(Outcome::Traced(Box::new(study)));
        }
        Ok(())
    }
}

/// Two films that were named together are one foot where they are its AP and its lateral film.
fn grouped(mut films: Vec<TracedFilm>) -> Vec<Vec<TracedStudy>> {
    if let [first, second] = films.as_slice()
        && are_of_one_foot(first, second)
        && let (Some(second), Some(first)) = (films.pop(), films.pop())
    {
        return vec![vec![study_of_pair(first, second)]];
    }
    films.iter().map(studies_of_film).collect()
}

fn failed(film: &Path, problem: &anyhow::Error) -> Outcome {
    let words = in_words(problem);
    let name = film.display().to_string();
    let problem = if words.contains(&name) {
        words
    } else {
        format!("{words}: {name}")
    };
    Outcome::Failed {
        film: film.to_owned(),
        problem,
    }
}

/// Says what failed on the error output.
fn report(outcomes: &[Outcome]) -> Ending {
    let mut ending = Ending::Complete;
    for outcome in outcomes {
        if let Outcome::Failed { problem, .. } = outcome {
            eprintln!("plumbray: {problem}");
            ending = Ending::WithFailures;
        }
    }
    ending
}

fn read_hints(table: &Path) -> anyhow::Result<Hints> {
    let text = fs::read_to_string(table)
        .with_context(|| format!("the table cannot be read: {}", table.display()))?;
    Hints::from_table(&text).with_context(|| format!("in the table {}", table.display()))
}

fn inputs_of(named: &[PathBuf]) -> anyhow::Result<Vec<Input>> {
    let mut inputs = Vec::new();
    for path in named {
        if path.is_dir() {
            let found = films_in(path)?;
            if found.is_empty() {
                bail!("there is no film in this folder: {}", path.display());
            }
            inputs.extend(found.into_iter().map(|film| Input {
                film,
                in_folder: true,
            }));
        } else {
            inputs.push(Input {
                film: path.clone(),
                in_folder: false,
            });
        }
    }
    Ok(inputs)
}

/// The films in a folder by name, those in folders within it left out. A file is taken for a film by the
/// end of its name; one without an end is often a DICOM file, and is tried.
fn films_in(folder: &Path) -> anyhow::Result<Vec<PathBuf>> {
    let entries = fs::read_dir(folder)
        .with_context(|| format!("the folder cannot be read: {}", folder.display()))?;
    let mut films = Vec::new();
    for entry in entries {
        let path = entry
            .with_context(|| format!("the folder cannot be read: {}", folder.display()))?
            .path();
        let ends_like_a_film = path.extension().is_none_or(|ending| {
            let ending = ending.to_string_lossy().to_lowercase();
            PICTURES.contains(&ending.as_str())
        });
        let is_hidden = path
            .file_name()
            .is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
        if path.is_file() && ends_like_a_film && !is_hidden {
            films.push(path);
        }
    }
    films.sort();
    Ok(films)
}
