//! Every single error as a table, from which spreads can be calibrated.

use std::path::Path;

use anyhow::{Context, Result};

use super::{
    examination::FilmOutcome,
    judged::Judged,
    spots::{Flag, SpotError},
};

const HEADINGS: [&str; 11] = [
    "film",
    "view",
    "quality",
    "change",
    "reader",
    "landmark",
    "error_mm",
    "along_mm",
    "across_mm",
    "sd_mm",
    "doubt",
];

/// Writes a CSV file with one row for each place of each tracing. `reader` is `none` without a click;
/// empty numbers mean that the place is missing or has no such direction. Films of real bones are not in
/// it, so that nothing can be fitted to them.
///
/// # Errors
/// When the file cannot be written; the message names it.
pub fn write_errors(path: &Path, films: &[FilmOutcome]) -> Result<()> {
    let advice = || format!("{} cannot be written", path.display());
    let mut table = csv::Writer::from_path(path).with_context(advice)?;
    table.write_record(HEADINGS).with_context(advice)?;
    for film in films {
        let without_click = film.seen.judged().map(|judged| ("none".to_owned(), judged));
        let readers = (1..)
            .zip(&film.readers)
            .map(|(reader, judged): (usize, &Judged)| (reader.to_string(), judged));
        for (reader, judged) in without_click.into_iter().chain(readers) {
            for error in &judged.spots {
                table
                    .write_record(row(film, &reader, error))
                    .with_context(advice)?;
            }
        }
    }
    table.flush().with_context(advice)
}

fn row(film: &FilmOutcome, reader: &str, error: &SpotError) -> [String; 11] {
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| format!("{value:.4}"));
    let found = error.found;
    [
        film.film.to_string(),
        film.view.identifier().to_owned(),
        film.quality.name().to_owned(),
        film.change
            .map_or("none", |change| change.name())
            .to_owned(),
        reader.to_owned(),
        error.spot.identifier(),
        number(found.map(|offset| offset.distance_mm)),
        number(found.and_then(|offset| offset.along_mm)),
        number(found.and_then(|offset| offset.across_mm)),
        number(found.map(|offset| offset.sd_mm)),
        error.flag.map_or_else(String::new, doubt),
    ]
}

fn doubt(flag: Flag) -> String {
    match flag {
        Flag::Doubted(doubt) => format!("doubted: {}", doubt.reason()),
        Flag::Left(doubt) => format!("left to the reader: {}", doubt.reason()),
        Flag::NotFound => "not found".to_owned(),
    }
}
