//! All objects that were chosen of one study, at once.

use dicom_dictionary_std::tags;
use jiff::{Zoned, civil::Date, tz::TimeZone};
use plumbray_anatomy::{Side, View};
use plumbray_film::{Film, FilmObject, Notice, Pyramid};
use plumbray_measure::{Measurement, Worksheet};
use plumbray_study::Study;

use super::{
    characters::plain_text,
    drawing::{DrawnFilm, drawing},
    error::DicomError,
    film_reference::FilmReference,
    instance::Export,
    picture::{Letters, annotated, captured_film},
    report::{ReportContent, report},
    sheet::encapsulated,
    subject::Subject,
    uid::new_uid,
};
use crate::{Contradiction, PictureRequest, contradictions};

/// Which objects are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct ChosenObjects {
    /// The worksheet as a structured report.
    pub report: bool,
    /// What the sheet draws over each film, as a presentation state.
    pub drawing: bool,
    /// The printed sheet, as an encapsulated PDF.
    pub sheet: bool,
    /// Each film with its tracing burnt in, as a secondary capture.
    pub picture: bool,
    /// The films themselves.
    pub film: bool,
}

/// A film as it was found.
#[derive(Clone, Copy, Debug)]
pub struct ExportFilm<'a> {
    /// Its file.
    pub bytes: &'a [u8],
    /// The same, opened.
    pub film: &'a Pyramid,
    /// Whether somebody looked at a film that is no DICOM file and says that nothing in its pixels names anybody.
    pub names_nobody: bool,
}

/// The printed sheet.
#[derive(Clone, Copy, Debug)]
pub struct ExportSheet<'a> {
    /// The PDF.
    pub pdf: &'a [u8],
    /// Whether the patient stands on it.
    pub names_patient: bool,
}

/// What objects are made from.
#[derive(Clone, Copy, Debug)]
pub struct ObjectsRequest<'a> {
    /// The study.
    pub study: &'a Study,
    /// The worksheet that the engine made of it.
    pub worksheet: &'a Worksheet,
    /// The rows whose intervals hold the own spread of who traced, each with what that spread is and from how many films:
    /// "1.3° from 12 films read twice". It names nobody and no day.
    pub own_spread: &'a [(Measurement, String)],
    /// The films in the order of [`View::ALL`]; nothing where the study has none or it could not be opened.
    pub films: [Option<ExportFilm<'a>>; 2],
    /// The sheet, if it was chosen.
    pub sheet: Option<ExportSheet<'a>>,
    /// Which objects.
    pub chosen: ChosenObjects,
    /// Whether somebody looked at the films and goes on although their files say the other foot or the other view.
    pub against_films: bool,
    /// The program's caution.
    pub caution: &'a str,
    /// The program's version: "0.1.0".
    pub version: &'a str,
    /// The moment of the export, where the reader lives; nothing where the identity was removed from study and films:
    /// then the objects have a day that means nothing, and say that the identity was removed.
    pub moment: Option<&'a Zoned>,
}

/// An object that was made.
#[derive(Clone, PartialEq, Eq)]
pub struct ObjectFile {
    /// The name of its file, which says what it is and names nobody: `report.dcm`, `drawing-ap.dcm`.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

impl std::fmt::Debug for ObjectFile {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{}, {} bytes", self.name, self.bytes.len())
    }
}

/// A film with what other objects say of it.
struct Prepared<'a> {
    found: ExportFilm<'a>,
    object: Option<FilmObject>,
    reference: FilmReference,
    /// Its own patient and study: what refers to one film alone stands there.
    subject: Subject,
    letters: Letters,
    /// The secondary capture that stands for a film that is no DICOM file.
    capture: Option<Vec<u8>>,
}

/// Makes every chosen object of one study: new instances in series of their own, of the film's patient. What refers to
/// one film stands in that film's study; report and sheet, which refer to both, in that of the AP film. A film that is no DICOM file is written along as a secondary capture whenever another object refers to
/// it, so that nothing refers to what is not there.
///
/// Takes some tenths of a second: call it on a worker thread.
///
/// # Errors
/// When nobody confirmed the side, a film's file says the other foot or view and nobody looked, a film is missing or was changed since it was traced, the films name two
/// patients, or an object cannot be made; the message says what to do.
pub fn objects_of(request: &ObjectsRequest<'_>) -> Result<Vec<ObjectFile>, DicomError> {
    let chosen = request.chosen;
    let says_side = chosen.report || chosen.drawing || chosen.sheet || chosen.picture;
    let side = confirmed_side(request.study);
    if says_side && side.is_none() {
        return Err(DicomError::SideNotConfirmed);
    }
    let found = found_films(request)?;
    let against = said_against(request);
    if says_side && !request.against_films && !against.is_empty() {
        return Err(DicomError::AgainstFilms {
            what: against.join("; "),
        });
    }
    let objects: Vec<&FilmObject> = found
        .iter()
        .filter_map(|(_, _, object)| object.as_ref())
        .collect();
    let subject = Subject::of(&objects)?;
    let subject = match request.moment {
        Some(_) => subject,
        None => subject.without_identity(),
    };
    let meaningless = Date::constant(1900, 1, 1).to_zoned(TimeZone::UTC)?;
    let export = Export {
        subject: &subject,
        side,
        moment: request.moment.unwrap_or(&meaningless),
        is_named: request.moment.is_some(),
        version: request.version,
    };
    let films = prepared(&export, found)?;
    let mut files = Vec::new();
    if chosen.report {
        let references: Vec<&FilmReference> = films.iter().map(|film| &film.reference).collect();
        let content = ReportContent {
            study: request.study,
            worksheet: request.worksheet,
            own_spread: request.own_spread,
            side: side.ok_or(DicomError::SideNotConfirmed)?,
            films: &references,
            against: &against,
            caution: request.caution.trim(),
        };
        files.push(named("report", report(&export, &content)?));
    }
    if chosen.drawing {
        for film in &films {
            let drawn = DrawnFilm {
                study: request.study,
                worksheet: request.worksheet,
                film: film.found.film,
                object: film.object.as_ref(),
                reference: &film.reference,
            };
            files.push(film.named("drawing", drawing(&film.export(&export), &drawn)?));
        }
    }
    if chosen.sheet {
        let sheet = request.sheet.as_ref().ok_or(DicomError::NoSheet)?;
        let references: Vec<&FilmReference> = films.iter().map(|film| &film.reference).collect();
        files.push(named("sheet", encapsulated(&export, sheet, &references)?));
    }
    if chosen.picture {
        for film in &films {
            files.push(film.named("picture", film.picture(&film.export(&export), request)?));
        }
    }
    files.extend(film_files(&films, chosen));
    Ok(files)
}

