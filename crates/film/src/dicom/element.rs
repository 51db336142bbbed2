//! The structure of a DICOM data set (PS3.5 chapter 7), read without copying and without trusting it.
//!
//! Every value is a slice of the file, so that a declared length can cost no memory: it either fits
//! into the file or is an error. Sequences are read only when somebody asks for them.

use dicom_core::{
    Tag, VR,
    dictionary::{DataDictionary, DataDictionaryEntry},
};
use dicom_dictionary_std::{StandardDataDictionary, tags};

use crate::error::FilmProblem;

/// How the elements of a data set are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Encoding {
    /// Whether each element names its value representation.
    pub explicit: bool,
    /// Whether the most significant byte comes first.
    pub big_endian: bool,
}

impl Encoding {
    /// Implicit VR Little Endian, the default of the network (PS3.5 A.1).
    pub const IMPLICIT_LITTLE: Self = Self {
        explicit: false,
        big_endian: false,
    };
    /// Explicit VR Little Endian (PS3.5 A.2), also around compressed pixels.
    pub const EXPLICIT_LITTLE: Self = Self {
        explicit: true,
        big_endian: false,
    };
    /// Explicit VR Big Endian, retired.
    pub const EXPLICIT_BIG: Self = Self {
        explicit: true,
        big_endian: true,
    };

    pub(super) fn u16(self, bytes: [u8; 2]) -> u16 {
        if self.big_endian {
            u16::from_be_bytes(bytes)
        } else {
            u16::from_le_bytes(bytes)
        }
    }

    pub(super) fn u32(self, bytes: [u8; 4]) -> u32 {
        if self.big_endian {
            u32::from_be_bytes(bytes)
        } else {
            u32::from_le_bytes(bytes)
        }
    }
}

/// One element with its value as it stands in the file.
#[derive(Clone, Copy, Debug)]
pub struct Element<'a> {
    /// Which element.
    pub tag: Tag,
    /// Its value representation, as written or as the dictionary says.
    pub vr: VR,
    /// Its value.
    pub bytes: &'a [u8],
    /// Whether the value was ended by a delimiter instead of a declared length: a sequence, or
    /// encapsulated pixels.
    pub is_delimited: bool,
}

/// The elements of one level of a data set.
#[derive(Clone, Debug)]
pub struct DataSet<'a> {
    /// The elements, in the order of the file.
    pub elements: Vec<Element<'a>>,
    /// How they are written.
    pub encoding: Encoding,
}

const ITEM: Tag = Tag(0xFFFE, 0xE000);
const ITEM_END: Tag = Tag(0xFFFE, 0xE00D);
const SEQUENCE_END: Tag = Tag(0xFFFE, 0xE0DD);

/// More elements on one level than any image object has, private ones included.
const MOST_ELEMENTS: usize = 200_000;

/// Sequences nested deeper than this are an attack on the stack.
const DEEPEST_NESTING: usize = 32;

impl<'a> DataSet<'a> {
    /// Reads one level of elements.
    ///
    /// Whatever is wrong after the pixels is ignored, as is an incomplete element header at the end:
    /// the film is already there.
    ///
    /// # Errors
    /// When an element does not fit into the file or the structure contradicts itself.
    pub fn read(bytes: &'a [u8], encoding: Encoding) -> Result<Self, FilmProblem> {
        let mut cursor = Cursor::new(bytes);
        let mut elements: Vec<Element<'a>> = Vec::new();
        let mut has_pixels = false;
        while let Some(header) = cursor.element_header(encoding) {
            if header.tag == ITEM_END {
                break;
            }
            match cursor.value(&header, encoding, 0) {
                Ok(element) => {
                    has_pixels |= element.tag == tags::PIXEL_DATA;
                    elements.push(element);
                }
                Err(_after_the_pixels) if has_pixels => break,
                Err(problem) => return Err(problem),
            }
            if elements.len() > MOST_ELEMENTS {
                return Err(FilmProblem::damaged(
                    "DICOM",
                    "it has more elements than an image can have",
                ));
            }
        }
        Ok(Self { elements, encoding })
    }

