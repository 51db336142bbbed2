//! What stands on a sheet, in words and numbers, before anything is placed on paper.

use std::sync::Arc;

use jiff::civil::Date;
use plumbray_anatomy::{Calibration, Proportions, Side, View};
use plumbray_film::Pyramid;
use plumbray_measure::{Implausible, Measurement, Question, Worksheet};
use plumbray_study::{FilmRecord, Study};
use serde::{Deserialize, Serialize};

use crate::{
    contradiction::{Contradiction, OtherFact, contradictions},
    drawing::Drawing,
    film_picture::FilmPicture,
    missing::missing_lines,
    row::SheetRow,
    verdict::Verdict,
    wording::{
        calibration_lines, film_caption, judged_line, one_line, origin_line, proposed_line,
        visit_line,
    },
};

/// Pixels of a film's longer side on paper: some 300 to the inch.
const PRINTED_SIDE_PX: u32 = 1400;

/// The size of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// 210 by 297 mm.
    #[default]
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// Which foot, as the sheet says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetSide {
    /// A person confirmed it.
    Confirmed(Side),
    /// A person confirmed it, and the file of a film says that it is the other foot.
    Contradicted(Side),
    /// The program takes it to be this one, and nobody confirmed it.
    NotConfirmed(Side),
    /// Nobody knows.
    Unknown,
}

/// The patient, in the words of the film's file. Only on a sheet for which it was asked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Identity {
    /// What is said, one fact each: "Name: …", "Born: …".
    pub facts: Vec<String>,
}

/// A film as it was found when the sheet is made.
#[derive(Clone, Copy, Debug)]
pub enum FoundFilm<'a> {
    /// As it was traced.
    Same(&'a Pyramid),
    /// It opens, and is not the file that was traced.
    Changed(&'a Pyramid),
    /// It cannot be shown; why, in a few words: "the file is missing".
    Absent(&'a str),
}

impl<'a> FoundFilm<'a> {
    /// A film that opened, beside what the study remembers of it.
    #[must_use]
    pub fn of(film: &'a Pyramid, record: &FilmRecord) -> Self {
        if film.film().content_hash() == record.hash.to_string() {
            Self::Same(film)
        } else {
            Self::Changed(film)
        }
    }

    /// The film, where it can be shown.
    #[must_use]
    pub const fn film(self) -> Option<&'a Pyramid> {
        match self {
            Self::Same(film) | Self::Changed(film) => Some(film),
            Self::Absent(_) => None,
        }
    }
}

/// What a sheet is made from.
#[derive(Clone, Copy, Debug)]
pub struct SheetRequest<'a> {
    /// The study.
    pub study: &'a Study,
    /// The worksheet that the engine made of it.
    pub worksheet: &'a Worksheet,
    /// The AP film; nothing where the study has none.
    pub ap: Option<FoundFilm<'a>>,
    /// The lateral film; nothing where the study has none.
    pub lateral: Option<FoundFilm<'a>>,
    /// What looks wrong about the tracing as a whole.
    pub warnings: &'a [Implausible],
    /// The rows that were chosen; they stand in the order of the worksheet.
    pub measurements: &'a [Measurement],
    /// Whose own spread the ± of which rows holds, a sentence each; empty where none does.
    pub own_spread: &'a [String],
    /// The paper.
    pub paper: Paper,
    /// The day on which the tracing was last changed, where the reader lives.
    pub traced_on: Option<Date>,
    /// The program and its version: "Plumbray 0.1.0".
    pub program: &'a str,
    /// The name of the study's file, without its folder.
    pub study_file: &'a str,
    /// The program's caution. A sheet without one is refused.
    pub caution: &'a str,
    /// The patient; nothing unless somebody asked for it.
    pub identity: Option<&'a Identity>,
}

/// A film on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetFilm {
    /// "AP film, standing, 5 January 2026".
    pub caption: String,
    /// The film, or why it is not there.
    pub picture: Result<Arc<FilmPicture>, String>,
    /// What is drawn over it.
    pub drawing: Drawing,
}

