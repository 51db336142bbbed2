//! The archives that a workstation knows, as a file of its settings. No secret is in it.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use crate::{
    address::{Address, AddressError, SecretPlace},
    folder::write_whole,
};

/// A larger file than this is no address book.
const LARGEST_BYTES: u64 = 1 << 20;

/// The archives that a workstation knows, by name.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct AddressBook {
    archives: Vec<Address>,
}

/// What is wrong with an address book.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AddressBookError {
    /// The file cannot be read or written, or is damaged. It is left as it is.
    #[error("the list of archives cannot be used ({reason}): {}", path.display())]
    File {
        /// What is wrong.
        reason: String,
        /// The file.
        path: PathBuf,
    },
    /// An address that cannot be used.
    #[error(transparent)]
    Address(#[from] AddressError),
    /// A name that cannot be given twice.
    #[error("there is an archive “{name}” already; give this one another name")]
    Taken {
        /// The name.
        name: String,
    },
    /// Nobody of that name.
    #[error("there is no archive “{name}”; known are: {known}")]
    Unknown {
        /// The name that was asked for.
        name: String,
        /// The names that are known.
        known: String,
    },
}

impl AddressBook {
    /// The archives in a file; none when there is no file.
    ///
    /// # Errors
    /// When the file is there and cannot be read: lost addresses must not be taken for none.
    pub fn read(path: &Path) -> Result<Self, AddressBookError> {
        let trouble = |reason: String| AddressBookError::File {
            reason,
            path: path.to_owned(),
        };
        match fs::metadata(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(trouble(error.to_string())),
            Ok(about) if about.len() > LARGEST_BYTES => {
                return Err(trouble("it is too large for a list of archives".to_owned()));
            }
            Ok(_about) => {}
        }
        let text = fs::read_to_string(path).map_err(|error| trouble(error.to_string()))?;
        let book: Self = ron::from_str(&text).map_err(|error| trouble(error.to_string()))?;
        for address in &book.archives {
            address.check()?;
        }
        Ok(book)
    }

    /// Writes the archives to a file, as a whole or not at all.
    ///
    /// # Errors
    /// When the folder cannot be made or the file cannot be written.
    pub fn write(&self, path: &Path) -> Result<(), AddressBookError> {
        let trouble = |reason: String| AddressBookError::File {
            reason,
            path: path.to_owned(),
        };
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(|error| trouble(error.to_string()))?;
        let folder = path.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)
            .and_then(|()| write_whole(path, text.as_bytes(), ".archives-"))
            .map_err(|error| trouble(error.to_string()))
    }

    /// All archives, in the order in which they were added.
    #[must_use]
    pub fn archives(&self) -> &[Address] {
        &self.archives
    }

    /// The archive of a name.
    ///
    /// # Errors
    /// When there is none; the message lists those that are known.
    pub fn named(&self, name: &str) -> Result<&Address, AddressBookError> {
        let found = self.archives.iter().find(|address| address.name == name);
        found.ok_or_else(|| {
            let names: Vec<&str> = self.archives.iter().map(|one| one.name.as_str()).collect();
            AddressBookError::Unknown {
                name: name.to_owned(),
                known: if names.is_empty() {
                    "none yet".to_owned()
                } else {
                    names.join(", ")
                },
            }
        })
    }

    /// Adds an archive, in the place of the one that had its name.
    ///
    /// # Errors
    /// When the address cannot be used.
    pub fn put(&mut self, address: Address) -> Result<(), AddressBookError> {
        address.check()?;
        match self
            .archives
            .iter_mut()
            .find(|one| one.name == address.name)
        {
            Some(place) => *place = address,
            None => self.archives.push(address),
        }
        Ok(())
    }

    /// Changes the archive of a name, which may get another name by it.
    ///
    /// # Errors
    /// When there is none of that name, the new name is another one's, or the address cannot be used.
    pub fn change(&mut self, name: &str, address: Address) -> Result<(), AddressBookError> {
        address.check()?;
        self.named(name)?;
        if address.name != name {
            self.check_is_free(&address.name)?;
        }
        if let Some(place) = self.archives.iter_mut().find(|one| one.name == name) {
            *place = address;
        }
        Ok(())
    }

    /// Whether no archive has this name yet.
    ///
    /// # Errors
    /// When one has it.
    pub fn check_is_free(&self, name: &str) -> Result<(), AddressBookError> {
        match self.named(name) {
            Ok(_other) => Err(AddressBookError::Taken {
                name: name.to_owned(),
            }),
            Err(_unknown) => Ok(()),
        }
    }

    /// Whether an archive of this list has its secret there.
    #[must_use]
    pub fn uses_secret_of(&self, place: &SecretPlace) -> bool {
        let mut places = self.archives.iter().filter_map(Address::secret_place);
        places.any(|one| one == *place)
    }

    /// Takes an archive out.
    ///
    /// # Errors
    /// When there is none of that name.
    pub fn remove(&mut self, name: &str) -> Result<(), AddressBookError> {
        self.named(name)?;
        self.archives.retain(|address| address.name != name);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::address::{Login, Place, WebAddress};

    fn address(name: &str, url: &str) -> Address {
        Address {
            name: name.to_owned(),
            place: Place::Web(WebAddress {
                url: url.to_owned(),
                login: Login::Bearer,
                ca_file: None,
            }),
        }
    }

    #[test]
    fn what_is_written_is_read() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("settings/archives.ron");
        let mut book = AddressBook::read(&path).expect("none yet");
        book.put(address("Clinic", "https://one.example"))
            .expect("added");
        book.put(address("Clinic", "https://two.example"))
            .expect("replaced");
        book.put(address("Other", "https://other.example"))
            .expect("added");
        book.write(&path).expect("written");
        let mut read = AddressBook::read(&path).expect("read");
        assert_eq!(read, book, "the same");
        assert_eq!(read.archives().len(), 2, "one of each name");
        read.remove("Clinic").expect("removed");
        let unknown = read.named("Clinic").expect_err("gone").to_string();
        assert!(unknown.contains("known are: Other"), "{unknown}");
    }

    #[test]
    fn an_archive_that_is_renamed_keeps_its_place_and_its_secret_and_takes_no_other_s_name() {
        let mut book = AddressBook::default();
        for (name, url) in [
            ("Clinic", "https://one.example"),
            ("Other", "https://other.example"),
        ] {
            book.put(address(name, url)).expect("added");
        }
        let secret = book.archives()[0].secret_place().expect("it wants one");
        book.change("Clinic", address("Hospital", "https://one.example"))
            .expect("renamed");
        assert_eq!(book.archives()[0].name, "Hospital", "in its place");
        assert!(book.uses_secret_of(&secret), "its secret is where it was");
        let taken = book.change("Hospital", address("Other", "https://one.example"));
        let told = taken.expect_err("another one's name").to_string();
        assert!(told.contains("already"), "{told}");
        book.change("Hospital", address("Hospital", "https://three.example"))
            .expect("moved");
        assert!(
            !book.uses_secret_of(&secret),
            "no secret goes to another host"
        );
    }

    #[test]
    fn a_damaged_list_is_told_and_left_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("archives.ron");
        for text in [
            "(archives: nonsense",
            "(archives: [(name: \"A\", place: web((url: \"http://a.example\", login: bearer)))])",
        ] {
            fs::write(&path, text).expect("written");
            assert!(AddressBook::read(&path).is_err(), "{text}");
            assert_eq!(fs::read_to_string(&path).expect("kept"), text, "as it was");
        }
    }
}
