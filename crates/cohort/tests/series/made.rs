//! Studies of simulated feet, as test folders hold them.

use std::{
    collections::BTreeMap,
    fs,
    ops::ControlFlow,
    path::Path,
    sync::{Mutex, OnceLock, PoisonError},
};

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmTracing, PixelSpacing, Proportions, Side,
};
use plumbray_cohort::{
    Filter, Index, IndexPlace, Refreshed, SeriesFoot, StudyRow, Summary, open_refreshed, read,
};
use plumbray_compare::Recurrence;
use plumbray_phantom::{Exposure, Foot, FootParameters, truth_of_ap};
use plumbray_study::{ContentHash, FilmRecord, SideChoice, Stance, Study, study_to_text};

/// A study as a test asks for it.
#[derive(Clone, Debug)]
pub(crate) struct Wanted<'a> {
    pub(crate) side: Option<Side>,
    /// Whole degrees, so that few feet are simulated.
    pub(crate) valgus: i32,
    pub(crate) date: &'a str,
    pub(crate) label: &'a str,
    pub(crate) operated: bool,
    pub(crate) stance: Stance,
    pub(crate) is_calibrated: bool,
}

impl Default for Wanted<'_> {
    fn default() -> Self {
        Self {
            side: Some(Side::Left),
            valgus: 32,
            date: "2025-03-01",
            label: "",
            operated: false,
            stance: Stance::Standing,
            is_calibrated: false,
        }
    }
}

/// The true tracing of a foot with so much valgus, each a reader's spread away.
fn tracing(valgus: i32) -> FilmTracing {
    static MADE: OnceLock<Mutex<BTreeMap<i32, FilmTracing>>> = OnceLock::new();
    let mut made = MADE
        .get_or_init(Mutex::default)
        .lock()
        .unwrap_or_else(PoisonError::into_inner);
    made.entry(valgus)
        .or_insert_with(|| {
            let foot = Foot::new(FootParameters {
                hallux_valgus_angle: f64::from(valgus),
                intermetatarsal_angle_1_2: 7.0 + f64::from(valgus) / 4.0,
                ..FootParameters::default()
            })
            .expect("a possible foot");
            let exposure = Exposure {
                pixel_mm: 0.2,
                ..Exposure::default()
            };
            let truth = truth_of_ap(&foot, &exposure).expect("a possible film");
            let mut tracing = truth.feet[0].tracing.clone();
            for point in tracing.points.values_mut() {
                point.sd_px = 1.0;
            }
            tracing
        })
        .clone()
}

pub(crate) fn study(wanted: &Wanted<'_>) -> Study {
    let mut study = Study {
        side: wanted.side.map(SideChoice::entered),
        ..Study::default()
    };
    study.ap = Some(FilmRecord {
        file: "film.dcm".to_owned(),
        hash: ContentHash::of_bytes(b"film"),
        picture: std::num::NonZeroU32::MIN,
        width_px: 1_000,
        height_px: 1_500,
        proportions: Proportions::SQUARE,
        calibration: wanted.is_calibrated.then(|| Calibration {
            spacing: PixelSpacing::new(0.2, 0.2).expect("possible"),
            basis: CalibrationBasis::AtDetector,
            relative_sd: 0.0,
        }),
        date: Some(wanted.date.parse().expect("a day")),
    });
    study.visit.label = wanted.label.to_owned();
    study.visit.operated = wanted.operated;
    study.visit.stance = wanted.stance;
    study.reader.name = "AB".to_owned();
    study.tracing.ap = tracing(wanted.valgus);
    study
}

/// Puts a study into a folder under this path, of a film of its own; returns what was put there.
pub(crate) fn put(folder: &Path, path: &str, wanted: &Wanted<'_>) -> Study {
    put_reading(folder, path, path, &study(wanted))
}

/// Puts a study into a folder that reads the film of this content; returns what was put there.
pub(crate) fn put_reading(folder: &Path, path: &str, film: &str, study: &Study) -> Study {
    let mut study = study.clone();
    if let Some(record) = &mut study.ap {
        record.hash = ContentHash::of_bytes(film.as_bytes());
    }
    let text = study_to_text(&study).expect("storable");
    put_text(folder, path, &text);
    study
}

pub(crate) fn put_text(folder: &Path, path: &str, text: &str) {
    let path = folder.join(path);
    fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    fs::write(path, text).expect("written");
}

/// So many studies of many patients, two visits each.
pub(crate) fn put_many(folder: &Path, studies: usize) {
    for number in 0..studies {
        let patient = number / 2;
        let operated = number % 2 == 1;
        let valgus = if operated { 12 } else { 24 };
        let date = if operated { "2025-06-01" } else { "2025-01-01" };
        let wanted = Wanted {
            valgus: valgus + i32::try_from(patient % 5).expect("small"),
            date,
            operated,
            label: &format!("study {number}"),
            side: Some(if patient % 2 == 0 {
                Side::Left
            } else {
                Side::Right
            }),
            ..Wanted::default()
        };
        put(
            folder,
            &format!("patient-{patient:04}/{date}.dcm.study.ron"),
            &wanted,
        );
    }
}

/// Opens an index and brings it up to a folder.
pub(crate) fn refreshed(place: &IndexPlace, folder: &Path) -> (Index, Refreshed) {
    open_refreshed(place, "series", folder, false, &mut |_| {
        ControlFlow::Continue(())
    })
    .expect("an index")
}

/// Every row in order.
pub(crate) fn rows(index: &mut Index) -> Vec<StudyRow> {
    let mut rows = Vec::new();
    feet(index, &[], &mut |foot, passing| {
        rows.extend(passing.iter().map(|place| foot.visits[*place].row.clone()));
    });
    rows
}

/// Hands over the feet that pass, and gives the summary.
pub(crate) fn feet(
    index: &mut Index,
    filter: &[&str],
    each: &mut dyn FnMut(&SeriesFoot, &[usize]),
) -> Summary {
    let filter = Filter::parse(filter).expect("a filter");
    read(
        index,
        &filter,
        Recurrence::default(),
        &mut |foot, passing| {
            each(foot, passing);
            Ok(())
        },
    )
    .expect("readable")
}

/// The rows of a folder by an index that is made for it alone.
pub(crate) fn fresh_rows(folder: &Path) -> Vec<StudyRow> {
    let cache = tempfile::tempdir().expect("a folder");
    let place = IndexPlace::CacheFolder(cache.path().to_owned());
    rows(&mut refreshed(&place, folder).0)
}