/// The films themselves: all that were chosen, and every capture that another object refers to.
fn film_files(films: &[Prepared<'_>], chosen: ChosenObjects) -> Vec<ObjectFile> {
    let written = films.iter().filter_map(|film| match &film.capture {
        Some(capture) => Some(film.named("film", capture.clone())),
        None if chosen.film => Some(film.named("film", film.found.bytes.to_vec())),
        None => None,
    });
    written.collect()
}

fn named(name: &str, bytes: Vec<u8>) -> ObjectFile {
    ObjectFile {
        name: format!("{name}.dcm"),
        bytes,
    }
}

fn confirmed_side(study: &Study) -> Option<Side> {
    let choice = study.side.filter(|choice| choice.confirmed)?;
    Some(choice.side)
}

type FoundFilm<'a> = (View, ExportFilm<'a>, Option<FilmObject>);

/// What the files of the films say against the study.
fn said_against(request: &ObjectsRequest<'_>) -> Vec<String> {
    let facts = request
        .films
        .map(|film| film.map(|film| film.film.film().facts()));
    let against = contradictions(request.study, facts);
    against.iter().map(Contradiction::text).collect()
}

/// The films of the study, each as it was traced.
fn found_films<'a>(request: &ObjectsRequest<'a>) -> Result<Vec<FoundFilm<'a>>, DicomError> {
    let mut found = Vec::new();
    for (view, film) in View::ALL.into_iter().zip(request.films) {
        let Some(record) = request.study.film(view) else {
            continue;
        };
        let film = film.ok_or(DicomError::NoFilm { view })?;
        if film.film.film().content_hash() != record.hash.to_string() {
            return Err(DicomError::FilmChanged { view });
        }
        if film.film.film().frame().number != record.picture.get() {
            return Err(DicomError::OtherPicture { view });
        }
        found.push((view, film, FilmObject::read(film.bytes)?));
    }
    Ok(found)
}

fn prepared<'a>(
    export: &Export<'_>,
    found: Vec<FoundFilm<'a>>,
) -> Result<Vec<Prepared<'a>>, DicomError> {
    let series_of_captures = new_uid();
    found
        .into_iter()
        .map(|(view, found, object)| {
            let letters = letters(object.as_ref(), found.names_nobody);
            let film = found.film.film();
            let (reference, capture) = match &object {
                Some(object) => (FilmReference::of(view, object, film), None),
                None => {
                    let (reference, capture) =
                        captured_film(export, view, found.film, letters, &series_of_captures)?;
                    (reference, Some(capture))
                }
            };
            let subject = match &object {
                Some(object) if export.is_named => Subject::of(&[object])?,
                Some(object) => Subject::of(&[object])?.without_identity(),
                None => export.subject.clone(),
            };
            Ok(Prepared {
                found,
                subject,
                object,
                reference,
                letters,
                capture,
            })
        })
        .collect()
}

/// What the film's file says of letters in its pixels.
fn letters(object: Option<&FilmObject>, names_nobody: bool) -> Letters {
    let said = object
        .and_then(|film| film.element(tags::BURNED_IN_ANNOTATION))
        .map(plain_text);
    match said.as_deref() {
        Some("YES") => Letters::NamePatient,
        Some("NO") => Letters::NameNobody,
        _ if names_nobody => Letters::NameNobody,
        _ => Letters::Unknown,
    }
}

fn is_lossy(film: &Film) -> bool {
    film.notices()
        .iter()
        .any(|notice| matches!(notice, Notice::LossyCompression))
}

impl Prepared<'_> {
    fn named(&self, name: &str, bytes: Vec<u8>) -> ObjectFile {
        named(
            &format!("{name}-{}", self.reference.view.identifier()),
            bytes,
        )
    }

    /// The export of what stands in this film's own study.
    fn export<'b>(&'b self, whole: &Export<'b>) -> Export<'b> {
        Export {
            subject: &self.subject,
            ..*whole
        }
    }

    fn picture(
        &self,
        export: &Export<'_>,
        request: &ObjectsRequest<'_>,
    ) -> Result<Vec<u8>, DicomError> {
        let picture = PictureRequest {
            study: request.study,
            worksheet: request.worksheet,
            view: self.reference.view,
            film: self.found.film,
            caution: request.caution,
        };
        annotated(
            export,
            &picture,
            &self.reference,
            self.letters,
            is_lossy(self.found.film.film()),
        )
    }
}
