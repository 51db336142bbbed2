//! A DICOM object without whom it is about.

use dicom_core::VR;
use dicom_dictionary_std::tags;
use dicom_object::{InMemDicomObject, mem::InMemElement};
use plumbray_film::{FilmObject, FilmPixels};

use super::{
    elements::cleaned,
    pixels::{MaskBox, clear_unused_bits, mask},
    uids::NewUids,
};
use crate::{
    DicomError,
    dicom::{
        Code, code, copied_as_stored, elements as write, file_of, identity_removed, plain_text,
    },
};

/// What a person who looked at a film says of letters in its pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextInPicture {
    /// Nobody says that none is left.
    NotLookedAt,
    /// Somebody looked: no letters that name anybody are left, be it that there were none or that all are masked.
    NoneLeft,
}

/// Writes a DICOM object anew without whom it is about: the attributes by the Basic Application Level
/// Confidentiality Profile, nested ones too, pixels uncompressed with the boxes filled on each of its pictures, the file's
/// header made anew. The tree of a report and the lines of a presentation state stay, without their free texts; an encapsulated
/// document becomes an empty page.
///
/// # Errors
/// When the file is damaged, its pixels cannot be decoded, or a box lies beside the film.
pub fn object_without_identity(
    bytes: &[u8],
    boxes: &[MaskBox],
    letters: TextInPicture,
    uids: &mut NewUids,
) -> Result<Vec<u8>, DicomError> {
    let object = FilmObject::read(bytes)?
        .ok_or_else(|| DicomError::Written("a picture was taken for a DICOM object".to_owned()))?;
    let cleaned = cleaned(&object.elements, uids);
    let said = |tag| {
        let element = cleaned.iter().find(|element| element.tag == tag);
        element.map(plain_text).unwrap_or_default()
    };
    let (class, instance) = (said(tags::SOP_CLASS_UID), said(tags::SOP_INSTANCE_UID));
    let mut elements: Vec<InMemElement> = cleaned.iter().map(copied_as_stored).collect();
    let has_pixels = object.element(tags::ROWS).is_some();
    if has_pixels {
        let mut pixels = FilmPixels::read(bytes)?;
        clear_unused_bits(&mut pixels);
        mask(&mut pixels, boxes)?;
        elements.extend(pixel_elements(&object, pixels, boxes));
        if letters == TextInPicture::NoneLeft {
            elements.push(write::word(tags::BURNED_IN_ANNOTATION, "NO"));
        }
    }
    let is_cleaned = has_pixels && letters == TextInPicture::NoneLeft && !boxes.is_empty();
    elements.extend(marks(&object, is_cleaned));
    file_of(
        InMemDicomObject::from_element_iter(elements),
        &class,
        &instance,
    )
}

/// That the identity was removed, and how (PS3.15 E.1.1, steps 7 and 8).
fn marks(object: &FilmObject, is_cleaned: bool) -> Vec<InMemElement> {
    let mut methods: Vec<Code> = vec![code::BASIC_PROFILE];
    methods.extend(is_cleaned.then_some(code::CLEAN_PIXEL_DATA));
    let has = |tag| object.element(tag).is_some();
    methods.extend(has(tags::GRAPHIC_ANNOTATION_SEQUENCE).then_some(code::CLEAN_GRAPHICS));
    methods.extend(has(tags::CONTENT_SEQUENCE).then_some(code::CLEAN_STRUCTURED_CONTENT));
    identity_removed(&methods)
}

/// The pixels as they are written, with what must be said of them.
fn pixel_elements(object: &FilmObject, pixels: FilmPixels, boxes: &[MaskBox]) -> Vec<InMemElement> {
    let vr = if pixels.bits_allocated == 8 {
        VR::OB
    } else {
        VR::OW
    };
    let mut elements = vec![
        write::word(tags::PHOTOMETRIC_INTERPRETATION, pixels.colours),
        write::number(tags::BITS_ALLOCATED, pixels.bits_allocated),
        write::number(tags::BITS_STORED, pixels.bits_stored),
        write::number(tags::HIGH_BIT, pixels.high_bit),
        write::bytes(tags::PIXEL_DATA, vr, pixels.bytes),
    ];
    if pixels.samples_per_pixel > 1 {
        let planar = u16::from(pixels.is_planar);
        elements.push(write::number(tags::PLANAR_CONFIGURATION, planar));
    }
    if pixels.was_lossy {
        elements.push(write::word(tags::LOSSY_IMAGE_COMPRESSION, "01"));
    }
    if !boxes.is_empty() {
        let kind = object.element(tags::IMAGE_TYPE).map(plain_text);
        let kind = kind.unwrap_or_default();
        let rest = kind.split_once('\\').map_or("PRIMARY", |(_, rest)| rest);
        elements.push(write::word(tags::IMAGE_TYPE, &format!("DERIVED\\{rest}")));
        elements.push(write::text(
            tags::DERIVATION_DESCRIPTION,
            VR::ST,
            format!(
                "Pixels within {} filled to take letters away",
                boxes_in_words(boxes)
            ),
        ));
    }
    elements
}

fn boxes_in_words(boxes: &[MaskBox]) -> String {
    match boxes.len() {
        1 => "one box".to_owned(),
        several => format!("{several} boxes"),
    }
}
