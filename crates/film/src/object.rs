//! A DICOM film as a file that is written again: every element as it stands, and its pixels as they are stored.

use dicom_core::{Tag, VR};

use crate::{dicom, error::FilmProblem, plain};

/// Every element of a DICOM film but its pixels, in the order of the file, values in little endian. Names of
/// people are among it: keep it no longer than needed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilmObject {
    /// The elements of the highest level.
    pub elements: Vec<FilmElement>,
    /// The unique identifier of the transfer syntax in which the file's pixels are.
    pub transfer_syntax: String,
}

/// One element of a DICOM film.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilmElement {
    /// Its tag.
    pub tag: Tag,
    /// Its value representation.
    pub vr: VR,
    /// Its value.
    pub value: FilmValue,
}

/// What an element holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FilmValue {
    /// A value as it is stored, in little endian; texts in the character set of the file, padding included.
    Bytes(Vec<u8>),
    /// The items of a sequence.
    Items(Vec<Vec<FilmElement>>),
}

/// The pixels of a DICOM film as they are stored, decompressed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilmPixels {
    /// The number of columns.
    pub columns: usize,
    /// The number of rows.
    pub rows: usize,
    /// 1 for grey, 3 for colour.
    pub samples_per_pixel: usize,
    /// 8, 16 or 32.
    pub bits_allocated: u16,
    /// How many of them are used; the rest may hold anything.
    pub bits_stored: u16,
    /// The highest of them, counted from 0.
    pub high_bit: u16,
    /// Whether samples are signed.
    pub is_signed: bool,
    /// Photometric Interpretation (0028,0004) of these pixels.
    pub colours: &'static str,
    /// Whether colour comes as whole planes instead of pixel by pixel.
    pub is_planar: bool,
    /// Whether the compression may have lost detail.
    pub was_lossy: bool,
    /// The samples, little endian, row by row, one picture after the other.
    pub bytes: Vec<u8>,
}

impl FilmObject {
    /// Reads every element of a film's file but its pixels; nothing for pictures other than DICOM.
    ///
    /// # Errors
    /// When the file is neither such a picture nor DICOM, or is damaged.
    pub fn read(bytes: &[u8]) -> Result<Option<Self>, FilmProblem> {
        if plain::recognised(bytes).is_some() {
            return Ok(None);
        }
        dicom::whole_object(bytes).map(Some)
    }
}

impl FilmPixels {
    /// Decodes the pixels of every picture of a DICOM file. What two pixels share of their colours (YBR_FULL_422) becomes
    /// red, green and blue.
    ///
    /// # Errors
    /// When the file has no pixels, more than can be held, or pixels that cannot be decoded here.
    pub fn read(bytes: &[u8]) -> Result<Self, FilmProblem> {
        dicom::whole_pixels(bytes)
    }
}
