//! Films that name their patient everywhere leave without a trace of the name, with their pixels; the table of the
//! profile and the codes of the standard's vocabularies are those that packages of others have.

use std::{collections::BTreeMap, ffi::OsStr, fs, path::Path};

use plumbray_report::{
    Action, BASIC_PROFILE, MaskBox, NewUids, STANDARD_CODES, TextInPicture, action,
    film_without_identity, object_without_identity,
};
use plumbray_tests::{answered_outside, printed_outside};
use serde::Deserialize;
use serde_json::json;
use tempfile::TempDir;

/// A box within the films of `named_films.py`, 80 by 64.
const BOX: MaskBox = MaskBox {
    left: 5,
    top: 8,
    width: 30,
    height: 12,
};

#[derive(Deserialize)]
struct Vocabulary {
    codes: Vec<Vec<String>>,
    profile: Vec<(u32, String)>,
    patterns: Vec<(u16, String)>,
}

/// Codes that no context group of DICOM lists, because their vocabulary makes any of them up by its own rules: a language
/// (RFC 5646) and an annotated unit (UCUM).
const BY_RULE: [&str; 2] = ["en", "{pixels}"];

fn vocabulary() -> Vocabulary {
    let codes: Vec<_> = STANDARD_CODES
        .iter()
        .map(|code| json!({"scheme": code.scheme(), "value": code.value()}))
        .collect();
    answered_outside("dicom/vocabulary.py", &json!({"codes": codes}))
}

#[test]
fn every_code_of_the_standards_vocabularies_means_what_others_say() {
    let known = vocabulary().codes;
    for (code, meanings) in STANDARD_CODES.iter().zip(known) {
        if BY_RULE.contains(&code.value()) {
            continue;
        }
        // Units: "mm" in one list, "millimeter" in the standard's.
        let means = |meaning: &str| {
            meaning.eq_ignore_ascii_case(code.meaning())
                || (code.scheme() == "UCUM" && meaning == code.value())
        };
        assert!(
            meanings.iter().any(|meaning| means(meaning)),
            "{code:?}, elsewhere {meanings:?}"
        );
    }
}

#[test]
fn the_table_of_the_profile_is_the_one_that_others_have() {
    let Vocabulary {
        profile, patterns, ..
    } = vocabulary();
    let theirs: BTreeMap<u32, String> = profile.into_iter().collect();
    let ours: BTreeMap<u32, String> = BASIC_PROFILE
        .iter()
        .map(|(tag, action)| (*tag, format!("{action:?}")))
        .collect();
    for (tag, action) in &theirs {
        assert_eq!(ours.get(tag), Some(action), "{tag:08X}");
    }
    assert_eq!(ours.len(), theirs.len(), "and no other");
    assert!(!patterns.is_empty(), "some are named by pattern");
    for (group, theirs) in patterns {
        let ours = action(dicom_tag(group, 0x3000)).map(|action| format!("{action:?}"));
        assert_eq!(ours, Some(theirs), "group {group:04X}");
    }
    assert_eq!(
        action(dicom_tag(0x0011, 0x1001)),
        Some(Action::X),
        "private attributes"
    );
}

fn dicom_tag(group: u16, element: u16) -> dicom_core::Tag {
    dicom_core::Tag(group, element)
}

/// What pydicom or Pillow say of a film after its identity was removed.
#[derive(Debug, Deserialize)]
struct Left {
    is_even: bool,
    pictures: usize,
    is_darkest: bool,
    largest_difference: u32,
    #[serde(default)]
    syntax: String,
    #[serde(default)]
    removed: String,
    #[serde(default)]
    methods: Vec<String>,
    burned: Option<String>,
    lossy: Option<String>,
    #[serde(default)]
    private: usize,
    #[serde(default)]
    nested: bool,
    #[serde(default)]
    meta: bool,
    #[serde(default)]
    kept: Vec<String>,
    #[serde(default, rename = "type")]
    kind: String,
    #[serde(default)]
    info: Vec<String>,
    #[serde(default)]
    exif: usize,
    #[serde(default)]
    format: String,
}

fn named_films() -> (TempDir, Vec<String>) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    printed_outside(
        "dicom/named_films.py",
        [OsStr::new("write"), folder.path().as_os_str()],
    );
    let secrets = fs::read(folder.path().join("secrets.json")).expect("the secrets");
    let secrets = serde_json::from_slice(&secrets).expect("a list");
    (folder, secrets)
}

/// The films of the folder after their identity was removed, each beside its own, and their names.
fn without_identity(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| {
            let name = entry.expect("an entry").file_name();
            name.into_string().expect("a plain name")
        })
        .filter(|name| {
            Path::new(name)
                .extension()
                .is_none_or(|ending| ending != "json")
        })
        .collect();
    names.sort();
    names
        .into_iter()
        .map(|name| {
            let bytes = fs::read(folder.join(&name)).expect("a film");
            let left = film_without_identity(
                &bytes,
                &[BOX],
                TextInPicture::NoneLeft,
                &mut NewUids::default(),
            )
            .unwrap_or_else(|problem| panic!("{name}: {problem}"));
            (name, left)
        })
        .collect()
}

