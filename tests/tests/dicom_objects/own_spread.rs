//! Intervals that a reader's own spread widened: in report and sheet as on the worksheet.

use std::fs;

use super::{
    assert_reported,
    exported::{Exported, READER},
};

/// The spread of the sample's reader, as `plumbray agreement` keeps it: of one measurement by the axes in use, of
/// another by others, which does not count.
const OWN_SPREAD: &str = r#"(version: 1, readers: [(reader: "Reader Quillfeather", spreads: [
    (measurement: "hallux_valgus_angle", convention: Some("mid_diaphyseal_quarters"), sd: 1.7, films: 12, readings: 24,
     kept_on: "2026-11-28"),
    (measurement: "intermetatarsal_angle_1_2", convention: Some("head_base"), sd: 1.1, films: 12, readings: 24,
     kept_on: "2026-11-28"),
])])"#;

#[test]
fn intervals_that_hold_the_readers_own_spread_are_the_worksheets_and_say_so() {
    let desk = tempfile::tempdir().expect("a temporary folder");
    let kept = desk.path().join("own.ron");
    fs::write(&kept, OWN_SPREAD).expect("writable");
    let spread = ["--reader-spread", kept.to_str().expect("a plain path")];
    let bare = [&spread[..], &["--without-identity"]].concat();
    for exported in [Exported::sample(&spread), Exported::sample(&bare)] {
        let (rows, items) = assert_reported(&exported, &spread);
        let holding: Vec<&str> = rows
            .iter()
            .filter(|row| row["own_sd"].is_number())
            .map(|row| row["identifier"].as_str().expect("a name"))
            .collect();
        assert_eq!(holding, ["hallux_valgus_angle"], "by its own axes alone");
        let item = &items["hallux_valgus_angle"];
        assert_eq!(
            item.modifiers["interval_holds"],
            "the spread of this tracing, and the reader's own spread, one standard deviation: 1.7° from 12 films \
             read twice",
            "with what it comes from, and of nobody's name"
        );
        let own = item.properties["own_standard_deviation"].exact;
        assert_eq!(own.to_bits(), 1.7_f64.to_bits(), "unrounded");
        let other = &items["intermetatarsal_angle_1_2"];
        let of_tracing = &other.modifiers["interval_holds"];
        assert_eq!(of_tracing, "the spread of this tracing", "the others");
        let sheet = exported.printed_sheet();
        let words =
            "(one standard deviation) beside that of the tracing: Hallux valgus angle, 1.7°";
        assert!(sheet.contains(words), "the sheet says so too: {sheet}");
    }
    let sheet = Exported::sample(&bare).printed_sheet();
    for secret in [READER, "2026-11-28"] {
        assert!(!sheet.contains(secret), "{secret}: {sheet}");
    }
}
