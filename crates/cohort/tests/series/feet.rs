//! Which studies are one foot, and what the summary says.

use plumbray_anatomy::{Origin, Side};
use plumbray_cohort::{Grouping, IndexPlace, MOST_VISITS_OF_A_FOLDER, SeriesFoot, Summary};
use plumbray_study::Stance;

use crate::made::{
    Wanted, feet, put, put_many, put_reading, put_text, refreshed, study as study_of,
};

fn read_feet(folder: &std::path::Path, filter: &[&str]) -> (Vec<SeriesFoot>, Summary) {
    let cache = tempfile::tempdir().expect("a folder");
    let place = IndexPlace::CacheFolder(cache.path().to_owned());
    let (mut index, _) = refreshed(&place, folder);
    let mut found = Vec::new();
    let summary = feet(&mut index, filter, &mut |foot, _| found.push(foot.clone()));
    (found, summary)
}

fn paths(foot: &SeriesFoot) -> Vec<&str> {
    foot.visits
        .iter()
        .map(|visit| visit.row.path.as_str())
        .collect()
}

#[test]
fn studies_of_one_side_in_one_folder_are_one_foot_in_the_order_of_their_days() {
    let folder = tempfile::tempdir().expect("a folder");
    for (path, side, date, operated) in [
        ("oak/z.study.ron", Side::Left, "2025-01-01", false),
        ("oak/a.study.ron", Side::Left, "2025-09-01", true),
        ("oak/m.study.ron", Side::Left, "2025-03-01", true),
        ("oak/r.study.ron", Side::Right, "2025-03-01", true),
        ("elm/a.study.ron", Side::Left, "2025-03-01", true),
    ] {
        put(
            folder.path(),
            path,
            &Wanted {
                side: Some(side),
                date,
                operated,
                ..Wanted::default()
            },
        );
    }
    put(
        folder.path(),
        "oak/unknown.study.ron",
        &Wanted {
            side: None,
            ..Wanted::default()
        },
    );
    let (feet, summary) = read_feet(folder.path(), &[]);
    let oak = feet
        .iter()
        .find(|foot| foot.name == "oak, left foot")
        .expect("a foot");
    assert_eq!(
        paths(oak),
        ["oak/z.study.ron", "oak/m.study.ron", "oak/a.study.ron"],
        "by day"
    );
    assert_eq!(oak.grouping, Grouping::Folder, "by side and folder");
    assert_eq!(
        feet.len(),
        4,
        "one left, one right, one unknown, one in another folder"
    );
    assert_eq!((summary.feet, summary.feet_by_folder), (4, 1), "summed up");
}

#[test]
fn a_time_line_says_which_studies_are_one_foot_in_its_own_order() {
    let folder = tempfile::tempdir().expect("a folder");
    for path in [
        "oak/a.study.ron",
        "oak/b.study.ron",
        "oak/deep/c.study.ron",
        "oak/d.study.ron",
    ] {
        put(folder.path(), path, &Wanted::default());
    }
    put_text(
        folder.path(),
        "oak/foot.visits.ron",
        "(format_version: 1, visits: [(study: \"deep/c.study.ron\", name: Some(\"first\")), \
         (study: \"a.study.ron\", occasion: Some(in_theatre)), (study: \"gone.study.ron\")])",
    );
    put_text(
        folder.path(),
        "oak/later.visits.ron",
        "(format_version: 1, visits: [(study: \"a.study.ron\")])",
    );
    put_text(folder.path(), "oak/damaged.visits.ron", "(format");
    let (feet, summary) = read_feet(folder.path(), &[]);
    let named: Vec<(&str, Vec<&str>)> = feet
        .iter()
        .map(|foot| (foot.name.as_str(), paths(foot)))
        .collect();
    assert_eq!(
        named,
        [
            ("oak, left foot", vec!["oak/b.study.ron", "oak/d.study.ron"]),
            (
                "oak/foot.visits.ron",
                vec!["oak/deep/c.study.ron", "oak/a.study.ron"]
            ),
        ],
        "the first time line that names a study has it"
    );
    assert_eq!(feet[1].visits[0].name, "first", "called by the time line");
    assert!(
        !feet[1].visits[1].bears_weight(),
        "in theatre no foot bears weight"
    );
    assert_eq!(summary.feet_by_time_line, 1, "summed up");
}

#[test]
fn a_folder_of_many_patients_is_not_taken_for_one_foot() {
    let folder = tempfile::tempdir().expect("a folder");
    for number in 0..=MOST_VISITS_OF_A_FOLDER {
        let label = format!("{number}");
        put(
            folder.path(),
            &format!("{number:02}.study.ron"),
            &Wanted {
                label: &label,
                ..Wanted::default()
            },
        );
    }
    let (feet, _) = read_feet(folder.path(), &[]);
    assert_eq!(feet.len(), MOST_VISITS_OF_A_FOLDER + 1, "each by itself");
    assert!(
        feet.iter().all(|foot| foot.grouping == Grouping::Alone),
        "alone"
    );
    std::fs::remove_file(folder.path().join("00.study.ron")).expect("removed");
    let (feet, _) = read_feet(folder.path(), &[]);
    assert_eq!(feet.len(), 1, "as many as one foot may have");
}

