//! The sample foot: copied to a folder of the user's before it is opened, so that nothing is saved
//! beside the films that come with the program.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use directories::ProjectDirs;

use super::Workbench;

/// The films of the sample foot.
const FILMS: [&str; 2] = ["sample-foot-ap.png", "sample-foot-lateral.png"];

impl Workbench {
    pub(super) fn open_sample_foot(&mut self) {
        let Some(folder) = self.places.samples.clone() else {
            self.warn(
                "The sample films are not beside the program. They lie in the folder sample-images \
                 of the project."
                    .to_owned(),
            );
            return;
        };
        let copies = self.places.sample_copies.clone();
        match copy_films(&folder, &copies) {
            Ok(()) => self.open(FILMS.map(|name| copies.join(name)).to_vec()),
            Err(problem) => self.warn(format!(
                "The sample films cannot be copied ({problem}). Copy them to a folder of yours and \
                 open them there: {}",
                folder.display()
            )),
        }
    }
}

/// Copies the films that are not there yet; films there, and the study beside them, stay.
fn copy_films(from: &Path, to: &Path) -> io::Result<()> {
    fs::create_dir_all(to)?;
    for film in FILMS {
        let copy = to.join(film);
        if !copy.exists() {
            fs::copy(from.join(film), copy)?;
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

/// Where the sample foot of this user lies: with the user's data, or in the system's folder for
/// passing files where there is no such place.
pub(super) fn sample_copies_folder() -> PathBuf {
    ProjectDirs::from("", "", "plumbray").map_or_else(
        || std::env::temp_dir().join("plumbray-sample-foot"),
        |folders| folders.data_local_dir().join("sample-foot"),
    )
}
