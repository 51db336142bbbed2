//! The whole command on few feet and coarse pixels: well-formed, finite, and the same each time.

use std::path::Path;

use plumbray_validation::{Page, RealBonesSource, accuracy::Plan, written_page};

const PLAN: Plan = Plan {
    seed: 5,
    feet: 2,
    readers: 2,
    pixel_mm: 0.5,
};

fn page() -> Page {
    let nowhere = Path::new("/no/such/folder");
    written_page(&PLAN, RealBonesSource::Kept(nowhere)).expect("a page")
}

#[test]
fn a_small_page_is_well_formed_and_the_same_each_time() {
    let page = page();
    for heading in [
        "# Validation",
        "## The engine, without any picture",
        "## Rough readers against the truth",
        "### By deformity",
        "### By the quality of the film",
        "## Does the stated interval hold the truth?",
        "## What the tube does to the angles",
        "## What a foot that stands turned does to the angles",
        "## What pronation of the first ray does to the angles",
        "## Beside films of real bones",
    ] {
        let found = page.markdown.lines().any(|line| line == heading);
        assert!(found, "{heading} in:\n{}", page.markdown);
    }
    assert_numbers_are_finite(&page);
    assert!(
        page.markdown
            .contains("Not run: there was no folder of films"),
        "without films of real bones the page says so"
    );
    assert_tables_are_even(&page.markdown);
    assert_plots_are_named(&page);
    assert_eq!(page, self::page(), "the same seed gives the same page");
}

fn assert_numbers_are_finite(page: &Page) {
    let texts = std::iter::once(&page.markdown).chain(page.files.iter().map(|(_, text)| text));
    for text in texts {
        let mut words = text.split(|letter: char| !letter.is_alphanumeric());
        let found = words.find(|word| ["NaN", "inf", "infinity"].contains(word));
        assert_eq!(found, None, "in:\n{text}");
    }
}

fn assert_tables_are_even(markdown: &str) {
    let (mut width, mut numbers) = (None, 0);
    for line in markdown.lines() {
        if line.starts_with('|') {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            assert_eq!(
                *width.get_or_insert(cells.len()),
                cells.len(),
                "a row of another width: {line}"
            );
            numbers += cells
                .iter()
                .filter(|cell| cell.parse::<f64>().is_ok())
                .count();
        } else {
            width = None;
        }
    }
    assert!(numbers > 200, "only {numbers} numbers in the tables");
}

fn assert_plots_are_named(page: &Page) {
    assert!(page.files.len() >= 7, "plots: {}", page.files.len());
    for (name, svg) in &page.files {
        assert!(
            page.markdown.contains(&format!("(validation/{name})")),
            "{name} is shown on the page"
        );
        assert!(
            svg.starts_with("<svg") && svg.ends_with("</svg>\n"),
            "{name} is a whole document"
        );
        assert!(svg.len() < 200_000, "{name} has {} bytes", svg.len());
    }
}

#[test]
fn a_page_is_written_with_its_plots_and_a_folder_that_cannot_be_made_is_named() {
    let page = Page {
        markdown: "# Validation\n".to_owned(),
        files: vec![("one.svg".to_owned(), "<svg></svg>\n".to_owned())],
    };
    let folder = tempfile::tempdir().expect("a folder");
    page.write(folder.path()).expect("written");
    for name in ["validation.md", "validation/one.svg"] {
        assert!(folder.path().join(name).exists(), "{name}");
    }
    let file = folder.path().join("validation.md");
    let error = page.write(&file).expect_err("a file is no folder");
    assert!(
        error.to_string().contains("choose another folder"),
        "{error}"
    );
}

#[test]
fn a_folder_without_films_of_real_bones_is_an_error_before_anything_is_simulated() {
    let folder = tempfile::tempdir().expect("a folder");
    let error = written_page(&PLAN, RealBonesSource::Films(folder.path())).expect_err("no films");
    assert!(error.to_string().contains("truth.json"), "{error}");
}
