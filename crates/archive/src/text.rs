//! Text of a data set in its Specific Character Set (0008,0005), PS3.5 6.1 and PS3.3 C.12.1.1.2.

use dicom_encoding::text::{SpecificCharacterSet, TextCodec};

/// What starts an escape sequence of ISO 2022.
const ESCAPE: u8 = 0x1B;

/// The character sets of one data set.
#[derive(Clone, Debug, Default)]
pub(crate) struct CharacterSets(Vec<String>);

impl CharacterSets {
    /// The values of Specific Character Set, which may be several.
    pub(crate) fn new(codes: Vec<String>) -> Self {
        Self(codes)
    }

    /// The text that these bytes are. Bytes that the character set does not know become replacement characters.
    pub(crate) fn decoded(&self, bytes: &[u8]) -> String {
        let first = self.0.first().map_or("", String::as_str);
        if !bytes.contains(&ESCAPE) {
            return decoded_as(first, bytes);
        }
        let mut text = String::new();
        let mut current = Part::Initial;
        let mut rest = bytes;
        while !rest.is_empty() {
            let (skipped, next) = escape_at(rest);
            if let Some(next) = next {
                current = next;
                rest = &rest[skipped..];
                continue;
            }
            let end = rest[1..]
                .iter()
                .position(|byte| *byte == ESCAPE)
                .map_or(rest.len(), |position| position + 1);
            text.push_str(&current.decoded(first, &rest[..end]));
            rest = &rest[end..];
        }
        text
    }
}

/// What the last escape sequence switched to.
#[derive(Clone, Copy)]
enum Part {
    /// The first value of Specific Character Set.
    Initial,
    /// A single-byte set by its code in PS3.3 table C.12-3.
    Single(&'static str),
    /// Japanese of two bytes (ISO-IR 87).
    Japanese,
    /// Supplementary Japanese of two bytes (ISO-IR 159).
    MoreJapanese,
    /// Korean of two bytes beside ASCII (ISO-IR 149).
    Korean,
    /// Simplified Chinese of two bytes beside ASCII (ISO-IR 58).
    Chinese,
}

impl Part {
    fn decoded(self, first: &str, bytes: &[u8]) -> String {
        match self {
            Self::Initial => decoded_as(first, bytes),
            Self::Single(code) => decoded_as(code, bytes),
            // Both are what EUC-JP writes with high bits, the supplementary one after 0x8F.
            Self::Japanese => {
                let lifted: Vec<u8> = bytes.iter().map(|byte| byte | 0x80).collect();
                encoding_rs::EUC_JP.decode(&lifted).0.into_owned()
            }
            Self::MoreJapanese => {
                let marked = |pair: &[u8]| {
                    let lifted: Vec<u8> = pair.iter().map(|byte| byte | 0x80).collect();
                    [vec![0x8F], lifted].concat()
                };
                let lifted: Vec<u8> = bytes.chunks(2).flat_map(marked).collect();
                encoding_rs::EUC_JP.decode(&lifted).0.into_owned()
            }
            Self::Korean => encoding_rs::EUC_KR.decode(bytes).0.into_owned(),
            Self::Chinese => encoding_rs::GBK.decode(bytes).0.into_owned(),
        }
    }
}

/// The escape sequence at the start of bytes: its length, and what it switches to.
fn escape_at(bytes: &[u8]) -> (usize, Option<Part>) {
    const SEQUENCES: [(&[u8], Part); 17] = [
        (b"\x1b$(D", Part::MoreJapanese),
        (b"\x1b$)C", Part::Korean),
        (b"\x1b$)A", Part::Chinese),
        (b"\x1b$B", Part::Japanese),
        (b"\x1b(B", Part::Single("ISO_IR 6")),
        (b"\x1b(J", Part::Single("ISO_IR 13")),
        (b"\x1b)I", Part::Single("ISO_IR 13")),
        (b"\x1b-A", Part::Single("ISO_IR 100")),
        (b"\x1b-B", Part::Single("ISO_IR 101")),
        (b"\x1b-C", Part::Single("ISO_IR 109")),
        (b"\x1b-D", Part::Single("ISO_IR 110")),
        (b"\x1b-F", Part::Single("ISO_IR 126")),
        (b"\x1b-G", Part::Single("ISO_IR 127")),
        (b"\x1b-H", Part::Single("ISO_IR 138")),
        (b"\x1b-L", Part::Single("ISO_IR 144")),
        (b"\x1b-T", Part::Single("ISO_IR 166")),
        (b"\x1b(I", Part::Single("ISO_IR 13")),
    ];
    SEQUENCES
        .iter()
        .find(|(sequence, _)| bytes.starts_with(sequence))
        .map_or((0, None), |(sequence, part)| (sequence.len(), Some(*part)))
}

fn decoded_as(code: &str, bytes: &[u8]) -> String {
    // Many archives send UTF-8 without saying so; whatever is valid UTF-8 beyond ASCII hardly is anything else.
    if code.is_empty() || code == "ISO_IR 6" || code == "ISO 2022 IR 6" {
        return String::from_utf8_lossy(bytes).into_owned();
    }
    let set = SpecificCharacterSet::from_code(code);
    set.and_then(|set| set.decode(bytes).ok())
        .unwrap_or_else(|| String::from_utf8_lossy(bytes).into_owned())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn sets(codes: &[&str]) -> CharacterSets {
        CharacterSets::new(codes.iter().map(|code| (*code).to_owned()).collect())
    }

    /// The names of PS3.5 annexes H, I, J and K.
    #[test]
    fn the_names_of_the_standard_are_read() {
        for (codes, bytes, expected) in [
            (
                vec!["ISO_IR 100"],
                b"Buc^J\xe9r\xf4me".to_vec(),
                "Buc^Jérôme",
            ),
            (vec!["ISO_IR 144"], b"\xbb\xee\xda".to_vec(), "Люк"),
            (
                vec!["ISO_IR 192"],
                "Wang^XiaoDong=王^小东".into(),
                "Wang^XiaoDong=王^小东",
            ),
            (
                vec!["", "ISO 2022 IR 87"],
                b"Yamada^Tarou=\x1b$B;3ED\x1b(B^\x1b$BB@O:\x1b(B".to_vec(),
                "Yamada^Tarou=山田^太郎",
            ),
            (
                vec!["", "ISO 2022 IR 149"],
                b"Hong^Gildong=\x1b$)C\xfb\xf3^\x1b$)C\xd1\xce\xd4\xd7".to_vec(),
                "Hong^Gildong=洪^吉洞",
            ),
            (
                vec!["", "ISO 2022 IR 58"],
                b"Zhang^XiaoDong=\x1b$)A\xd5\xc5^\x1b$)A\xd0\xa1\xb6\xab".to_vec(),
                "Zhang^XiaoDong=张^小东",
            ),
            (vec![], b"Plain^Name".to_vec(), "Plain^Name"),
        ] {
            assert_eq!(sets(&codes).decoded(&bytes), expected, "{codes:?}");
        }
    }

    proptest! {
        #[test]
        fn any_bytes_become_some_text(bytes in proptest::collection::vec(prop_oneof![Just(ESCAPE), Just(b'$'), Just(b'('), any::<u8>()], 0..60), code in "(ISO_IR 100|ISO 2022 IR 87|ISO_IR 192|ISO_IR 166|GB18030|nonsense|)") {
            let text = sets(&[&code, "ISO 2022 IR 149"]).decoded(&bytes);
            prop_assert!(text.len() <= 4 * bytes.len(), "no more than a character a byte");
        }
    }
}
