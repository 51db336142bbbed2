//! `plumbray disc`: what films a disc or a folder holds.

use std::{
    io::{IsTerminal as _, Write},
    ops::ControlFlow,
    path::{Path, PathBuf},
};

use anyhow::Context as _;
use clap::Args;
use plumbray_anatomy::{Side, View};
use plumbray_film::{Disc, DiscFilm, DiscPatient, DiscProgress, DiscSeries, DiscStudy, list_disc};
use serde_json::{Value, json};

use crate::{
    disc::words::{
        film_words, films_words, one_line, others_words, patient_facts, patient_name,
        problem_lines, series_words, size_words, study_words,
    },
    printing::write_beside,
};

#[derive(Debug, Args)]
pub(super) struct DiscArguments {
    /// A disc, its file DICOMDIR, or a folder of films, whatever their names.
    place: PathBuf,
    /// Also write everything as JSON. It names patients.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
}

pub(super) fn disc(arguments: &DiscArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let place = &arguments.place;
    let disc = list_disc(place, &mut progress_line())?;
    if let Some(path) = &arguments.json {
        let text = serde_json::to_string_pretty(&document(&disc, place))?;
        let films = disc.films().map(|film| film.path.as_path());
        write_beside(path, text.as_bytes(), films).context("the list was not written")?;
    }
    write_disc(&disc, &root_of(place), output)
}

/// The folder as the paths of the films begin.
fn root_of(place: &Path) -> PathBuf {
    let folder = place.parent().filter(|_| place.is_file());
    let folder = match folder {
        Some(folder) if folder.as_os_str().is_empty() => Path::new("."),
        Some(folder) => folder,
        None => place,
    };
    folder.canonicalize().unwrap_or_else(|_| folder.to_owned())
}

/// Says on a terminal how far the listing is.
fn progress_line() -> impl FnMut(DiscProgress) -> ControlFlow<()> {
    let is_watched = std::io::stderr().is_terminal();
    move |progress| {
        if is_watched {
            eprint!("\r{} files, {} films", progress.files, progress.films);
        }
        ControlFlow::Continue(())
    }
}

fn write_disc(disc: &Disc, root: &Path, output: &mut dyn Write) -> anyhow::Result<()> {
    for patient in &disc.patients {
        writeln!(output, "{}", beside(&patient.identity))?;
        for study in &patient.studies {
            writeln!(output, "  {}", study_words(&study.about))?;
            for series in &study.series {
                writeln!(output, "    {}", series_words(&series.about))?;
                for film in &series.films {
                    writeln!(output, "      {}", film_line(film, root))?;
                }
            }
        }
    }
    writeln!(output, "{}", films_words(disc))?;
    let others = others_words(disc);
    if !others.is_empty() {
        writeln!(output, "Besides: {others}")?;
    }
    for problem in problem_lines(disc) {
        writeln!(output, "! {problem}")?;
    }
    Ok(())
}

fn beside(identity: &plumbray_film::PatientIdentity) -> String {
    let facts = patient_facts(identity);
    let name = patient_name(identity);
    if facts.is_empty() {
        name
    } else {
        format!("{name} · {facts}")
    }
}

fn film_line(film: &DiscFilm, root: &Path) -> String {
    let path = film.path.strip_prefix(root).unwrap_or(&film.path);
    let path = one_line(&path.to_string_lossy());
    let [words, size] = [film_words(&film.about), size_words(&film.about)];
    format!("{path}  {words} · {size}")
}

fn document(disc: &Disc, place: &Path) -> Value {
    let patients: Vec<Value> = disc.patients.iter().map(of_patient).collect();
    json!({
        "place": place.to_string_lossy(),
        "patients": patients,
        "other_objects": disc.other_objects,
        "other_files": disc.other_files,
        "problems": disc.problems,
        "more_problems": disc.more_problems,
    })
}

fn of_patient(patient: &DiscPatient) -> Value {
    let identity = &patient.identity;
    json!({
        "name": identity.name,
        "identifier": identity.identifier,
        "birth_date": identity.birth_date,
        "studies": patient.studies.iter().map(of_study).collect::<Vec<_>>(),
    })
}

fn of_study(study: &DiscStudy) -> Value {
    json!({
        "uid": study.about.uid,
        "date": study.about.date,
        "description": study.about.description,
        "accession_number": study.about.accession_number,
        "series": study.series.iter().map(of_series).collect::<Vec<_>>(),
    })
}

fn of_series(series: &DiscSeries) -> Value {
    json!({
        "uid": series.about.uid,
        "number": series.about.number,
        "modality": series.about.modality,
        "description": series.about.description,
        "body_part": series.about.body_part,
        "films": series.films.iter().map(of_film).collect::<Vec<_>>(),
    })
}

fn of_film(film: &DiscFilm) -> Value {
    let about = &film.about;
    let view = about.view.as_ref().map(|view| match view.value {
        View::Ap => "ap",
        View::Lateral => "lateral",
    });
    let side = about
        .side
        .as_ref()
        .map(|side: &_| Side::identifier(side.value));
    json!({
        "path": film.path.to_string_lossy(),
        "instance_uid": about.instance_uid,
        "class_uid": about.class_uid,
        "transfer_syntax_uid": about.transfer_syntax_uid,
        "number": about.number,
        "view": view,
        "view_said_by": about.view.as_ref().map(|view| view.source),
        "side": side,
        "side_said_by": about.side.as_ref().map(|side| side.source),
        "rows": about.rows,
        "columns": about.columns,
        "pictures": about.frames,
    })
}
