//! The letters of an object: everything is written in UTF-8 where the film's own texts can be read, else in the
//! film's character set with our words in ASCII.

use dicom_core::{DataElement, PrimitiveValue, VR, value::Value};
use dicom_dictionary_std::tags;
use dicom_encoding::text::{SpecificCharacterSet, TextCodec as _};
use dicom_object::{InMemDicomObject, mem::InMemElement};
use plumbray_film::{FilmElement, FilmObject, FilmValue};

use super::elements::{bytes, item, sequence, text};

/// UTF-8, as Specific Character Set (0008,0005) names it.
pub(super) const UTF_8: &str = "ISO_IR 192";

/// The character set of an object that is written.
#[derive(Clone, Debug)]
pub(super) enum Characters {
    /// Everything in UTF-8; the film's texts are read by this set.
    Utf8(SpecificCharacterSet),
    /// A set that changes within texts, which are copied as they stand; our words are in ASCII.
    AsTheFilm(String),
}

impl Characters {
    /// Where there is no film that says anything.
    pub(super) const OWN: Self = Self::Utf8(SpecificCharacterSet::ISO_IR_192);

    /// The character set for objects about this film.
    pub(super) fn of(film: &FilmObject) -> Self {
        let named = film
            .element(tags::SPECIFIC_CHARACTER_SET)
            .map(plain_text)
            .unwrap_or_default();
        if named.is_empty() {
            return Self::Utf8(SpecificCharacterSet::ISO_IR_6);
        }
        match SpecificCharacterSet::from_code(&named) {
            // Sets that switch by escapes are not known well enough to write their texts anew.
            Some(set) if !named.contains("2022") && !named.contains("IR 87") => Self::Utf8(set),
            _ => Self::AsTheFilm(named),
        }
    }

    /// The value of Specific Character Set.
    pub(super) fn name(&self) -> &str {
        match self {
            Self::Utf8(_) => UTF_8,
            Self::AsTheFilm(name) => name,
        }
    }

    /// An element of the film, for an object in this set.
    pub(super) fn copied(&self, element: &FilmElement) -> InMemElement {
        let stored = match &element.value {
            FilmValue::Items(items) => {
                let items = items
                    .iter()
                    .map(|elements| item(elements.iter().map(|element| self.copied(element))));
                return sequence(element.tag, items.collect());
            }
            FilmValue::Bytes(stored) => stored,
        };
        match (self, element.vr) {
            (_, VR::DS | VR::IS | VR::UI) => text(element.tag, element.vr, plain_text(element)),
            (Self::Utf8(set), VR::SH | VR::LO | VR::ST | VR::LT | VR::PN | VR::UC | VR::UT) => {
                match set.decode(stored) {
                    Ok(words) => text(element.tag, element.vr, without_padding(&words)),
                    Err(_unreadable) => {
                        let words = String::from_utf8_lossy(stored);
                        text(element.tag, element.vr, without_padding(&words))
                    }
                }
            }
            _ => bytes(element.tag, element.vr, stored.clone()),
        }
    }

    /// An object whose words fit this set.
    pub(super) fn fitting(&self, object: InMemDicomObject) -> InMemDicomObject {
        match self {
            Self::Utf8(_) => object,
            Self::AsTheFilm(_) => in_ascii(object),
        }
    }
}

/// An element of the film as it stands, in its own character set.
pub(crate) fn copied_as_stored(element: &FilmElement) -> InMemElement {
    Characters::AsTheFilm(String::new()).copied(element)
}

/// A text of letters that every set has.
pub(crate) fn plain_text(element: &FilmElement) -> String {
    match &element.value {
        FilmValue::Bytes(stored) => without_padding(&String::from_utf8_lossy(stored)).to_owned(),
        FilmValue::Items(_) => String::new(),
    }
}

fn without_padding(text: &str) -> &str {
    text.trim_end_matches(['\0', ' '])
}

fn in_ascii(object: InMemDicomObject) -> InMemDicomObject {
    let elements = object.into_iter().map(|element| {
        let header = *element.header();
        match element.into_value() {
            Value::Primitive(PrimitiveValue::Str(words)) => {
                text(header.tag, header.vr(), ascii(&words))
            }
            Value::Sequence(items) => sequence(
                header.tag,
                items.into_items().into_iter().map(in_ascii).collect(),
            ),
            other => DataElement::new(header.tag, header.vr(), other),
        }
    });
    InMemDicomObject::from_element_iter(elements.collect::<Vec<_>>())
}

/// Words without letters beyond ASCII: those that our texts use are written out, others become question marks.
pub(crate) fn ascii(words: &str) -> String {
    let mut text = String::new();
    for letter in words.chars() {
        match letter {
            '–' | '−' | '‑' => text.push('-'),
            '’' | '‘' => text.push('\''),
            '“' | '”' => text.push('"'),
            '°' => text.push_str(" deg"),
            '±' => text.push_str("+/-"),
            '÷' => text.push('/'),
            '·' => text.push(','),
            '\u{2009}' | '\u{a0}' => text.push(' '),
            letter if letter.is_ascii() => text.push(letter),
            _ => text.push('?'),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use dicom_core::Tag;

    use super::*;

    fn element(tag: Tag, vr: VR, bytes: &[u8]) -> FilmElement {
        FilmElement {
            tag,
            vr,
            value: FilmValue::Bytes(bytes.to_vec()),
        }
    }

    fn film(set: &[u8]) -> FilmObject {
        FilmObject {
            elements: vec![element(tags::SPECIFIC_CHARACTER_SET, VR::CS, set)],
            transfer_syntax: String::new(),
        }
    }

    #[test]
    fn a_name_in_latin_letters_is_written_in_utf_8() {
        let characters = Characters::of(&film(b"ISO_IR 100"));
        let name = element(tags::PATIENT_NAME, VR::PN, b"M\xfcller^Ren\xe9 ");
        let copied = characters.copied(&name);
        assert_eq!(characters.name(), UTF_8, "set");
        assert_eq!(
            copied.to_str().expect("a text"),
            "Müller^René",
            "the same name"
        );
    }

    #[test]
    fn a_set_that_switches_is_kept_with_its_bytes_and_our_words_are_ascii() {
        let characters = Characters::of(&film(b"\\ISO 2022 IR 87"));
        let stored = b"Yamada^Tarou=\x1b$B;3ED\x1b(B^\x1b$BB@O:\x1b(B";
        let copied = characters.copied(&element(tags::PATIENT_NAME, VR::PN, stored));
        assert_eq!(characters.name(), "\\ISO 2022 IR 87", "set");
        assert_eq!(
            copied.value().to_bytes().expect("bytes").as_ref(),
            stored,
            "as it stands"
        );
        let fitting = characters.fitting(item([text(
            tags::SERIES_DESCRIPTION,
            VR::LO,
            "1–2 angle, 12°",
        )]));
        let words = fitting
            .element(tags::SERIES_DESCRIPTION)
            .expect("there")
            .to_str()
            .expect("a text");
        assert_eq!(words, "1-2 angle, 12 deg", "ASCII");
    }
}
