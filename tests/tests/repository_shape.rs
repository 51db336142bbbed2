//! The repository keeps its shape: what lies at its top, how large a file may be, and rules of the code
//! that no compiler checks.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
};

use plumbray_tests::{read_text, repository, repository_files};

/// What may lie at the top beside files and folders whose name begins with a dot.
const TOP_LEVEL: [&str; 8] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "README.md",
    "assets",
    "crates",
    "docs",
    "sample-images",
];

/// The folder of this package lies there too.
const TESTS: &str = "tests";

/// Larger files make every clone slow.
const LARGEST_FILE_IN_BYTES: u64 = 40_000_000;

/// Where colours are named by their role; everywhere else uses the role.
const COLOUR_FILE: &str = "crates/app/src/window/theme.rs";

/// Ways to write a colour as numbers or by its plain name.
const RAW_COLOURS: [&str; 3] = ["Color32::", "Rgba::", "hex_color!"];

/// Draws the greys of the film itself, which are what was measured and no matter of a theme.
const FILM_PIXELS_FILE: &str = "crates/app/src/canvas/film_cpu.rs";

/// Colours that say "none" or "decided later", which no theme changes.
const COLOURS_WITHOUT_COLOUR: [&str; 2] = ["Color32::TRANSPARENT", "Color32::PLACEHOLDER"];

/// The files that may call the graphics driver directly.
const DRIVER_FILES: [&str; 3] = [
    "crates/app/src/canvas/film_gl.rs",
    "crates/app/src/canvas/film_uniforms.rs",
    "crates/app/tests/offscreen/mod.rs",
];

fn files_of_kind(kind: &str) -> Vec<PathBuf> {
    repository_files()
        .into_iter()
        .filter(|file| file.extension().is_some_and(|own| own == kind))
        .collect()
}

/// Each line of a text that a rule finds fault with, as `file:line: text`.
fn faulty_lines(file: &Path, text: &str, is_faulty: impl Fn(&str) -> bool) -> Vec<String> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| is_faulty(line))
        .map(|(index, line)| format!("{}:{}: {}", file.display(), index + 1, line.trim()))
        .collect()
}

/// The code of a file without the unit tests at its foot, which may write any colour to compare with.
fn without_tests(text: &str) -> &str {
    text.split("#[cfg(test)]\nmod tests {")
        .next()
        .expect("a split has a first part")
}

fn names_a_raw_colour(line: &str) -> bool {
    let remaining = COLOURS_WITHOUT_COLOUR
        .iter()
        .fold(line.to_owned(), |line, harmless| line.replace(harmless, ""));
    RAW_COLOURS.iter().any(|raw| remaining.contains(raw))
}

/// Words that leave work for later, written so that this file does not contain them.
fn leaves_work_for_later(line: &str) -> bool {
    [
        ["TO", "DO"],
        ["FIX", "ME"],
        ["XX", "X:"],
        ["unimple", "mented!"],
    ]
    .iter()
    .any(|halves| line.contains(&halves.concat()))
}

/// The targets of the links and pictures in a Markdown text.
fn link_targets(text: &str) -> impl Iterator<Item = &str> {
    text.split("](")
        .skip(1)
        .filter_map(|rest| rest.split([')', ' ']).next())
}

#[test]
fn the_top_holds_only_what_belongs_there() {
    let strangers: BTreeSet<String> = repository_files()
        .iter()
        .filter_map(|file| file.iter().next())
        .map(|name| name.to_string_lossy().into_owned())
        .filter(|name| {
            !name.starts_with('.') && name != TESTS && !TOP_LEVEL.contains(&name.as_str())
        })
        .collect();
    assert!(
        strangers.is_empty(),
        "at the top of the repository: {strangers:?}"
    );
}

#[test]
fn no_file_is_so_large_that_it_slows_a_clone() {
    let top = repository();
    let large: Vec<String> = repository_files()
        .iter()
        .filter_map(|file| {
            let bytes = top.join(file).metadata().ok()?.len();
            (bytes > LARGEST_FILE_IN_BYTES).then(|| format!("{}: {bytes} bytes", file.display()))
        })
        .collect();
    assert!(large.is_empty(), "{}", large.join("\n"));
}