fn read_again(folder: &Path, films: &[(String, Vec<u8>)]) -> Vec<Left> {
    let pairs: Vec<_> = films
        .iter()
        .map(|(name, bytes)| {
            let is_dicom = name.ends_with(".dcm");
            let ending = if is_dicom { "dcm" } else { "png" };
            let after = folder.join(format!("{name}.left.{ending}"));
            fs::write(&after, bytes).expect("writable");
            json!({
                "before": folder.join(name),
                "after": after,
                "box": [BOX.left, BOX.top, BOX.width, BOX.height],
                "is_dark": name == "dark.dcm",
            })
        })
        .collect();
    let question = folder.join("question.json");
    let answer = folder.join("answer.json");
    fs::write(&question, json!({"pairs": pairs}).to_string()).expect("writable");
    let arguments = [OsStr::new("read"), question.as_os_str(), answer.as_os_str()];
    printed_outside("dicom/named_films.py", arguments);
    serde_json::from_slice(&fs::read(&answer).expect("an answer")).expect("a list")
}

#[test]
fn nothing_that_names_anybody_is_left_in_any_byte_of_a_film() {
    let (folder, secrets) = named_films();
    let films = without_identity(folder.path());
    assert!(films.len() >= 17, "every kind of film: {}", films.len());
    for (name, bytes) in &films {
        let before = fs::read(folder.path().join(name)).expect("a film");
        let has = |bytes: &[u8], secret: &str| {
            bytes
                .windows(secret.len())
                .any(|window| window.eq_ignore_ascii_case(secret.as_bytes()))
        };
        let named = secrets.iter().filter(|secret| has(&before, secret)).count();
        let least = if name.ends_with(".dcm") {
            secrets.len() - 1
        } else {
            1
        };
        assert!(named >= least, "{name} named only {named} before");
        for secret in &secrets {
            assert!(!has(bytes, secret), "{name} still says {secret}");
        }
    }
}

#[test]
fn pixels_outside_the_box_stay_and_those_inside_are_one_dark_value() {
    let (folder, _) = named_films();
    let films = without_identity(folder.path());
    for ((name, _), left) in films.iter().zip(read_again(folder.path(), &films)) {
        assert!(left.is_even, "{name}: even within the box");
        assert!(
            left.is_darkest || name.starts_with("colour"),
            "{name}: as dark as the film gets"
        );
        // Two decoders round the inverse transforms of lossy JPEG and of colours differently.
        let most = if name.contains("jpeg.dcm") || name == "plain.jpg" || name == "colour-422.dcm" {
            2
        } else {
            0
        };
        assert!(
            left.largest_difference <= most,
            "{name}: {} outside the box",
            left.largest_difference
        );
    }
}

#[test]
fn a_film_without_identity_says_so_and_keeps_what_is_needed_to_read_it() {
    let (folder, _) = named_films();
    let films = without_identity(folder.path());
    for ((name, _), left) in films.iter().zip(read_again(folder.path(), &films)) {
        if !name.ends_with(".dcm") {
            assert_eq!(left.format, "PNG", "{name}");
            assert_eq!((left.info.len(), left.exif), (0, 0), "{name}: {left:?}");
            continue;
        }
        assert_eq!(left.syntax, "1.2.840.10008.1.2.1", "{name}: uncompressed");
        assert_eq!(left.removed, "YES", "{name}");
        assert_eq!(left.methods, ["113100", "113101"], "{name}");
        assert_eq!(
            left.burned.as_deref(),
            Some("NO"),
            "{name}: somebody looked"
        );
        assert_eq!(left.private, 0, "{name}: private attributes");
        assert!(
            left.nested && left.meta,
            "{name}: one new identifier in every place"
        );
        assert_eq!(
            left.kept,
            ["L", "FOOT", "56459004"],
            "{name}: what is shown"
        );
        assert_eq!(left.kind, "DERIVED", "{name}: masked");
        let pictures = if name == "run.dcm" { 3 } else { 1 };
        assert_eq!(left.pictures, pictures, "{name}: all of its pictures");
        let lossy = if name.ends_with("jpeg.dcm") {
            Some("01")
        } else {
            None
        };
        assert_eq!(
            left.lossy.as_deref(),
            lossy,
            "{name}: lossy before stays lossy"
        );
    }
}

#[test]
fn letters_that_nobody_looked_at_are_not_said_to_be_gone() {
    let (folder, _) = named_films();
    let bytes = fs::read(folder.path().join("explicit.dcm")).expect("a film");
    let left = object_without_identity(
        &bytes,
        &[BOX],
        TextInPicture::NotLookedAt,
        &mut NewUids::default(),
    )
    .expect("written");
    let read = &read_again(folder.path(), &[("explicit.dcm".to_owned(), left)])[0];
    assert_eq!(read.burned.as_deref(), Some("YES"), "as the file said");
    assert_eq!(
        read.methods,
        ["113100"],
        "the pixels are not said to be clean"
    );
}
