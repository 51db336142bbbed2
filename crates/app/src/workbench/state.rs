//! What is shown and selected: the state that is neither saved nor undone.

use std::path::PathBuf;

use plumbray_anatomy::{FilmPoint, Landmark, View};
use plumbray_film::Film;
use plumbray_measure::Measurement;

use super::{
    calibrating::Calibrating, comparing::ComparisonFile, exporting::ExportChoices,
    patients::PatientsOfFilms, step::TraceStep,
};
use crate::canvas::{FilmLook, Orientation, Placement};

/// How a film is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmView {
    /// Turned and mirrored how far.
    pub orientation: Orientation,
    /// Which part of it, and how large.
    pub placement: Placement,
    /// Window and level, curve, inversion.
    pub look: FilmLook,
    /// Which of the film's own windows is followed; nothing after the reader changed window or
    /// level.
    pub named_window: Option<usize>,
    /// Whether the graphics are shown that the file lays over the film.
    pub shows_graphics: bool,
}

impl FilmView {
    /// How a film looks when it is opened: whole, upright, through its first window.
    #[must_use]
    pub fn of(film: &Film) -> Self {
        Self {
            orientation: Orientation::default(),
            placement: Placement::Fit,
            look: FilmLook::of_film(film),
            named_window: Some(0),
            shows_graphics: true,
        }
    }
}

/// What is selected, and so shown in the detail zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Selection {
    /// Nothing.
    #[default]
    Nothing,
    /// A row of the worksheet.
    Measurement(Measurement),
    /// A point on a film.
    Point(View, Landmark),
}

/// A page that lies over the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overlay {
    /// The searchable list of all actions.
    Actions,
    /// What the program is, with the caution.
    About,
    /// What is known of the visit: label, dates, operation, reader.
    Visit,
    /// Which rows the worksheet shows.
    Rows,
    /// How the printed sheet is made.
    Sheet,
    /// What is exported for an archive.
    Export,
    /// The visits of the foot, to name and order them.
    Visits,
}

/// How urgent a notice is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Urgency {
    /// Good to know.
    Note,
    /// Something did not work, or needs a look.
    Warning,
}

/// A line of text that tells the reader something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// How urgent it is.
    pub urgency: Urgency,
    /// What it says.
    pub text: String,
}

/// Something that only the window can do: the workbench asks for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Request {
    /// Ask which films to open as a new foot.
    AskForFilms,
    /// Ask which film to add to this foot.
    AskForAnotherFilm,
    /// Ask where to write a table of landmarks; the path is a proposal.
    AskWhereToExport(View, PathBuf),
    /// Ask which table of landmarks to read.
    AskWhatToImport(View),
    /// Ask where to put the printed sheet; the path is a proposal.
    AskWhereToPutSheet(PathBuf),
    /// Ask into which folder exported objects are written; the path is a proposal.
    AskFolderForObjects(PathBuf),
    /// Ask which studies, or which time line, to compare.
    AskForVisits,
    /// Ask which studies to add to the visits that are compared.
    AskForMoreVisits,
    /// Ask where to write a comparison; the path is a proposal.
    AskWhereToPutComparison(ComparisonFile, PathBuf),
    /// Ask where to put the sheet for theatre; the path is a proposal.
    AskWhereToPutPlan(PathBuf),
    /// Ask which folder of studies to look through.
    AskForSeries,
    /// Ask where to write the table of a series; the path is a proposal.
    AskWhereToPutSeries(PathBuf),
    /// Ask where to write how far readers agree; the path is a proposal.
    AskWhereToPutAgreement(ComparisonFile, PathBuf),
    /// Ask which disc or folder of films to list.
    AskForDisc,
    /// Ask into which folder films of a disc are copied.
    AskWhereToCopyFilms,
    /// Ask into which folder films of a study are fetched from an archive.
    AskWhereToFetch(plumbray_archive::WantedFilms),
    /// Ask which practice set to open: a folder.
    AskForPracticeSet,
    /// Ask in which folder the studies lie of which a practice set is made.
    AskForStudiesOfSet,
    /// Ask where to write a practice set, a folder; the path is a proposal.
    AskWhereToPutSet(PathBuf),
    /// Put these rows of the worksheet, as text, where other programs paste from.
    Copy(Vec<Measurement>),
    /// Close the window.
    Quit,
}

/// What is shown and selected.
#[derive(Debug, Default)]
pub struct ViewState {
    /// The film on which the keyboard acts.
    pub active: Option<View>,
    /// The step that the reader chose on each view; where there is none, the first missing one.
    pub chosen_step: [Option<TraceStep>; 2],
    /// The first of two clicks that stand for a sweep.
    pub first_click: Option<(View, FilmPoint)>,
    /// What is selected.
    pub selection: Selection,
    /// A calibration by hand that is under way.
    pub calibrating: Option<Calibrating>,
    /// Whether points are being corrected rather than bones traced.
    pub adjusting: bool,
    /// Whether everything over the films is hidden.
    pub bare: bool,
    /// A page over the window.
    pub overlay: Option<Overlay>,
    /// Whom the films' files name, while the page of the visit shows it.
    pub patients: Option<PatientsOfFilms>,
    /// Whether the sheet that is being made names the patient.
    pub sheet_names_patient: bool,
    /// What is exported for an archive, and how.
    pub export: ExportChoices,
}

impl ViewState {
    pub(crate) const fn chosen_step_mut(&mut self, view: View) -> &mut Option<TraceStep> {
        &mut self.chosen_step[view as usize]
    }
}