#[test]
fn colours_are_written_in_one_file_only() {
    let faults: Vec<String> = files_of_kind("rs")
        .iter()
        .filter(|file| file.starts_with("crates/app/src"))
        .filter(|file| {
            ![COLOUR_FILE, FILM_PIXELS_FILE]
                .map(Path::new)
                .contains(&file.as_path())
        })
        .flat_map(|file| faulty_lines(file, without_tests(&read_text(file)), names_a_raw_colour))
        .collect();
    assert!(
        faults.is_empty(),
        "take the colour by its role from {COLOUR_FILE}:\n{}",
        faults.join("\n")
    );
    assert!(
        read_text(Path::new(COLOUR_FILE))
            .lines()
            .any(names_a_raw_colour),
        "{COLOUR_FILE} is where the colours are, or this test looks in the wrong place"
    );
}

#[test]
fn no_code_leaves_work_for_later() {
    let faults: Vec<String> = files_of_kind("rs")
        .iter()
        .chain(&files_of_kind("py"))
        .flat_map(|file| faulty_lines(file, &read_text(file), leaves_work_for_later))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn only_the_film_on_the_screen_and_its_test_call_the_driver_directly() {
    let name_of_the_lint = ["unsafe", "_code"].concat();
    let faults: Vec<String> = files_of_kind("rs")
        .iter()
        .filter(|file| !DRIVER_FILES.map(Path::new).contains(&file.as_path()))
        .flat_map(|file| {
            faulty_lines(file, &read_text(file), |line| {
                line.contains(&name_of_the_lint)
            })
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn no_text_names_a_path_of_one_machine() {
    let faults: Vec<String> = ["rs", "md", "py", "sh", "toml", "ron"]
        .iter()
        .flat_map(|kind| files_of_kind(kind))
        .flat_map(|file| {
            faulty_lines(&file, &read_text(&file), |line| {
                [["/ho", "me/"], ["/ro", "ot/"], ["/wo", "rk/"]]
                    .iter()
                    .any(|halves| line.contains(&halves.concat()))
            })
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_crate_keeps_the_common_lints_and_documents_what_it_offers() {
    for manifest in repository_files()
        .iter()
        .filter(|file| file.ends_with("Cargo.toml") && file.components().count() > 1)
    {
        assert!(
            read_text(manifest).contains("[lints]\nworkspace = true"),
            "{} takes the lints of the workspace",
            manifest.display()
        );
        let library = manifest.with_file_name("src").join("lib.rs");
        if repository().join(&library).is_file() {
            let text = read_text(&library);
            assert!(
                text.starts_with("//! "),
                "{} says what it is for",
                library.display()
            );
            assert!(
                text.contains("#![deny(missing_docs)]"),
                "{} denies missing documents",
                library.display()
            );
        }
    }
}

#[test]
fn every_link_between_documents_leads_somewhere() {
    let top = repository();
    let mut broken = Vec::new();
    for page in files_of_kind("md") {
        let text = read_text(&page);
        for target in link_targets(&text) {
            let file = target.split('#').next().expect("a split has a first part");
            if file.is_empty() || file.contains("://") {
                continue;
            }
            let folder = page.parent().expect("a file lies in a folder");
            if !top.join(folder).join(file).exists() {
                broken.push(format!("{} leads to {target}", page.display()));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn the_rules_notice_what_they_are_for() {
    assert!(
        names_a_raw_colour("let c = Color32::from_rgb(1, 2, 3);"),
        "by numbers"
    );
    assert!(names_a_raw_colour("let c = Color32::WHITE;"), "by name");
    assert!(
        !names_a_raw_colour("let c = Color32::TRANSPARENT;"),
        "no colour"
    );
    assert!(
        !names_a_raw_colour("fn ink(&self) -> Color32 {"),
        "the type"
    );
    assert!(
        leaves_work_for_later(&["// TO", "DO: later"].concat()),
        "left for later"
    );
    let text = "See [one](docs/one.md#part) and ![two](two.png \"a title\").";
    assert_eq!(
        link_targets(text).collect::<Vec<_>>(),
        ["docs/one.md#part", "two.png"],
        "a link and a picture with a title"
    );
}