#[test]
fn the_summary_counts_each_foot_once_and_tells_the_change_by_surgery() {
    let folder = tempfile::tempdir().expect("a folder");
    put_many(folder.path(), 40);
    // The only foot that comes back, and one that did not stand.
    put(
        folder.path(),
        "patient-0000/2026.study.ron",
        &Wanted {
            valgus: 33,
            date: "2026-01-01",
            operated: true,
            ..Wanted::default()
        },
    );
    put(
        folder.path(),
        "patient-0002/2026.study.ron",
        &Wanted {
            valgus: 33,
            date: "2026-01-01",
            operated: true,
            stance: Stance::NotStanding,
            ..Wanted::default()
        },
    );
    let (_, summary) = read_feet(folder.path(), &[]);
    assert_eq!(
        (summary.studies, summary.feet, summary.feet_by_folder),
        (42, 20, 20),
        "counted"
    );
    let severity = &summary.severity[0];
    let counted: u64 = severity.classes.iter().map(|(_, share)| share.count).sum();
    assert_eq!(counted, 20, "each foot once, by its first visit");
    let change = summary
        .changes
        .iter()
        .find(|change| change.number.measurement == "hallux_valgus_angle")
        .expect("a change");
    assert_eq!(change.number.feet, 20, "every foot was operated on");
    assert_eq!(
        change.number.convention.as_deref(),
        Some("head_base"),
        "one convention"
    );
    let mean = change.number.mean.expect("a mean");
    // Nineteen feet go from 24° to 28° down by 12°, one from 24° up to 33°.
    assert!((-13.0..-9.0).contains(&mean), "{mean}");
    assert_eq!(change.real.count, 20, "all beyond the error of measuring");
    assert_eq!(
        summary.recurrence.beyond.count, 1,
        "one came back on a standing film"
    );
    assert_eq!(summary.recurrence.within, 19, "the others did not");
}

#[test]
fn a_filter_chooses_studies_and_leaves_feet_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    put_many(folder.path(), 40);
    for (filter, studies) in [
        (vec!["side=left"], 20),
        (vec!["operated=yes"], 20),
        (vec!["hva>=20"], 20),
        (vec!["hva=5..20", "side=left"], 10),
        (vec!["date>=2025-02-01", "operated=no"], 0),
        (vec!["path~PATIENT-0003"], 2),
        (vec!["label~study 3"], 11),
        (vec!["reader~ab", "standing=yes"], 40),
        (vec!["severity=severe"], 0),
        (vec!["readable=no"], 0),
        (vec!["length>=-100"], 0),
        (vec!["length_ratio>=-1"], 40),
    ] {
        let (_, summary) = read_feet(folder.path(), &filter);
        assert_eq!(summary.studies, studies, "{filter:?}");
    }
    let (feet, summary) = read_feet(folder.path(), &["operated=yes"]);
    assert_eq!(
        feet[0].visits.len(),
        2,
        "the visit before surgery is still there"
    );
    assert_eq!(
        summary.changes[0].number.feet, 20,
        "so that the change can be told"
    );
}

#[test]
fn several_readings_of_one_film_are_one_foot_by_the_latest_and_drafts_are_counted() {
    let folder = tempfile::tempdir().expect("a folder");
    for (reader, valgus, day) in [("ann", 24, "2025-05-01"), ("ben", 42, "2025-06-01")] {
        for film in 0..3 {
            let mut study = study_of(&Wanted {
                valgus,
                ..Wanted::default()
            });
            study.reader.name = reader.to_owned();
            let traced_at = format!("{day}T10:00:00Z");
            study.reader.traced_at = Some(traced_at.parse().expect("a time"));
            let path = format!("{reader}-{film}/film.study.ron");
            put_reading(folder.path(), &path, &format!("film {film}"), &study);
        }
    }
    let mut draft = study_of(&Wanted::default());
    for point in draft.tracing.ap.points.values_mut() {
        point.origin = Origin::Proposed;
    }
    for shaft in draft.tracing.ap.cortices.values_mut() {
        shaft.origin = Origin::Proposed;
    }
    put_reading(
        folder.path(),
        "draft/film.study.ron",
        "another film",
        &draft,
    );
    let (listed, summary) = read_feet(folder.path(), &[]);
    assert_eq!(listed.len(), 7, "every study is listed");
    let counts = (summary.studies, summary.films, summary.feet, summary.drafts);
    assert_eq!(counts, (7, 4, 4, 1), "studies, films, feet, drafts");
    let classes = &summary.severity[0].classes;
    let severe = classes.iter().find(|(class, _)| *class == "severe");
    assert_eq!(
        severe.map(|(_, share)| share.count),
        Some(3),
        "each film by the latest tracing, Ben's: {classes:?}"
    );
    let (_, of_ann) = read_feet(folder.path(), &["reader~ann"]);
    assert_eq!(
        of_ann.feet, 3,
        "among those that pass, Ann's are the latest"
    );
}
