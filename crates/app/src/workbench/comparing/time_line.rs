//! Naming, dating and ordering the visits of a foot.

use std::path::PathBuf;

use plumbray_compare::{Occasion, Pair};
use plumbray_study::is_same_file;

use super::TimeLineEdit;
use crate::comparing::{FootOverTime, VisitOnDisk};

/// No visit's name is longer than this, in characters.
const LONGEST_NAME: usize = 60;

/// The list of visits after a change.
///
/// # Errors
/// When a study that is to be added cannot be read.
pub(super) fn edited(foot: &FootOverTime, edit: &TimeLineEdit) -> Result<FootOverTime, String> {
    let mut foot = foot.clone();
    match edit {
        TimeLineEdit::Name(place, name) => {
            if let Some(visit) = foot.visits.get_mut(*place) {
                let name: String = name.trim().chars().take(LONGEST_NAME).collect();
                let by_study = name.is_empty() || name == visit.study.visit.label.trim();
                visit.name = (!by_study).then_some(name);
            }
        }
        TimeLineEdit::When(place, occasion) => {
            if let Some(visit) = foot.visits.get_mut(*place) {
                let by_study = Occasion::of(&visit.study);
                visit.occasion = occasion.filter(|occasion| *occasion != by_study);
            }
        }
        TimeLineEdit::Earlier(place) => swap(&mut foot, place.checked_sub(1), *place),
        TimeLineEdit::Later(place) => swap(&mut foot, Some(*place), place + 1),
        TimeLineEdit::ByDays => foot.put_by_days(),
        TimeLineEdit::TakeOut(place) => {
            if *place < foot.visits.len() {
                foot.visits.remove(*place);
            }
        }
        TimeLineEdit::Add(paths) => add(&mut foot, paths)?,
    }
    Ok(foot)
}

fn swap(foot: &mut FootOverTime, one: Option<usize>, other: usize) {
    if let Some(one) = one
        && other < foot.visits.len()
    {
        foot.visits.swap(one, other);
    }
}

fn add(foot: &mut FootOverTime, paths: &[PathBuf]) -> Result<(), String> {
    for path in paths {
        let is_there = |visit: &VisitOnDisk| is_same_file(&visit.path, path);
        if !foot.visits.iter().any(is_there) {
            let visit = VisitOnDisk::read(path).map_err(|problem| format!("{problem:#}"))?;
            foot.visits.push(visit);
        }
    }
    Ok(())
}

/// The same two visits in another order of the list; nothing where one of them is gone.
pub(super) fn same_pair(old: &FootOverTime, pair: Pair, new: &FootOverTime) -> Option<Pair> {
    let place = |place: usize| {
        let path = &old.visits.get(place)?.path;
        new.visits.iter().position(|visit| visit.path == *path)
    };
    let (one, other) = (place(pair.earlier)?, place(pair.later)?);
    Some(Pair {
        earlier: one.min(other),
        later: one.max(other),
    })
}

#[cfg(test)]
mod tests {
    use plumbray_study::Study;

    use super::*;

    fn foot(names: &[&str]) -> FootOverTime {
        let visit = |name: &&str| VisitOnDisk {
            path: PathBuf::from(*name),
            study: Study::default(),
            occasion: None,
            name: None,
        };
        FootOverTime {
            visits: names.iter().map(visit).collect(),
            time_line: PathBuf::new(),
        }
    }

    fn order(foot: &FootOverTime) -> Vec<String> {
        let name = |visit: &VisitOnDisk| visit.path.display().to_string();
        foot.visits.iter().map(name).collect()
    }

    #[test]
    fn visits_change_places_with_their_neighbours_and_stop_at_the_ends() {
        let foot = foot(&["a", "b", "c"]);
        for (edit, expected) in [
            (TimeLineEdit::Earlier(2), ["a", "c", "b"]),
            (TimeLineEdit::Later(0), ["b", "a", "c"]),
            (TimeLineEdit::Earlier(0), ["a", "b", "c"]),
            (TimeLineEdit::Later(2), ["a", "b", "c"]),
            (TimeLineEdit::Later(7), ["a", "b", "c"]),
        ] {
            let new = edited(&foot, &edit).expect("nothing is read");
            assert_eq!(order(&new), expected, "{edit:?}");
        }
        let new = edited(&foot, &TimeLineEdit::TakeOut(1)).expect("nothing is read");
        assert_eq!(order(&new), ["a", "c"], "taken out");
    }

    #[test]
    fn visits_are_put_in_the_order_of_their_days_and_one_without_a_day_stays() {
        let mut foot = foot(&["late", "unknown", "early", "between"]);
        for (place, day) in [(0, "2026-07-22"), (2, "2026-01-05"), (3, "2026-02-01")] {
            foot.visits[place].study.ap = Some(film_of(day));
        }
        assert!(!foot.is_by_days(), "the latest stands first");
        let new = edited(&foot, &TimeLineEdit::ByDays).expect("nothing is read");
        assert_eq!(
            order(&new),
            ["early", "unknown", "between", "late"],
            "by days"
        );
        assert!(new.is_by_days(), "in order now");
        let new = edited(&new, &TimeLineEdit::Later(2)).expect("nothing is read");
        assert!(!new.is_by_days(), "moved by hand");
    }

    fn film_of(day: &str) -> plumbray_study::FilmRecord {
        plumbray_study::FilmRecord {
            file: "film.dcm".to_owned(),
            hash: plumbray_study::ContentHash::of_bytes(b"a film"),
            picture: std::num::NonZeroU32::MIN,
            width_px: 1,
            height_px: 1,
            proportions: plumbray_anatomy::Proportions::SQUARE,
            calibration: None,
            date: Some(day.parse().expect("a day")),
        }
    }

    #[test]
    fn what_the_study_says_by_itself_is_not_kept_twice() {
        let one = foot(&["a"]);
        let theatre = TimeLineEdit::When(0, Some(Occasion::InTheatre));
        let new = edited(&one, &theatre).expect("nothing is read");
        assert_eq!(new.visits[0].occasion, Some(Occasion::InTheatre), "said");
        let before = TimeLineEdit::When(0, Some(Occasion::Before));
        let new = edited(&new, &before).expect("nothing is read");
        assert_eq!(new.visits[0].occasion, None, "the study says so");
        let named = TimeLineEdit::Name(0, "  six weeks ".to_owned());
        let new = edited(&one, &named).expect("nothing is read");
        assert_eq!(new.visits[0].name.as_deref(), Some("six weeks"), "trimmed");
        let unnamed = TimeLineEdit::Name(0, " ".to_owned());
        let new = edited(&new, &unnamed).expect("nothing is read");
        assert_eq!(new.visits[0].name, None, "its own again");
    }

    #[test]
    fn the_two_visits_are_followed_into_another_order() {
        let old = foot(&["a", "b", "c"]);
        let pair = Pair {
            earlier: 0,
            later: 2,
        };
        for (names, expected) in [
            (vec!["b", "a", "c"], Some((1, 2))),
            (vec!["c", "b", "a"], Some((0, 2))),
            (vec!["a", "b"], None),
        ] {
            let found = same_pair(&old, pair, &foot(&names));
            let found = found.map(|pair| (pair.earlier, pair.later));
            assert_eq!(found, expected, "{names:?}");
        }
    }
}
