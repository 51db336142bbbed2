//! The sample films of the repository and what is true of them.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_phantom::FilmTruth;

/// The folder of the sample films.
pub(crate) fn sample_images() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images")
}

/// The truth of a sample film.
pub(crate) fn truth_of(name: &str) -> FilmTruth {
    let path = sample_images().join(format!("{name}.truth.ron"));
    let text = fs::read_to_string(&path).expect("a truth beside each sample film");
    ron::from_str(&text).unwrap_or_else(|problem| panic!("{}: {problem}", path.display()))
}
