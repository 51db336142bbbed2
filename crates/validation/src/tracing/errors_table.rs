//! Every single error as a table, from which spreads can be calibrated.

use std::path::Path;

use anyhow::{Context, Result};

use super::{
    examination::FilmOutcome,
    judged::{Judged, NumberError},
    spots::{Flag, SpotError},
};

const HEADINGS: [&str; 11] = [
    "film", "view", "quality", "change", "reader", "what", "error", "along", "across", "sd",
    "doubt",
];

/// Writes a CSV file with one row for each place and each number of each tracing. `reader` is `none` without
/// a click. Of a place, errors and `sd` are in millimetres at the detector; of a number, `error` is read less
/// true and both are in its own unit. Empty cells mean that it is missing or has no such direction. Films of
/// real bones are not in it, so that nothing can be fitted to them.
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
            let places = judged.spots.iter().map(place_cells);
            let numbers = judged.numbers.iter().map(number_cells);
            for cells in places.chain(numbers) {
                table
                    .write_record(row(film, &reader, cells))
                    .with_context(advice)?;
            }
        }
    }
    table.flush().with_context(advice)
}

fn row(film: &FilmOutcome, reader: &str, cells: [String; 6]) -> impl Iterator<Item = String> {
    [
        film.film.to_string(),
        film.view.identifier().to_owned(),
        film.quality.name().to_owned(),
        film.change
            .map_or("none", |change| change.name())
            .to_owned(),
        reader.to_owned(),
    ]
    .into_iter()
    .chain(cells)
}

fn place_cells(error: &SpotError) -> [String; 6] {
    let found = error.found;
    [
        error.spot.identifier(),
        cell(found.map(|offset| offset.distance_mm)),
        cell(found.and_then(|offset| offset.along_mm)),
        cell(found.and_then(|offset| offset.across_mm)),
        cell(found.map(|offset| offset.sd_mm)),
        error.flag.map_or_else(String::new, doubt),
    ]
}

fn number_cells(number: &NumberError) -> [String; 6] {
    [
        number.measurement.identifier().to_owned(),
        cell(number.error()),
        String::new(),
        String::new(),
        cell(number.read.map(|read| read.sd)),
        String::new(),
    ]
}

fn cell(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| format!("{value:.4}"))
}

fn doubt(flag: Flag) -> String {
    match flag {
        Flag::Doubted(doubt) => format!("doubted: {}", doubt.reason()),
        Flag::Left(doubt) => format!("left to the reader: {}", doubt.reason()),
        Flag::NotFound => "not found".to_owned(),
    }
}
