//! The set's own file, `set.practice.ron`.

use std::{collections::BTreeSet, path::Path};

use plumbray_anatomy::{Calibration, Side, View};
use serde::{Deserialize, Serialize};

use super::{
    Difficulty, DifficultyGrade, DifficultyReason, LessonDefaults, Limit, PracticeFilm,
    PracticeFoot, PracticeSet,
    bounded::{FileName, Hash, MeasurementName, PixelShape, PixelSize, Text, parse, read_bytes},
    error::{Damage, SetError},
};

/// The name of the set's own file in its folder.
pub const SET_FILE: &str = "set.practice.ron";

/// The format of the set's file that this program writes, and the newest that it reads.
pub const SET_FORMAT_VERSION: u32 = 1;

/// The most feet that a set may have.
pub const MOST_FEET: usize = 2000;

/// The largest file of a set that is read, in bytes: 2000 feet of about 1.5 kB each.
const MOST_BYTES: u64 = 4 << 20;

/// The most reasons, tags or limits that one list may have.
const MOST_WORDS: usize = 50;

/// The largest side of a film in pixels, as in a study.
const LARGEST_SIDE_PX: u32 = 100_000;

const EXPECTED: &str = "the list of a practice set";

const HEADING: &str = "\
// A Plumbray practice set: films to trace, with a sealed reference for each foot.
// docs/practice.md of the program explains every field.
";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SetFields {
    format_version: u32,
    name: Text,
    made_by: Text,
    made_with: Text,
    defaults: DefaultFields,
    feet: Vec<FootFields>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct DefaultFields {
    snapping: bool,
    limits: Vec<LimitFields>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitFields {
    measurement: MeasurementName,
    largest: f64,
    source: Text,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FootFields {
    identifier: Text,
    side: Side,
    operated: bool,
    ap: Option<FilmFields>,
    lateral: Option<FilmFields>,
    difficulty: DifficultyGrade,
    reasons: Vec<DifficultyReason>,
    tags: Vec<Text>,
    reference: FileName,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FilmFields {
    file: FileName,
    hash: Hash,
    width_px: u32,
    height_px: u32,
    pixel_height_over_width: PixelShape,
    calibration: Option<PixelSize>,
}

/// Reads the set of a folder.
pub(super) fn read(folder: &Path) -> Result<PracticeSet, SetError> {
    let path = folder.join(SET_FILE);
    let bytes = read_bytes(&path, MOST_BYTES)?;
    let damaged = |damage| SetError::Content {
        path: path.clone(),
        damage,
    };
    let text = std::str::from_utf8(&bytes)
        .map_err(|_not_text| damaged(Damage::Foreign { expected: EXPECTED }))?;
    set_from_text(text).map_err(damaged)
}

/// A set from the text of its file.
///
/// # Errors
/// [`Damage`] when the text is no such set, is newer, or says something impossible.
pub fn set_from_text(text: &str) -> Result<PracticeSet, Damage> {
    if text.len() as u64 > MOST_BYTES {
        return Err(Damage::TooLarge { most: MOST_BYTES });
    }
    let fields: SetFields = parse(text, SET_FORMAT_VERSION, EXPECTED)?;
    let set = PracticeSet {
        name: fields.name.0,
        made_by: fields.made_by.0,
        made_with: fields.made_with.0,
        defaults: LessonDefaults {
            snapping: fields.defaults.snapping,
            limits: fields
                .defaults
                .limits
                .into_iter()
                .map(Limit::from)
                .collect(),
        },
        feet: fields.feet.into_iter().map(PracticeFoot::from).collect(),
    };
    match contradiction(&set) {
        Some(what) => Err(Damage::Contradiction { what }),
        None => Ok(set),
    }
}

/// The text of a set's file, in the current format.
///
/// # Errors
/// [`Damage`] when the set holds something that could not be read back.
pub fn set_to_text(set: &PracticeSet) -> Result<String, Damage> {
    let unwritable = |what: String| Damage::Contradiction { what };
    let fields = SetFields {
        format_version: SET_FORMAT_VERSION,
        name: Text(set.name.clone()),
        made_by: Text(set.made_by.clone()),
        made_with: Text(set.made_with.clone()),
        defaults: DefaultFields {
            snapping: set.defaults.snapping,
            limits: set.defaults.limits.iter().map(LimitFields::from).collect(),
        },
        feet: set.feet.iter().map(FootFields::from).collect(),
    };
    let layout = ron::ser::PrettyConfig::new().depth_limit(4).new_line("\n");
    let body = ron::ser::to_string_pretty(&fields, layout)
        .map_err(|error| unwritable(error.to_string()))?;
    let text = format!("{HEADING}{body}\n");
    if set_from_text(&text)? == *set {
        Ok(text)
    } else {
        Err(unwritable("it would not come back as it is".to_owned()))
    }
}

/// What does not fit together in a set, if anything.
fn contradiction(set: &PracticeSet) -> Option<String> {
    if set.feet.len() > MOST_FEET {
        return Some(format!("it has more than {MOST_FEET} feet"));
    }
    let bad_limit = set
        .defaults
        .limits
        .iter()
        .find(|limit| !(0.0..=1000.0).contains(&limit.largest));
    if let Some(limit) = bad_limit {
        let name = limit.measurement.name();
        return Some(format!(
            "a limit of {} for the {name} is not possible",
            limit.largest
        ));
    }
    if set.defaults.limits.len() > MOST_WORDS {
        return Some(format!("it has more than {MOST_WORDS} limits"));
    }
    let mut names = BTreeSet::new();
    set.feet.iter().find_map(|foot| {
        if names.insert(&foot.identifier) {
            foot_contradiction(foot)
        } else {
            Some(format!("the foot “{}” stands twice", foot.identifier))
        }
    })
}

fn foot_contradiction(foot: &PracticeFoot) -> Option<String> {
    let name = &foot.identifier;
    if name.is_empty() {
        return Some("a foot has no name".to_owned());
    }
    if foot.ap.is_none() && foot.lateral.is_none() {
        return Some(format!("the foot “{name}” has no film"));
    }
    if foot.tags.len() > MOST_WORDS || foot.difficulty.reasons.len() > MOST_WORDS {
        return Some(format!(
            "the foot “{name}” has more than {MOST_WORDS} words"
        ));
    }
    View::ALL.into_iter().find_map(|view| {
        let film = foot.film(view)?;
        let possible = |side: u32| (1..=LARGEST_SIDE_PX).contains(&side);
        if !possible(film.width_px) || !possible(film.height_px) {
            return Some(format!(
                "no film is {} by {} pixels large",
                film.width_px, film.height_px
            ));
        }
        let by_calibration = film.calibration.as_ref().map(Calibration::proportions);
        let differs = by_calibration.is_some_and(|shape| {
            let ratio = shape.height_over_width() / film.proportions.height_over_width();
            (ratio - 1.0).abs() > 1e-6
        });
        differs.then(|| format!("the calibration of “{}” is of other pixels", film.file))
    })
}

impl From<LimitFields> for Limit {
    fn from(fields: LimitFields) -> Self {
        Self {
            measurement: fields.measurement.0,
            largest: fields.largest,
            source: fields.source.0,
        }
    }
}

impl From<&Limit> for LimitFields {
    fn from(limit: &Limit) -> Self {
        Self {
            measurement: MeasurementName(limit.measurement),
            largest: limit.largest,
            source: Text(limit.source.clone()),
        }
    }
}

impl From<FootFields> for PracticeFoot {
    fn from(fields: FootFields) -> Self {
        Self {
            identifier: fields.identifier.0,
            side: fields.side,
            operated: fields.operated,
            ap: fields.ap.map(PracticeFilm::from),
            lateral: fields.lateral.map(PracticeFilm::from),
            difficulty: Difficulty {
                grade: fields.difficulty,
                reasons: fields.reasons,
            },
            tags: fields.tags.into_iter().map(|tag| tag.0).collect(),
            reference: fields.reference.0,
        }
    }
}

impl From<&PracticeFoot> for FootFields {
    fn from(foot: &PracticeFoot) -> Self {
        Self {
            identifier: Text(foot.identifier.clone()),
            side: foot.side,
            operated: foot.operated,
            ap: foot.ap.as_ref().map(FilmFields::from),
            lateral: foot.lateral.as_ref().map(FilmFields::from),
            difficulty: foot.difficulty.grade,
            reasons: foot.difficulty.reasons.clone(),
            tags: foot.tags.iter().cloned().map(Text).collect(),
            reference: FileName(foot.reference.clone()),
        }
    }
}

impl From<FilmFields> for PracticeFilm {
    fn from(fields: FilmFields) -> Self {
        Self {
            file: fields.file.0,
            hash: fields.hash.0,
            width_px: fields.width_px,
            height_px: fields.height_px,
            proportions: fields.pixel_height_over_width.0,
            calibration: fields.calibration.map(|size| size.0),
        }
    }
}

impl From<&PracticeFilm> for FilmFields {
    fn from(film: &PracticeFilm) -> Self {
        Self {
            file: FileName(film.file.clone()),
            hash: Hash(film.hash),
            width_px: film.width_px,
            height_px: film.height_px,
            pixel_height_over_width: PixelShape(film.proportions),
            calibration: film.calibration.map(PixelSize),
        }
    }
}
