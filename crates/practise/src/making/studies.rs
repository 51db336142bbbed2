//! A practice set from studies that a supervisor traced.

use std::path::{Path, PathBuf};

use plumbray_anatomy::{Side, View};
use plumbray_film::Film;
use plumbray_measure::{Choices, Measurement, TracedFilm, measure, side_from_bones};
use plumbray_study::{ContentHash, FilmRecord, Study, load};

use super::{
    MakingError, folder::SetFolder, picture::write_grey_picture, simulated::reference_for,
    simulated_feet::SEVERE_DEGREES,
};
use crate::set::{
    Difficulty, DifficultyReason, LessonDefaults, MOST_FEET, PracticeFilm, PracticeFoot,
    PracticeSet, Reference, ReferenceSource,
};

/// What a set of studies cannot take away, in words for whoever makes one.
pub const BURNT_IN: &str = "Text that is burnt into a film’s pixels stays in its picture: look at each one before you hand the set on.";

/// A set to be made of studies.
#[derive(Clone, Debug, PartialEq)]
pub struct SupervisedSet {
    /// What the set is called.
    pub name: String,
    /// Who makes it.
    pub made_by: String,
    /// Who answers for the set. Each reference is its study's reader's, whoever that is.
    pub supervisor: String,
    /// What a lesson goes by.
    pub defaults: LessonDefaults,
    /// The studies, one for each foot.
    pub studies: Vec<StudyForSet>,
}

/// A study that becomes a practice foot.
#[derive(Clone, Debug, PartialEq)]
pub struct StudyForSet {
    /// The study's file.
    pub path: PathBuf,
    /// How hard the supervisor finds it, and why; a severe deformity is added by its angles.
    pub difficulty: Difficulty,
    /// Words to find it by.
    pub tags: Vec<String>,
    /// The pictures that somebody looked at for names: a study with any other film is refused. Nothing where nobody is
    /// asked to look beforehand.
    pub looked_at: Option<Vec<SeenPicture>>,
}

/// A picture of a file that somebody looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SeenPicture {
    /// The content of the file, as [`Film::content_hash`] gives it.
    pub content: String,
    /// Which of the file's pictures, from 1.
    pub number: u32,
}

impl SeenPicture {
    /// The picture that this film is.
    #[must_use]
    pub fn of(film: &Film) -> Self {
        Self {
            content: film.content_hash().to_owned(),
            number: film.frame().number,
        }
    }

    /// Whether this is the picture of a record.
    fn is_of(&self, record: &FilmRecord) -> bool {
        self.content == record.hash.to_string() && self.number == record.picture.get()
    }
}

/// Makes a set of studies in a new folder, and gives the set. Of each film only the grey picture is copied, as a
/// PNG: neither the patient's name nor any other word of its file, nor the study's own name. Whatever is burnt into
/// the pixels stays, so look at each picture before you hand the set on ([`BURNT_IN`]).
///
/// `written` is told after each foot how many are written.
///
/// # Errors
/// [`MakingError`] when a study or film cannot be read, nobody looked at a study's tracing, it names no reader or no confirmed side, or the file system
/// refuses; no set is then left behind.
pub fn set_from_studies(
    folder: &Path,
    request: &SupervisedSet,
    written: &mut dyn FnMut(usize),
) -> Result<PracticeSet, MakingError> {
    let refused = |what: &str| MakingError::Request {
        what: what.to_owned(),
    };
    if request.supervisor.trim().is_empty() {
        return Err(refused(
            "name the supervisor whose tracings the references are",
        ));
    }
    if request.studies.is_empty() || request.studies.len() > MOST_FEET {
        return Err(refused("choose from 1 to 2000 studies"));
    }
    let place = SetFolder::begin(folder)?;
    let feet = (1..)
        .zip(&request.studies)
        .map(|(number, study)| {
            // A study's own name may be a patient's.
            let identifier = format!("foot-{number:02}");
            let foot = copied_foot(&place, &identifier, study)?;
            written(number);
            Ok(foot)
        })
        .collect::<Result<Vec<_>, MakingError>>()?;
    let set = PracticeSet {
        name: request.name.clone(),
        made_by: request.made_by.clone(),
        made_with: format!("studies traced by {}", request.supervisor),
        defaults: request.defaults.clone(),
        feet,
    };
    place.finish(&set)?;
    Ok(PracticeSet::open(folder)?)
}

fn copied_foot(
    place: &SetFolder,
    identifier: &str,
    wanted: &StudyForSet,
) -> Result<PracticeFoot, MakingError> {
    let study = load(&wanted.path)?;
    let study_folder = wanted.path.parent().unwrap_or(Path::new(""));
    let film = |view: View| {
        study
            .film(view)
            .map(|record| {
                let was_seen = |all: &Vec<SeenPicture>| all.iter().any(|seen| seen.is_of(record));
                if !wanted.looked_at.as_ref().is_none_or(was_seen) {
                    return Err(MakingError::NoReference {
                        what: "it has a film that was not looked at for names; read the studies again and look at it"
                            .to_owned(),
                        path: wanted.path.clone(),
                    });
                }
                copied_film(place, identifier, view, record, study_folder)
            })
            .transpose()
    };
    let films = [film(View::Ap)?, film(View::Lateral)?];
    let (foot, reference) = judged_foot(identifier, wanted, study, films)?;
    place.add_reference(&foot.reference, &reference)?;
    Ok(foot)
}

