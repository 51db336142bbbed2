//! Asking for files: the desktop's dialogs behind a small trait, so that tests hand in a path.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;

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
        let dialog = rfd::AsyncFileDialog::new();
        let films = || {
            rfd::AsyncFileDialog::new()
                .add_filter("Films and studies", &[&FILM_ENDINGS[..], &["ron"]].concat())
                .add_filter("All files, such as DICOM without an ending", &["*"])
        };
        match request {
            Request::AskForFilms => {
                let picked = films().set_title("Open the films of one foot").pick_files();
                let files = pollster::block_on(picked)?;
                Some(files.iter().map(|file| file.path().to_owned()).collect())
            }
            Request::AskForAnotherFilm => {
                let picked = films().set_title("Add a film to this foot").pick_file();
                Some(vec![pollster::block_on(picked)?.path().to_owned()])
            }
            Request::AskWhereToExport(view, proposal) => {
                let name = proposal.file_name().unwrap_or_default().to_string_lossy();
                let folder = proposal.parent().map(PathBuf::from).unwrap_or_default();
                let title = format!("Export the landmarks of the {} film", view.name());
                let saved = dialog
                    .set_title(title)
                    .set_directory(folder)
                    .set_file_name(name)
                    .save_file();
                Some(vec![pollster::block_on(saved)?.path().to_owned()])
            }
            Request::AskWhereToPutSheet(proposal) | Request::AskWhereToPutPlan(proposal) => {
                where_to_put(ComparisonFile::Sheet, proposal)
            }
            Request::AskWhereToPutSeries(proposal) => {
                let name = proposal.file_name().unwrap_or_default().to_string_lossy();
                let saved = dialog
                    .set_title("Write the table of these visits")
                    .add_filter("Tables: .csv, .parquet, .json", &["csv", "parquet", "json"])
                    .set_directory(proposal.parent().map(PathBuf::from).unwrap_or_default())
                    .set_file_name(name)
                    .save_file();
                Some(vec![pollster::block_on(saved)?.path().to_owned()])
            }
            Request::AskWhereToPutComparison(file, proposal)
            | Request::AskWhereToPutAgreement(file, proposal) => where_to_put(*file, proposal),
            Request::AskWhatToImport(view) => {
                let title = format!("Import landmarks for the {} film", view.name());
                let picked = dialog
                    .set_title(title)
                    .add_filter("Tables", &["csv", "CSV"])
                    .pick_file();
                Some(vec![pollster::block_on(picked)?.path().to_owned()])
            }
            Request::AskForVisits | Request::AskForMoreVisits => {
                let picked = dialog
                    .set_title("Compare studies of one foot")
                    .add_filter("Studies and time lines", &["ron"])
                    .pick_files();
                let files = pollster::block_on(picked)?;
                Some(files.iter().map(|file| file.path().to_owned()).collect())
            }
            Request::AskForSeries => {
                let picked = dialog
                    .set_title("Look through a folder of studies")
                    .pick_folder();
                Some(vec![pollster::block_on(picked)?.path().to_owned()])
            }
            Request::AskForPracticeSet => {
                let picked = dialog.set_title("Open a practice set").pick_folder();
                Some(vec![pollster::block_on(picked)?.path().to_owned()])
            }
            Request::AskForStudiesOfSet => {
                let picked = dialog
                    .set_title("Choose the folder of the studies")
                    .pick_folder();
                Some(vec![pollster::block_on(picked)?.path().to_owned()])
            }
            Request::AskWhereToPutSet(proposal) => {
                let name = proposal.file_name().unwrap_or_default().to_string_lossy();
                let folder = proposal.parent().map(PathBuf::from).unwrap_or_default();
                let saved = dialog
                    .set_title("Where to write the practice set: a new folder")
                    .set_directory(folder)
                    .set_file_name(name)
                    .save_file();
                Some(vec![pollster::block_on(saved)?.path().to_owned()])
            }
            Request::Copy(_) | Request::Quit => None,
        }
    }
}

fn where_to_put(file: ComparisonFile, proposal: &Path) -> Option<Vec<PathBuf>> {
    let name = proposal.file_name().unwrap_or_default().to_string_lossy();
    let folder = proposal.parent().map(PathBuf::from).unwrap_or_default();
    let (title, kind) = match file {
        ComparisonFile::Sheet => ("Make a sheet to print", "PDF"),
        ComparisonFile::Table => ("Write the table", "Tables"),
        ComparisonFile::Plot => ("Write the plot as a picture", "PNG"),
    };
    let saved = rfd::AsyncFileDialog::new()
        .set_title(title)
        .add_filter(kind, &[file.ending()])
        .set_directory(folder)
        .set_file_name(name)
        .save_file();
    Some(vec![pollster::block_on(saved)?.path().to_owned()])
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
        | Request::AskWhereToPutSeries(_)
        | Request::AskForStudiesOfSet
        | Request::AskWhereToPutSet(_)
        | Request::AskWhereToPutSheet(_)
        | Request::AskWhereToPutPlan(_)
        | Request::AskWhereToPutComparison(..)
        | Request::AskWhereToPutAgreement(..)
        | Request::Copy(_)
        | Request::Quit => None,
    }
}
