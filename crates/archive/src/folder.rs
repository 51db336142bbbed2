//! Films that come in, written so that a file is there as a whole or not at all.

use std::{
    fs::{self, File},
    io::{self, Read as _, Write},
    path::{Path, PathBuf},
};

use plumbray_film::{PROGRAM_NAME, PROGRAM_UID, locate};
use tempfile::NamedTempFile;

use crate::{
    error::ArchiveError,
    limits,
    object::{self, ObjectIdentity},
};

/// The beginning of a file in which its names are looked for first, in bytes; ours.
const BEGINNING: u64 = 1 << 16;

/// A file that is being received: it gets its name when it is complete.
#[derive(Debug)]
pub(crate) struct Incoming {
    file: NamedTempFile,
    folder: PathBuf,
    written: u64,
}

/// A received film, and whether it was there already.
#[derive(Debug)]
pub(crate) struct Arrived {
    pub(crate) path: PathBuf,
    pub(crate) was_there: bool,
}

impl Incoming {
    /// Starts a file in a folder, which is made if need be.
    pub(crate) fn begin(folder: &Path) -> Result<Self, ArchiveError> {
        fs::create_dir_all(folder).map_err(|error| ArchiveError::file(folder, error))?;
        let file = tempfile::Builder::new()
            .prefix(".incoming-")
            .suffix(".part")
            .tempfile_in(folder)
            .map_err(|error| ArchiveError::file(folder, error))?;
        Ok(Self {
            file,
            folder: folder.to_owned(),
            written: 0,
        })
    }

    /// Writes the preamble and the file meta group (PS3.10 7.1) of an object that came without them.
    pub(crate) fn write_meta(
        &mut self,
        class: &str,
        instance: &str,
        transfer_syntax: &str,
        source: &str,
    ) -> Result<(), ArchiveError> {
        self.write(&file_meta(class, instance, transfer_syntax, source))
    }

    /// Writes what came next.
    pub(crate) fn write(&mut self, bytes: &[u8]) -> Result<(), ArchiveError> {
        self.written += bytes.len() as u64;
        if self.written > limits::OBJECT_BYTES {
            return Err(ArchiveError::TooLarge {
                what: "an object",
                limit: limits::OBJECT_BYTES,
            });
        }
        self.file
            .write_all(bytes)
            .map_err(|error| ArchiveError::file(&self.folder, error))
    }

    /// Gives the file its name once `is_wanted` agrees with what it is. A file that is there already and has
    /// the same data set is kept; one with another data set is kept as well, and the new one is numbered.
    pub(crate) fn finish(
        mut self,
        is_wanted: impl FnOnce(&ObjectIdentity) -> bool,
    ) -> Result<Arrived, ArchiveError> {
        let trouble = |error: std::io::Error| ArchiveError::file(&self.folder, error);
        self.file.flush().map_err(trouble)?;
        self.file.as_file().sync_all().map_err(trouble)?;
        let identity =
            identity_of(self.file.path(), self.written).map_err(|problem| match problem {
                Unidentified::Unread(error) => trouble(error),
                Unidentified::NoObject(reason) => ArchiveError::protocol(reason),
            })?;
        if !is_wanted(&identity) {
            return Err(ArchiveError::protocol(
                "an object came that was not asked for",
            ));
        }
        for number in 1..100 {
            let path = self.folder.join(file_name(&identity, number));
            if path.exists() {
                if have_equal_data_sets(&path, self.file.path()) {
                    return Ok(Arrived {
                        path,
                        was_there: true,
                    });
                }
                continue;
            }
            match self.file.persist_noclobber(&path) {
                Ok(_file) => {
                    sync_folder(&self.folder).map_err(trouble)?;
                    return Ok(Arrived {
                        path,
                        was_there: false,
                    });
                }
                Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => {
                    self.file = error.file;
                }
                Err(error) => return Err(ArchiveError::file(&path, error.error)),
            }
        }
        Err(ArchiveError::file(
            &self.folder,
            "a hundred different films with the same identifier lie in this folder; choose another",
        ))
    }
}

fn file_name(identity: &ObjectIdentity, number: usize) -> String {
    if number == 1 {
        format!("{}.dcm", identity.instance)
    } else {
        format!("{}.{number}.dcm", identity.instance)
    }
}

/// Why it cannot be told which object a file holds.
enum Unidentified {
    Unread(io::Error),
    NoObject(String),
}

/// Which object a file of this length holds. Its names stand before its pixels, so that the beginning tells them, but
/// where the data set is deflated or has much else before them.
fn identity_of(path: &Path, length: u64) -> Result<ObjectIdentity, Unidentified> {
    let told = |bytes: &[u8]| {
        let located = locate(bytes).map_err(|problem| problem.to_string())?;
        object::identity(&located)
    };
    if length > BEGINNING {
        let mut beginning = Vec::new();
        let file = File::open(path).map_err(Unidentified::Unread)?;
        let read = file.take(BEGINNING).read_to_end(&mut beginning);
        read.map_err(Unidentified::Unread)?;
        if let Ok(identity) = told(&beginning) {
            return Ok(identity);
        }
    }
    let bytes = fs::read(path).map_err(Unidentified::Unread)?;
    told(&bytes).map_err(Unidentified::NoObject)
}

