//! Text in the character set that a data set names (PS3.3 C.12.1.1.2, PS3.5 6.1.2): names of people and
//! descriptions. What decides anything is ASCII and needs none of this.

use encoding_rs::{
    EUC_JP, EUC_KR, Encoding, GB18030, GBK, ISO_8859_2, ISO_8859_3, ISO_8859_4, ISO_8859_5,
    ISO_8859_6, ISO_8859_7, ISO_8859_8, ISO_8859_15, SHIFT_JIS, UTF_8, WINDOWS_874, WINDOWS_1252,
    WINDOWS_1254,
};

/// Bytes as text, by the values of Specific Character Set; none stand for ASCII, where bytes beyond it are taken for
/// UTF-8 and else for Latin-1, as writers that say nothing mean them. What cannot be read is replaced.
///
/// With several values or one that starts with "ISO 2022", escape sequences switch between sets.
#[must_use]
pub fn decoded(bytes: &[u8], sets: &[String]) -> String {
    let first = sets.first().map_or("", String::as_str);
    let switches = sets.len() > 1 || first.starts_with("ISO 2022");
    let initial = initial(first);
    if switches {
        return switching(bytes, initial);
    }
    match initial {
        Some(encoding) => plain(bytes, encoding),
        None => {
            std::str::from_utf8(bytes).map_or_else(|_| plain(bytes, WINDOWS_1252), str::to_owned)
        }
    }
}

/// The set of a defined term; nothing for ASCII and for terms that nobody defined.
fn initial(term: &str) -> Option<&'static Encoding> {
    let number = term
        .strip_prefix("ISO_IR ")
        .or_else(|| term.strip_prefix("ISO 2022 IR "))
        .unwrap_or(term);
    Some(match number {
        "100" => WINDOWS_1252,
        "101" => ISO_8859_2,
        "109" => ISO_8859_3,
        "110" => ISO_8859_4,
        "144" => ISO_8859_5,
        "127" => ISO_8859_6,
        "126" => ISO_8859_7,
        "138" => ISO_8859_8,
        "148" => WINDOWS_1254,
        "203" => ISO_8859_15,
        "166" => WINDOWS_874,
        "13" => SHIFT_JIS,
        "149" => EUC_KR,
        "58" | "GBK" => GBK,
        "192" => UTF_8,
        "GB18030" => GB18030,
        _ => return None,
    })
}

fn plain(bytes: &[u8], encoding: &'static Encoding) -> String {
    encoding.decode_without_bom_handling(bytes).0.into_owned()
}

/// What the lower half of the codes means.
#[derive(Clone, Copy, PartialEq)]
enum LowerHalf {
    Ascii,
    /// Pairs of JIS X 0208.
    Kanji,
    /// Pairs of JIS X 0212.
    MoreKanji,
    /// Katakana of JIS X 0201.
    Katakana,
}

const ESCAPE: u8 = 0x1B;

/// Text whose sets are switched by escape sequences (ISO/IEC 2022). Each part of a value begins with the initial
/// set.
fn switching(bytes: &[u8], initial: Option<&'static Encoding>) -> String {
    let mut text = String::new();
    let (mut lower, mut upper) = (LowerHalf::Ascii, initial);
    let mut rest = bytes;
    while let Some(byte) = rest.first() {
        if *byte == ESCAPE
            && let Some((next, length)) = switched(&rest[1..])
        {
            match next {
                Switched::Lower(half) => lower = half,
                Switched::Upper(encoding) => upper = Some(encoding),
            }
            rest = &rest[1 + length..];
            continue;
        }
        let ends_part = |byte: u8| matches!(byte, b'\\' | b'^' | b'=' | b'\r' | b'\n');
        if lower == LowerHalf::Ascii && ends_part(*byte) {
            text.push(char::from(*byte));
            upper = initial;
            rest = &rest[1..];
            continue;
        }
        let length = rest
            .iter()
            .enumerate()
            .skip(1)
            .find(|(_, byte)| **byte == ESCAPE || (lower == LowerHalf::Ascii && ends_part(**byte)))
            .map_or(rest.len(), |(place, _)| place);
        let (run, after) = rest.split_at(length);
        text.push_str(&run_in_words(run, lower, upper));
        rest = after;
    }
    text
}

fn run_in_words(run: &[u8], lower: LowerHalf, upper: Option<&'static Encoding>) -> String {
    match lower {
        LowerHalf::Ascii => plain(run, upper.unwrap_or(WINDOWS_1252)),
        LowerHalf::Kanji => {
            let pairs: Vec<u8> = run.iter().map(|byte| byte | 0x80).collect();
            plain(&pairs, EUC_JP)
        }
        LowerHalf::Katakana => {
            let katakana: Vec<u8> = run.iter().map(|byte| byte | 0x80).collect();
            plain(&katakana, SHIFT_JIS)
        }
        LowerHalf::MoreKanji => {
            let pairs = run.chunks(2).flat_map(|pair| {
                let marked = pair.iter().map(|byte| byte | 0x80);
                std::iter::once(0x8F).chain(marked)
            });
            plain(&pairs.collect::<Vec<u8>>(), EUC_JP)
        }
    }
}

