//! Films of the samples, as a clinic would have them: of different patients, on different days.

use std::{
    path::{Path, PathBuf},
    process::Command,
};

use plumbray_archive::StoredObject;
use plumbray_tests::repository;

/// A film and what was written into it.
pub(crate) struct Film {
    pub(crate) path: PathBuf,
    pub(crate) patient_id: &'static str,
    pub(crate) name: &'static str,
    pub(crate) date: &'static str,
}

/// The patients: a foot has two films, which belong to one study.
const PATIENTS: [(&str, &str, &str, &str, &str); 3] = [
    ("alder", "A-1", "Alder^Anna", "20260105", "2.25.7100"),
    ("birch", "B-2", "Birch^Björn", "20260210", "2.25.7200"),
    ("elm", "B-3", "Birchwood^Cara", "20260315", "2.25.7300"),
];

/// Six films of three patients, in a folder.
pub(crate) fn films(folder: &Path) -> Vec<Film> {
    let mut films = Vec::new();
    for (foot, patient_id, name, date, study) in PATIENTS {
        for view in ["ap", "lateral"] {
            let path = folder.join(format!("{foot}-{view}.dcm"));
            std::fs::copy(sample(&format!("{foot}-{view}.dcm")), &path).expect("copied");
            modify(
                &path,
                &[
                    &format!("PatientID={patient_id}"),
                    &format!("PatientName={name}"),
                    &format!("StudyDate={date}"),
                    &format!("StudyInstanceUID={study}"),
                    &format!("AccessionNumber=ACC-{patient_id}"),
                    &format!("StudyDescription=Foot, {foot}"),
                ],
            );
            films.push(Film {
                path,
                patient_id,
                name,
                date,
            });
        }
    }
    films
}

/// A film of the samples.
pub(crate) fn sample(name: &str) -> PathBuf {
    repository().join("sample-images").join(name)
}

/// All DICOM films of the samples that have different names.
pub(crate) fn all_samples() -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = super::files(&repository().join("sample-images"))
        .into_iter()
        .filter(|path| path.extension().is_some_and(|extension| extension == "dcm"))
        .collect();
    let mut seen = std::collections::BTreeSet::new();
    paths.retain(|path| seen.insert(opened(path).identity().instance.clone()));
    paths
}

/// The object in a file.
pub(crate) fn opened(path: &Path) -> StoredObject {
    StoredObject::open(path).unwrap_or_else(|error| panic!("{error}"))
}

/// Writes elements of a file anew.
pub(crate) fn modify(path: &Path, elements: &[&str]) {
    let mut command = Command::new("dcmodify");
    command.arg("--no-backup");
    for element in elements {
        command.args(["--insert", element]);
    }
    run(command.arg(path));
}

/// The same film, its pixels uncompressed, written explicitly.
pub(crate) fn uncompressed(path: &Path, into: &Path) -> PathBuf {
    let target = into.join("uncompressed.dcm");
    run(Command::new("dcmdjpeg").arg(path).arg(&target));
    target
}

fn run(command: &mut Command) {
    let output = command
        .output()
        .unwrap_or_else(|error| panic!("these tests need dcmtk (Debian: dcmtk): {error}"));
    assert!(output.status.success(), "{command:?}: {output:?}");
}