/// Everything that stands on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetContent {
    /// The paper.
    pub paper: Paper,
    /// The visit, the days of its films and the day of the tracing, in one line.
    pub visit: String,
    /// Which foot.
    pub side: SheetSide,
    /// The patient, where somebody asked for it.
    pub identity: Option<Identity>,
    /// The films, AP first.
    pub films: Vec<SheetFilm>,
    /// The rows with a number, under their questions.
    pub questions: Vec<(Question, Vec<SheetRow>)>,
    /// What looks wrong about the tracing, what is missing for the other rows, and what millimetres stand on.
    pub notes: Vec<String>,
    /// Whether the ± of a row holds the reader's own spread.
    pub holds_own_spread: bool,
    /// How severe the deformity is.
    pub verdict: Verdict,
    /// A measuring aid, not a medical device.
    pub caution: String,
    /// Program and version.
    pub program: String,
    /// Program, study file and the films' fingerprints.
    pub origin: String,
}

impl SheetContent {
    /// What stands on the sheet of a study.
    ///
    /// Renders both films, which takes some milliseconds: call it on a worker thread.
    #[must_use]
    pub fn of(request: &SheetRequest<'_>) -> Self {
        let chosen = |question: Question| {
            let rows = request.worksheet.rows.iter();
            rows.filter(move |row| {
                row.measurement.question() == question
                    && request.measurements.contains(&row.measurement)
            })
        };
        let questions = Question::ALL
            .into_iter()
            .map(|question| {
                (
                    question,
                    chosen(question).filter_map(SheetRow::of).collect(),
                )
            })
            .filter(|(_, rows): &(_, Vec<SheetRow>)| !rows.is_empty())
            .collect();
        let all_chosen: Vec<_> = Question::ALL.into_iter().flat_map(chosen).collect();
        let films = [request.ap, request.lateral].map(|found| found?.film());
        let facts = films.map(|film| film.map(|film| film.film().facts()));
        let against = contradictions(request.study, facts);
        let warnings = request.warnings.iter().map(Implausible::text);
        let mut notes: Vec<String> = against
            .iter()
            .map(Contradiction::text)
            .chain(warnings)
            .map(|warning| format!("Look again: {warning}"))
            .collect();
        notes.extend(proposed_line(request.study));
        notes.extend(judged_line(request.study));
        notes.extend(request.own_spread.iter().map(|line| one_line(line)));
        notes.extend(missing_lines(&all_chosen));
        notes.extend(calibration_lines(request.study));
        Self {
            paper: request.paper,
            visit: visit_line(request.study, request.traced_on),
            side: SheetSide::beside_films(request.study, films),
            identity: request.identity.map(Identity::without_line_breaks),
            films: View::ALL
                .into_iter()
                .filter_map(|view| SheetFilm::of(request, view))
                .collect(),
            questions,
            notes,
            holds_own_spread: !request.own_spread.is_empty(),
            verdict: Verdict::of(&request.worksheet.severity),
            caution: request.caution.trim().to_owned(),
            program: request.program.to_owned(),
            origin: origin_line(request),
        }
    }
}

impl Identity {
    /// What is said, as it can be printed.
    #[must_use]
    pub fn without_line_breaks(&self) -> Self {
        Self {
            facts: self.facts.iter().map(|fact| one_line(fact)).collect(),
        }
    }
}

impl SheetSide {
    /// The side of a study.
    #[must_use]
    pub fn of(study: &Study) -> Self {
        match study.side {
            Some(choice) if choice.confirmed => Self::Confirmed(choice.side),
            Some(choice) => Self::NotConfirmed(choice.side),
            None => Self::Unknown,
        }
    }

    /// The side of a study beside what the files of its films say, in the order of [`View::ALL`].
    #[must_use]
    pub fn beside_films(study: &Study, films: [Option<&Pyramid>; 2]) -> Self {
        let facts = films.map(|film| film.map(|film| film.film().facts()));
        let is_contradicted = contradictions(study, facts)
            .iter()
            .any(|one| matches!(one.said, OtherFact::Side(_)));
        match Self::of(study) {
            Self::Confirmed(side) if is_contradicted => Self::Contradicted(side),
            side => side,
        }
    }