enum Switched {
    Lower(LowerHalf),
    Upper(&'static Encoding),
}

/// What an escape sequence switches to, and its length without the escape (PS3.3 tables C.12-3 and C.12-4).
fn switched(sequence: &[u8]) -> Option<(Switched, usize)> {
    use Switched::{Lower, Upper};
    let known: [(&[u8], Switched); 21] = [
        (b"(I", Lower(LowerHalf::Katakana)),
        (b"(B", Lower(LowerHalf::Ascii)),
        (b"(J", Lower(LowerHalf::Ascii)),
        (b"$B", Lower(LowerHalf::Kanji)),
        (b"$@", Lower(LowerHalf::Kanji)),
        (b"$(D", Lower(LowerHalf::MoreKanji)),
        (b")I", Upper(SHIFT_JIS)),
        (b"$)C", Upper(EUC_KR)),
        (b"$)A", Upper(GBK)),
        (b"-A", Upper(WINDOWS_1252)),
        (b"-B", Upper(ISO_8859_2)),
        (b"-C", Upper(ISO_8859_3)),
        (b"-D", Upper(ISO_8859_4)),
        (b"-L", Upper(ISO_8859_5)),
        (b"-G", Upper(ISO_8859_6)),
        (b"-F", Upper(ISO_8859_7)),
        (b"-H", Upper(ISO_8859_8)),
        (b"-M", Upper(WINDOWS_1254)),
        (b"-b", Upper(ISO_8859_15)),
        (b"-T", Upper(WINDOWS_874)),
        (b")J", Lower(LowerHalf::Ascii)),
    ];
    known
        .into_iter()
        .find(|(start, _)| sequence.starts_with(start))
        .map(|(start, switched)| (switched, start.len()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(bytes: &[u8], sets: &[&str]) -> String {
        let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
        decoded(bytes, &sets)
    }

    #[test]
    fn the_examples_of_the_standard_are_read() {
        // PS3.5 H.3.1, Japanese, and I.2, Korean.
        let japanese =
            b"Yamada^Tarou=\x1b$B;3ED\x1b(B^\x1b$BB@O:\x1b(B=\x1b$B$d$^$@\x1b(B^\x1b$B$?$m$&\x1b(B";
        assert_eq!(
            read(japanese, &["", "ISO 2022 IR 87"]),
            "Yamada^Tarou=山田^太郎=やまだ^たろう",
            "H.3.1"
        );
        let korean = b"Hong^Gildong=\x1b$)C\xfb\xf3^\x1b$)C\xd1\xce\xd4\xd7=\x1b$)C\xc8\xab^\x1b$)C\xb1\xe6\xb5\xbf";
        assert_eq!(
            read(korean, &["", "ISO 2022 IR 149"]),
            "Hong^Gildong=洪^吉洞=홍^길동",
            "I.2"
        );
    }

    #[test]
    fn a_single_set_is_read_by_its_name_and_no_name_by_what_fits() {
        assert_eq!(
            read(b"Buc^J\xe9r\xf4me", &["ISO_IR 100"]),
            "Buc^Jérôme",
            "H.1"
        );
        assert_eq!(read("Zoë".as_bytes(), &[]), "Zoë", "UTF-8 without a name");
        assert_eq!(read(b"Zo\xeb", &[]), "Zoë", "Latin-1 without a name");
        assert_eq!(read(b"\xcd\xf5", &["GB18030"]), "王", "GB18030");
    }

    #[test]
    fn cyrillic_chinese_and_katakana_are_read() {
        for (bytes, sets, expected) in [
            (&b"\xbb\xee\xda"[..], &["ISO_IR 144"][..], "Люк"),
            (
                b"Zhang^XiaoDong=\x1b$)A\xd5\xc5^\x1b$)A\xd0\xa1\xb6\xab",
                &["", "ISO 2022 IR 58"],
                "Zhang^XiaoDong=张^小东",
            ),
            (b"\x1b(I\x54\x1b(B", &["", "ISO 2022 IR 13"], "ﾔ"),
            ("Wang=王".as_bytes(), &["ISO_IR 192"], "Wang=王"),
        ] {
            assert_eq!(read(bytes, sets), expected, "{sets:?}");
        }
    }

    proptest! {
        #[test]
        fn any_bytes_become_some_text(
            bytes in proptest::collection::vec(
                prop_oneof![Just(ESCAPE), Just(b'$'), Just(b'('), any::<u8>()], 0..60),
            set in "(ISO_IR 100|ISO 2022 IR 87|ISO_IR 192|ISO_IR 166|GB18030|nonsense|)",
        ) {
            let text = read(&bytes, &[&set, "ISO 2022 IR 149"]);
            prop_assert!(text.len() <= 4 * bytes.len(), "no more than a character a byte");
        }
    }

    #[test]
    fn damaged_text_is_replaced_and_never_fails() {
        for bytes in [
            &b"\x1b"[..],
            b"\x1b$",
            b"\x1b$Ba",
            b"\xff\xfe\x1b(",
            b"\x1b$)C\xb1",
        ] {
            let _text = read(bytes, &["", "ISO 2022 IR 87", "ISO 2022 IR 149"]);
        }
        assert_eq!(
            read(b"a\x1bb", &["ISO 2022 IR 6"]),
            "a\u{1b}b",
            "no sequence of ours"
        );
    }
}
