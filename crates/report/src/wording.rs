//! The sheet's sentences about the study: visit, films, calibration, and where the numbers come from.

use jiff::civil::Date;
use plumbray_anatomy::{Calibration, Origin, View};
use plumbray_study::{LateralHeadEdge, Stance, Study};

use crate::{content::SheetRequest, number};

/// "AP film, standing, 5 January 2026".
#[must_use]
pub fn film_caption(study: &Study, view: View) -> String {
    let view_in_front = match view {
        View::Ap => "AP film",
        View::Lateral => "Lateral film",
    };
    let stance = match study.visit.stance {
        Stance::Standing => "standing",
        Stance::NotStanding => "not standing (usual ranges are for standing films)",
        Stance::Unknown => "stance unknown",
    };
    let day = study.film(view).and_then(|record| record.date);
    let day = day.map_or_else(|| "date unknown".to_owned(), number::day);
    format!("{view_in_front}, {stance}, {day}")
}

/// How much of the tracing the program proposed and a reader accepted as it was; nothing where nothing was.
pub(crate) fn proposed_line(study: &Study) -> Option<String> {
    let (mut all, mut proposed) = (0_usize, 0_usize);
    let films = View::ALL.map(|view| study.tracing.on(view));
    let points = films.iter().flat_map(|film| film.points.values());
    let shafts = films.iter().flat_map(|film| film.cortices.values());
    for origin in points
        .map(|point| point.origin)
        .chain(shafts.map(|shaft| shaft.origin))
    {
        all += 1;
        proposed += usize::from(origin == Origin::Proposed);
    }
    (proposed > 0).then(|| {
        format!(
            "Traced by the program and accepted as it was: {proposed} of {all} points and shafts."
        )
    })
}

/// What the reader judged by eye, with how much it is worth; nothing where nothing was judged.
pub(crate) fn judged_line(study: &Study) -> Option<String> {
    let shape = study.judged.lateral_head_edge?;
    Some(format!(
        "Lateral edge of the first metatarsal’s head, by eye: {}. {}",
        shape.identifier(),
        LateralHeadEdge::WORTH
    ))
}

/// The visit, the days of its films and the day of the tracing, in one line.
#[must_use]
pub fn visit_line(study: &Study, traced_on: Option<Date>) -> String {
    let mut parts = Vec::new();
    let label = one_line(&study.visit.label);
    if !label.is_empty() {
        parts.push(label);
    }
    let mut days: Vec<Date> = View::ALL
        .into_iter()
        .filter_map(|view| study.film(view)?.date)
        .collect();
    days.dedup();
    match days.as_slice() {
        [] => parts.push("date of the films unknown".to_owned()),
        [only] => parts.push(format!("films of {}", number::day(*only))),
        [ap, lateral, ..] => parts.push(format!(
            "films of {} (AP) and {} (lateral)",
            number::day(*ap),
            number::day(*lateral)
        )),
    }
    if study.visit.operated {
        parts.push("operated on before this visit".to_owned());
    }
    parts.push(traced_on.map_or_else(
        || "date of the tracing unknown".to_owned(),
        |day| format!("traced {}", number::day(day)),
    ));
    parts.join(" · ")
}

