//! Whom the films of a foot name.

use std::path::Path;

use plumbray_film::{PatientIdentity, patient_identity};
use plumbray_report::Identity;

/// Whom films name, each fact once.
#[must_use]
pub(crate) fn identity_of<'a>(films: impl IntoIterator<Item = &'a Path>) -> Identity {
    let mut facts: Vec<String> = Vec::new();
    for film in films {
        // A film that cannot be read has been told of already.
        let said = patient_identity(film).unwrap_or_default();
        for fact in facts_of(said) {
            if !facts.contains(&fact) {
                facts.push(fact);
            }
        }
    }
    if facts.is_empty() {
        facts.push("Patient: the films’ files name nobody".to_owned());
    }
    Identity { facts }
}

fn facts_of(said: PatientIdentity) -> Vec<String> {
    [
        ("Patient", said.name),
        ("number", said.identifier),
        ("born", said.birth_date),
    ]
    .into_iter()
    .filter_map(|(name, fact)| Some(format!("{name}: {}", fact?)))
    .collect()
}
