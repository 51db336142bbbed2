//! From a film to its studies, and back.

use std::{
    ffi::{OsStr, OsString},
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::Side;

use crate::format::study_from_text;

/// The end of every study's file name.
pub const STUDY_ENDING: &str = ".study.ron";

/// Studies larger than this are not searched for the name of a film. A study with every bone traced
/// is below 0.2 MB.
const MAX_SEARCHED_BYTES: u64 = 2 << 20;

/// No more studies than this are searched in one folder.
const MAX_SEARCHED_STUDIES: usize = 2_000;

/// No more names than this are looked at in one folder.
const MAX_LISTED_NAMES: usize = 100_000;

/// The file of a film's study: `ap.png.study.ron` beside `ap.png`.
///
/// A film that shows both feet has a study for each: `ap.png.left.study.ron`. Give the foot only
/// then. A study goes by its AP film; while there is none, by its lateral film.
#[must_use]
pub fn study_path(film: &Path, foot: Option<Side>) -> PathBuf {
    let mut name = film.file_name().map_or_else(OsString::new, OsStr::to_owned);
    if let Some(side) = foot {
        name.push(".");
        name.push(side.identifier());
    }
    name.push(STUDY_ENDING);
    film.with_file_name(name)
}

/// The studies of a film that exist on disk: first those that go by its name, then those beside it
/// that mention it, such as the study of the AP film when `film` is its lateral.
///
/// Nothing is said of their state: a damaged study that goes by the film's name, or mentions it, is
/// listed too, so that opening it explains itself.
#[must_use]
pub fn studies_of(film: &Path) -> Vec<PathBuf> {
    let mut studies: Vec<PathBuf> = [None, Some(Side::Left), Some(Side::Right)]
        .into_iter()
        .map(|foot| study_path(film, foot))
        .filter(|path| path.is_file())
        .collect();
    if let Some(name) = film.file_name().and_then(OsStr::to_str) {
        for path in studies_beside(film) {
            if !studies.contains(&path) && mentions(&path, name) {
                studies.push(path);
            }
        }
    }
    studies
}

/// The studies in the film's folder, by name.
fn studies_beside(film: &Path) -> Vec<PathBuf> {
    let mut paths = files_ending(film.parent().unwrap_or(Path::new("")), STUDY_ENDING);
    paths.truncate(MAX_SEARCHED_STUDIES);
    paths
}

/// The files of a folder whose names end so, by name; none where the folder cannot be read. An empty path is
/// the folder that the program runs in. No more than 100,000 names are looked at.
#[must_use]
pub fn files_ending(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let listed = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let Ok(entries) = fs::read_dir(listed) else {
        return Vec::new();
    };
    let mut paths: Vec<PathBuf> = entries
        .take(MAX_LISTED_NAMES)
        .filter_map(Result::ok)
        .filter(|entry| {
            entry
                .file_name()
                .as_encoded_bytes()
                .ends_with(ending.as_bytes())
        })
        .map(|entry| folder.join(entry.file_name()))
        .collect();
    paths.sort();
    paths
}

/// The name of a study's file without its ending: what files that are made of it are named after. Of a file that is
/// no study its whole name.
#[must_use]
pub fn study_stem(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.strip_suffix(STUDY_ENDING).unwrap_or(&name).to_owned()
}

/// Whether two paths lead to one file; of files that are not there, whether the paths are the same.
#[must_use]
pub fn is_same_file(one: &Path, other: &Path) -> bool {
    match (fs::canonicalize(one), fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}

/// Whether a study names the film as one of its own; a study that cannot be read counts when the
/// name stands anywhere in it.
fn mentions(study: &Path, film_name: &str) -> bool {
    let small_file = fs::metadata(study)
        .is_ok_and(|metadata| metadata.is_file() && metadata.len() <= MAX_SEARCHED_BYTES);
    if !small_file {
        return false;
    }
    let Ok(bytes) = fs::read(study) else {
        return false;
    };
    let text = String::from_utf8_lossy(&bytes);
    // Most studies are of other films, and finding a name is far cheaper than reading a study.
    if !text.contains(&film_name.escape_debug().to_string()) && !text.contains(film_name) {
        return false;
    }
    study_from_text(&text).map_or(true, |study| {
        [study.ap, study.lateral]
            .into_iter()
            .flatten()
            .any(|film| film.file == film_name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        content_hash::ContentHash, film_record::FilmRecord, format::study_to_text, study::Study,
    };

    fn film(name: &str) -> FilmRecord {
        FilmRecord {
            file: name.to_owned(),
            hash: ContentHash::of_bytes(name.as_bytes()),
            picture: std::num::NonZeroU32::MIN,
            width_px: 40,
            height_px: 30,
            proportions: plumbray_anatomy::Proportions::SQUARE,
            calibration: None,
            date: None,
        }
    }

    fn put(folder: &Path, name: &str, ap: Option<&str>, lateral: Option<&str>) -> PathBuf {
        let study = Study {
            ap: ap.map(film),
            lateral: lateral.map(film),
            ..Study::default()
        };
        let path = folder.join(name);
        fs::write(&path, study_to_text(&study).expect("storable")).expect("written");
        path
    }

    #[test]
    fn a_study_goes_by_its_film_with_the_ending_kept() {
        assert_eq!(
            study_path(Path::new("/films/foot.ap.png"), None),
            Path::new("/films/foot.ap.png.study.ron"),
            "one foot"
        );
        assert_eq!(
            study_path(Path::new("both.dcm"), Some(Side::Right)),
            Path::new("both.dcm.right.study.ron"),
            "both feet on the film"
        );
    }

    #[test]
    fn a_study_is_found_from_either_film() {
        let folder = tempfile::tempdir().expect("a folder");
        let study = put(
            folder.path(),
            "ap.png.study.ron",
            Some("ap.png"),
            Some("lateral “1”.png"),
        );
        put(
            folder.path(),
            "other.png.study.ron",
            Some("other.png"),
            None,
        );
        for name in ["ap.png", "lateral “1”.png"] {
            assert_eq!(
                studies_of(&folder.path().join(name)),
                std::slice::from_ref(&study),
                "{name}"
            );
        }
        assert!(
            studies_of(&folder.path().join("third.png")).is_empty(),
            "none"
        );
    }

    #[test]
    fn both_feet_on_one_film_are_two_studies() {
        let folder = tempfile::tempdir().expect("a folder");
        let left = put(
            folder.path(),
            "both.png.left.study.ron",
            Some("both.png"),
            None,
        );
        let right = put(
            folder.path(),
            "both.png.right.study.ron",
            Some("both.png"),
            None,
        );
        assert_eq!(
            studies_of(&folder.path().join("both.png")),
            [left, right],
            "studies"
        );
    }

    #[test]
    fn a_damaged_study_is_listed_when_it_names_the_film_and_passed_over_otherwise() {
        let folder = tempfile::tempdir().expect("a folder");
        let damaged = folder.path().join("a.png.study.ron");
        fs::write(&damaged, b"(format_version: 1, \xff \"lateral.png\" ").expect("written");
        fs::write(folder.path().join("b.png.study.ron"), b"\x00\x01").expect("written");
        fs::create_dir(folder.path().join("c.png.study.ron")).expect("made");
        assert_eq!(
            studies_of(&folder.path().join("lateral.png")),
            std::slice::from_ref(&damaged),
            "lateral"
        );
        assert_eq!(studies_of(&folder.path().join("a.png")), [damaged], "AP");
    }

    #[test]
    fn a_study_that_mentions_a_film_only_in_its_history_is_not_its_study() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut study = Study {
            ap: Some(film("ap.png")),
            ..Study::default()
        };
        study.history.record("", "Remove lateral.png");
        let text = study_to_text(&study).expect("storable");
        fs::write(folder.path().join("ap.png.study.ron"), text).expect("written");
        assert!(
            studies_of(&folder.path().join("lateral.png")).is_empty(),
            "none"
        );
    }
}