/// A text of the user's without line breaks and other control characters.
pub(crate) fn one_line(text: &str) -> String {
    let printable = |letter: char| if letter.is_control() { ' ' } else { letter };
    let text: String = text.chars().map(printable).collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What millimetres on each film stand on.
pub(crate) fn calibration_lines(study: &Study) -> Vec<String> {
    let films = || {
        View::ALL
            .into_iter()
            .filter_map(|view| Some((view, study.film(view)?)))
    };
    if films().all(|(_, film)| film.calibration.is_none()) {
        return vec!["Not calibrated: angles, grades and ratios only, no millimetres.".to_owned()];
    }
    films()
        .map(|(view, film)| {
            let view = view.name_in_sentence();
            film.calibration.map_or_else(
                || format!("The {view} film is not calibrated: angles, grades and ratios only."),
                |calibration| format!("Millimetres on the {view} film: {}.", quality(&calibration)),
            )
        })
        .collect()
}

/// The name of a calibration and how good it is.
pub(crate) fn quality(calibration: &Calibration) -> String {
    let spread = if calibration.relative_sd > 0.0 {
        let per_cent = calibration.relative_sd * 100.0;
        format!("standard deviation {}\u{2009}%", number::plain(per_cent, 1))
    } else {
        "its own error is not known".to_owned()
    };
    let whose = if calibration.basis.is_at_patient() {
        ""
    } else {
        "; not corrected to the size of the foot"
    };
    format!("{}, {spread}{whose}", calibration.basis.name())
}

/// Program, study file and the films' fingerprints.
pub(crate) fn origin_line(request: &SheetRequest<'_>) -> String {
    files_line(request.program, request.study_file, request.study)
}

/// Program, study file and the beginning and end of the fingerprint of each film of a study, in one line.
#[must_use]
pub fn files_line(program: &str, study_file: &str, study: &Study) -> String {
    let mut parts = vec![
        one_line(program),
        format!("study file {}", one_line(study_file)),
    ];
    for view in View::ALL {
        if let Some(film) = study.film(view) {
            let digits = film.hash.to_string();
            let (first, last) = (digits.get(..8), digits.get(digits.len() - 4..));
            let picture = match film.picture.get() {
                1 => String::new(),
                later => format!(", picture {later}"),
            };
            parts.push(format!(
                "{} film {}…{}{picture}",
                view.name_in_sentence(),
                first.unwrap_or_default(),
                last.unwrap_or_default()
            ));
        }
    }
    parts.join(" · ")
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use plumbray_anatomy::{CalibrationBasis, PixelSpacing};

    use super::*;

    fn calibration(basis: CalibrationBasis, relative_sd: f64) -> Calibration {
        Calibration {
            spacing: PixelSpacing::new(0.2, 0.2).expect("possible"),
            basis,
            relative_sd,
        }
    }

    #[test]
    fn a_calibration_is_named_with_its_quality() {
        let ball = CalibrationBasis::RoundObject { diameter_mm: 25.0 };
        assert_eq!(
            quality(&calibration(ball, 0.004)),
            "by a 25 mm ball or coin, standard deviation 0.4\u{2009}%",
            "fitted"
        );
        assert_eq!(
            quality(&calibration(CalibrationBasis::AtDetector, 0.0)),
            "at the detector, its own error is not known; not corrected to the size of the foot",
            "from the file"
        );
    }

    #[test]
    fn what_the_program_traced_is_told_and_what_a_hand_placed_is_not() {
        use plumbray_anatomy::{FilmPoint, Landmark, LongBone, PlacedPoint};
        let mut study = Study::default();
        for (landmark, origin) in [
            (Landmark::Tip(LongBone::M1), Origin::Proposed),
            (Landmark::HeadCentre, Origin::Hand),
        ] {
            let placed = PlacedPoint {
                at: FilmPoint::new(1.0, 2.0),
                sd_px: 1.0,
                origin,
            };
            study.tracing.ap.points.insert(landmark, placed);
        }
        let line = proposed_line(&study).expect("something was proposed");
        assert!(line.contains("1 of 2 points"), "{line}");
        study.tracing.ap.points.remove(&Landmark::Tip(LongBone::M1));
        assert_eq!(proposed_line(&study), None, "all by hand");
    }

    #[test]
    fn a_study_without_calibration_says_so() {
        let lines = calibration_lines(&Study::default());
        assert!(lines[0].starts_with("Not calibrated"), "{lines:?}");
    }

    #[test]
    fn a_label_of_several_lines_becomes_one() {
        let mut study = Study::default();
        study.visit.label = "before\nsurgery\u{7}  again ".to_owned();
        assert_eq!(
            visit_line(&study, Some(date(2026, 11, 25))),
            "before surgery again · date of the films unknown · traced 25 November 2026",
            "one line"
        );
    }

    #[test]
    fn which_of_several_pictures_was_measured_stands_beside_its_fingerprint() {
        let film = |picture: u32| plumbray_study::FilmRecord {
            file: "run.dcm".to_owned(),
            hash: plumbray_study::ContentHash::of_bytes(b"run"),
            picture: std::num::NonZeroU32::new(picture).expect("from 1"),
            width_px: 4,
            height_px: 3,
            proportions: plumbray_anatomy::Proportions::SQUARE,
            calibration: None,
            date: None,
        };
        let line = |picture: u32| {
            let study = Study {
                ap: Some(film(picture)),
                ..Study::default()
            };
            files_line("Plumbray", "run.study.ron", &study)
        };
        assert!(line(17).ends_with(", picture 17"), "{}", line(17));
        assert!(!line(1).contains("picture"), "{}", line(1));
    }
}
