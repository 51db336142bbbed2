//! What a DICOM file says about side, view, date and standing.

use dicom_dictionary_std::tags;
use plumbray_anatomy::{Proportions, Side, View};

use super::{element::DataSet, functional_groups::FunctionalGroups, spacing};
use crate::{
    facts::{BodyDirection, FilmDirections, FilmFacts, Stated},
    notice::Notice,
};

/// The name of the attribute that says where rows and columns run.
const PATIENT_ORIENTATION: &str = "Patient Orientation";

/// Everything but the pixels.
pub(super) fn read(
    data_set: &DataSet<'_>,
    groups: &FunctionalGroups<'_>,
    notices: &mut Vec<Notice>,
) -> FilmFacts {
    let (spacing, proportions): (_, Proportions) = spacing::read(data_set, groups, notices);
    FilmFacts {
        side: side(data_set),
        view: view(data_set),
        directions: directions(data_set).map(|value| Stated {
            value,
            source: PATIENT_ORIENTATION,
        }),
        spacing,
        proportions,
        acquisition_date: acquisition_date(data_set),
        modality: data_set.text(tags::MODALITY),
        body_part: data_set.text(tags::BODY_PART_EXAMINED),
        weight_bearing: weight_bearing(data_set),
    }
}

pub(super) fn side(data_set: &DataSet<'_>) -> Option<Stated<Side>> {
    // An image of both feet in a series that is said to be of one shows neither alone.
    if data_set.text(tags::IMAGE_LATERALITY).as_deref() == Some("B") {
        return None;
    }
    [
        (tags::IMAGE_LATERALITY, "Image Laterality"),
        (tags::LATERALITY, "Laterality"),
    ]
    .into_iter()
    .find_map(|(tag, source)| {
        let value = match data_set.text(tag)?.as_str() {
            "L" => Side::Left,
            "R" => Side::Right,
            _ => return None,
        };
        Some(Stated { value, source })
    })
}

pub(super) fn view(data_set: &DataSet<'_>) -> Option<Stated<View>> {
    view_of_code(data_set)
        .map(|value| Stated {
            value,
            source: "View Code Sequence",
        })
        .or_else(|| {
            view_of_position(&data_set.text(tags::VIEW_POSITION)?).map(|value| Stated {
                value,
                source: "View Position",
            })
        })
        .or_else(|| {
            view_of_directions(directions(data_set)?).map(|value| Stated {
                value,
                source: PATIENT_ORIENTATION,
            })
        })
}

/// SNOMED CT codes of context group 4010, "DX View". A foot seen along the line from dorsum to sole,
/// in either direction, is what the trade calls AP.
fn view_of_code(data_set: &DataSet<'_>) -> Option<View> {
    let code = data_set.first_item(tags::VIEW_CODE_SEQUENCE)?;
    match code.text(tags::CODE_VALUE)?.as_str() {
        // Dorsoplantar, plantodorsal, antero-posterior, postero-anterior, frontal.
        "399335002" | "399071006" | "399348003" | "272479007" | "399033003" => Some(View::Ap),
        // Lateral, left lateral, right lateral, medial-lateral, lateral-medial.
        "399067008" | "399173006" | "399198007" | "399260004" | "399352003" => Some(View::Lateral),
        _ => None,
    }
}

/// The defined terms of View Position (PS3.3 C.8.1.1.1 and C.8.11.5), and dorsoplantar by its
/// initials (common practice, no source).
fn view_of_position(term: &str) -> Option<View> {
    match term {
        "AP" | "PA" | "DP" | "PD" => Some(View::Ap),
        "LL" | "RL" | "LAT" | "LATERAL" | "ML" | "LM" => Some(View::Lateral),
        _ => None,
    }
}

/// The directions in which rows and columns run (PS3.3 C.7.6.1.1.1), each by its first letter, which is the
/// direction that it is nearest to; nothing for an animal on four feet, whose letters mean something else.
fn directions(data_set: &DataSet<'_>) -> Option<FilmDirections> {
    let is_animal =
        data_set.text(tags::ANATOMICAL_ORIENTATION_TYPE).as_deref() == Some("QUADRUPED");
    if is_animal {
        return None;
    }
    directions_of(&data_set.texts(tags::PATIENT_ORIENTATION))
}

fn directions_of(said: &[String]) -> Option<FilmDirections> {
    let [along_rows, down_columns] = said else {
        return None;
    };
    Some(FilmDirections {
        along_rows: nearest_direction(along_rows)?,
        down_columns: nearest_direction(down_columns)?,
    })
}

fn nearest_direction(letters: &str) -> Option<BodyDirection> {
    match letters.chars().next()? {
        'L' => Some(BodyDirection::Left),
        'R' => Some(BodyDirection::Right),
        'A' => Some(BodyDirection::Anterior),
        'P' => Some(BodyDirection::Posterior),
        'H' => Some(BodyDirection::Head),
        'F' => Some(BodyDirection::Feet),
        _ => None,
    }
}

