//! Questions over the web (QIDO-RS, PS3.18 10.6).

use dicom_core::Tag;
use dicom_dictionary_std::tags;
use ureq::http::StatusCode;

use super::{
    client::{Client, escaped},
    failure, json,
};
use crate::{
    archive::Echoed,
    attributes::Attributes,
    error::ArchiveError,
    found::{self, FoundFilm, FoundSeries, FoundStudies},
    limits,
    object::ObjectIdentity,
    uid::Uid,
    wanted::{FILM_ANSWERS, SERIES_ANSWERS, STUDY_ANSWERS, Wanted},
};

const ACCEPT: &str = "application/dicom+json";

/// A question as part of an address.
struct Question(String);

impl Question {
    fn at(path: &str) -> Self {
        Self(format!("{path}?limit={}", limits::ANSWERS + 1))
    }

    fn with(mut self, tag: Tag, value: &str) -> Self {
        self.0
            .push_str(&format!("&{}={}", key(tag), escaped(value)));
        self
    }

    fn asking(mut self, answers: &[Tag]) -> Self {
        for tag in answers {
            self.0.push_str(&format!("&includefield={}", key(*tag)));
        }
        self
    }
}

fn key(tag: Tag) -> String {
    format!("{:04X}{:04X}", tag.group(), tag.element())
}

/// Asks, and reads the answers; the second value says whether these are all of them.
fn ask(client: &Client, question: &Question) -> Result<(Vec<Attributes>, bool), ArchiveError> {
    let response = failure::checked(client.get(&question.0, ACCEPT)?)?;
    if response.status() == StatusCode::NO_CONTENT {
        return Ok((Vec::new(), true));
    }
    let mut answers = json::answers(&client.body(response)?)?;
    let is_complete = answers.len() <= limits::ANSWERS;
    answers.truncate(limits::ANSWERS);
    Ok((answers, is_complete))
}

/// Asks whether the archive is there, by the shortest question that needs its permission.
pub(crate) fn echo(client: &Client) -> Result<Echoed, ArchiveError> {
    let response = failure::checked(client.get("studies?limit=1", ACCEPT)?)?;
    if response.status() != StatusCode::NO_CONTENT {
        json::answers(&client.body(response)?)?;
    }
    Ok(Echoed {
        answer: "the archive answers".to_owned(),
    })
}

/// The studies that the archive has of what is wanted.
pub(crate) fn find_studies(client: &Client, wanted: &Wanted) -> Result<FoundStudies, ArchiveError> {
    let mut question = Question::at("studies").asking(&STUDY_ANSWERS);
    for (tag, value) in wanted.study_keys() {
        question = question.with(tag, &value);
    }
    let (answers, is_complete) = ask(client, &question)?;
    let mut found = found::studies_of(&answers, wanted, is_complete);
    if let Some(part) = wanted.wanted_body_part() {
        let series_of = |study: &Uid| series_of(client, study);
        found.keep_body_part(part, client.patience().whole, series_of)?;
    }
    Ok(found)
}

fn series_of(client: &Client, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
    let question = Question::at(&format!("studies/{study}/series")).asking(&SERIES_ANSWERS);
    let (answers, _is_complete) = ask(client, &question)?;
    Ok(answers.iter().filter_map(FoundSeries::of).collect())
}

/// The series of a study, with their films.
pub(crate) fn find_films(client: &Client, study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
    let mut series = series_of(client, study)?;
    let question = Question::at(&format!("studies/{study}/instances"))
        .asking(&[tags::SERIES_INSTANCE_UID])
        .asking(&FILM_ANSWERS);
    let (answers, _is_complete) = ask(client, &question)?;
    for answer in &answers {
        let of = answer.uid(tags::SERIES_INSTANCE_UID);
        let place = series
            .iter_mut()
            .find(|one| Some(&one.series) == of.as_ref());
        if let Some((place, film)) = place.zip(FoundFilm::of(answer)) {
            place.films.push(film);
        }
    }
    Ok(found::series_in_order(series))
}

/// Whether the archive has an object; nothing when it does not answer such questions.
pub(crate) fn holds(
    client: &Client,
    object: &ObjectIdentity,
) -> Result<Option<bool>, ArchiveError> {
    let path = format!(
        "studies/{}/series/{}/instances",
        object.study, object.series
    );
    let question = Question::at(&path).with(tags::SOP_INSTANCE_UID, object.instance.as_str());
    let response = client.get(&question.0, ACCEPT)?;
    match response.status().as_u16() {
        // A study that it does not have.
        204 | 404 | 410 => return Ok(Some(false)),
        400 | 405 | 406 | 501 => return Ok(None),
        _ => {}
    }
    let answers = json::answers(&client.body(failure::checked(response)?)?)?;
    let is_it =
        |answer: &Attributes| answer.uid(tags::SOP_INSTANCE_UID).as_ref() == Some(&object.instance);
    Ok(Some(answers.iter().any(is_it)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_names_tags_by_their_digits() {
        let question = Question::at("studies")
            .with(tags::PATIENT_NAME, "Sample^F*")
            .asking(&[tags::STUDY_DATE]);
        assert_eq!(
            question.0, "studies?limit=2001&00100010=Sample%5EF*&includefield=00080020",
            "as the standard has it"
        );
    }
}