    /// The elements before the pixels, as far as the beginning of a file holds them.
    pub(super) fn read_beginning(bytes: &'a [u8], encoding: Encoding) -> Beginning<'a> {
        // Of the kinds of pixels, Float Pixel Data has the smallest tag.
        let (data_set, reaches_pixels) =
            Self::read_while(bytes, encoding, |tag| tag < tags::FLOAT_PIXEL_DATA);
        Beginning {
            data_set,
            reaches_pixels,
        }
    }

    /// Reads the elements up to and with `last` of a data set of which only the beginning may be there.
    ///
    /// An element that is cut ends the reading, so that the first part of a long data set will do.
    #[must_use]
    pub fn read_up_to(bytes: &'a [u8], encoding: Encoding, last: Tag) -> Self {
        Self::read_while(bytes, encoding, |tag| tag <= last).0
    }

    /// The elements up to the first whose tag is not wanted or that is cut; and whether it was the tag.
    fn read_while(
        bytes: &'a [u8],
        encoding: Encoding,
        is_wanted: impl Fn(Tag) -> bool,
    ) -> (Self, bool) {
        let mut cursor = Cursor::new(bytes);
        let mut elements = Vec::new();
        let mut is_past = false;
        while elements.len() < MOST_ELEMENTS
            && let Some(header) = cursor.element_header(encoding)
        {
            is_past = !is_wanted(header.tag);
            if is_past {
                break;
            }
            let Ok(element) = cursor.value(&header, encoding, 0) else {
                break;
            };
            elements.push(element);
        }
        (Self { elements, encoding }, is_past)
    }

    /// The elements of the first group only, such as the file meta group, and what follows them.
    pub(super) fn read_group(
        bytes: &'a [u8],
        encoding: Encoding,
        group: u16,
    ) -> Result<(Self, &'a [u8]), FilmProblem> {
        let mut cursor = Cursor::new(bytes);
        let mut elements = Vec::new();
        loop {
            let before = cursor.position;
            match cursor.element_header(encoding) {
                Some(header) if header.tag.group() == group => {
                    elements.push(cursor.value(&header, encoding, 0)?);
                }
                _ => {
                    let rest = bytes.get(before..).unwrap_or_default();
                    return Ok((Self { elements, encoding }, rest));
                }
            }
        }
    }

    /// The element with this tag.
    #[must_use]
    pub fn element(&self, tag: Tag) -> Option<&Element<'a>> {
        self.elements.iter().find(|element| element.tag == tag)
    }

    /// The items of a sequence, up to the first damaged one; none when it is absent.
    pub fn items(&self, tag: Tag) -> impl Iterator<Item = Self> {
        self.placed_items(tag).map(|(_, item)| item)
    }

    /// The same, each with its bytes in the file.
    pub(super) fn placed_items(&self, tag: Tag) -> impl Iterator<Item = (&'a [u8], Self)> {
        let element = self.element(tag);
        // A sequence of unknown representation is written implicitly (PS3.5 6.2.2).
        let encoding = match element {
            Some(element) if element.vr == VR::UN => Encoding::IMPLICIT_LITTLE,
            _ => self.encoding,
        };
        let mut cursor = Cursor::new(element.map_or(&[], |element| element.bytes));
        std::iter::from_fn(move || {
            let item = cursor.item_or_rest(encoding)?;
            Some((item, Self::read(item, encoding).ok()?))
        })
    }

    /// The first item of a sequence.
    #[must_use]
    pub fn first_item(&self, tag: Tag) -> Option<Self> {
        self.items(tag).next()
    }
}

