//! References, written so that nobody reads the answers by chance.
//!
//! The first line says in plain words what the file is; what follows is RON, compressed (deflate with the checksum
//! of zlib, RFC 1950), so that an editor, a search or a preview shows nothing of it. It is no secret from
//! somebody who wants to know.

use std::{
    io::{Read as _, Write as _},
    path::Path,
};

use flate2::{Compression, read::ZlibDecoder, write::ZlibEncoder};

use super::{
    PracticeFoot, Reference,
    bounded::{parse, read_bytes},
    error::{Damage, SetError},
    reference::ReferenceFields,
};

/// The format of a reference that this program writes, and the newest that it reads.
pub const REFERENCE_FORMAT_VERSION: u32 = 1;

/// What the first line begins with.
const HEADER: &str = "Plumbray practice reference: the answers of one foot, compressed so that nobody reads them by chance.";

/// The largest sealed file that is read, in bytes. A foot with everything traced takes about 30 kB.
const MOST_SEALED_BYTES: u64 = 2 << 20;

/// The most text that a sealed file may unfold to, in bytes: it bounds the memory that reading takes.
const MOST_TEXT_BYTES: u64 = 8 << 20;

const EXPECTED: &str = "the sealed reference of a practice foot";

/// The bytes of a sealed reference.
///
/// # Errors
/// [`Damage`] when the reference holds something that could not be read back.
pub fn reference_to_bytes(reference: &Reference) -> Result<Vec<u8>, Damage> {
    let unwritable = |what: String| Damage::Contradiction { what };
    let fields = ReferenceFields::of(reference, REFERENCE_FORMAT_VERSION);
    let text = ron::to_string(&fields).map_err(|error| unwritable(error.to_string()))?;
    let mut encoder = ZlibEncoder::new(format!("{HEADER}\n").into_bytes(), Compression::best());
    let bytes = encoder
        .write_all(text.as_bytes())
        .and_then(|()| encoder.finish())
        .map_err(|error| unwritable(error.to_string()))?;
    if reference_from_bytes(&bytes)? == *reference {
        Ok(bytes)
    } else {
        Err(unwritable("it would not come back as it is".to_owned()))
    }
}

/// A reference from the bytes of its sealed file. Takes memory only in proportion to its limits, whatever the
/// bytes are.
///
/// # Errors
/// [`Damage`] when the bytes are no such reference, are cut off or damaged, or of a newer format.
pub fn reference_from_bytes(bytes: &[u8]) -> Result<Reference, Damage> {
    if bytes.len() as u64 > MOST_SEALED_BYTES {
        return Err(Damage::TooLarge {
            most: MOST_SEALED_BYTES,
        });
    }
    let sealed = bytes
        .strip_prefix(HEADER.as_bytes())
        .and_then(|rest| rest.strip_prefix(b"\n"))
        .ok_or(Damage::Foreign { expected: EXPECTED })?;
    let mut text = String::new();
    ZlibDecoder::new(sealed)
        .take(MOST_TEXT_BYTES + 1)
        .read_to_string(&mut text)
        .map_err(|_cut_off| Damage::Unsealable)?;
    if text.len() as u64 > MOST_TEXT_BYTES {
        return Err(Damage::TooLarge {
            most: MOST_TEXT_BYTES,
        });
    }
    let fields: ReferenceFields = parse(&text, REFERENCE_FORMAT_VERSION, EXPECTED)?;
    fields.into_reference()
}

/// Opens the reference of a foot of the set in this folder.
pub(super) fn read(foot: &PracticeFoot, set_folder: &Path) -> Result<Reference, SetError> {
    let path = set_folder.join(&foot.reference);
    let bytes = read_bytes(&path, MOST_SEALED_BYTES)?;
    let reference = reference_from_bytes(&bytes).and_then(|reference| {
        if reference.foot == foot.identifier {
            Ok(reference)
        } else {
            Err(Damage::OfAnotherFoot {
                found: reference.foot,
                expected: foot.identifier.clone(),
            })
        }
    });
    reference.map_err(|damage| SetError::Content { path, damage })
}
