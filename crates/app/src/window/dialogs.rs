//! Asking for files: the desktop's dialogs behind a small trait, so that tests hand in a path.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;
use rfd::AsyncFileDialog;

use crate::workbench::{ComparisonFile, Request};

/// Endings of the films that are read; desktops match them by case, so both are listed.
const FILM_ENDINGS: [&str; 14] = [
    "dcm", "DCM", "png", "PNG", "tif", "TIF", "tiff", "TIFF", "jpg", "JPG", "jpeg", "JPEG", "bmp",
    "BMP",
];

/// Asks a person for files. Called off the window's thread; nothing stands for "cancelled".
pub trait AskFiles: Send + Sync {
    /// The files that answer a request.
    fn ask(&self, request: &Request) -> Option<Vec<PathBuf>>;
}

/// The desktop's own dialogs.
#[derive(Debug, Default)]
pub struct DesktopDialogs;

impl AskFiles for DesktopDialogs {
    fn ask(&self, request: &Request) -> Option<Vec<PathBuf>> {
        match request {
            Request::AskForFilms => several(films().set_title("Open the films of one foot")),
            Request::AskForAnotherFilm => one(films().set_title("Add a film to this foot")),
            Request::AskWhereToExport(view, proposal) => {
                let title = format!("Export the landmarks of the {} film", view.name());
                saved(&title, None, proposal)
            }
            Request::AskWhereToPutSheet(proposal) | Request::AskWhereToPutPlan(proposal) => {
                where_to_put(ComparisonFile::Sheet, proposal)
            }
            Request::AskWhereToPutSeries(proposal) => {
                let kinds: (&str, &[&str]) =
                    ("Tables: .csv, .parquet, .json", &["csv", "parquet", "json"]);
                saved("Write the table of these visits", Some(kinds), proposal)
            }
            Request::AskWhereToPutComparison(file, proposal)
            | Request::AskWhereToPutAgreement(file, proposal) => where_to_put(*file, proposal),
            Request::AskWhatToImport(view) => {
                let title = format!("Import landmarks for the {} film", view.name());
                let dialog = AsyncFileDialog::new().set_title(title);
                one(dialog.add_filter("Tables", &["csv", "CSV"]))
            }
            Request::AskForVisits | Request::AskForMoreVisits => {
                let dialog = AsyncFileDialog::new().set_title("Compare studies of one foot");
                several(dialog.add_filter("Studies and time lines", &["ron"]))
            }
            Request::AskFolderForObjects(proposal) => {
                folder_beside("Write into a folder", proposal)
            }
            Request::AskFolderForKeptWork => {
                folder("Copy the kept work with its films into a folder")
            }
            Request::AskForSeries => folder("Look through a folder of studies"),
            Request::AskForDisc => folder("List the films of a disc or folder"),
            Request::AskWhereToCopyFilms => folder("Copy the films into a folder"),
            Request::AskWhereToFetch(_) => folder("Fetch the films into a folder"),
            Request::AskForPracticeSet => folder("Open a practice set"),
            Request::AskForStudiesOfSet => folder("Choose the folder of the studies"),
            Request::AskWhereToPutSet(proposal) => saved(
                "Where to write the practice set: a new folder",
                None,
                proposal,
            ),
            Request::Copy(_) | Request::Quit => None,
        }
    }
}

fn films() -> AsyncFileDialog {
    AsyncFileDialog::new()
        .add_filter("Films and studies", &[&FILM_ENDINGS[..], &["ron"]].concat())
        .add_filter("All files, such as DICOM without an ending", &["*"])
}

fn one(dialog: AsyncFileDialog) -> Option<Vec<PathBuf>> {
    let picked = pollster::block_on(dialog.pick_file())?;
    Some(vec![picked.path().to_owned()])
}

fn several(dialog: AsyncFileDialog) -> Option<Vec<PathBuf>> {
    let picked = pollster::block_on(dialog.pick_files())?;
    Some(picked.iter().map(|file| file.path().to_owned()).collect())
}

fn folder(title: &str) -> Option<Vec<PathBuf>> {
    let dialog = AsyncFileDialog::new().set_title(title);
    let picked = pollster::block_on(dialog.pick_folder())?;
    Some(vec![picked.path().to_owned()])
}

/// A folder that is chosen, or made in the dialog, beside a proposed one.
fn folder_beside(title: &str, proposal: &Path) -> Option<Vec<PathBuf>> {
    let dialog = AsyncFileDialog::new()
        .set_title(title)
        .set_directory(proposal.parent().map(PathBuf::from).unwrap_or_default());
    let picked = pollster::block_on(dialog.pick_folder())?;
    Some(vec![picked.path().to_owned()])
}

/// Where something is written; `kinds` are the endings that are offered, under a name.
fn saved(title: &str, kinds: Option<(&str, &[&str])>, proposal: &Path) -> Option<Vec<PathBuf>> {
    let mut dialog = AsyncFileDialog::new().set_title(title);
    if let Some((name, endings)) = kinds {
        dialog = dialog.add_filter(name, endings);
    }
    let name = proposal.file_name().unwrap_or_default().to_string_lossy();
    let dialog = dialog
        .set_directory(proposal.parent().map(PathBuf::from).unwrap_or_default())
        .set_file_name(name);
    let picked = pollster::block_on(dialog.save_file())?;
    Some(vec![picked.path().to_owned()])
}

fn where_to_put(file: ComparisonFile, proposal: &Path) -> Option<Vec<PathBuf>> {
    let (title, kind) = match file {
        ComparisonFile::Sheet => ("Make a sheet to print", "PDF"),
        ComparisonFile::Table => ("Write the table", "Tables"),
        ComparisonFile::Plot => ("Write the plot as a picture", "PNG"),
    };
    saved(title, Some((kind, &[file.ending()])), proposal)
}

/// The view that a request is about, where it is about one.
#[must_use]
pub(super) const fn view_of(request: &Request) -> Option<View> {
    match request {
        Request::AskWhereToExport(view, _) | Request::AskWhatToImport(view) => Some(*view),
        Request::AskForFilms
        | Request::AskForAnotherFilm
        | Request::AskForVisits
        | Request::AskForMoreVisits
        | Request::AskForPracticeSet
        | Request::AskForSeries
        | Request::AskForDisc
        | Request::AskWhereToCopyFilms
        | Request::AskWhereToFetch(_)
        | Request::AskWhereToPutSeries(_)
        | Request::AskForStudiesOfSet
        | Request::AskWhereToPutSet(_)
        | Request::AskWhereToPutSheet(_)
        | Request::AskFolderForObjects(_)
        | Request::AskFolderForKeptWork
        | Request::AskWhereToPutPlan(_)
        | Request::AskWhereToPutComparison(..)
        | Request::AskWhereToPutAgreement(..)
        | Request::Copy(_)
        | Request::Quit => None,
    }
}
