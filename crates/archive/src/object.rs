//! One DICOM object in a file: what it is, and its data set as it is written.

use std::{
    fs,
    panic::{AssertUnwindSafe, catch_unwind},
    path::Path,
};

use dicom_dictionary_std::{tags, uids};
use dicom_object::InMemDicomObject;
use dicom_transfer_syntax_registry::entries;
use plumbray_film::{DataSet, Encoding, Located, locate};
use serde::{Deserialize, Serialize};

use crate::{error::ArchiveError, limits, uid::Uid};

/// The names by which an archive keeps an object. None of them says who the patient is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ObjectIdentity {
    /// SOP Class UID (0008,0016).
    pub class: Uid,
    /// Study Instance UID (0020,000D).
    pub study: Uid,
    /// Series Instance UID (0020,000E).
    pub series: Uid,
    /// SOP Instance UID (0008,0018).
    pub instance: Uid,
}

/// A DICOM object as it stands in a file.
#[derive(Clone)]
pub struct StoredObject {
    identity: ObjectIdentity,
    transfer_syntax: String,
    bytes: Vec<u8>,
    data_set: Part,
}

/// Where the data set is.
#[derive(Clone)]
enum Part {
    /// In the file, from here to its end.
    From(usize),
    /// Inflated from the file.
    Inflated(Vec<u8>),
}

impl std::fmt::Debug for StoredObject {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("StoredObject")
            .field("identity", &self.identity)
            .field("transfer_syntax", &self.transfer_syntax)
            .finish_non_exhaustive()
    }
}

impl StoredObject {
    /// Reads an object from its file.
    ///
    /// # Errors
    /// When the file cannot be read, is larger than what is sent, or is no DICOM object.
    pub fn open(path: &Path) -> Result<Self, ArchiveError> {
        let metadata = fs::metadata(path).map_err(|error| ArchiveError::file(path, error))?;
        if !metadata.is_file() {
            return Err(ArchiveError::file(
                path,
                "this is no file; choose the film itself",
            ));
        }
        if metadata.len() > limits::OBJECT_BYTES {
            return Err(ArchiveError::TooLarge {
                what: "the file",
                limit: limits::OBJECT_BYTES,
            });
        }
        let bytes = fs::read(path).map_err(|error| ArchiveError::file(path, error))?;
        Self::of_bytes(bytes).map_err(|reason| ArchiveError::file(path, reason))
    }

    /// Reads an object from the bytes of its file.
    ///
    /// # Errors
    /// Why these are no DICOM object that can be sent.
    pub fn of_bytes(bytes: Vec<u8>) -> Result<Self, String> {
        let located = locate(&bytes).map_err(|problem| problem.to_string())?;
        let identity = identity(&located)?;
        let declared = located.transfer_syntax.as_str();
        let (transfer_syntax, data_set) = match located.data_set {
            std::borrow::Cow::Borrowed(slice) => (
                written_as(declared, located.encoding),
                Part::From(bytes.len() - slice.len()),
            ),
            std::borrow::Cow::Owned(inflated) => (
                uids::EXPLICIT_VR_LITTLE_ENDIAN.to_owned(),
                Part::Inflated(inflated),
            ),
        };
        Ok(Self {
            identity,
            transfer_syntax,
            bytes,
            data_set,
        })
    }

    /// What the object is called.
    #[must_use]
    pub const fn identity(&self) -> &ObjectIdentity {
        &self.identity
    }

    /// The identifier of the transfer syntax in which [`Self::data_set`] is written.
    #[must_use]
    pub fn transfer_syntax(&self) -> &str {
        &self.transfer_syntax
    }

    /// The data set as it is written, without preamble and file meta group.
    #[must_use]
    pub fn data_set(&self) -> &[u8] {
        match &self.data_set {
            Part::From(start) => &self.bytes[*start..],
            Part::Inflated(bytes) => bytes,
        }
    }

    /// The whole file.
    #[must_use]
    pub fn file_bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The data set written implicitly, the one syntax that every peer has to take (PS3.5 10.1); nothing when
    /// it is not explicit little endian.
    ///
    /// # Errors
    /// When the data set contradicts itself, so that writing it otherwise might lose something.
    pub(crate) fn implicit(&self) -> Option<Result<Vec<u8>, ArchiveError>> {
        (self.transfer_syntax == uids::EXPLICIT_VR_LITTLE_ENDIAN).then(|| {
            let written = catch_unwind(AssertUnwindSafe(|| recoded(self.data_set())));
            written
                .unwrap_or_else(|_panic| Err("its elements contradict each other".to_owned()))
                .map_err(|reason| ArchiveError::NotAccepted {
                    what: format!(
                        "the film as it is written, and it cannot be rewritten ({reason})"
                    ),
                    remedy: "export the film again as Implicit VR Little Endian",
                })
        })
    }
}

