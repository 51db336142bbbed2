//! Patients' names in every character set of pydicom's test files are those that pydicom reads.

use std::path::Path;

use plumbray_film::patient_identity;
use plumbray_tests::printed_outside;
use serde_json::Value;

#[test]
fn names_of_patients_are_those_that_pydicom_reads() {
    let told = printed_outside("pydicom/expected_names.py", [""; 0]);
    let files: Vec<Value> = serde_json::from_slice(&told).expect("a list");
    let mut wrong = Vec::new();
    let (mut compared, mut beyond_ascii) = (0, 0);
    for file in &files {
        let path = file["path"].as_str().expect("a path");
        let Ok(patient) = patient_identity(Path::new(path)) else {
            continue;
        };
        let expected = in_a_line(&file["groups"]);
        compared += 1;
        beyond_ascii += usize::from(!expected.is_ascii());
        if patient.name.as_deref().unwrap_or_default() != expected {
            wrong.push(format!("{path}: {:?}, pydicom {expected}", patient.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        compared > 60 && beyond_ascii > 10,
        "{compared} names, {beyond_ascii} beyond ASCII"
    );
}

/// The first group that is there, family name first.
fn in_a_line(groups: &Value) -> String {
    let mut groups = groups.as_array().expect("groups").iter();
    let group = groups.find_map(|group| group.as_str().filter(|group| !group.trim().is_empty()));
    let mut parts = group
        .unwrap_or_default()
        .split('^')
        .map(str::trim)
        .filter(|part| !part.is_empty());
    let family = parts.next().unwrap_or_default().to_owned();
    let others: Vec<&str> = parts.collect();
    if others.is_empty() {
        family
    } else {
        format!("{family}, {}", others.join(" "))
    }
}
