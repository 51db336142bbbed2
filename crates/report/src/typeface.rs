//! The typeface of what is printed: how wide a text is, its glyphs, and how it breaks into lines.
//!
//! Text is measured by the very glyphs that are later drawn, so that what fits in the layout fits on the
//! paper.

use std::{ops::Range, sync::LazyLock};

use rustybuzz::{Direction, Face, Feature, UnicodeBuffer, ttf_parser::Tag};

/// How heavy letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    /// Of running text.
    Regular,
    /// Of headings and values.
    SemiBold,
}

impl Weight {
    /// Both.
    pub(crate) const ALL: [Self; 2] = [Self::Regular, Self::SemiBold];

    /// The font file.
    pub(crate) const fn data(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../../../assets/fonts/Lato-Regular.ttf"),
            Self::SemiBold => include_bytes!("../../../assets/fonts/Lato-SemiBold.ttf"),
        }
    }

    /// The font as it is read.
    pub(crate) fn face(self) -> &'static Face<'static> {
        static FACES: LazyLock<[Face<'static>; 2]> = LazyLock::new(|| {
            Weight::ALL.map(|weight| {
                Face::from_slice(weight.data(), 0).expect("the font in assets is a font")
            })
        });
        &FACES[self as usize]
    }
}

/// One glyph of a shaped text; lengths in units of the font size.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Glyph {
    /// Its number in the font.
    pub id: u16,
    /// How far the next glyph starts to the right.
    pub advance: f64,
    /// How far it is moved to the right.
    pub right: f64,
    /// How far it is moved up.
    pub up: f64,
    /// The bytes of the text that it stands for.
    pub text: Range<usize>,
}

/// The glyphs of one line of text, from left to right, each letter with a glyph of its own.
pub(crate) fn shaped(text: &str, weight: Weight) -> Vec<Glyph> {
    let face = weight.face();
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    buffer.set_direction(Direction::LeftToRight);
    let no_ligatures = Feature::new(Tag::from_bytes(b"liga"), 0, ..);
    let shaped = rustybuzz::shape(face, &[no_ligatures], buffer);
    let clusters: Vec<usize> = shaped
        .glyph_infos()
        .iter()
        .map(|info| info.cluster as usize)
        .collect();
    let em = |units: i32| f64::from(units) / f64::from(face.units_per_em());
    shaped
        .glyph_infos()
        .iter()
        .zip(shaped.glyph_positions())
        .zip(&clusters)
        .map(|((info, position), start)| Glyph {
            // Glyph numbers have 16 bits in a font of this kind; number 0 is its empty box.
            id: u16::try_from(info.glyph_id).unwrap_or(0),
            advance: em(position.x_advance),
            right: em(position.x_offset),
            up: em(position.y_offset),
            text: *start..end_of_cluster(&clusters, *start, text.len()),
        })
        .collect()
}

fn end_of_cluster(clusters: &[usize], start: usize, text_length: usize) -> usize {
    let later = clusters.iter().copied().filter(|cluster| *cluster > start);
    later.min().unwrap_or(text_length)
}

/// How wide a line of text is, in the unit of the font size.
pub(crate) fn width(text: &str, weight: Weight, size: f64) -> f64 {
    let advances = shaped(text, weight).into_iter().map(|glyph| glyph.advance);
    size * advances.sum::<f64>()
}

/// The lines into which a text breaks so that none is wider than `room`: between words where it can be,
/// within a word that is wider than a whole line. There is at least one line.
pub(crate) fn wrapped(text: &str, weight: Weight, size: f64, room: f64) -> Vec<String> {
    let space = width(" ", weight, size);
    let mut lines = vec![String::new()];
    let mut taken = 0.0;
    for word in text
        .split([' ', '\n', '\t'])
        .filter(|word| !word.is_empty())
    {
        for part in parts_of_word(word, weight, size, room) {
            let own = width(&part, weight, size);
            let line = lines.last_mut().expect("there is at least one line");
            if line.is_empty() {
                *line = part;
                taken = own;
            } else if taken + space + own <= room {
                line.push(' ');
                line.push_str(&part);
                taken += space + own;
            } else {
                lines.push(part);
                taken = own;
            }
        }
    }
    lines
}

/// A word, cut where it is wider than a whole line. A piece that does not hold even one letter holds one.
fn parts_of_word(word: &str, weight: Weight, size: f64, room: f64) -> Vec<String> {
    if width(word, weight, size) <= room {
        return vec![word.to_owned()];
    }
    let mut parts = vec![String::new()];
    let mut taken = 0.0;
    for letter in word.chars() {
        let own = width(letter.encode_utf8(&mut [0; 4]), weight, size);
        let part = parts.last_mut().expect("there is at least one part");
        if part.is_empty() || taken + own <= room {
            part.push(letter);
            taken += own;
        } else {
            parts.push(letter.to_string());
            taken = own;
        }
    }
    parts
}

/// The same lines, at most `most` of them: what is left out is told by an ellipsis.
pub(crate) fn at_most(mut lines: Vec<String>, most: usize) -> Vec<String> {
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            last.pop();
            last.push('…');
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_and_sign_of_a_number_has_one_width() {
        for weight in Weight::ALL {
            let widths = "0123456789\u{2212}".chars().map(|sign| {
                let width = width(&sign.to_string(), weight, 1000.0);
                format!("{width:.1}")
            });
            let different: std::collections::BTreeSet<String> = widths.collect();
            assert_eq!(different.len(), 1, "{weight:?}: {different:?}");
        }
    }

    #[test]
    fn no_line_is_wider_than_its_room_and_no_letter_is_lost() {
        let text =
            "A label of several words and oneverylongwordthatfitsnowhereatallintheroomgiven end";
        for room in [40.0, 90.0, 300.0] {
            let lines = wrapped(text, Weight::Regular, 9.0, room);
            for line in &lines {
                assert!(
                    width(line, Weight::Regular, 9.0) <= room + 0.1,
                    "“{line}” in {room}"
                );
            }
            let letters = |text: &str| text.replace(' ', "");
            assert_eq!(letters(&lines.concat()), letters(text), "letters in {room}");
        }
    }

    #[test]
    fn a_line_too_narrow_for_a_letter_still_ends() {
        let lines = wrapped("wide", Weight::Regular, 9.0, 0.5);
        assert_eq!(lines, ["w", "i", "d", "e"], "one letter each");
    }

    #[test]
    fn what_is_left_out_is_told() {
        let lines = ["one", "two", "three"].map(str::to_owned).to_vec();
        assert_eq!(at_most(lines.clone(), 2), ["one", "tw…"], "shortened");
        assert_eq!(at_most(lines.clone(), 3), lines, "not shortened");
    }

    #[test]
    fn glyphs_stand_for_all_bytes_of_their_text() {
        let text = "fi ± 3.4° \u{2212}1 é";
        let glyphs = shaped(text, Weight::Regular);
        assert_eq!(glyphs.len(), text.chars().count(), "a glyph a letter");
        let ends = glyphs.iter().map(|glyph| glyph.text.clone());
        let covered: Vec<usize> = ends.flatten().collect();
        assert_eq!(covered, (0..text.len()).collect::<Vec<_>>(), "all bytes");
    }
}
