//! From which archive films were fetched, so that what is made of them can go back there. A film is known by what its
//! file holds, never by its name, its place or its patient.

use std::{
    fs::{self, File},
    io,
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use crate::folder::write_whole;

/// The most films that are remembered; ours. Those that were fetched longest ago are forgotten first.
const REMEMBERED: usize = 2_000;

/// A larger file than this holds something else.
const LARGEST_BYTES: u64 = 1 << 20;

/// From which archive films were fetched, the latest last.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Origins {
    films: Vec<Origin>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Origin {
    /// The BLAKE3 hash of the film's file, in hexadecimal digits.
    film: String,
    /// The archive, by its name in the settings.
    archive: String,
}

impl Origins {
    /// What a file remembers; nothing when there is none or it cannot be read: it only saves a choice.
    #[must_use]
    pub fn read(path: &Path) -> Self {
        let is_small = fs::metadata(path).is_ok_and(|about| about.len() <= LARGEST_BYTES);
        let text = is_small.then(|| fs::read_to_string(path).ok()).flatten();
        let origins = text.and_then(|text| ron::from_str(&text).ok());
        origins.unwrap_or_default()
    }

    /// Remembers in a file that films were fetched from an archive.
    ///
    /// # Errors
    /// When a film cannot be read, where the others are remembered, or the file cannot be written.
    pub fn note(path: &Path, films: &[PathBuf], archive: &str) -> io::Result<()> {
        let mut origins = Self::read(path);
        let mut unreadable = None;
        for film in films {
            match hash_of(film) {
                Ok(film) => {
                    origins.films.retain(|known| known.film != film);
                    let archive = archive.to_owned();
                    origins.films.push(Origin { film, archive });
                }
                Err(problem) => unreadable = Some(problem),
            }
        }
        let forgotten = origins.films.len().saturating_sub(REMEMBERED);
        origins.films.drain(..forgotten);
        origins.write(path)?;
        unreadable.map_or(Ok(()), Err)
    }

    /// Remembers in a file that an archive is called otherwise.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn rename(path: &Path, before: &str, name: &str) -> io::Result<()> {
        let mut origins = Self::read(path);
        let films = origins.films.iter_mut();
        let mut renamed = films.filter(|origin| origin.archive == before).peekable();
        if renamed.peek().is_none() {
            return Ok(());
        }
        renamed.for_each(|origin| name.clone_into(&mut origin.archive));
        origins.write(path)
    }

    /// The name of the archive from which a film was fetched last, by the BLAKE3 hash of its file in hexadecimal digits.
    #[must_use]
    pub fn archive_of(&self, film: &str) -> Option<&str> {
        let origin = self.films.iter().find(|origin| origin.film == film)?;
        Some(&origin.archive)
    }

    fn write(&self, path: &Path) -> io::Result<()> {
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(io::Error::other)?;
        fs::create_dir_all(path.parent().unwrap_or(Path::new(".")))?;
        write_whole(path, text.as_bytes(), ".fetched-")
    }
}

fn hash_of(film: &Path) -> io::Result<String> {
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(File::open(film)?)?;
    Ok(hasher.finalize().to_hex().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hash(text: &str) -> String {
        blake3::hash(text.as_bytes()).to_hex().to_string()
    }

    #[test]
    fn a_film_is_known_by_what_it_holds_and_its_archive_by_its_latest_name() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("settings/fetched-from.ron");
        let film = folder.path().join("Sample^Foot.dcm");
        fs::write(&film, "a film").expect("written");
        Origins::note(&path, std::slice::from_ref(&film), "Clinic").expect("noted");
        Origins::note(&path, &[film], "Theatre").expect("noted");
        let origins = Origins::read(&path);
        assert_eq!(origins.archive_of(&hash("a film")), Some("Theatre"), "last");
        assert_eq!(origins.archive_of(&hash("another")), None, "of no archive");
        Origins::rename(&path, "Theatre", "Ward").expect("renamed");
        let origins = Origins::read(&path);
        assert_eq!(origins.archive_of(&hash("a film")), Some("Ward"), "renamed");
        let text = fs::read_to_string(&path).expect("text");
        assert!(!text.contains("Sample"), "no name of the file: {text}");
    }

    #[test]
    fn a_file_that_holds_something_else_remembers_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("fetched-from.ron");
        fs::write(&path, "(films: nonsense").expect("written");
        assert_eq!(Origins::read(&path), Origins::default(), "nothing");
    }

    #[test]
    fn those_that_were_fetched_longest_ago_are_forgotten_first() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("fetched-from.ron");
        let many = Origins {
            films: (0..REMEMBERED)
                .map(|number| Origin {
                    film: hash(&number.to_string()),
                    archive: "Clinic".to_owned(),
                })
                .collect(),
        };
        many.write(&path).expect("written");
        let film = folder.path().join("film");
        fs::write(&film, "new").expect("written");
        Origins::note(&path, &[film], "Clinic").expect("noted");
        let origins = Origins::read(&path);
        assert_eq!(origins.films.len(), REMEMBERED, "no more than that");
        assert_eq!(origins.archive_of(&hash("0")), None, "the oldest");
        assert_eq!(origins.archive_of(&hash("new")), Some("Clinic"), "the new");
    }
}
