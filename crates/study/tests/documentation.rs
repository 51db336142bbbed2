//! The pages on the study file and the landmarks say what the program does.

use std::path::Path;

use plumbray_anatomy::{Cortices, Landmark, LongBone, View};
use plumbray_study::{
    FORMAT_VERSION, History, MAX_FILE_BYTES, landmark_table, study_from_text, study_to_text,
};

fn page(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../docs")
        .join(name);
    std::fs::read_to_string(path).expect("a page of the documentation")
}

/// The first block of this language in a page.
fn block<'a>(page: &'a str, language: &str) -> &'a str {
    let (_, rest) = page
        .split_once(&format!("```{language}\n"))
        .expect("a block");
    rest.split_once("```").expect("its end").0
}

#[test]
fn the_example_of_the_study_page_is_a_study() {
    let page = page("study-file.md");
    let study = study_from_text(block(&page, "ron")).expect("the example");
    assert_eq!(study.tracing.ap.points.len(), 2, "points");
    assert_eq!(study.history.entries()[0].count, 3, "history");
}

#[test]
fn the_study_page_explains_every_field_that_is_written() {
    let page = page("study-file.md");
    let (_, explanation) = page.split_once("\n## Fields").expect("a section on fields");
    let written: String = ["version-1", "version-1-plans"]
        .map(|name| {
            let stored = Path::new(env!("CARGO_MANIFEST_DIR"))
                .join(format!("../../tests/suite/study/{name}.study.ron"));
            let stored = std::fs::read_to_string(stored).expect("the stored study");
            study_to_text(&study_from_text(&stored).expect("loads")).expect("storable")
        })
        .concat();
    let mut fields: Vec<&str> = written
        .lines()
        .filter(|line| !line.starts_with("//"))
        .flat_map(|line| line.split(['(', ',', ' ']))
        .filter_map(|word| word.strip_suffix(':'))
        .filter(|word| !word.starts_with('"') && !word.is_empty())
        .filter(|word| {
            word.chars().all(|letter| {
                letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '_'
            })
        })
        .collect();
    fields.sort_unstable();
    fields.dedup();
    assert!(fields.len() > 40, "fields are found: {fields:?}");
    for field in fields {
        let named = [
            format!("`{field}"),
            format!(".{field}`"),
            format!("({field}:"),
        ];
        assert!(
            named.iter().any(|name| explanation.contains(name)),
            "docs/study-file.md does not explain {field}"
        );
    }
}

#[test]
fn the_study_page_names_the_limits_of_the_program() {
    let page = page("study-file.md");
    assert_eq!(FORMAT_VERSION, 1, "the page describes version 1");
    let megabytes = format!("{} MB", MAX_FILE_BYTES >> 20);
    let entries = format!("more\nthan {} entries", History::MAX_ENTRIES);
    for limit in [megabytes, entries] {
        assert!(page.contains(&limit), "{limit}");
    }
}

#[test]
fn the_landmark_page_lists_every_landmark_with_its_name() {
    let page = page("landmarks.md");
    for landmark in Landmark::all() {
        let identifier = format!("`{landmark}`");
        assert!(page.contains(&identifier), "{identifier}");
        let of_lesser_bone = matches!(
            landmark,
            Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) | Landmark::BaseCentre(bone) | Landmark::Tip(bone)
                if bone != LongBone::M1
        );
        assert!(
            of_lesser_bone || page.contains(&format!("| {} |", landmark.name())),
            "{}",
            landmark.name()
        );
    }
    for bone in LongBone::ALL {
        for identifier in Cortices::identifiers(bone) {
            assert!(page.contains(&format!("`{identifier}`")), "{identifier}");
        }
    }
}

#[test]
fn the_landmark_page_names_no_landmark_that_there_is_not() {
    let page = page("landmarks.md");
    let table = block(&page, "csv");
    let names = page
        .split('`')
        .skip(1)
        .step_by(2)
        .filter(|word| word.contains('_') && !word.contains(char::is_whitespace))
        .filter(|word| {
            !word.ends_with("_px") && !matches!(*word, "proximal_phalanx" | "distal_phalanx")
        });
    let cortices: Vec<String> = LongBone::ALL
        .into_iter()
        .flat_map(Cortices::identifiers)
        .collect();
    let mut count = 0;
    for name in names.filter(|name| !table.contains(*name) || name.starts_with('m')) {
        assert!(
            name.parse::<Landmark>().is_ok() || cortices.iter().any(|cortex| cortex == name),
            "{name}"
        );
        count += 1;
    }
    assert!(count > 50, "names are found: {count}");
}

#[test]
fn the_drawings_show_every_landmark_of_the_first_ray_and_the_hindfoot() {
    for (view, drawing) in [
        (
            View::Ap,
            page("landmarks-ap.svg") + &page("landmarks-ap-further.svg"),
        ),
        (
            View::Lateral,
            page("landmarks-lateral.svg") + &page("landmarks-lateral-further.svg"),
        ),
    ] {
        for landmark in Landmark::all() {
            let is_of_lesser_metatarsal = matches!(
                landmark,
                Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) | Landmark::BaseCentre(bone) | Landmark::Tip(bone)
                    if bone.metatarsal_number().is_some_and(|number| number > 1)
            );
            if landmark.is_on(view) && !is_of_lesser_metatarsal {
                assert!(
                    drawing.contains(&format!(">{landmark}<")),
                    "{landmark} on the {} drawing",
                    view.name()
                );
            }
        }
    }
}

#[test]
fn the_example_of_the_landmark_page_is_a_table() {
    let page = page("landmarks.md");
    let tracing = landmark_table::import(block(&page, "csv"), View::Ap).expect("the example");
    assert_eq!(tracing.points.len(), 2, "points");
    assert_eq!(tracing.cortices.len(), 1, "shafts");
    let default = format!("standard deviation of {} px", landmark_table::DEFAULT_SD_PX);
    assert!(page.contains(&default), "{default}");
}