/// The elements before the pixels, as far as the beginning of a file holds them.
pub(super) struct Beginning<'a> {
    pub(super) data_set: DataSet<'a>,
    /// Whether the pixels follow, so that nothing before them is missing.
    pub(super) reaches_pixels: bool,
}

/// The fragments of encapsulated pixels: first the offset table, then the fragments themselves.
///
/// # Errors
/// When there is not even an offset table.
pub(super) fn fragments<'a>(
    element: &Element<'a>,
) -> Result<(&'a [u8], Vec<&'a [u8]>), FilmProblem> {
    let mut cursor = Cursor::new(element.bytes);
    let offset_table = cursor
        .item(Encoding::EXPLICIT_LITTLE)
        .ok_or_else(|| FilmProblem::damaged("DICOM", "the encapsulated pixels have no items"))?;
    let mut fragments = Vec::new();
    while let Some(fragment) = cursor.item(Encoding::EXPLICIT_LITTLE) {
        fragments.push(fragment);
    }
    Ok((offset_table, fragments))
}

struct Header {
    tag: Tag,
    vr: VR,
    /// Nothing for a value that a delimiter ends.
    length: Option<usize>,
}

struct Cursor<'a> {
    bytes: &'a [u8],
    position: usize,
}

impl<'a> Cursor<'a> {
    const fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, position: 0 }
    }

    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let end = self.position.checked_add(N)?;
        let taken = self.bytes.get(self.position..end)?.try_into().ok()?;
        self.position = end;
        Some(taken)
    }

    fn remaining(&self) -> usize {
        self.bytes.len() - self.position
    }

    fn tag(&mut self, encoding: Encoding) -> Option<Tag> {
        let group = encoding.u16(self.take()?);
        let element = encoding.u16(self.take()?);
        Some(Tag(group, element))
    }

    fn long_length(&mut self, encoding: Encoding) -> Option<Option<usize>> {
        let length = encoding.u32(self.take()?);
        Some((length != u32::MAX).then_some(length as usize))
    }

    /// The next element's header; nothing at the end.
    fn element_header(&mut self, encoding: Encoding) -> Option<Header> {
        let tag = self.tag(encoding)?;
        let names_its_vr = encoding.explicit
            && tag.group() != ITEM.group()
            && self
                .bytes
                .get(self.position..self.position + 2)
                .is_some_and(|vr| vr.iter().all(u8::is_ascii_uppercase));
        if !names_its_vr {
            // Also writers of explicit data sets leave single elements implicit.
            let length = self.long_length(encoding)?;
            return Some(Header {
                tag,
                vr: vr_of(tag),
                length,
            });
        }
        let vr = VR::from_binary(self.take()?).unwrap_or(VR::UN);
        let length = if has_long_length(vr) {
            let _reserved: [u8; 2] = self.take()?;
            self.long_length(encoding)?
        } else {
            Some(usize::from(encoding.u16(self.take()?)))
        };
        Some(Header { tag, vr, length })
    }

    /// The value after a header, as a slice; the cursor moves behind it.
    fn value(
        &mut self,
        header: &Header,
        encoding: Encoding,
        depth: usize,
    ) -> Result<Element<'a>, FilmProblem> {
        let start = self.position;
        let end = match header.length {
            Some(length) => {
                if length > self.remaining() {
                    return Err(cut_short(header.tag, length, self.remaining()));
                }
                self.position += length;
                self.position
            }
            None => {
                let inner = if header.vr == VR::UN {
                    Encoding::IMPLICIT_LITTLE
                } else {
                    encoding
                };
                self.skip_items(header.tag, inner, depth)?
            }
        };
        Ok(Element {
            tag: header.tag,
            vr: header.vr,
            bytes: &self.bytes[start..end],
            is_delimited: header.length.is_none(),
        })
    }

    /// Moves behind the delimiter of a sequence and returns where the delimiter started.
    fn skip_items(
        &mut self,
        owner: Tag,
        encoding: Encoding,
        depth: usize,
    ) -> Result<usize, FilmProblem> {
        if depth > DEEPEST_NESTING {
            return Err(FilmProblem::damaged(
                "DICOM",
                "sequences are nested too deeply",
            ));
        }
        loop {
            let start = self.position;
            let (Some(tag), Some(length)) = (self.tag(encoding), self.long_length(encoding)) else {
                return Err(cut_short(owner, self.bytes.len() + 8, self.bytes.len()));
            };
            match (tag, length) {
                (SEQUENCE_END, _) => return Ok(start),
                (ITEM, Some(length)) if length <= self.remaining() => self.position += length,
                (ITEM, Some(length)) => return Err(cut_short(owner, length, self.remaining())),
                (ITEM, None) => self.skip_elements(owner, encoding, depth + 1)?,
                _ => {
                    return Err(FilmProblem::damaged(
                        "DICOM",
                        format!("the sequence {owner} holds something else than items"),
                    ));
                }
            }
        }
    }

    /// Moves behind the delimiter of an item.
    fn skip_elements(
        &mut self,
        owner: Tag,
        encoding: Encoding,
        depth: usize,
    ) -> Result<(), FilmProblem> {
        while let Some(header) = self.element_header(encoding) {
            if header.tag == ITEM_END {
                return Ok(());
            }
            self.value(&header, encoding, depth)?;
        }
        Err(cut_short(owner, self.bytes.len() + 8, self.bytes.len()))
    }

    /// The content of the next item, or of what is left where it announces more: a sequence may be cut short within
    /// its last item.
    fn item_or_rest(&mut self, encoding: Encoding) -> Option<&'a [u8]> {
        let before = self.position;
        if let Some(item) = self.item(encoding) {
            return Some(item);
        }
        self.position = before;
        let is_item = self.tag(encoding)? == ITEM;
        let _announced = self.long_length(encoding)??;
        let rest = self.bytes.get(self.position..)?;
        self.position = self.bytes.len();
        is_item.then_some(rest)
    }

    /// The content of the next item; nothing at the end or when no whole item follows.
    fn item(&mut self, encoding: Encoding) -> Option<&'a [u8]> {
        let tag = self.tag(encoding)?;
        let length = self.long_length(encoding)?;
        if tag != ITEM {
            return None;
        }
        let start = self.position;
        match length {
            Some(length) => self.position = start.checked_add(length)?,
            None => self.skip_elements(tag, encoding, 0).ok()?,
        }
        self.bytes.get(start..self.position)
    }
}

