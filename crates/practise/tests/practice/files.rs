//! Practice files: read back as written, and no bytes take the program down.

use std::path::Path;

use crate::support::{Chance, Sample, samples};
use plumbray_practise::{
    Damage, LessonDefaults, PracticeSet, REFERENCE_FORMAT_VERSION, SET_FILE, SetError,
    reference_from_bytes, reference_to_bytes, set_from_text, set_to_text,
};
use proptest::prelude::*;

fn one_sample() -> Sample {
    samples(3, 1).remove(0)
}

fn set_of(sample: &Sample) -> PracticeSet {
    PracticeSet {
        name: "A “set” of one".to_owned(),
        made_by: "Anybody".to_owned(),
        made_with: "a test".to_owned(),
        defaults: LessonDefaults::default(),
        feet: vec![sample.foot.clone()],
    }
}

#[test]
fn a_set_and_a_reference_come_back_as_they_were() {
    let sample = one_sample();
    let set = set_of(&sample);
    let text = set_to_text(&set).expect("written");
    assert_eq!(set_from_text(&text), Ok(set), "the set");
    let bytes = reference_to_bytes(&sample.reference).expect("written");
    assert_eq!(
        reference_from_bytes(&bytes),
        Ok(sample.reference),
        "the reference"
    );
}

#[test]
fn a_sealed_reference_says_what_it_is_and_shows_no_answer() {
    let sample = one_sample();
    let bytes = reference_to_bytes(&sample.reference).expect("written");
    let text = String::from_utf8_lossy(&bytes);
    assert!(
        text.starts_with("Plumbray practice reference"),
        "the first line says what it is"
    );
    for answer in ["head_centre", "points", "x_px", "m1"] {
        assert!(!text.contains(answer), "“{answer}” can be read");
    }
}

#[test]
fn a_path_may_not_leave_the_folder_and_unknown_words_are_refused() {
    let sample = one_sample();
    let text = set_to_text(&set_of(&sample)).expect("written");
    let film = &sample.foot.ap.as_ref().expect("a film").file;
    for outside in ["../film.png", "/etc/passwd", "a/../../b"] {
        let changed = text.replace(film.as_str(), outside);
        assert_ne!(changed, text, "the film is named");
        assert!(set_from_text(&changed).is_err(), "{outside}");
    }
    let unknown = text.replace("made_by:", "patient: \"A\", made_by:");
    assert!(
        matches!(set_from_text(&unknown), Err(Damage::Malformed { .. })),
        "a word that nobody knows"
    );
}

#[test]
fn newer_and_foreign_files_are_named_as_such() {
    let sample = one_sample();
    let text = set_to_text(&set_of(&sample)).expect("written");
    let newer = text.replace("format_version: 1", "format_version: 9, colour: \"red\"");
    assert!(
        matches!(set_from_text(&newer), Err(Damage::Newer { found: 9, .. })),
        "a newer set"
    );
    assert!(
        matches!(
            set_from_text("(name: \"a study\")"),
            Err(Damage::Foreign { .. })
        ),
        "something else"
    );
    assert!(
        matches!(
            reference_from_bytes(b"\x89PNG"),
            Err(Damage::Foreign { .. })
        ),
        "a picture"
    );
    assert_eq!(REFERENCE_FORMAT_VERSION, 1, "the first format");
}

#[test]
fn a_missing_set_and_the_reference_of_another_foot_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    assert!(
        matches!(
            PracticeSet::open(folder.path()),
            Err(SetError::Missing { .. })
        ),
        "no set"
    );
    let mut both = samples(0, 2);
    let (other, sample) = (both.remove(1), both.remove(0));
    let bytes = reference_to_bytes(&other.reference).expect("written");
    std::fs::write(folder.path().join(&sample.foot.reference), bytes).expect("written");
    let error = sample
        .foot
        .reference(folder.path())
        .expect_err("another foot's");
    assert!(
        error.to_string().contains(&other.foot.identifier),
        "{error}"
    );
    std::fs::create_dir(folder.path().join(SET_FILE)).expect("made");
    assert!(
        PracticeSet::open(folder.path()).is_err(),
        "a folder in the place of the file"
    );
    assert!(
        PracticeSet::open(Path::new("/nowhere at all")).is_err(),
        "no folder"
    );
}

#[test]
fn a_reference_that_unfolds_without_end_is_refused_before_it_fills_the_memory() {
    use std::io::Write as _;
    let sample = one_sample();
    let good = reference_to_bytes(&sample.reference).expect("written");
    let end_of_line = good
        .iter()
        .position(|byte| *byte == b'\n')
        .expect("a first line");
    let mut encoder =
        flate2::write::ZlibEncoder::new(good[..=end_of_line].to_vec(), flate2::Compression::best());
    let spaces = vec![b' '; 1 << 20];
    for _ in 0..200 {
        encoder.write_all(&spaces).expect("in memory");
    }
    let bomb = encoder.finish().expect("in memory");
    assert!(bomb.len() < 1 << 20, "it is small");
    assert!(
        matches!(reference_from_bytes(&bomb), Err(Damage::TooLarge { .. })),
        "it is refused"
    );
}

#[test]
fn damaged_bytes_give_an_error_or_a_whole_reference_and_never_a_panic() {
    let sample = one_sample();
    let good = reference_to_bytes(&sample.reference).expect("written");
    let text = set_to_text(&set_of(&sample)).expect("written");
    let mut chance = Chance::of(23);
    let mut place = |length: usize| {
        let share = f64::midpoint(chance.signed(), 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a place within some thousand bytes"
        )]
        let place = (share * length as f64) as usize;
        place.min(length - 1)
    };
    for _ in 0..400 {
        let mut bytes = good.clone();
        let at = place(bytes.len());
        bytes[at] ^= 1 << place(8);
        let read = reference_from_bytes(&bytes);
        assert!(read.is_err(), "a changed bit is noticed by the checksum");
        bytes.truncate(place(good.len()));
        assert!(reference_from_bytes(&bytes).is_err(), "a cut-off file");
        let mut letters = text.clone().into_bytes();
        let at = place(letters.len());
        letters[at] = b"(){}[],:\"0aZ"[place(12)];
        if let Ok(changed) = String::from_utf8(letters)
            && let Ok(set) = set_from_text(&changed)
        {
            assert!(set_to_text(&set).is_ok(), "what was read can be written");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn any_bytes_are_refused_without_a_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        prop_assert!(reference_from_bytes(&bytes).is_err(), "no reference");
        let text = String::from_utf8_lossy(&bytes);
        prop_assert!(set_from_text(&text).is_err(), "no set");
    }
}
