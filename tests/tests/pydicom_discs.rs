//! Discs among pydicom's test files list the films that pydicom finds by their directory, put in order by the same
//! patients, studies and series: directories in implicit and big-endian encoding, reordered, without offsets.

use std::{
    collections::BTreeSet,
    fs,
    ops::ControlFlow,
    path::{Path, PathBuf},
};

use plumbray_film::{Disc, list_disc};
use plumbray_tests::printed_outside;
use serde_json::Value;

type Row = [String; 4];

#[test]
fn discs_list_the_films_that_pydicom_finds() {
    let told = printed_outside("pydicom/expected_discs.py", [""; 0]);
    let discs: Vec<Value> = serde_json::from_slice(&told).expect("a list");
    let mut compared = 0;
    for disc in &discs {
        let directory = Path::new(disc["directory"].as_str().expect("a path"));
        let films = disc["films"].as_array().expect("films");
        if films.is_empty() {
            continue;
        }
        let place = tempfile::tempdir().expect("a folder");
        let root = place.path().canonicalize().expect("a path");
        copy_disc(directory, &root);
        let listed = list_disc(&root, &mut |_| ControlFlow::Continue(())).expect("a disc");
        assert!(listed.problems.is_empty(), "{:?}", listed.problems);
        let expected: BTreeSet<Row> = films.iter().map(row_of).collect();
        assert_eq!(rows(&listed, &root), expected, "{}", directory.display());
        assert_eq!(listed.film_count(), films.len(), "each once");
        compared += 1;
    }
    assert!(compared >= 6, "only {compared} discs");
}

fn row_of(film: &Value) -> Row {
    ["path", "patient", "study", "series"].map(|key| film[key].as_str().expect("a text").to_owned())
}

fn rows(disc: &Disc, root: &Path) -> BTreeSet<Row> {
    let mut rows = BTreeSet::new();
    for patient in &disc.patients {
        for study in &patient.studies {
            for series in &study.series {
                for film in &series.films {
                    let path = film.path.strip_prefix(root).expect("on the disc");
                    rows.insert([
                        path.to_string_lossy().into_owned(),
                        patient.identity.identifier.clone().unwrap_or_default(),
                        study.about.uid.clone(),
                        series.about.uid.clone(),
                    ]);
                }
            }
        }
    }
    rows
}

/// The films beside a directory, and the directory itself under its proper name.
fn copy_disc(directory: &Path, root: &Path) {
    let folder = directory.parent().expect("a folder");
    let mut folders = vec![PathBuf::new()];
    while let Some(below) = folders.pop() {
        fs::create_dir_all(root.join(&below)).expect("a folder");
        for entry in fs::read_dir(folder.join(&below))
            .expect("readable")
            .flatten()
        {
            let name = below.join(entry.file_name());
            if entry.path().is_dir() {
                folders.push(name);
            } else if !entry.file_name().to_string_lossy().starts_with("DICOMDIR") {
                fs::copy(entry.path(), root.join(&name)).expect("a copy");
            }
        }
    }
    fs::copy(directory, root.join("DICOMDIR")).expect("a copy");
}
