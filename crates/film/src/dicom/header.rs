//! Finding the data set in a file: preamble, file meta group, transfer syntax, deflation (PS3.10 7.1).

use std::{borrow::Cow, io::Read};

use dicom_dictionary_std::{tags, uids};
use flate2::read::DeflateDecoder;

use super::element::{DataSet, Encoding};
use crate::error::FilmProblem;

/// Where the data set of a file is and how it is written.
#[derive(Debug)]
pub struct Located<'a> {
    /// The bytes of the data set, inflated where the file deflates it.
    pub data_set: Cow<'a, [u8]>,
    /// How its elements are written.
    pub encoding: Encoding,
    /// The identifier of the transfer syntax, which says how pixels are compressed.
    pub transfer_syntax: String,
    /// Whether the file header was missing or contradicted the content.
    pub was_recognised: bool,
}

/// Retired from the standard in 2016, and still found.
pub(super) const EXPLICIT_VR_BIG_ENDIAN: &str = "1.2.840.10008.1.2.2";

const SIGNATURE: std::ops::Range<usize> = 128..132;

/// The most that a deflated data set may inflate to.
const INFLATED_BYTES: u64 = 1 << 29;

/// Finds the data set of a DICOM file, with or without preamble and file meta group.
///
/// # Errors
/// When the file is not DICOM at all, or what it deflates is damaged or too large.
pub fn locate(bytes: &[u8]) -> Result<Located<'_>, FilmProblem> {
    let has_signature = bytes.get(SIGNATURE) == Some(b"DICM");
    let after_preamble = if has_signature {
        &bytes[SIGNATURE.end..]
    } else {
        bytes
    };
    if !has_signature && !starts_like_an_element(after_preamble) {
        return Err(FilmProblem::NotAFilm);
    }
    let (meta, rest) = DataSet::read_group(after_preamble, Encoding::EXPLICIT_LITTLE, 0x0002)?;
    let declared = meta.text(tags::TRANSFER_SYNTAX_UID);
    let (data_set, declared_encoding) = match declared.as_deref() {
        Some(uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN) => {
            (Cow::Owned(inflated(rest)?), Some(Encoding::EXPLICIT_LITTLE))
        }
        Some(uids::IMPLICIT_VR_LITTLE_ENDIAN) => {
            (Cow::Borrowed(rest), Some(Encoding::IMPLICIT_LITTLE))
        }
        Some(EXPLICIT_VR_BIG_ENDIAN) => (Cow::Borrowed(rest), Some(Encoding::EXPLICIT_BIG)),
        Some(_) => (Cow::Borrowed(rest), Some(Encoding::EXPLICIT_LITTLE)),
        None => (Cow::Borrowed(rest), None),
    };
    let encoding = recognised_encoding(&data_set);
    Ok(Located {
        was_recognised: !has_signature || declared_encoding != Some(encoding),
        transfer_syntax: declared.unwrap_or_else(|| {
            let guessed = match encoding {
                Encoding::IMPLICIT_LITTLE => uids::IMPLICIT_VR_LITTLE_ENDIAN,
                Encoding::EXPLICIT_BIG => EXPLICIT_VR_BIG_ENDIAN,
                _ => uids::EXPLICIT_VR_LITTLE_ENDIAN,
            };
            guessed.to_owned()
        }),
        data_set,
        encoding,
    })
}

/// Whether a file without preamble may be a bare data set: it starts with the file meta group or
/// the identifying group, in either byte order.
fn starts_like_an_element(bytes: &[u8]) -> bool {
    matches!(
        bytes.first_chunk(),
        Some([0x02 | 0x08, 0x00, _, 0x00] | [0x00, 0x08, 0x00, _])
    ) && bytes.len() >= 8
}

/// How a data set is really written, judged by its first element; writers do contradict their
/// header.
fn recognised_encoding(bytes: &[u8]) -> Encoding {
    let explicit = bytes
        .get(4..6)
        .is_some_and(|vr| vr.iter().all(u8::is_ascii_uppercase));
    // Data sets start with a low group, whose zero byte comes first only in big endian.
    let big_endian = matches!(bytes.first_chunk(), Some([0x00, low]) if *low != 0);
    Encoding {
        explicit,
        big_endian,
    }
}

fn inflated(deflated: &[u8]) -> Result<Vec<u8>, FilmProblem> {
    let mut bytes = Vec::new();
    DeflateDecoder::new(deflated)
        .take(INFLATED_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| FilmProblem::damaged("deflated DICOM", error))?;
    if bytes.len() as u64 > INFLATED_BYTES {
        return Err(FilmProblem::FileTooLarge {
            bytes: bytes.len() as u64,
            limit: INFLATED_BYTES,
        });
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use flate2::{Compression, write::DeflateEncoder};

    use super::*;

    fn file(transfer_syntax: &str, data_set: &[u8]) -> Vec<u8> {
        let mut file = vec![0; 128];
        file.extend(b"DICM\x02\x00\x10\x00UI");
        let mut syntax = transfer_syntax.to_owned();
        if syntax.len() % 2 == 1 {
            syntax.push('\0');
        }
        file.extend(u16::try_from(syntax.len()).expect("short").to_le_bytes());
        file.extend(syntax.as_bytes());
        file.extend(data_set);
        file
    }

    fn deflated(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes).expect("to memory");
        encoder.finish().expect("to memory")
    }

    #[test]
    fn a_deflated_data_set_is_inflated() {
        let data_set = b"\x28\x00\x10\x00US\x02\x00\x07\x00";
        let file = file(
            uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN,
            &deflated(data_set),
        );
        let located = locate(&file).expect("a data set");
        assert_eq!(&*located.data_set, data_set, "inflated");
    }

    #[test]
    fn a_damaged_deflation_is_an_error() {
        let file = file(uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN, &[0xFF; 20]);
        assert!(locate(&file).is_err(), "no deflate stream");
    }

    #[test]
    fn a_file_that_contradicts_its_header_is_recognised() {
        let explicit = b"\x08\x00\x60\x00CS\x02\x00DX";
        let file = file(uids::IMPLICIT_VR_LITTLE_ENDIAN, explicit);
        let located = locate(&file).expect("a data set");
        assert_eq!(located.encoding, Encoding::EXPLICIT_LITTLE, "explicit");
        assert!(located.was_recognised, "and said so");
    }
}
