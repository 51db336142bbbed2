//! Small films made byte by byte, so that tests know every value in them.

use std::collections::BTreeMap;

/// A DICOM tag as its group and element.
pub(crate) type TagPair = (u16, u16);

pub(crate) const BITS_STORED: TagPair = (0x0028, 0x0101);
pub(crate) const HIGH_BIT: TagPair = (0x0028, 0x0102);
pub(crate) const PIXEL_REPRESENTATION: TagPair = (0x0028, 0x0103);
pub(crate) const PHOTOMETRIC_INTERPRETATION: TagPair = (0x0028, 0x0004);
pub(crate) const PIXEL_DATA: TagPair = (0x7FE0, 0x0010);

const EXPLICIT: &str = "1.2.840.10008.1.2.1";

/// A DICOM file in Explicit VR Little Endian: 16 bits allocated, 12 stored, MONOCHROME2.
#[derive(Clone)]
pub(crate) struct DicomFile {
    elements: BTreeMap<TagPair, ([u8; 2], Vec<u8>)>,
    syntax: String,
}

impl DicomFile {
    pub(crate) fn new(columns: u16, rows: u16, words: &[u16]) -> Self {
        Self {
            elements: BTreeMap::new(),
            syntax: EXPLICIT.to_owned(),
        }
        .text((0x0008, 0x0060), b"CS", "DX")
        .words((0x0028, 0x0002), b"US", &[1])
        .text(PHOTOMETRIC_INTERPRETATION, b"CS", "MONOCHROME2")
        .words((0x0028, 0x0010), b"US", &[rows])
        .words((0x0028, 0x0011), b"US", &[columns])
        .words((0x0028, 0x0100), b"US", &[16])
        .words(BITS_STORED, b"US", &[12])
        .words(HIGH_BIT, b"US", &[11])
        .words(PIXEL_REPRESENTATION, b"US", &[0])
        .words(PIXEL_DATA, b"OW", words)
    }

    pub(crate) fn bytes(mut self, tag: TagPair, vr: &[u8; 2], bytes: Vec<u8>) -> Self {
        self.elements.insert(tag, (*vr, bytes));
        self
    }

    pub(crate) fn words(self, tag: TagPair, vr: &[u8; 2], words: &[u16]) -> Self {
        self.bytes(tag, vr, little_endian(words))
    }

    pub(crate) fn text(self, tag: TagPair, vr: &[u8; 2], text: &str) -> Self {
        let mut bytes = text.as_bytes().to_vec();
        if bytes.len() % 2 == 1 {
            bytes.push(b' ');
        }
        self.bytes(tag, vr, bytes)
    }

    /// A sequence of one item with the elements of another made file, of declared length.
    pub(crate) fn item(self, tag: TagPair, elements: &[(TagPair, &[u8; 2], Vec<u8>)]) -> Self {
        let mut content = Vec::new();
        for (tag, vr, bytes) in elements {
            write_element(&mut content, *tag, vr, bytes);
        }
        let mut item = vec![0xFE, 0xFF, 0x00, 0xE0];
        item.extend(u32::try_from(content.len()).expect("short").to_le_bytes());
        item.extend(content);
        self.bytes(tag, b"SQ", item)
    }

    /// Pixels in one fragment, under a compressed transfer syntax.
    pub(crate) fn encapsulated(mut self, syntax: &str, frame: &[u8]) -> Self {
        let mut items = vec![0xFE, 0xFF, 0x00, 0xE0, 0, 0, 0, 0, 0xFE, 0xFF, 0x00, 0xE0];
        items.extend(u32::try_from(frame.len()).expect("short").to_le_bytes());
        items.extend(frame);
        items.extend([0xFE, 0xFF, 0xDD, 0xE0, 0, 0, 0, 0]);
        syntax.clone_into(&mut self.syntax);
        self.bytes(PIXEL_DATA, b"ob", items)
    }

    /// The data set alone, without preamble and file meta group.
    pub(crate) fn data_set(&self) -> Vec<u8> {
        let mut file = Vec::new();
        for (tag, (vr, bytes)) in &self.elements {
            write_element(&mut file, *tag, vr, bytes);
        }
        file
    }

    pub(crate) fn to_bytes(&self) -> Vec<u8> {
        let mut file = vec![0; 128];
        file.extend(b"DICM");
        let mut syntax = self.syntax.clone().into_bytes();
        if syntax.len() % 2 == 1 {
            syntax.push(0);
        }
        write_element(&mut file, (0x0002, 0x0010), b"UI", &syntax);
        file.extend(self.data_set());
        file
    }
}

pub(crate) fn little_endian(words: &[u16]) -> Vec<u8> {
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

/// `ob` stands for OB of undefined length.
fn write_element(file: &mut Vec<u8>, (group, element): TagPair, vr: &[u8; 2], bytes: &[u8]) {
    file.extend(group.to_le_bytes());
    file.extend(element.to_le_bytes());
    file.extend(vr.to_ascii_uppercase());
    let length = u32::try_from(bytes.len()).expect("short");
    match vr {
        b"ob" => file.extend([0, 0, 0xFF, 0xFF, 0xFF, 0xFF]),
        b"OB" | b"OW" | b"SQ" | b"UN" | b"UT" => {
            file.extend([0, 0]);
            file.extend(length.to_le_bytes());
        }
        _ => file.extend(u16::try_from(length).expect("short").to_le_bytes()),
    }
    file.extend(bytes);
}

/// An uncompressed little-endian TIFF of one strip.
pub(crate) fn tiff(
    (width, height): (u16, u16),
    bits: u16,
    photometric: u16,
    format: u16,
    data: &[u8],
) -> Vec<u8> {
    let entries: [(u16, u16, u32); 9] = [
        (256, 3, width.into()),
        (257, 3, height.into()),
        (258, 3, bits.into()),
        (259, 3, 1),
        (262, 3, photometric.into()),
        (273, 4, 8),
        (278, 3, height.into()),
        (279, 4, u32::try_from(data.len()).expect("short")),
        (339, 3, format.into()),
    ];
    let directory = 8 + u32::try_from(data.len().next_multiple_of(2)).expect("short");
    let mut file = b"II*\0".to_vec();
    file.extend(directory.to_le_bytes());
    file.extend(data);
    file.resize(directory as usize, 0);
    file.extend(u16::try_from(entries.len()).expect("few").to_le_bytes());
    for (tag, kind, value) in entries {
        file.extend(tag.to_le_bytes());
        file.extend(kind.to_le_bytes());
        file.extend(1_u32.to_le_bytes());
        file.extend(value.to_le_bytes());
    }
    file.extend([0; 4]);
    file
}

/// A picture in any format that the library writes.
pub(crate) fn encoded(picture: &image::DynamicImage, format: image::ImageFormat) -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut file, format).expect("encodes");
    file.into_inner()
}
