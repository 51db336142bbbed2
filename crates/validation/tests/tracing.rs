//! The command on tracing on few feet and coarse pixels: every bar has a verdict, and the page is the
//! same each time.

use plumbray_validation::{
    tracing::{TracingPlan, write_errors},
    tracing_page,
};

const PLAN: TracingPlan = TracingPlan {
    seed: 6,
    feet: 2,
    readers: 2,
    pixel_mm: 0.5,
};

#[test]
fn a_small_page_gives_every_bar_a_verdict_and_is_the_same_each_time() {
    let page = tracing_page(&PLAN, None).expect("a page");
    let markdown = &page.markdown;
    for heading in [
        "# How well the bones are found",
        "## In short",
        "## From rough strokes and clicks",
        "## Without a click",
        "## Changed films",
        "## Do the stated intervals hold the truth?",
        "## Films of real bones",
    ] {
        let found = markdown.lines().any(|line| line == heading);
        assert!(found, "{heading} in:\n{markdown}");
    }
    assert!(
        markdown.contains("tracing --feet 2 --readers 2 --seed 6 --pixel 0.5 --out docs"),
        "the command"
    );
    let mut bars = 0;
    for line in markdown.lines().filter(|line| line.contains(['≤', '≥'])) {
        let verdict = ["kept", "missed", "not measured"]
            .iter()
            .any(|verdict| line.ends_with(&format!("| {verdict} |")));
        assert!(verdict, "a bar without verdict: {line}");
        bars += 1;
    }
    // Those that are missed stand a second time at the top, so that a good page has fewer.
    assert!(bars >= 20, "{bars} bars");
    let mut words = markdown.split(|letter: char| !letter.is_alphanumeric());
    let wrong = words.find(|word| ["NaN", "inf"].contains(word));
    assert_eq!(wrong, None, "in:\n{markdown}");
    let again = tracing_page(&PLAN, None).expect("a page");
    assert_eq!(again.markdown, page.markdown, "the same seed");
}

#[test]
fn the_page_and_the_single_errors_are_written() {
    let plan = TracingPlan { readers: 1, ..PLAN };
    let page = tracing_page(&plan, None).expect("a page");
    let folder = tempfile::tempdir().expect("a folder");
    page.write(folder.path()).expect("written");
    let written = std::fs::read_to_string(folder.path().join("tracing.md")).expect("there");
    assert_eq!(written, page.markdown, "the page");
    let path = folder.path().join("errors.csv");
    write_errors(&path, &page.films).expect("written");
    let mut table = csv::Reader::from_path(&path).expect("a table");
    let mut rows = 0;
    for row in table.records() {
        let row = row.expect("a row of the heading's width");
        for cell in row.iter().skip(6).take(4).filter(|cell| !cell.is_empty()) {
            assert!(cell.parse::<f64>().is_ok_and(f64::is_finite), "{cell}");
        }
        rows += 1;
    }
    assert!(rows > 300, "{rows} places");
    let nowhere = folder.path().join("no/such/errors.csv");
    let error = write_errors(&nowhere, &page.films).expect_err("no such folder");
    assert!(error.to_string().contains("cannot be written"), "{error}");
}

#[test]
fn a_folder_without_films_of_real_bones_is_an_error_before_anything_is_simulated() {
    let folder = tempfile::tempdir().expect("a folder");
    let error = tracing_page(&PLAN, Some(folder.path())).expect_err("no films");
    assert!(error.to_string().contains("truth.json"), "{error}");
}
