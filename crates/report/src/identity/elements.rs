//! The elements of an object after the profile was applied to them.

use dicom_core::{Tag, VR, dictionary::DataDictionary as _};
use dicom_dictionary_std::{StandardDataDictionary, tags};
use plumbray_film::{FilmElement, FilmValue};

use super::{
    basic_profile::{Action, action},
    uids::NewUids,
};
use crate::dicom::{OWN_SCHEME, plain_text};

/// What stands for a text that is taken away.
const REMOVED: &str = "REMOVED";

/// A page without anything on it, in place of an encapsulated document.
const EMPTY_PAGE: &[u8] = b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n\
2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n\
3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]>>endobj\n\
xref\n0 4\n0000000000 65535 f \n0000000009 00000 n \n0000000052 00000 n \n0000000101 00000 n \n\
trailer<</Size 4/Root 1 0 R>>\nstartxref\n164\n%%EOF\n\n";

/// The elements of one level after the profile was applied, nested ones too.
///
/// Where the standard leaves a choice that depends on the kind of object, what is right for each of them is
/// taken: a value that means nothing before none, and none before removal. Beyond the table, what the standard's
/// dictionary does not know is removed, and names of people, dates and times that the table does not name become
/// such values.
pub(super) fn cleaned(elements: &[FilmElement], uids: &mut NewUids) -> Vec<FilmElement> {
    let known = elements
        .iter()
        .filter(|element| StandardDataDictionary.by_tag(element.tag).is_some());
    let mut kept: Vec<FilmElement> = known.filter_map(|element| one(element, uids)).collect();
    shorten_document(&mut kept);
    kept
}

fn one(element: &FilmElement, uids: &mut NewUids) -> Option<FilmElement> {
    match (action(element.tag), &element.value) {
        _ if is_cleaned_content(element.tag) => Some(within(element, uids)),
        // A presentation state without them is none (type 1, PS3.3 C.11.10).
        _ if is_needed_by_its_kind(element.tag) => Some(dummy(element, uids)),
        // No name and no number would be allowed, but archives would take all such feet for one patient's, and
        // dcmtk opens no presentation state without a name.
        _ if element.tag == tags::PATIENT_NAME => Some(dummy(element, uids)),
        _ if element.tag == tags::PATIENT_ID => Some(pseudonym(element, uids)),
        (Some(Action::X), _) => None,
        (Some(Action::U), FilmValue::Bytes(_)) => Some(with_new_uids(element, uids)),
        (None | Some(Action::XZU | Action::U), FilmValue::Items(_)) => Some(within(element, uids)),
        (Some(Action::Z | Action::XZ), _) => Some(empty(element)),
        (Some(Action::D | Action::ZD | Action::XD | Action::XZD | Action::XZU), _) => {
            Some(dummy(element, uids))
        }
        (None, FilmValue::Bytes(_)) => {
            let is_personal = matches!(element.vr, VR::PN | VR::DA | VR::DT | VR::TM);
            Some(if is_personal {
                dummy(element, uids)
            } else {
                element.clone()
            })
        }
    }
}

/// Content that the profile's options clean item by item instead of taking all of it away: the tree of a report, and
/// what a presentation state draws.
const fn is_cleaned_content(tag: Tag) -> bool {
    matches!(
        tag,
        tags::CONTENT_SEQUENCE | tags::GRAPHIC_ANNOTATION_SEQUENCE
    )
}

/// Attributes that the table removes from every object, although one kind of object needs a value.
const fn is_needed_by_its_kind(tag: Tag) -> bool {
    matches!(
        tag,
        tags::PRESENTATION_CREATION_DATE | tags::PRESENTATION_CREATION_TIME
    )
}

/// A sequence whose items were cleaned.
fn within(element: &FilmElement, uids: &mut NewUids) -> FilmElement {
    let items = match &element.value {
        FilmValue::Items(items) => items.as_slice(),
        FilmValue::Bytes(_) => &[],
    };
    let items = items.iter().map(|item| {
        let mut item = cleaned(item, uids);
        take_words_away(&mut item);
        item
    });
    FilmElement {
        value: FilmValue::Items(items.collect()),
        ..element.clone()
    }
}