fn recoded(data_set: &[u8]) -> Result<Vec<u8>, String> {
    let explicit = entries::EXPLICIT_VR_LITTLE_ENDIAN.erased();
    let implicit = entries::IMPLICIT_VR_LITTLE_ENDIAN.erased();
    let object = InMemDicomObject::read_dataset_with_ts(data_set, &explicit)
        .map_err(|error| error.to_string())?;
    let mut written = Vec::new();
    object
        .write_dataset_with_ts(&mut written, &implicit)
        .map_err(|error| error.to_string())?;
    Ok(written)
}

/// The transfer syntax that a data set really has: an uncompressed one that contradicts its file's header is
/// told by its content.
fn written_as(declared: &str, encoding: Encoding) -> String {
    let really = match (declared, encoding) {
        (uids::EXPLICIT_VR_LITTLE_ENDIAN, Encoding::IMPLICIT_LITTLE) => {
            uids::IMPLICIT_VR_LITTLE_ENDIAN
        }
        (uids::IMPLICIT_VR_LITTLE_ENDIAN, Encoding::EXPLICIT_LITTLE) => {
            uids::EXPLICIT_VR_LITTLE_ENDIAN
        }
        _ => declared,
    };
    really.to_owned()
}

/// What an object is called by the beginning of its data set.
pub(crate) fn identity(located: &Located<'_>) -> Result<ObjectIdentity, String> {
    let last = tags::SERIES_INSTANCE_UID;
    let data_set = DataSet::read_up_to(&located.data_set, located.encoding, last);
    let uid = |tag, name: &str| {
        let text = data_set.text(tag);
        text.and_then(|text| Uid::new(&text)).ok_or_else(|| {
            format!("the file has no valid {name}, so no archive can keep it; export it again")
        })
    };
    Ok(ObjectIdentity {
        class: uid(tags::SOP_CLASS_UID, "SOP Class UID")?,
        study: uid(tags::STUDY_INSTANCE_UID, "Study Instance UID")?,
        series: uid(tags::SERIES_INSTANCE_UID, "Series Instance UID")?,
        instance: uid(tags::SOP_INSTANCE_UID, "SOP Instance UID")?,
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use std::path::PathBuf;

    use super::*;

    /// A film of the samples.
    pub(crate) fn sample(name: &str) -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../sample-images")
            .join(name)
    }

    #[test]
    fn a_sample_film_says_what_it_is() {
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        assert!(
            crate::sop_class::is_stored_class(object.identity().class.as_str()),
            "{:?}",
            object.identity()
        );
        assert!(
            object.file_bytes().ends_with(object.data_set()),
            "the data set is the file's end"
        );
    }

    #[test]
    fn a_film_is_rewritten_implicitly_without_loss() {
        let mut object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        // A few elements are enough, and a film of the samples may be compressed.
        let explicit = b"\x08\x00\x60\x00CS\x02\x00DX\x20\x00\x13\x00IS\x02\x007 ".to_vec();
        object.data_set = Part::Inflated(explicit);
        object.transfer_syntax = uids::EXPLICIT_VR_LITTLE_ENDIAN.to_owned();
        let implicit = object.implicit().expect("explicit").expect("rewritten");
        let read = DataSet::read(&implicit, Encoding::IMPLICIT_LITTLE).expect("read");
        assert_eq!(read.text(tags::MODALITY).as_deref(), Some("DX"), "modality");
        assert_eq!(
            read.text(tags::INSTANCE_NUMBER).as_deref(),
            Some("7"),
            "number"
        );
    }

    #[test]
    fn a_picture_and_an_object_without_names_are_refused() {
        assert!(
            StoredObject::open(&sample("maple-ap.png")).is_err(),
            "a picture"
        );
        let nameless = b"\x08\x00\x60\x00CS\x02\x00DX".to_vec();
        let reason = StoredObject::of_bytes(nameless).expect_err("no names");
        assert!(reason.contains("SOP Class UID"), "{reason}");
    }
}
