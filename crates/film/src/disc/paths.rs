//! Paths that a disc's directory names, kept within the disc.

use std::{
    fs,
    path::{Component, Path, PathBuf},
};

/// Why a path of a directory leads nowhere on its disc.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum PathProblem {
    /// It is written so as to leave the disc.
    #[error(
        "the disc's directory names a path that would leave the disc, which is not followed: {0}"
    )]
    LeavesDisc(String),
    /// Nothing lies there.
    #[error("the disc's directory names a film that is not on the disc: {0}")]
    Missing(String),
}

/// The file that a path of a directory names, by its parts. Case and the version that some discs put behind a name
/// (";1") do not matter.
pub(super) fn on_disc(root: &Path, parts: &[String]) -> Result<PathBuf, PathProblem> {
    let shown = || parts.join("/");
    let mut path = root.to_owned();
    for part in parts {
        let is_plain = !part.contains(['/', '\\', '\0', ':'])
            && matches!(
                Path::new(part).components().collect::<Vec<_>>().as_slice(),
                [Component::Normal(_)]
            );
        if !is_plain {
            return Err(PathProblem::LeavesDisc(shown()));
        }
        path = child_named(&path, part).ok_or_else(|| PathProblem::Missing(shown()))?;
    }
    // A link on the disc may lead elsewhere.
    let real = path
        .canonicalize()
        .map_err(|_absent| PathProblem::Missing(shown()))?;
    if !real.starts_with(root) {
        return Err(PathProblem::LeavesDisc(shown()));
    }
    if real.is_file() {
        Ok(real)
    } else {
        Err(PathProblem::Missing(shown()))
    }
}

/// What lies in a folder under a name, as it is written or else in another case or with a version.
pub(super) fn child_named(folder: &Path, name: &str) -> Option<PathBuf> {
    let exact = folder.join(name);
    if exact.symlink_metadata().is_ok() {
        return Some(exact);
    }
    let is_it = |found: &str| {
        let without_version = found.split(';').next().unwrap_or(found);
        without_version
            .trim_end_matches('.')
            .eq_ignore_ascii_case(name)
    };
    let mut entries = fs::read_dir(folder).ok()?.flatten();
    entries
        .find(|entry| entry.file_name().to_str().is_some_and(is_it))
        .map(|entry| entry.path())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(parts: &[&str]) -> Vec<String> {
        parts.iter().map(|part| (*part).to_owned()).collect()
    }

    #[test]
    fn a_path_is_found_in_another_case_and_with_a_version() {
        let disc = tempfile::tempdir().expect("a folder");
        let root = disc.path().canonicalize().expect("a path");
        fs::create_dir(root.join("films")).expect("a folder");
        fs::write(root.join("films/im001.;1"), "film").expect("a file");
        let found = on_disc(&root, &parts(&["FILMS", "IM001"]));
        assert_eq!(found, Ok(root.join("films/im001.;1")), "found");
    }

    #[test]
    fn no_path_leaves_the_disc() {
        let around = tempfile::tempdir().expect("a folder");
        fs::write(around.path().join("secret"), "not of the disc").expect("a file");
        let root = around.path().join("disc");
        fs::create_dir(&root).expect("a folder");
        let root = root.canonicalize().expect("a path");
        for named in [
            &["..", "secret"][..],
            &["../secret"],
            &["/etc/hostname"],
            &["C:secret"],
            &["", "secret"],
            &[".", "secret"],
            &["..\\secret"],
            &["secret\0"],
        ] {
            let found = on_disc(&root, &parts(named));
            assert!(
                matches!(found, Err(PathProblem::LeavesDisc(_))),
                "{named:?}: {found:?}"
            );
        }
        assert_eq!(
            on_disc(&root, &parts(&["absent"])),
            Err(PathProblem::Missing("absent".to_owned())),
            "absent"
        );
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leaves_the_disc_is_not_followed() {
        let around = tempfile::tempdir().expect("a folder");
        fs::write(around.path().join("secret"), "not of the disc").expect("a file");
        let root = around.path().join("disc");
        fs::create_dir(&root).expect("a folder");
        let root = root.canonicalize().expect("a path");
        std::os::unix::fs::symlink("../secret", root.join("LINK")).expect("a link");
        let found = on_disc(&root, &parts(&["LINK"]));
        assert!(
            matches!(found, Err(PathProblem::LeavesDisc(_))),
            "{found:?}"
        );
    }
}
