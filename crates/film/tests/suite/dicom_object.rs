//! A film's file as it is written again: every element, and the pixels as they are stored.

use image::{DynamicImage, ImageFormat};
use plumbray_film::{Film, FilmElement, FilmObject, FilmPixels, FilmValue};

use crate::made::{
    BITS_STORED, DicomFile, HIGH_BIT, PHOTOMETRIC_INTERPRETATION, encoded, little_endian,
};

fn value(elements: &[FilmElement], group: u16, element: u16) -> &FilmValue {
    let found = elements
        .iter()
        .find(|found| (found.tag.group(), found.tag.element()) == (group, element));
    &found.expect("it is there").value
}

fn bytes(value: &FilmValue) -> &[u8] {
    match value {
        FilmValue::Bytes(bytes) => bytes,
        FilmValue::Items(_) => panic!("a sequence"),
    }
}

#[test]
fn every_element_comes_out_as_it_stands_nested_and_private_ones_too_without_the_pixels() {
    let file = DicomFile::new(2, 1, &[7, 9])
        .text((0x0009, 0x0010), b"LO", "A maker")
        .bytes((0x0010, 0x0010), b"PN", b"M\xfcller^A ".to_vec())
        .item(
            (0x0008, 0x1140),
            &[((0x0008, 0x1155), b"UI", b"1.2.3\0".to_vec())],
        );
    let object = FilmObject::read(&file.to_bytes())
        .expect("DICOM")
        .expect("an object");
    assert_eq!(
        bytes(value(&object.elements, 0x0010, 0x0010)),
        b"M\xfcller^A ",
        "in its own character set"
    );
    assert_eq!(
        bytes(value(&object.elements, 0x0009, 0x0010)),
        b"A maker ",
        "private"
    );
    let FilmValue::Items(items) = value(&object.elements, 0x0008, 0x1140) else {
        panic!("a sequence stays one");
    };
    assert_eq!(
        bytes(value(&items[0], 0x0008, 0x1155)),
        b"1.2.3\0",
        "within it"
    );
    let has_pixels = object
        .elements
        .iter()
        .any(|element| element.tag.group() == 0x7FE0);
    assert!(!has_pixels, "pixels are read apart");
}

#[test]
fn values_of_big_endian_files_are_turned_around() {
    // Rows in Explicit VR Big Endian, as a data set without a header.
    let big = b"\x00\x08\x00\x60CS\x00\x02DX\x00\x28\x00\x10US\x00\x02\x01\x02";
    let object = FilmObject::read(big).expect("DICOM").expect("an object");
    assert_eq!(
        bytes(value(&object.elements, 0x0028, 0x0010)),
        [0x02, 0x01],
        "little endian"
    );
}

#[test]
fn pixels_come_out_as_they_are_stored() {
    let words = [1, 2, 3, 0xF004];
    let pixels = FilmPixels::read(&DicomFile::new(2, 2, &words).to_bytes()).expect("pixels");
    assert_eq!(pixels.bytes, little_endian(&words), "unused bits too");
    assert_eq!(
        (
            pixels.columns,
            pixels.rows,
            pixels.bits_allocated,
            pixels.bits_stored,
            pixels.high_bit
        ),
        (2, 2, 16, 12, 11),
        "as described"
    );
}

#[test]
fn a_plain_picture_is_no_object() {
    let png = encoded(&DynamicImage::new_luma8(2, 2), ImageFormat::Png);
    assert_eq!(FilmObject::read(&png).expect("a picture"), None, "PNG");
}

#[test]
fn colour_in_rle_is_colour_by_pixel_whatever_planar_configuration_says() {
    // Two pixels of red, green and blue: (10, 20, 30) and (11, 21, 31), each plane a segment of its own.
    let mut frame = little_endian(&[3, 0, 64, 0, 68, 0, 72, 0]);
    frame.resize(64, 0);
    for plane in [[10, 11], [20, 21], [30, 31]] {
        frame.extend([1, plane[0], plane[1], 0]);
    }
    let file = |planar: u16| {
        DicomFile::new(2, 1, &[])
            .text(PHOTOMETRIC_INTERPRETATION, b"CS", "RGB")
            .words((0x0028, 0x0002), b"US", &[3])
            .words((0x0028, 0x0006), b"US", &[planar])
            .words((0x0028, 0x0100), b"US", &[8])
            .words(BITS_STORED, b"US", &[8])
            .words(HIGH_BIT, b"US", &[7])
            .encapsulated("1.2.840.10008.1.2.5", &frame)
            .to_bytes()
    };
    for planar in [0, 1] {
        let pixels = FilmPixels::read(&file(planar)).expect("pixels");
        assert_eq!(pixels.bytes, [10, 20, 30, 11, 21, 31], "planar {planar}");
        assert!(!pixels.is_planar, "by pixel");
        let film = Film::from_bytes(&file(planar)).expect("a film");
        // 0.299 R + 0.587 G + 0.114 B
        assert_eq!(film.samples(), [18, 19], "planar {planar}: luminance");
    }
}
