//! Studies of simulated feet by several readers, each of whom places every landmark a little elsewhere.

use std::{fs, path::Path};

use plumbray_anatomy::{FilmTracing, Proportions, Tracing};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm, measure};
use plumbray_study::{
    EarlierTracing, FilmRecord, Reader, SideChoice, Study, StudyFile, UserFolders,
};

use crate::samples::truth_of;

/// The films that are read.
pub(crate) const FILMS: [&str; 6] = ["alder", "birch", "cedar", "elm", "hazel", "larch"];

/// How far a landmark is off at most, in pixels.
const REACH: f64 = 9.0;

/// One reader's tracings of one film, each told apart by a number.
pub(crate) struct Traced<'a> {
    pub(crate) reader: &'a str,
    pub(crate) film: usize,
    /// From which each tracing follows, the oldest first; the last one is the study's present one.
    pub(crate) tracings: &'a [u64],
    /// The day of May 2026 on which the study was last changed.
    pub(crate) day: u32,
}

/// A film's true tracing with every point off by a reach that follows from `number` and the film; with 0 nothing is
/// placed.
pub(crate) fn tracing(film: usize, number: u64) -> FilmTracing {
    if number == 0 {
        return FilmTracing::default();
    }
    let mut tracing = truth_of(&format!("{}-ap", FILMS[film])).feet[0]
        .tracing
        .clone();
    // A linear congruential generator (numbers by Knuth): as good as any for a tremor.
    let film = u64::try_from(film).expect("small");
    let mut state = number.wrapping_mul(7919).wrapping_add(film * 104_729);
    let mut off = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let upper = u32::try_from(state >> 32).expect("32 bits");
        (f64::from(upper) / f64::from(u32::MAX) * 2.0 - 1.0) * REACH
    };
    for placed in tracing.points.values_mut() {
        placed.at.x_px += off();
        placed.at.y_px += off();
        placed.sd_px = 1.0;
    }
    tracing
}

/// What the engine reads from a tracing by the axes from head to base.
pub(crate) fn value(tracing: &FilmTracing, measurement: Measurement) -> f64 {
    let foot = Foot {
        ap: Some(TracedFilm {
            tracing,
            proportions: Proportions::SQUARE,
            calibration: None,
        }),
        lateral: None,
        operated: false,
    };
    let choices = Choices {
        convention: Some(AxisConvention::HeadBase),
        ..Choices::default()
    };
    let outcome = measure(&foot, &choices, measurement);
    outcome.reading().expect("a number").value
}

/// Saves a study in a folder, beside a file that stands for the film: agreement looks at no pixel.
pub(crate) fn save(folder: &Path, name: &str, traced: &Traced<'_>) {
    fs::create_dir_all(folder).expect("a folder");
    let film = folder.join(format!("{}-ap.png", FILMS[traced.film]));
    fs::write(&film, FILMS[traced.film]).expect("writable");
    let truth = truth_of(&format!("{}-ap", FILMS[traced.film]));
    let whole = |number: u64| Tracing {
        ap: tracing(traced.film, number),
        lateral: FilmTracing::default(),
    };
    let reader = |day: u32| Reader {
        name: traced.reader.to_owned(),
        traced_at: Some(
            format!("2026-05-{day:02}T10:00:00Z")
                .parse()
                .expect("a time"),
        ),
    };
    let (present, earlier) = traced.tracings.split_last().expect("a tracing");
    let study = Study {
        side: Some(SideChoice::entered(truth.feet[0].parameters.side)),
        ap: Some(FilmRecord::of_file(&film, folder, 4000, 4000).expect("a film")),
        tracing: whole(*present),
        earlier_tracings: earlier
            .iter()
            .map(|number| EarlierTracing {
                tracing: whole(*number),
                reader: reader(1),
            })
            .collect(),
        reader: reader(traced.day),
        ..Study::default()
    };
    let path = folder.join(format!("{name}.study.ron"));
    let folders = UserFolders::below(folder);
    let (mut file, _) = StudyFile::open_with(&path, &folders).expect("a new study");
    file.save(&study).expect("writable");
}