/// Whether two files hold the same data set in the same transfer syntax; who wrote them may differ.
fn have_equal_data_sets(one: &Path, other: &Path) -> bool {
    let (Ok(one), Ok(other)) = (fs::read(one), fs::read(other)) else {
        return false;
    };
    match (locate(&one), locate(&other)) {
        (Ok(a), Ok(b)) => a.transfer_syntax == b.transfer_syntax && a.data_set == b.data_set,
        _ => false,
    }
}

/// Makes sure that the names in a folder are on disk.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    // Windows does not let folders be opened; there the file system journals names by itself.
    if cfg!(windows) {
        return Ok(());
    }
    match File::open(folder)?.sync_all() {
        // Some network file systems know no such thing.
        Err(error)
            if matches!(
                error.kind(),
                io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported
            ) =>
        {
            Ok(())
        }
        result => result,
    }
}

/// Writes a file under its name, whatever stood there before, and waits until it is on disk. Until it is whole its name
/// begins with `prefix`.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], prefix: &str) -> io::Result<()> {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut file = tempfile::Builder::new()
        .prefix(prefix)
        .tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path)?;
    sync_folder(folder)
}

/// Preamble, signature and file meta group.
fn file_meta(class: &str, instance: &str, transfer_syntax: &str, source: &str) -> Vec<u8> {
    let mut group = Vec::new();
    group.extend(b"\x02\x00\x01\x00OB\0\0\x02\x00\x00\x00\x00\x01");
    for (element, vr, value) in [
        (0x02_u16, b"UI", class),
        (0x03, b"UI", instance),
        (0x10, b"UI", transfer_syntax),
        (0x12, b"UI", PROGRAM_UID),
        (0x13, b"SH", PROGRAM_NAME),
        (0x16, b"AE", source),
    ] {
        let padding = if vr == b"UI" { b'\0' } else { b' ' };
        let mut value = value.as_bytes().to_vec();
        value.truncate(64);
        if value.len() % 2 == 1 {
            value.push(padding);
        }
        group.extend(0x0002_u16.to_le_bytes());
        group.extend(element.to_le_bytes());
        group.extend(vr);
        // Truncated to 64 above.
        group.extend(u16::try_from(value.len()).unwrap_or(u16::MAX).to_le_bytes());
        group.extend(value);
    }
    let mut bytes = vec![0; 128];
    bytes.extend(b"DICM\x02\x00\x00\x00UL\x04\x00");
    bytes.extend(u32::try_from(group.len()).unwrap_or(u32::MAX).to_le_bytes());
    bytes.extend(group);
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::object::{StoredObject, tests::sample};

    fn received(folder: &Path, object: &StoredObject, source: &str) -> Arrived {
        let mut incoming = Incoming::begin(folder).expect("begun");
        let identity = object.identity();
        incoming
            .write_meta(
                identity.class.as_str(),
                identity.instance.as_str(),
                object.transfer_syntax(),
                source,
            )
            .expect("written");
        for piece in object.data_set().chunks(10_000) {
            incoming.write(piece).expect("written");
        }
        incoming.finish(|_| true).expect("finished")
    }

    #[test]
    fn a_film_that_is_there_already_is_kept_and_another_one_beside_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        let first = received(folder.path(), &object, "ONE");
        assert!(!first.was_there, "new");
        let again = received(folder.path(), &object, "ANOTHER");
        assert!(again.was_there, "its data set is the same");
        assert_eq!(first.path, again.path, "the same file");

        let mut changed = fs::read(&first.path).expect("read");
        let last = changed.len() - 1;
        changed[last] ^= 1;
        let changed = StoredObject::of_bytes(changed).expect("a film");
        let other = received(folder.path(), &changed, "ONE");
        assert!(
            other.path.to_string_lossy().ends_with(".2.dcm"),
            "{other:?}"
        );
        let reread = StoredObject::open(&first.path).expect("a film");
        assert_eq!(reread.data_set(), object.data_set(), "untouched");
        let files = fs::read_dir(folder.path()).expect("read").count();
        assert_eq!(files, 2, "no part is left over");
    }

    #[test]
    fn an_object_that_was_not_asked_for_leaves_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut incoming = Incoming::begin(folder.path()).expect("begun");
        let bytes = fs::read(sample("alder-ap.dcm")).expect("read");
        incoming.write(&bytes).expect("written");
        assert!(incoming.finish(|_| false).is_err(), "unwanted");
        assert_eq!(
            fs::read_dir(folder.path()).expect("read").count(),
            0,
            "nothing"
        );
    }
}