/// The foot of a study with these films, AP and lateral, and its reference.
///
/// # Errors
/// [`MakingError::NoReference`] where nobody looked at the tracing, it names no reader or no confirmed side, or gives
/// no number.
pub(super) fn judged_foot(
    identifier: &str,
    wanted: &StudyForSet,
    study: Study,
    [ap, lateral]: [Option<PracticeFilm>; 2],
) -> Result<(PracticeFoot, Reference), MakingError> {
    let no_reference = |what: &str| MakingError::NoReference {
        what: what.to_owned(),
        path: wanted.path.clone(),
    };
    if study.draft_of_the_program().is_some() {
        return Err(no_reference(
            "the program traced it and nobody has looked at it; open it, look at its points, write in who read it and save it",
        ));
    }
    let reader = study.reader.name.trim().to_owned();
    if reader.is_empty() {
        return Err(no_reference(
            "it does not say who traced it; open it, write the reader under “Visit, dates and reader” and save it",
        ));
    }
    let side = side(&study).ok_or_else(|| {
        no_reference("nobody says which foot it is; open it, choose the side and save it")
    })?;
    if study.side.is_none_or(|choice| !choice.confirmed) {
        return Err(no_reference(
            "nobody confirmed which foot it is; open it, confirm the side and save it",
        ));
    }
    let mut foot = PracticeFoot {
        identifier: identifier.to_owned(),
        side,
        operated: study.visit.operated,
        ap,
        lateral,
        difficulty: wanted.difficulty.clone(),
        tags: wanted.tags.clone(),
        reference: format!("{identifier}.reference"),
    };
    let source = ReferenceSource::Supervisor {
        // Whoever makes the set says nothing of who traced.
        name: reader,
    };
    let reference = reference_for(&foot, source, study.tracing);
    if reference.measurements.is_empty() {
        return Err(no_reference(
            "its tracing gives no measurement; trace it and save it",
        ));
    }
    let angle = |measurement| {
        let traced = foot.traced(&reference.tracing);
        let outcome = measure(&traced, &Choices::default(), measurement);
        outcome.reading().map(|reading| reading.value)
    };
    let is_severe = angle(Measurement::HalluxValgusAngle)
        .is_some_and(|degrees| degrees > SEVERE_DEGREES[0])
        || angle(Measurement::IntermetatarsalAngle12)
            .is_some_and(|degrees| degrees >= SEVERE_DEGREES[1]);
    let reasons = &foot.difficulty.reasons;
    if is_severe && !reasons.contains(&DifficultyReason::Deformity) {
        let deformity = [DifficultyReason::Deformity].into_iter();
        let reasons = deformity.chain(reasons.iter().copied()).collect();
        foot.difficulty = Difficulty::by_reasons(reasons);
    }
    Ok((foot, reference))
}

/// Which foot a study shows: as it says, or else by the order of its metatarsals.
pub(super) fn side(study: &Study) -> Option<Side> {
    let by_bones = || {
        let film = study.film(View::Ap)?;
        side_from_bones(TracedFilm {
            tracing: &study.tracing.ap,
            proportions: film.proportions,
            calibration: None,
        })
    };
    study.foot().or_else(by_bones)
}

fn copied_film(
    place: &SetFolder,
    identifier: &str,
    view: View,
    record: &FilmRecord,
    study_folder: &Path,
) -> Result<PracticeFilm, MakingError> {
    let film = traced_film(record, study_folder)?;
    let file = format!("{identifier}-{}.png", view.identifier());
    let path = place.path(&file);
    write_grey_picture(&film, &path)?;
    let hash = ContentHash::of_file(&path).map_err(|cause| MakingError::File { path, cause })?;
    Ok(practice_film(record, file, hash))
}

/// The film of a record, which is still the one that was traced.
///
/// # Errors
/// [`MakingError`] when it cannot be read, and when it was changed since.
pub(super) fn traced_film(record: &FilmRecord, study_folder: &Path) -> Result<Film, MakingError> {
    let film = plumbray_film::open_frame(&record.path_in(study_folder), record.picture.get())?;
    let same = |pixels: usize, side: u32| u32::try_from(pixels).is_ok_and(|own| own == side);
    if film.content_hash() != record.hash.to_string()
        || !same(film.width(), record.width_px)
        || !same(film.height(), record.height_px)
    {
        return Err(MakingError::NoReference {
            what: "its film was changed since it was traced; open the study, check the tracing and save it"
                .to_owned(),
            path: record.path_in(study_folder),
        });
    }
    Ok(film)
}

/// A film of a set in this file of this content, with what the study knows of its pixels.
pub(super) fn practice_film(record: &FilmRecord, file: String, hash: ContentHash) -> PracticeFilm {
    PracticeFilm {
        file,
        hash,
        width_px: record.width_px,
        height_px: record.height_px,
        proportions: record
            .calibration
            .map_or(record.proportions, |calibration| calibration.proportions()),
        calibration: record.calibration,
    }
}
