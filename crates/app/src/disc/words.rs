//! What a disc holds, in words: for the screen and for the command line, which name patients because they are asked to.

use plumbray_anatomy::Side;
use plumbray_film::{Disc, FilmSummary, PatientIdentity, SeriesSummary, StudySummary};

use crate::words::counted;

/// Between facts that stand in one line.
const BETWEEN: &str = " · ";

/// A text of a file on one line: what is no printable character is a space, so that no file can steer a terminal.
pub(crate) fn one_line(text: &str) -> String {
    let printable = |letter: char| if letter.is_control() { ' ' } else { letter };
    text.chars().map(printable).collect()
}

/// A patient's name, or that the files name none.
pub(crate) fn patient_name(identity: &PatientIdentity) -> String {
    let name = identity.name.as_deref().unwrap_or_default().trim();
    if name.is_empty() {
        "No patient named".to_owned()
    } else {
        one_line(name)
    }
}

/// What is said of a patient beside the name; may be empty.
pub(crate) fn patient_facts(identity: &PatientIdentity) -> String {
    let born = identity.birth_date.as_deref().filter(|day| !day.is_empty());
    joined(&[
        identity.identifier.clone().unwrap_or_default(),
        born.map(|day| format!("born {day}")).unwrap_or_default(),
    ])
}

/// The day of a study, what it is called and its accession number.
pub(crate) fn study_words(study: &StudySummary) -> String {
    let day = study.date.clone().filter(|day| !day.is_empty());
    let accession = match study.accession_number.trim() {
        "" => String::new(),
        number => format!("accession {number}"),
    };
    joined(&[
        day.unwrap_or_else(|| "day unknown".to_owned()),
        study.description.clone(),
        accession,
    ])
}

/// A series: its number, how it was taken, what it is called and of which part of the body.
pub(crate) fn series_words(series: &SeriesSummary) -> String {
    let number = series.number;
    joined(&[
        number.map_or_else(|| "Series".to_owned(), |number| format!("Series {number}")),
        series.modality.clone(),
        series.description.clone(),
        series.body_part.clone(),
    ])
}

/// From where a film was taken and of which foot: "AP, left foot".
pub(crate) fn film_words(film: &FilmSummary) -> String {
    let view = match &film.view {
        Some(view) => view.value.name(),
        None => "View not said",
    };
    let side = match film.side.as_ref().map(|side| side.value) {
        Some(Side::Left) => "left foot",
        Some(Side::Right) => "right foot",
        None => "side not said",
    };
    format!("{view}, {side}")
}

/// How large a film is and how many pictures it holds. A plain picture says its size only when it is opened.
pub(crate) fn size_words(film: &FilmSummary) -> String {
    let size = if film.rows == 0 || film.columns == 0 {
        String::new()
    } else {
        format!("{} × {} pixels", film.columns, film.rows)
    };
    joined(&[size, counted(film.frames.max(1), "picture", "pictures")])
}

/// What lies on a disc beside its films: "2 other objects, such as reports · 3 files of other kinds".
pub(crate) fn others_words(disc: &Disc) -> String {
    let objects = match disc.other_objects {
        0 => String::new(),
        count => format!(
            "{}, such as reports",
            counted(count, "other object", "other objects")
        ),
    };
    let files = match disc.other_files {
        0 => String::new(),
        1 => "1 file of another kind".to_owned(),
        count => format!("{count} files of other kinds"),
    };
    joined(&[objects, files])
}

/// How many films of how many patients: "12 films of 3 patients".
pub(crate) fn films_words(disc: &Disc) -> String {
    let films = counted(disc.film_count(), "film", "films");
    format!(
        "{films} of {}",
        counted(disc.patients.len(), "patient", "patients")
    )
}

/// What could not be read, a sentence each, and how many more such sentences there would be.
pub(crate) fn problem_lines(disc: &Disc) -> Vec<String> {
    let mut lines: Vec<String> = disc.problems.iter().map(|text| one_line(text)).collect();
    if disc.more_problems > 0 {
        lines.push(format!("and {} more like that", disc.more_problems));
    }
    lines
}

/// What is said of facts, in one line; may be empty.
pub(crate) fn joined(facts: &[String]) -> String {
    let facts = facts.iter().map(|fact| one_line(fact.trim()));
    let said: Vec<String> = facts.filter(|fact| !fact.is_empty()).collect();
    said.join(BETWEEN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_file_does_not_say_is_left_out_or_said_to_be_unknown() {
        let nothing = FilmSummary::default();
        assert_eq!(patient_name(&nothing.patient), "No patient named", "name");
        assert_eq!(patient_facts(&nothing.patient), "", "facts");
        assert_eq!(study_words(&nothing.study), "day unknown", "study");
        assert_eq!(series_words(&nothing.series), "Series", "series");
        assert_eq!(film_words(&nothing), "View not said, side not said", "film");
        assert_eq!(size_words(&nothing), "1 picture", "size");
    }

    #[test]
    fn a_hostile_text_cannot_steer_a_terminal() {
        let identity = PatientIdentity {
            name: Some("Foot\u{1b}[2J\nSample".to_owned()),
            ..PatientIdentity::default()
        };
        assert_eq!(patient_name(&identity), "Foot [2J Sample", "one line");
    }

    #[test]
    fn what_else_lies_on_a_disc_is_counted() {
        let disc = Disc {
            other_objects: 1,
            other_files: 3,
            ..Disc::default()
        };
        let said = "1 other object, such as reports · 3 files of other kinds";
        assert_eq!(others_words(&disc), said, "counted");
        assert_eq!(others_words(&Disc::default()), "", "nothing else");
    }
}
