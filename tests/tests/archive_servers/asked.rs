//! What archives are asked, and whether what came from them is what was sent.

use std::{collections::BTreeSet, path::Path};

use jiff::civil::Date;
use plumbray_archive::{Archive, DateRange, Fetched, Wanted};

use super::films::{Film, opened};

/// Studies of a patient of this name.
pub(crate) fn of_name(name: &str) -> Wanted {
    Wanted {
        patient_name: Some(name.to_owned()),
        ..Wanted::default()
    }
}

/// Studies of these days.
pub(crate) fn of_days(first: Option<Date>, last: Option<Date>) -> Wanted {
    Wanted {
        dates: Some(DateRange { first, last }),
        ..Wanted::default()
    }
}

/// The numbers of the patients whose studies are found, each once.
pub(crate) fn found_ids(archive: &dyn Archive, wanted: &Wanted) -> Vec<String> {
    let found = archive.find_studies(wanted).expect("found");
    assert!(found.is_complete, "few studies");
    let ids: BTreeSet<String> = found
        .studies
        .into_iter()
        .filter_map(|study| study.patient_id)
        .collect();
    ids.into_iter().collect()
}

/// Whether a folder holds exactly these films, each with the data set that was sent.
pub(crate) fn assert_holds(folder: &Path, films: &[&Film], fetched: &Fetched) {
    assert_eq!(
        fetched.complaints,
        Vec::<String>::new(),
        "nothing is missing"
    );
    assert_eq!(fetched.files.len(), films.len(), "{fetched:?}");
    assert_eq!(super::files(folder).len(), films.len(), "no parts are left");
    for film in films {
        let sent = opened(&film.path);
        let name = format!("{}.dcm", sent.identity().instance);
        let came = opened(&folder.join(&name));
        assert_eq!(
            came.transfer_syntax(),
            sent.transfer_syntax(),
            "as it was stored"
        );
        assert!(came.data_set() == sent.data_set(), "{name}: byte for byte");
        assert!(
            samples(&folder.join(&name)) == samples(&film.path),
            "the same pixels"
        );
    }
}

/// The codes of a film.
pub(crate) fn samples(path: &Path) -> Vec<u16> {
    let film = plumbray_film::open(path).unwrap_or_else(|error| panic!("{error}"));
    film.samples().to_vec()
}
