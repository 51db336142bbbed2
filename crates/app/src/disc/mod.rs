//! Discs and folders of films: what they hold in words, films copied from them, and their small pictures.

pub(crate) mod copying;
pub(crate) mod small_picture;
pub(crate) mod words;

use std::path::Path;

/// The name of a disc's directory (PS3.10 8.6).
const DIRECTORY: &str = "DICOMDIR";

/// Whether a file is the directory of a disc, by its name in any case. Some discs put a dot or a version (";1") behind
/// it.
#[must_use]
pub(crate) fn is_disc_directory(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    let name = name.map(|name| name.split(';').next().unwrap_or(name));
    name.is_some_and(|name| name.trim_end_matches('.').eq_ignore_ascii_case(DIRECTORY))
}

/// Whether a folder is a disc with a directory, as its maker or a reader in small letters names it.
#[must_use]
pub(crate) fn has_disc_directory(folder: &Path) -> bool {
    [DIRECTORY, "dicomdir"]
        .iter()
        .any(|name| folder.join(name).is_file())
}

/// Whether a new file can be written into a folder. It is tried with a file without a name, which leaves nothing.
#[must_use]
pub(crate) fn can_be_written(folder: &Path) -> bool {
    tempfile::tempfile_in(folder).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_directory_of_a_disc_is_known_in_any_case_and_with_a_version() {
        for name in ["DICOMDIR", "dicomdir", "DicomDir", "DICOMDIR.;1"] {
            assert!(is_disc_directory(&Path::new("disc").join(name)), "{name}");
        }
        for name in ["DICOMDIR.txt", "DICOM", "IM0001"] {
            assert!(!is_disc_directory(Path::new(name)), "{name}");
        }
    }

    #[test]
    fn whether_a_folder_can_be_written_is_found_out_and_nothing_stays_in_it() {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(can_be_written(folder.path()), "a folder of this user");
        let left = std::fs::read_dir(folder.path()).expect("readable").count();
        assert_eq!(left, 0, "nothing stays");
        assert!(!can_be_written(&folder.path().join("absent")), "no folder");
        #[cfg(target_os = "linux")]
        assert!(
            !can_be_written(Path::new("/proc")),
            "not even by the superuser"
        );
    }
}
