//! `plumbray disc`, as a script runs it.

mod disc_of_films;
mod script;

use std::fs;

use serde_json::Value;

use crate::{
    disc_of_films::burn,
    script::{printed, refused},
};

#[test]
fn the_films_of_a_disc_are_printed_under_their_patients_and_written_as_json() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path().join("disc");
    fs::create_dir(&folder).expect("a folder");
    burn(&folder);
    let text = printed(home.path(), &["disc", "disc", "--json", "list.json"]);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "Alder, Anna · A-17", "{text}");
    assert_eq!(lines[1], "  2026-07-20 · Feet after surgery", "{text}");
    assert!(
        text.contains("      DICOM/ST01/IM0001  AP, left foot · "),
        "{text}"
    );
    assert!(text.ends_with("5 films of 2 patients\n"), "{text}");
    let list = fs::read_to_string(home.path().join("list.json")).expect("the list");
    let list: Value = serde_json::from_str(&list).expect("JSON");
    let film = &list["patients"][0]["studies"][1]["series"][0]["films"][1];
    assert_eq!(film["view"], "lateral", "{film}");
    assert_eq!(film["side"], "left", "{film}");
    // The directory by its own name lists the same, and no list takes the place of a film.
    assert_eq!(
        printed(home.path(), &["disc", "disc/DICOMDIR"]),
        text,
        "same"
    );
    let film = "disc/DICOM/ST01/IM0001";
    let said = refused(home.path(), &["disc", "disc", "--json", film]);
    assert!(said.contains("the film itself"), "{said}");
    let said = refused(home.path(), &["disc", "absent"]);
    assert!(said.contains("check that the disc is in"), "{said}");
}
