//! The sample foot: copied to a folder of the user's before it is opened, so that nothing is saved
//! beside the films that come with the program.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use super::Workbench;

/// The films of the sample foot, to be traced.
const FILMS: [&str; 2] = ["sample-foot-ap.png", "sample-foot-lateral.png"];

/// The same foot in DICOM, with the study in which it is traced.
const TRACED: [&str; 3] = [
    "sample-foot-ap.dcm",
    "sample-foot-lateral.dcm",
    TRACED_STUDY,
];
const TRACED_STUDY: &str = "sample-foot-ap.dcm.study.ron";

impl Workbench {
    /// The sample foot, ready to be traced.
    pub(super) fn open_sample_foot(&mut self) {
        self.open_copies(&FILMS, &FILMS);
    }

    /// The sample foot as somebody traced it.
    pub(super) fn open_traced_sample_foot(&mut self) {
        self.open_copies(&TRACED, &[TRACED_STUDY]);
    }

    fn open_copies(&mut self, files: &[&str], opened: &[&str]) {
        let Some(folder) = self.places.samples.clone() else {
            self.warn(
                "The sample films are not beside the program. They lie in the folder sample-images \
                 of the project."
                    .to_owned(),
            );
            return;
        };
        let copies = self.places.sample_copies.clone();
        match copy_missing(files, &folder, &copies) {
            Ok(()) => self.open(opened.iter().map(|name| copies.join(name)).collect()),
            Err(problem) => self.warn(format!(
                "The sample films cannot be copied ({problem}). Copy them to a folder of yours and \
                 open them there: {}",
                folder.display()
            )),
        }
    }
}

/// Copies the files that are not there yet; files there stay as the user left them.
fn copy_missing(files: &[&str], from: &Path, to: &Path) -> io::Result<()> {
    fs::create_dir_all(to)?;
    for file in files {
        let copy = to.join(file);
        if !copy.exists() {
            fs::copy(from.join(file), copy)?;
        }
    }
    Ok(())
}

/// The folder of the sample films: beside the program, or in the project it was built from.
pub(super) fn sample_folder() -> Option<PathBuf> {
    let beside = std::env::current_exe()
        .ok()?
        .parent()?
        .join("sample-images");
    let of_project = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images");
    [beside, of_project]
        .into_iter()
        .find(|folder| folder.is_dir())
}

/// The practice set that comes with the program, in the folder of the sample films.
pub(super) fn shipped_practice_set(samples: &Path) -> Option<PathBuf> {
    let folder = samples.join("practice");
    folder.is_dir().then_some(folder)
}