fn cut_short(tag: Tag, announced: usize, present: usize) -> FilmProblem {
    let what = if tag == tags::PIXEL_DATA {
        "pixels".to_owned()
    } else {
        format!("the element {tag}")
    };
    FilmProblem::CutShort {
        what,
        announced: announced as u64,
        present: present as u64,
    }
}

fn vr_of(tag: Tag) -> VR {
    StandardDataDictionary
        .by_tag(tag)
        .map_or(VR::UN, |entry| entry.vr().relaxed())
}

/// PS3.5 table 7.1-1.
const fn has_long_length(vr: VR) -> bool {
    matches!(
        vr,
        VR::OB
            | VR::OD
            | VR::OF
            | VR::OL
            | VR::OV
            | VR::OW
            | VR::SQ
            | VR::SV
            | VR::UC
            | VR::UN
            | VR::UR
            | VR::UT
            | VR::UV
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROWS: [u8; 10] = *b"\x28\x00\x10\x00US\x02\x00\x07\x00";

    /// An element with items, both ended by delimiters.
    fn delimited(vr: &[u8; 2], content: &[u8]) -> Vec<u8> {
        let mut bytes = b"\x08\x00\x40\x11".to_vec();
        bytes.extend(vr);
        bytes.extend(b"\0\0\xff\xff\xff\xff");
        bytes.extend(b"\xfe\xff\x00\xe0\xff\xff\xff\xff");
        bytes.extend(content);
        bytes.extend(b"\xfe\xff\x0d\xe0\0\0\0\0");
        bytes.extend(b"\xfe\xff\xdd\xe0\0\0\0\0");
        bytes
    }

    fn rows_of(bytes: &[u8], encoding: Encoding) -> Option<u16> {
        DataSet::read(bytes, encoding)
            .expect("a data set")
            .word(tags::ROWS)
    }

    #[test]
    fn sequences_without_length_are_skipped_and_their_items_found() {
        let nested = delimited(b"SQ", &delimited(b"SQ", &ROWS));
        let bytes = [nested, ROWS.to_vec()].concat();
        assert_eq!(
            rows_of(&bytes, Encoding::EXPLICIT_LITTLE),
            Some(7),
            "after it"
        );
        let data_set = DataSet::read(&bytes, Encoding::EXPLICIT_LITTLE).expect("a data set");
        let inner = data_set
            .first_item(tags::REFERENCED_IMAGE_SEQUENCE)
            .and_then(|item| item.first_item(tags::REFERENCED_IMAGE_SEQUENCE))
            .expect("two levels");
        assert_eq!(inner.word(tags::ROWS), Some(7), "inside it");
    }

    #[test]
    fn a_sequence_of_unknown_representation_is_implicit_inside() {
        let implicit_rows = b"\x28\x00\x10\x00\x02\x00\x00\x00\x09\x00";
        let bytes = delimited(b"UN", implicit_rows);
        let data_set = DataSet::read(&bytes, Encoding::EXPLICIT_LITTLE).expect("a data set");
        let item = data_set
            .first_item(tags::REFERENCED_IMAGE_SEQUENCE)
            .expect("an item");
        assert_eq!(item.word(tags::ROWS), Some(9), "implicit");
    }

    #[test]
    fn implicit_and_big_endian_elements_are_read() {
        let implicit = b"\x28\x00\x10\x00\x02\x00\x00\x00\x07\x00";
        assert_eq!(
            rows_of(implicit, Encoding::IMPLICIT_LITTLE),
            Some(7),
            "implicit"
        );
        let big = b"\x00\x28\x00\x10US\x00\x02\x00\x07";
        assert_eq!(rows_of(big, Encoding::EXPLICIT_BIG), Some(7), "big endian");
    }

    #[test]
    fn a_length_beyond_the_file_is_an_error_that_says_so() {
        let bytes = b"\x10\x00\x10\x00PN\xff\x7fname";
        let problem = DataSet::read(bytes, Encoding::EXPLICIT_LITTLE).expect_err("cut short");
        assert!(
            matches!(
                problem,
                FilmProblem::CutShort {
                    announced: 0x7FFF,
                    present: 4,
                    ..
                }
            ),
            "{problem}"
        );
    }

    #[test]
    fn the_beginning_of_a_cut_data_set_is_read() {
        let bytes = [ROWS.as_slice(), b"\x28\x00\x11\x00US\xff\x00\x07\x00"].concat();
        let data_set = DataSet::read_up_to(&bytes, Encoding::EXPLICIT_LITTLE, tags::PIXEL_DATA);
        assert_eq!(data_set.word(tags::ROWS), Some(7), "before the cut");
        assert_eq!(data_set.elements.len(), 1, "the cut element is left out");
        let none = DataSet::read_up_to(&bytes, Encoding::EXPLICIT_LITTLE, tags::MODALITY);
        assert!(none.elements.is_empty(), "no further than asked for");
    }

    #[test]
    fn bottomless_nesting_is_refused() {
        let mut bytes = ROWS.to_vec();
        for _ in 0..100 {
            bytes = delimited(b"SQ", &bytes);
        }
        let problem = DataSet::read(&bytes, Encoding::EXPLICIT_LITTLE).expect_err("too deep");
        assert!(problem.to_string().contains("nested"), "{problem}");
    }
}
