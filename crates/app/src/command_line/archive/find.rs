//! `plumbray find`: the studies that an archive has.

use std::io::Write;

use clap::Args;
use jiff::civil::Date;
use plumbray_archive::{DateRange, FoundSeries, FoundStudy, Uid, Wanted};
use serde_json::{Value, json};

use super::{archive, uid};

#[derive(Debug, Args)]
pub(in crate::command_line) struct FindArguments {
    /// The archive, by its name in `plumbray archives`.
    archive: String,
    /// The patient's name, as "Family, Given"; * stands for any letters, ? for one.
    #[arg(long)]
    name: Option<String>,
    /// The patient's number.
    #[arg(long, value_name = "ID")]
    patient_id: Option<String>,
    /// The accession number.
    #[arg(long, value_name = "NUMBER")]
    accession: Option<String>,
    /// Studies of this day and later, as 2026-01-31.
    #[arg(long, value_name = "DAY")]
    from: Option<Date>,
    /// Studies of this day and earlier.
    #[arg(long, value_name = "DAY")]
    to: Option<Date>,
    /// A modality of the study: DX, CR.
    #[arg(long)]
    modality: Option<String>,
    /// A body part of the study: FOOT.
    #[arg(long, value_name = "PART")]
    body_part: Option<String>,
    /// This study alone, with its series and films.
    #[arg(long, value_name = "UID", value_parser = uid)]
    study: Option<Uid>,
    /// As JSON.
    #[arg(long)]
    json: bool,
}

impl FindArguments {
    fn wanted(&self) -> Wanted {
        let dates = DateRange {
            first: self.from,
            last: self.to,
        };
        Wanted {
            patient_id: self.patient_id.clone(),
            patient_name: self.name.clone(),
            accession_number: self.accession.clone(),
            dates: (dates != DateRange::default()).then_some(dates),
            modality: self.modality.clone(),
            study: self.study.clone(),
            body_part: self.body_part.clone(),
        }
    }
}

pub(in crate::command_line) fn find(
    arguments: &FindArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let wanted = arguments.wanted();
    wanted.check()?;
    let archive = archive(&arguments.archive)?;
    let found = archive.find_studies(&wanted)?;
    let mut listed = Vec::new();
    for study in found.studies {
        // Films are listed of one study only: each costs the archive a question.
        let series = match &arguments.study {
            Some(_) => archive.find_films(&study.study)?,
            None => Vec::new(),
        };
        listed.push((study, series));
    }
    if arguments.json {
        let studies: Vec<Value> = listed.iter().map(|(a, b)| as_json(a, b)).collect();
        let all = json!({ "is_complete": found.is_complete, "studies": studies });
        writeln!(output, "{}", serde_json::to_string_pretty(&all)?)?;
        return Ok(());
    }
    for (study, series) in &listed {
        writeln!(output, "{}", in_words(study))?;
        for line in series.iter().flat_map(series_lines) {
            writeln!(output, "  {line}")?;
        }
    }
    if listed.is_empty() {
        writeln!(output, "the archive has no such study")?;
    }
    if !found.is_complete {
        writeln!(output, "the archive has more; narrow the question down")?;
    }
    Ok(())
}

/// A study in one line.
fn in_words(study: &FoundStudy) -> String {
    let date = study.date.map(|date| date.to_string());
    let parts = [
        date,
        study.patient_name.clone(),
        study.patient_id.clone(),
        study.description.clone(),
        (!study.modalities.is_empty()).then(|| study.modalities.join(" ")),
        Some(study.study.to_string()),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join("  ")
}

fn series_lines(series: &FoundSeries) -> Vec<String> {
    let parts = [
        series.modality.clone(),
        series.body_part.clone(),
        series.laterality.clone(),
        series.description.clone(),
        Some(series.series.to_string()),
    ];
    let head = parts.into_iter().flatten().collect::<Vec<_>>().join("  ");
    let films = series.films.iter().map(|film| {
        let size = film.size.map_or_else(String::new, |(rows, columns)| {
            format!("  {columns} × {rows}")
        });
        format!("  {}{size}", film.instance)
    });
    std::iter::once(head).chain(films).collect()
}

fn as_json(study: &FoundStudy, series: &[FoundSeries]) -> Value {
    let series: Vec<Value> = series
        .iter()
        .map(|one| {
            let films: Vec<Value> = one
                .films
                .iter()
                .map(|film| {
                    json!({
                        "film": film.instance.as_str(),
                        "class": film.class.as_ref().map(Uid::as_str),
                        "number": film.number,
                    })
                })
                .collect();
            json!({
                "series": one.series.as_str(),
                "modality": one.modality,
                "body_part": one.body_part,
                "laterality": one.laterality,
                "description": one.description,
                "films": films,
            })
        })
        .collect();
    json!({
        "study": study.study.as_str(),
        "patient_name": study.patient_name,
        "patient_id": study.patient_id,
        "birth_date": study.birth_date.map(|date| date.to_string()),
        "date": study.date.map(|date| date.to_string()),
        "time": study.time,
        "description": study.description,
        "accession_number": study.accession_number,
        "modalities": study.modalities,
        "objects": study.objects,
        "series": series,
    })
}
