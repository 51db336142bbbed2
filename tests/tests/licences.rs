//! Everything that Plumbray is built from may be given on with it.

use plumbray_tests::{read_text, repository_files, workspace_metadata};
use spdx::{Expression, ParseMode};

/// Licences that allow use and passing on without asking more than their own text to come along.
/// Licences that reach into the program itself (the GPL family) or that forbid some use are not among
/// them. The Mozilla one reaches only its own files, which we use unchanged; the IJG one asks for the
/// acknowledgement that `docs/licences/README.md` gives.
const PERMITTED: [&str; 15] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "IJG",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0",
    "OFL-1.1",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// A licence for the one set of files that carries it: the typefaces that egui falls back to.
const UBUNTU_FONT: &str = "Ubuntu-font-1.0";

/// Whether a licence expression can be met with permitted licences alone.
fn is_permitted(package: &str, expression: &str) -> bool {
    let expression = Expression::parse_mode(expression, ParseMode::LAX)
        .unwrap_or_else(|problem| panic!("the licence of {package} cannot be read: {problem}"));
    expression.evaluate(|requirement| {
        requirement.license.id().is_some_and(|licence| {
            PERMITTED.contains(&licence.name)
                || (licence.name == UBUNTU_FONT && package == "epaint_default_fonts")
        })
    })
}

#[test]
fn every_crate_has_a_permitted_licence() {
    let complaints: Vec<String> = workspace_metadata()
        .packages
        .iter()
        .filter_map(|package| match package.license.as_deref() {
            None => Some(format!("{} names no licence", package.name)),
            Some(licence) if !is_permitted(&package.name, licence) => {
                Some(format!("{} is under {licence}", package.name))
            }
            Some(_) => None,
        })
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn a_licence_that_reaches_into_the_program_is_noticed() {
    assert!(!is_permitted("some-crate", "GPL-3.0-only"), "GPL alone");
    assert!(
        !is_permitted("some-crate", "MIT AND AGPL-3.0-only"),
        "both must be met"
    );
    assert!(
        !is_permitted("some-crate", UBUNTU_FONT),
        "a font licence on another crate"
    );
    assert!(
        is_permitted("some-crate", "GPL-2.0-only OR MIT"),
        "one of two may be chosen"
    );
    assert!(
        is_permitted("some-crate", "MIT/Apache-2.0"),
        "the former way to write a choice"
    );
}

#[test]
fn every_typeface_of_ours_has_its_licence_beside_it() {
    let files = repository_files();
    let typefaces = files.iter().filter(|file| {
        file.extension()
            .is_some_and(|kind| kind == "ttf" || kind == "otf")
    });
    let mut seen = 0;
    for typeface in typefaces {
        seen += 1;
        let stem = typeface
            .file_stem()
            .expect("a file has a name")
            .to_string_lossy();
        let family = stem.split('-').next().expect("a split has a first part");
        let licence = typeface.with_file_name(format!("{family}-licence.txt"));
        let text = read_text(&licence);
        assert!(
            text.contains("SIL OPEN FONT LICENSE Version 1.1"),
            "{} is the Open Font Licence",
            licence.display()
        );
    }
    assert!(
        seen >= 3,
        "regular, medium and semibold are there, not {seen} files"
    );
}
