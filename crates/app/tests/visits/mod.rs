//! A foot at three visits, traced as it truly is: before an operation, some days after it, half a year later.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::{Side, View};
use plumbray_study::{FilmRecord, Operation, SideChoice, Stance, Study, StudyFile, UserFolders};

use crate::samples::{sample_images, truth_of};

/// The visits' sample films, AP and lateral, with the day on which they were taken.
const VISITS: [(&str, &str); 3] = [
    ("oak-before", "2026-01-05"),
    ("oak-first-days", "2026-02-01"),
    ("oak-half-a-year", "2026-07-22"),
];

/// Copies the films into a folder and saves a study beside each; the paths of the studies.
pub(crate) fn oak_at_three_visits(folder: &Path, folders: &UserFolders) -> Vec<PathBuf> {
    let visit = |(name, day): (&str, &str)| {
        let mut study = Study {
            side: Some(SideChoice::entered(Side::Right)),
            ap: Some(film_into(folder, &format!("{name}-ap"), day)),
            lateral: Some(film_into(folder, &format!("{name}-lateral"), day)),
            ..Study::default()
        };
        study.visit.stance = Stance::Standing;
        if name != VISITS[0].0 {
            study.visit.operated = true;
            study.visit.operation = Some(Operation {
                date: Some("2026-01-20".parse().expect("a day")),
                side: Some(Side::Right),
            });
        }
        for (view, ending) in [(View::Ap, "ap"), (View::Lateral, "lateral")] {
            let truth = &truth_of(&format!("{name}-{ending}")).feet[0];
            let tracing = study.tracing.on_mut(view);
            tracing.clone_from(&truth.tracing);
            for placed in tracing.points.values_mut() {
                placed.sd_px = 1.0;
            }
        }
        let path = folder.join(format!("{name}-ap.dcm.study.ron"));
        let (mut file, _) = StudyFile::open_with(&path, folders).expect("a new study");
        file.save(&study).expect("writable");
        path
    };
    VISITS.map(visit).to_vec()
}

/// Copies a sample film into a folder; what a study says of it.
fn film_into(folder: &Path, name: &str, day: &str) -> FilmRecord {
    let film = folder.join(format!("{name}.dcm"));
    fs::copy(sample_images().join(format!("{name}.dcm")), &film).expect("a sample film");
    let opened = plumbray_film::open(&film).expect("a film");
    let size = [opened.width(), opened.height()].map(|side| u32::try_from(side).expect("small"));
    let mut record = FilmRecord::of_file(&film, folder, size[0], size[1]).expect("a film");
    record.calibration = opened.facts().spacing.calibration();
    record.date = Some(day.parse().expect("a day"));
    record
}