/// Free text of a report's item stays only under a concept of our own, where it names a construction, a calibration
/// or a remark; beside a drawing only a number with its unit stays.
fn take_words_away(item: &mut [FilmElement]) {
    let is_own = item
        .iter()
        .find(|element| element.tag == tags::CONCEPT_NAME_CODE_SEQUENCE)
        .is_some_and(names_own_scheme);
    for element in item {
        let is_free = match element.tag {
            tags::TEXT_VALUE => !is_own,
            tags::UNFORMATTED_TEXT_VALUE => !is_a_number(&plain_text(element)),
            _ => false,
        };
        if is_free {
            element.value = FilmValue::Bytes(even(REMOVED, b' '));
        }
    }
}

fn names_own_scheme(name: &FilmElement) -> bool {
    let FilmValue::Items(items) = &name.value else {
        return false;
    };
    let mut elements = items.iter().flatten();
    elements.any(|element| {
        element.tag == tags::CODING_SCHEME_DESIGNATOR && plain_text(element) == OWN_SCHEME
    })
}

fn is_a_number(text: &str) -> bool {
    let is_plain = |letter: char| {
        letter.is_ascii_digit() || letter.is_whitespace() || ".,°±%+−-–()".contains(letter)
    };
    text.replace("mm", "").chars().all(is_plain)
}

fn with_new_uids(element: &FilmElement, uids: &mut NewUids) -> FilmElement {
    let old = plain_text(element);
    let new: Vec<String> = old.split('\\').map(|old| uids.of(old)).collect();
    FilmElement {
        value: FilmValue::Bytes(even(&new.join("\\"), 0)),
        ..element.clone()
    }
}

/// A number that stands for a patient within one export.
fn pseudonym(element: &FilmElement, uids: &mut NewUids) -> FilmElement {
    let number = uids.of(&format!("patient {}", plain_text(element)));
    let digits = number.rsplit('.').next().unwrap_or_default();
    let last: String = digits.chars().rev().take(12).collect();
    FilmElement {
        value: FilmValue::Bytes(even(&format!("P{last}"), b' ')),
        ..element.clone()
    }
}

fn empty(element: &FilmElement) -> FilmElement {
    let value = match element.value {
        FilmValue::Items(_) => FilmValue::Items(Vec::new()),
        FilmValue::Bytes(_) => FilmValue::Bytes(Vec::new()),
    };
    FilmElement {
        value,
        ..element.clone()
    }
}

/// A value that means nothing and fits its representation; within a sequence, each of its values.
fn dummy(element: &FilmElement, uids: &mut NewUids) -> FilmElement {
    let value = match &element.value {
        FilmValue::Items(items) => {
            let items = items
                .iter()
                .map(|item| item.iter().map(|element| dummy(element, uids)).collect());
            FilmValue::Items(items.collect())
        }
        FilmValue::Bytes(_) if element.vr == VR::UI => return with_new_uids(element, uids),
        FilmValue::Bytes(_) if element.tag == tags::ENCAPSULATED_DOCUMENT => {
            FilmValue::Bytes(EMPTY_PAGE.to_vec())
        }
        FilmValue::Bytes(_) => FilmValue::Bytes(dummy_bytes(element.vr)),
    };
    FilmElement {
        value,
        ..element.clone()
    }
}

fn dummy_bytes(vr: VR) -> Vec<u8> {
    match vr {
        VR::DA => even("19000101", b' '),
        VR::TM => even("000000", b' '),
        VR::DT => even("19000101000000", b' '),
        VR::AS => even("000Y", b' '),
        VR::DS | VR::IS => even("0", b' '),
        VR::UR => even("about:blank", b' '),
        VR::PN => even("ANONYMOUS^PATIENT", b' '),
        VR::US | VR::SS | VR::OB | VR::OW | VR::UN => vec![0; 2],
        VR::AT | VR::UL | VR::SL | VR::FL | VR::OL | VR::OF => vec![0; 4],
        VR::FD | VR::OD | VR::OV | VR::SV | VR::UV => vec![0; 8],
        _ => even("ANONYMOUS", b' '),
    }
}

/// A text as it is stored: of an even length.
pub(super) fn even(text: &str, padding: u8) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    if bytes.len() % 2 == 1 {
        bytes.push(padding);
    }
    bytes
}