    /// The side in large letters, and what is to be said beneath it.
    #[must_use]
    pub const fn words(self) -> (&'static str, Option<&'static str>) {
        let large = match self {
            Self::Confirmed(Side::Left)
            | Self::Contradicted(Side::Left)
            | Self::NotConfirmed(Side::Left) => "LEFT",
            Self::Confirmed(Side::Right)
            | Self::Contradicted(Side::Right)
            | Self::NotConfirmed(Side::Right) => "RIGHT",
            Self::Unknown => "SIDE UNKNOWN",
        };
        match self {
            Self::Confirmed(_) => (large, None),
            Self::Contradicted(_) => (large, Some("a film’s file says the other")),
            Self::NotConfirmed(_) | Self::Unknown => (large, Some("side not confirmed")),
        }
    }
}

impl SheetSide {
    /// The same for theatre, where it is said that a side was confirmed; nothing where nobody knows the side.
    #[must_use]
    pub const fn words_for_theatre(self) -> Option<(&'static str, &'static str)> {
        let (large, _) = self.words();
        match self {
            Self::Confirmed(_) => Some((large, "confirmed")),
            Self::Contradicted(_) => Some((
                large,
                "confirmed, but a film’s file says the other: check before use",
            )),
            Self::NotConfirmed(_) => Some((large, "side not confirmed: confirm before use")),
            Self::Unknown => None,
        }
    }
}

impl SheetFilm {
    /// A film of a study with its tracing and the axes of a worksheet; `found` is as it was found.
    ///
    /// Nothing where the study has no film of this view.
    #[must_use]
    pub fn of_visit(
        study: &Study,
        worksheet: &Worksheet,
        view: View,
        found: FoundFilm<'_>,
    ) -> Option<Self> {
        let request = SheetRequest {
            study,
            worksheet,
            ap: Some(found),
            lateral: Some(found),
            warnings: &[],
            measurements: &[],
            own_spread: &[],
            paper: Paper::A4,
            traced_on: None,
            program: "",
            study_file: "",
            caution: "",
            identity: None,
        };
        Self::of(&request, view)
    }

    fn of(request: &SheetRequest<'_>, view: View) -> Option<Self> {
        let study = request.study;
        let record = study.film(view)?;
        let found = match view {
            View::Ap => request.ap,
            View::Lateral => request.lateral,
        };
        let proportions = proportions_of(record);
        let mut caption = film_caption(study, view);
        let picture = match found.unwrap_or(FoundFilm::Absent("it was not opened")) {
            FoundFilm::Absent(why) => Err(format!(
                "The {} film is not shown: {why}. Its numbers come from the study.",
                view.name_in_sentence()
            )),
            FoundFilm::Same(film) => Ok(film),
            FoundFilm::Changed(film) => {
                caption.push_str(" · the file was changed since it was traced");
                Ok(film)
            }
        };
        let picture =
            picture.map(|film| Arc::new(FilmPicture::of(film, proportions, PRINTED_SIDE_PX)));
        let drawing = Drawing::of(view, study.tracing.on(view), proportions, request.worksheet);
        Some(Self {
            caption,
            picture,
            drawing,
        })
    }
}

/// The shape of a film's pixels, as the engine takes it.
#[must_use]
pub fn proportions_of(record: &FilmRecord) -> Proportions {
    let calibration = record.calibration.as_ref();
    calibration.map_or(record.proportions, Calibration::proportions)
}

#[cfg(test)]
mod tests {
    use plumbray_study::{SideChoice, SideSource};

    use super::*;

    #[test]
    fn the_side_says_whether_it_was_confirmed() {
        let mut study = Study::default();
        assert_eq!(
            SheetSide::of(&study).words(),
            ("SIDE UNKNOWN", Some("side not confirmed")),
            "nobody knows"
        );
        study.side = Some(SideChoice::proposed(Side::Left, SideSource::Bones));
        assert_eq!(
            SheetSide::of(&study).words(),
            ("LEFT", Some("side not confirmed")),
            "proposed"
        );
        study.side = Some(SideChoice::entered(Side::Right));
        assert_eq!(SheetSide::of(&study).words(), ("RIGHT", None), "confirmed");
    }
}