/// The AP film of a standing foot runs left–right and front–back, the lateral film front–back and up–down.
const fn view_of_directions(directions: FilmDirections) -> Option<View> {
    use BodyDirection::{Anterior, Feet, Head, Left, Posterior, Right};
    match (directions.along_rows, directions.down_columns) {
        (Left | Right, Anterior | Posterior) | (Anterior | Posterior, Left | Right) => {
            Some(View::Ap)
        }
        (Anterior | Posterior, Head | Feet) | (Head | Feet, Anterior | Posterior) => {
            Some(View::Lateral)
        }
        _ => None,
    }
}

/// The day of the exposure, or else of the content, the series or the study.
fn acquisition_date(data_set: &DataSet<'_>) -> Option<String> {
    [
        tags::ACQUISITION_DATE,
        tags::ACQUISITION_DATE_TIME,
        tags::CONTENT_DATE,
        tags::SERIES_DATE,
        tags::STUDY_DATE,
    ]
    .into_iter()
    .find_map(|tag| iso_date(&data_set.text(tag)?))
}

/// `20261125…`, or `2026.11.25` as before 1993, as `2026-11-25`; nothing for a day that no calendar
/// has.
pub(super) fn iso_date(text: &str) -> Option<String> {
    let digits: String = text
        .chars()
        .filter(|letter| *letter != '.')
        .take(8)
        .collect();
    if digits.len() != 8 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let (year, month, day) = (&digits[..4], &digits[4..6], &digits[6..]);
    let days_in_month = match month.parse().ok()? {
        4 | 6 | 9 | 11 => 30,
        2 => {
            let year: u32 = year.parse().ok()?;
            let is_leap =
                year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
            if is_leap { 29 } else { 28 }
        }
        1..=12 => 31,
        _ => return None,
    };
    (1..=days_in_month)
        .contains(&day.parse::<u32>().ok()?)
        .then(|| format!("{year}-{month}-{day}"))
}

/// Whether the patient stood, by a view modifier or by the words of a description.
fn weight_bearing(data_set: &DataSet<'_>) -> Option<Stated<bool>> {
    let modifier = data_set
        .first_item(tags::VIEW_CODE_SEQUENCE)
        .and_then(|view| view.first_item(tags::VIEW_MODIFIER_CODE_SEQUENCE))
        .and_then(|modifier| modifier.text(tags::CODE_MEANING));
    [
        (modifier, "View Modifier Code Sequence"),
        (
            data_set.text(tags::SERIES_DESCRIPTION),
            "Series Description",
        ),
        (data_set.text(tags::PROTOCOL_NAME), "Protocol Name"),
        (
            data_set.text(tags::ACQUISITION_DEVICE_PROCESSING_DESCRIPTION),
            "Acquisition Device Processing Description",
        ),
    ]
    .into_iter()
    .find_map(|(words, source)| {
        let value = says_standing(&words?)?;
        Some(Stated { value, source })
    })
}

fn says_standing(words: &str) -> Option<bool> {
    let words = words.to_lowercase().replace(['-', '_'], " ");
    let says = |phrases: &[&str]| phrases.iter().any(|phrase| words.contains(phrase));
    if says(&["non weight", "nonweight", "not weight", "non wb"]) {
        Some(false)
    } else if says(&["weight bearing", "weightbearing", "standing", "erect"]) {
        Some(true)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_that_no_calendar_has_are_left_out() {
        assert_eq!(iso_date("20261125").as_deref(), Some("2026-11-25"), "plain");
        assert_eq!(
            iso_date("20261125093000.5").as_deref(),
            Some("2026-11-25"),
            "with a time"
        );
        assert_eq!(
            iso_date("1999.02.28").as_deref(),
            Some("1999-02-28"),
            "as of old"
        );
        assert_eq!(
            iso_date("20000229").as_deref(),
            Some("2000-02-29"),
            "leap year"
        );
        for impossible in [
            "19000229",
            "20261301",
            "20260631",
            "20260700",
            "x",
            "２０２６１１２５",
        ] {
            assert_eq!(iso_date(impossible), None, "{impossible}");
        }
    }

    #[test]
    fn a_foot_lying_along_rows_or_columns_tells_its_view() {
        let view = |row: &str, column: &str| {
            directions_of(&[row.to_owned(), column.to_owned()]).and_then(view_of_directions)
        };
        assert_eq!(view("L", "P"), Some(View::Ap), "toes up");
        assert_eq!(
            view("A", "F"),
            Some(View::Lateral),
            "seen from medial or lateral"
        );
        assert_eq!(view("PR", "FA"), Some(View::Lateral), "the nearest ones");
        assert_eq!(view("L", "F"), None, "an AP film of an ankle or a chest");
        assert_eq!(view("", ""), None, "nothing said");
    }

    #[test]
    fn standing_is_read_from_words_and_its_denial_too() {
        assert_eq!(says_standing("Foot AP STANDING"), Some(true), "standing");
        assert_eq!(
            says_standing("FOOT NON-WEIGHT-BEARING"),
            Some(false),
            "denied"
        );
        assert_eq!(says_standing("Foot AP"), None, "silent");
    }
}