/// Encapsulated Document Length tells the length of the document that stands there now.
fn shorten_document(elements: &mut [FilmElement]) {
    let length = elements
        .iter()
        .find(|element| element.tag == tags::ENCAPSULATED_DOCUMENT)
        .and_then(|document| match &document.value {
            FilmValue::Bytes(bytes) => u32::try_from(bytes.len()).ok(),
            FilmValue::Items(_) => None,
        });
    let told = elements
        .iter_mut()
        .find(|element| element.tag == tags::ENCAPSULATED_DOCUMENT_LENGTH);
    if let (Some(length), Some(told)) = (length, told) {
        told.value = FilmValue::Bytes(length.to_le_bytes().to_vec());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn element(tag: Tag, vr: VR, text: &str) -> FilmElement {
        FilmElement {
            tag,
            vr,
            value: FilmValue::Bytes(even(text, b' ')),
        }
    }

    #[test]
    fn identifiers_are_new_and_the_same_in_every_place_also_nested() {
        let item = vec![
            element(
                tags::REFERENCED_SOP_CLASS_UID,
                VR::UI,
                "1.2.840.10008.5.1.4.1.1.1",
            ),
            element(tags::REFERENCED_SOP_INSTANCE_UID, VR::UI, "1.2.3.4"),
        ];
        let elements = [
            element(tags::SOP_INSTANCE_UID, VR::UI, "1.2.3.4"),
            FilmElement {
                tag: tags::SOURCE_IMAGE_SEQUENCE,
                vr: VR::SQ,
                value: FilmValue::Items(vec![item]),
            },
        ];
        let cleaned = cleaned(&elements, &mut NewUids::default());
        let new = plain_text(&cleaned[0]);
        assert!(new.starts_with("2.25."), "{new}");
        let FilmValue::Items(items) = &cleaned[1].value else {
            panic!("a sequence stays one: {cleaned:?}");
        };
        let nested: Vec<String> = items[0].iter().map(plain_text).collect();
        assert_eq!(
            nested,
            ["1.2.840.10008.5.1.4.1.1.1".to_owned(), new],
            "the class stays, the instance is the same new one"
        );
    }

    #[test]
    fn what_names_a_person_or_a_day_goes_whether_the_table_names_it_or_not() {
        let elements = [
            element(tags::PATIENT_NAME, VR::PN, "Sample^Foot"),
            element(tags::PATIENT_COMMENTS, VR::LT, "Neighbour of Sample"),
            element(tags::STUDY_DATE, VR::DA, "20260105"),
            element(tags::CONTENT_DATE, VR::DA, "20260105"),
            element(Tag(0x0009, 0x0010), VR::LO, "Sample"),
            element(Tag(0x0008, 0x0FFE), VR::LO, "Sample"),
            element(tags::BODY_PART_EXAMINED, VR::CS, "FOOT"),
        ];
        let said: Vec<(Tag, String)> = cleaned(&elements, &mut NewUids::default())
            .iter()
            .map(|element| (element.tag, plain_text(element)))
            .collect();
        let expected = [
            (tags::PATIENT_NAME, "ANONYMOUS^PATIENT"),
            (tags::STUDY_DATE, ""),
            (tags::CONTENT_DATE, "19000101"),
            (tags::BODY_PART_EXAMINED, "FOOT"),
        ];
        assert_eq!(
            said,
            expected.map(|(tag, text)| (tag, text.to_owned())),
            "what is left"
        );
    }

    #[test]
    fn one_patient_has_one_new_number_within_an_export_and_another_in_the_next() {
        let one = element(tags::PATIENT_ID, VR::LO, "QF-1");
        let other = element(tags::PATIENT_ID, VR::LO, "QF-2");
        let mut uids = NewUids::default();
        let mut number = |element: &FilmElement| {
            plain_text(&cleaned(std::slice::from_ref(element), &mut uids)[0])
        };
        let first = number(&one);
        assert_eq!(number(&one), first, "the same patient");
        assert_ne!(number(&other), first, "another patient");
        let later = cleaned(std::slice::from_ref(&one), &mut NewUids::default());
        assert_ne!(plain_text(&later[0]), first, "another export");
    }

    #[test]
    fn the_empty_page_tells_its_own_table_of_objects() {
        let page = String::from_utf8_lossy(EMPTY_PAGE);
        for (number, offset) in [(1, 9), (2, 52), (3, 101)] {
            assert!(
                page[offset..].starts_with(&format!("{number} 0 obj")),
                "object {number} at {offset}: {:?}",
                page.find(&format!("{number} 0 obj"))
            );
        }
        assert_eq!(page.find("xref\n0 4"), Some(164), "its table");
        assert_eq!(EMPTY_PAGE.len() % 2, 0, "an even length");
    }

    #[test]
    fn beside_a_drawing_only_numbers_stay() {
        for (text, stays) in [
            ("32.1° ± 3.4", true),
            ("12.0 mm", true),
            ("Mrs Sample", false),
        ] {
            assert_eq!(is_a_number(text), stays, "{text}");
        }
    }
}
