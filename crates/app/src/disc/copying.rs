//! Copies films from a disc into a folder, under names that tell nobody who the patient is.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use plumbray_anatomy::View;
use plumbray_film::{DiscFilm, FilmSummary};
use plumbray_study::ContentHash;

use crate::files::write_new_file;

/// So many digits of a hash stand in a name.
const DIGITS: usize = 8;
/// So many names are tried where other files have them.
const MOST_NAMES: usize = 1_000;
/// Endings that a copy of a picture keeps; any other could hold a name.
const PICTURE_ENDINGS: [&str; 6] = ["png", "tif", "tiff", "jpg", "jpeg", "bmp"];

/// Why a film was not copied. Nothing was changed then, but for a folder that may have been made.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CopyProblem {
    /// The film.
    #[error("the film cannot be read ({cause}); check that the disc is in and clean: {}", film.display())]
    Unreadable {
        /// Its file.
        film: PathBuf,
        /// What the operating system says.
        #[source]
        cause: io::Error,
    },
    /// The folder for the copies.
    #[error("nothing can be written there ({cause}); choose another folder: {}", folder.display())]
    Unwritable {
        /// The folder.
        folder: PathBuf,
        /// What the operating system says.
        #[source]
        cause: io::Error,
    },
    /// Every name that was tried belongs to another file.
    #[error("other files have all the names for this copy; choose another folder: {}", folder.display())]
    NamesTaken {
        /// The folder.
        folder: PathBuf,
    },
}

/// Copies a film into a folder, which is made if there is none. Never over another file: a file that is the same
/// already stands for the copy, and one that is not leaves its name to itself.
///
/// # Errors
/// [`CopyProblem`] when the film cannot be read or the folder cannot be written.
pub(crate) fn copy_film(film: &DiscFilm, folder: &Path) -> Result<PathBuf, CopyProblem> {
    let unreadable = |cause| CopyProblem::Unreadable {
        film: film.path.clone(),
        cause,
    };
    let unwritable = |cause| CopyProblem::Unwritable {
        folder: folder.to_owned(),
        cause,
    };
    let bytes = fs::read(&film.path).map_err(unreadable)?;
    let content = ContentHash::of_bytes(&bytes);
    fs::create_dir_all(folder).map_err(unwritable)?;
    let (stem, ending) = name_parts(film, content);
    for number in 1..=MOST_NAMES {
        let name = match number {
            1 => format!("{stem}.{ending}"),
            _ => format!("{stem}-{number}.{ending}"),
        };
        let target = folder.join(name);
        match fs::symlink_metadata(&target) {
            Ok(_) if is_copy(&target, content) => return Ok(target),
            Ok(_) => continue,
            Err(_absent) => {}
        }
        match write_new_file(&target, &bytes) {
            Ok(()) => return Ok(target),
            // Somebody was faster: perhaps with the same film.
            Err(problem) if problem.kind() == io::ErrorKind::AlreadyExists => {
                if is_copy(&target, content) {
                    return Ok(target);
                }
            }
            Err(problem) => return Err(unwritable(problem)),
        }
    }
    Err(CopyProblem::NamesTaken {
        folder: folder.to_owned(),
    })
}

fn is_copy(file: &Path, content: ContentHash) -> bool {
    file.is_file() && ContentHash::of_file(file).is_ok_and(|found| found == content)
}

/// The view with the beginning of a hash, and the ending. The hash is that of the identifier of the object, which is
/// the same on every disc that holds it; a picture without one goes by its content.
fn name_parts(film: &DiscFilm, content: ContentHash) -> (String, &'static str) {
    let view = match film.about.view.as_ref().map(|view| view.value) {
        Some(View::Ap) => "AP",
        Some(View::Lateral) => "lateral",
        None => "film",
    };
    let identifier = film.about.instance_uid.trim();
    let hash = if identifier.is_empty() {
        content
    } else {
        ContentHash::of_bytes(identifier.as_bytes())
    };
    let digits: String = hash.to_string().chars().take(DIGITS).collect();
    (format!("{view}-{digits}"), ending(film))
}

fn ending(film: &DiscFilm) -> &'static str {
    if !is_plain_picture(&film.about) {
        return "dcm";
    }
    let own = film.path.extension().and_then(|ending| ending.to_str());
    let own = own.unwrap_or_default();
    let known = PICTURE_ENDINGS
        .into_iter()
        .find(|ending| ending.eq_ignore_ascii_case(own));
    known.unwrap_or("film")
}

/// Plain pictures say nothing of themselves; a DICOM object says its size at least.
fn is_plain_picture(film: &FilmSummary) -> bool {
    film.class_uid.is_empty() && film.instance_uid.is_empty() && film.rows == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use plumbray_film::Stated;

    fn film(path: PathBuf, instance_uid: &str) -> DiscFilm {
        let about = FilmSummary {
            instance_uid: instance_uid.to_owned(),
            view: Some(Stated {
                value: View::Ap,
                source: "View Position",
            }),
            ..FilmSummary::default()
        };
        DiscFilm { path, about }
    }

    #[test]
    fn a_copy_goes_by_view_and_identifier_and_never_over_another_file() {
        let disc = tempfile::tempdir().expect("a folder");
        let desk = tempfile::tempdir().expect("a folder");
        let folder = desk.path().join("new");
        let source = disc.path().join("SMITH_JOHN");
        fs::write(&source, "one film").expect("written");
        let first = film(source.clone(), "1.2.3");
        let copy = copy_film(&first, &folder).expect("copied");
        let digits = ContentHash::of_bytes(b"1.2.3").to_string();
        let name = format!("AP-{}.dcm", &digits[..8]);
        assert_eq!(copy, folder.join(&name), "named without the patient");
        let again = copy_film(&first, &folder).expect("there already");
        assert_eq!(again, copy, "the same film again is the same copy");
        fs::write(&source, "another film").expect("written");
        let other = copy_film(&first, &folder).expect("copied");
        assert_eq!(
            other,
            folder.join(format!("AP-{}-2.dcm", &digits[..8])),
            "another content gets another name"
        );
        assert_eq!(
            fs::read_to_string(&copy).expect("there"),
            "one film",
            "the first copy stays"
        );
        let files = fs::read_dir(&folder).expect("readable").count();
        assert_eq!(files, 2, "nothing else is left");
    }

    #[test]
    fn a_picture_keeps_a_known_ending_and_goes_by_its_content() {
        let disc = tempfile::tempdir().expect("a folder");
        for (name, ending) in [("smith.PNG", "png"), ("foot.smith", "film")] {
            let source = disc.path().join(name);
            fs::write(&source, name).expect("written");
            let copy = copy_film(&film(source, ""), &disc.path().join("copies")).expect("copied");
            let digits = ContentHash::of_bytes(name.as_bytes()).to_string();
            let expected = format!("AP-{}.{ending}", &digits[..8]);
            assert_eq!(copy.file_name(), Some(expected.as_ref()), "{name}");
        }
    }

    #[test]
    fn a_film_that_is_gone_says_so_and_nothing_is_written() {
        let desk = tempfile::tempdir().expect("a folder");
        let folder = desk.path().join("copies");
        let copied = copy_film(&film(desk.path().join("gone"), "1"), &folder);
        assert!(
            matches!(copied, Err(CopyProblem::Unreadable { .. })),
            "{copied:?}"
        );
        assert!(!folder.exists(), "no folder is made");
    }
}
