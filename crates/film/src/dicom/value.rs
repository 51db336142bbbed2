//! Single values of a data set: text, decimal strings and whole numbers.

use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;

use super::{
    character_set,
    element::{DataSet, Element},
};

impl<'a> DataSet<'a> {
    /// The values of a text element, without the padding at their ends. Bytes beyond ASCII are read
    /// as UTF-8 or else replaced: every text that decides anything is ASCII by the standard.
    #[must_use]
    pub fn texts(&self, tag: Tag) -> Vec<String> {
        let Some(element) = self.element(tag) else {
            return Vec::new();
        };
        String::from_utf8_lossy(element.bytes)
            .split('\\')
            .map(|value| value.trim_matches(is_padding).to_owned())
            .collect()
    }

    /// The first value of a text element, if it is not empty.
    #[must_use]
    pub fn text(&self, tag: Tag) -> Option<String> {
        self.texts(tag)
            .into_iter()
            .next()
            .filter(|value| !value.is_empty())
    }

    /// The first value of a text that people read, in the character set of the data set; nothing where it is empty.
    pub(super) fn readable(&self, tag: Tag) -> Option<String> {
        let element = self.element(tag)?;
        let sets = self.texts(tags::SPECIFIC_CHARACTER_SET);
        let text = character_set::decoded(element.bytes, &sets);
        let first = text.split('\\').next().unwrap_or_default();
        let trimmed = first.trim_matches(is_padding);
        (!trimmed.is_empty()).then(|| trimmed.to_owned())
    }

    /// The values of a numeric element, whether it is written as text or in binary; a malformed
    /// value is NaN, so that the others keep their places.
    #[must_use]
    pub fn numbers(&self, tag: Tag) -> Vec<f64> {
        let Some(element) = self.element(tag) else {
            return Vec::new();
        };
        match element.vr {
            VR::US | VR::SS | VR::UL | VR::SL | VR::FL | VR::FD => self.binary_numbers(element),
            _ => self
                .texts(tag)
                .iter()
                .map(|value| value.parse().unwrap_or(f64::NAN))
                .collect(),
        }
    }

    /// The first value of a numeric element, if it is an ordinary number.
    #[must_use]
    pub fn number(&self, tag: Tag) -> Option<f64> {
        self.numbers(tag)
            .first()
            .copied()
            .filter(|number| number.is_finite())
    }

    fn binary_numbers(&self, element: &Element<'a>) -> Vec<f64> {
        let encoding = self.encoding;
        let bytes = element.bytes;
        let pairs = bytes.chunks_exact(2).map(|b| encoding.u16([b[0], b[1]]));
        let fours = bytes
            .chunks_exact(4)
            .map(|b| encoding.u32([b[0], b[1], b[2], b[3]]));
        match element.vr {
            VR::SS => pairs.map(|word| f64::from(word.cast_signed())).collect(),
            VR::UL => fours.map(f64::from).collect(),
            VR::SL => fours.map(|long| f64::from(long.cast_signed())).collect(),
            VR::FL => fours.map(|long| f64::from(f32::from_bits(long))).collect(),
            VR::FD => bytes
                .chunks_exact(8)
                .map(|b| {
                    let halves = [
                        encoding.u32([b[0], b[1], b[2], b[3]]),
                        encoding.u32([b[4], b[5], b[6], b[7]]),
                    ];
                    let [first, second] = halves.map(u64::from);
                    f64::from_bits(if encoding.big_endian {
                        first << 32 | second
                    } else {
                        second << 32 | first
                    })
                })
                .collect(),
            _ => pairs.map(f64::from).collect(),
        }
    }

    /// The 16-bit words of an element, whatever its representation says.
    #[must_use]
    pub fn words(&self, tag: Tag) -> Vec<u16> {
        self.element(tag).map_or_else(Vec::new, |element| {
            element
                .bytes
                .chunks_exact(2)
                .map(|pair| self.encoding.u16([pair[0], pair[1]]))
                .collect()
        })
    }

    /// The first 16-bit word of an element.
    #[must_use]
    pub fn word(&self, tag: Tag) -> Option<u16> {
        let bytes = self.element(tag)?.bytes.first_chunk()?;
        Some(self.encoding.u16(*bytes))
    }
}

fn is_padding(letter: char) -> bool {
    letter == '\0' || letter.is_whitespace()
}
