//! What `plumbray trace` prints: text, one line of summary, and JSON, documented in
//! `docs/command-line.md`.

use std::io::Write;

use plumbray_anatomy::{Calibration, LongBone, PlacedPoint};
use plumbray_measure::{Measurement, shaft_width_px};
use serde::Serialize;

use super::{
    measure::{text_of, write_text},
    trace::Outcome,
    traced_study::{FilmOfStudy, TracedStudy},
};
use crate::{
    printing::{MeasuredStudy, measured_study},
    workbench::{choices_of, foot_of},
};

/// Said of every tracing that no reader has looked at.
const NOBODY_LOOKED: &str = "Traced by the program; nobody has looked at it.";

/// The angles of a line of summary.
const SUMMARY: [Measurement; 3] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::CalcanealInclinationAngle,
];

/// Prints each landmark with its spread, what is doubtful, what is left, and the worksheet.
pub(super) fn write_study(traced: &TracedStudy, output: &mut dyn Write) -> anyhow::Result<()> {
    for film in &traced.films {
        write_film(traced, film, output)?;
    }
    write_text(&measured(traced), output)?;
    if let Some(path) = &traced.saved {
        writeln!(output, "  Saved: {}", path.display())?;
    }
    Ok(())
}

fn write_film(
    traced: &TracedStudy,
    film: &FilmOfStudy,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let calibration = calibration_of(traced, film);
    writeln!(output, "{}, {}", film.path.display(), film.view.name())?;
    writeln!(output, "  {NOBODY_LOOKED}")?;
    for remark in &film.remarks {
        writeln!(output, "  {remark}")?;
    }
    let millimetres = calibration.map_or_else(String::new, |calibration| {
        format!("  spread mm, {}", calibration.basis.name())
    });
    writeln!(
        output,
        "  {:<29} {:>9} {:>9}  spread px{millimetres}",
        "landmark", "x px", "y px"
    )?;
    let tracing = traced.study.tracing.on(film.view);
    for (landmark, point) in &tracing.points {
        let (x, y) = (point.at.x_px, point.at.y_px);
        let spread = spread_text(point.sd_px, calibration);
        let doubt = film.doubts.get(landmark);
        let doubt = doubt.map_or_else(String::new, |why| format!("  look again: {why}"));
        let name = landmark.identifier();
        writeln!(output, "  {name:<29} {x:>9.1} {y:>9.1} {spread}{doubt}")?;
    }
    for (bone, cortices) in &tracing.cortices {
        let name = format!("{}_cortices", bone.identifier());
        let spread = spread_text(cortices.sd_px, calibration);
        let widths = widths_text(&shaft_widths(traced, film, *bone), calibration);
        writeln!(output, "  {name:<29} {:>9} {:>9} {spread}{widths}", "", "")?;
    }
    for (landmark, why) in &film.left {
        let name = landmark.identifier();
        writeln!(output, "  {name:<29} left to a reader: {why}")?;
    }
    Ok(())
}

fn spread_text(sd_px: f64, calibration: Option<&Calibration>) -> String {
    let millimetres = calibration.map_or_else(String::new, |calibration| {
        format!("  {:>9.2}", sd_px * calibration.mm_per_pixel_width())
    });
    format!(" {sd_px:>9.1}{millimetres}")
}

/// The shares of a bone's length, from its base, at which its shaft's width is told.
const WIDTHS_AT: [f64; 3] = [0.25, 0.5, 0.75];

/// Each level at which both cortices are there, with the shaft's width and its standard deviation in
/// pixel widths.
fn shaft_widths(traced: &TracedStudy, film: &FilmOfStudy, bone: LongBone) -> Vec<(f64, f64, f64)> {
    let foot = foot_of(&traced.study);
    WIDTHS_AT
        .into_iter()
        .filter_map(|share| {
            let outcome = shaft_width_px(&foot, film.view, bone, share);
            let reading = outcome.reading()?;
            Some((share, reading.value, reading.sd))
        })
        .collect()
}

fn widths_text(widths: &[(f64, f64, f64)], calibration: Option<&Calibration>) -> String {
    if widths.is_empty() {
        return String::new();
    }
    let (scale, unit) = calibration.map_or((1.0, "px"), |calibration| {
        (calibration.mm_per_pixel_width(), "mm")
    });
    let at = |(share, width, _): &(f64, f64, f64)| {
        format!("{:.1} at {:.0} %", width * scale, 100.0 * share)
    };
    let all: Vec<String> = widths.iter().map(at).collect();
    format!("  width {unit}: {}", all.join(", "))
}

fn calibration_of<'a>(traced: &'a TracedStudy, film: &FilmOfStudy) -> Option<&'a Calibration> {
    traced.study.film(film.view)?.calibration.as_ref()
}

/// One line for a film in a folder.
pub(super) fn summary_line(traced: &TracedStudy) -> String {
    let sheet = measured(traced);
    let mut parts = Vec::new();
    for film in &traced.films {
        let placed = traced.study.tracing.on(film.view).points.len();
        let mut found = format!(
            "{}, {placed} of {} landmarks",
            film.view.name(),
            placed + film.left.len()
        );
        if !film.doubts.is_empty() {
            found = format!("{found}, {} to look at again", film.doubts.len());
        }
        parts.push(found);
    }
    let angles = sheet
        .measurements
        .iter()
        .filter(|row| {
            SUMMARY
                .iter()
                .any(|angle| angle.identifier() == row.identifier)
        })
        .filter(|row| row.result.value.is_some())
        .map(|row| format!("{} {}", row.name, text_of(row)));
    parts.extend(angles);
    if let Some(path) = &traced.saved {
        parts.push(format!("saved as {}", path.display()));
    }
    let side = sheet
        .side
        .map_or_else(String::new, |side| format!(" {side} foot,"));
    let film = traced.named_film().display();
    format!("{film}:{side} {}", parts.join("; "))
}

/// The worksheet, under the name of the study or of its first film.
pub(super) fn measured(traced: &TracedStudy) -> MeasuredStudy {
    let study = &traced.study;
    let name = traced.saved.as_deref().unwrap_or(traced.named_film());
    measured_study(&name.display().to_string(), study, &choices_of(study))
}

#[derive(Serialize)]
#[serde(untagged)]
enum Entry {
    Traced(Box<TracedEntry>),
    Failed { film: String, error: String },
}

#[derive(Serialize)]
struct TracedEntry {
    films: Vec<FilmEntry>,
    saved: Option<String>,
    worksheet: MeasuredStudy,
}

#[derive(Serialize)]
struct FilmEntry {
    film: String,
    view: &'static str,
    spread_calibration: Option<String>,
    landmarks: Vec<LandmarkEntry>,
    shafts: Vec<ShaftEntry>,
    left_to_reader: Vec<LeftEntry>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct LandmarkEntry {
    landmark: String,
    x_px: f64,
    y_px: f64,
    spread_px: f64,
    spread_mm: Option<f64>,
    doubt: Option<String>,
}

#[derive(Serialize)]
struct ShaftEntry {
    bone: &'static str,
    spread_px: f64,
    spread_mm: Option<f64>,
    widths: Vec<WidthEntry>,
}

#[derive(Serialize)]
struct WidthEntry {
    share_from_base: f64,
    width_px: f64,
    spread_px: f64,
    width_mm: Option<f64>,
}

#[derive(Serialize)]
struct LeftEntry {
    landmark: String,
    reason: String,
}

/// Prints everything as one list, what failed included.
pub(super) fn write_json(outcomes: &[Outcome], output: &mut dyn Write) -> anyhow::Result<()> {
    let entries: Vec<Entry> = outcomes
        .iter()
        .map(|outcome| match outcome {
            Outcome::Traced(traced) => Entry::Traced(Box::new(traced_entry(traced))),
            Outcome::Failed { film, problem } => Entry::Failed {
                film: film.display().to_string(),
                error: problem.clone(),
            },
        })
        .collect();
    serde_json::to_writer_pretty(&mut *output, &entries)?;
    writeln!(output)?;
    Ok(())
}

fn traced_entry(traced: &TracedStudy) -> TracedEntry {
    TracedEntry {
        films: traced
            .films
            .iter()
            .map(|film| film_entry(traced, film))
            .collect(),
        saved: traced.saved.as_ref().map(|path| path.display().to_string()),
        worksheet: measured(traced),
    }
}

fn film_entry(traced: &TracedStudy, film: &FilmOfStudy) -> FilmEntry {
    let calibration = calibration_of(traced, film);
    let millimetres =
        |pixels: f64| calibration.map(|calibration| pixels * calibration.mm_per_pixel_width());
    let tracing = traced.study.tracing.on(film.view);
    let landmark = |(name, point): (&plumbray_anatomy::Landmark, &PlacedPoint)| LandmarkEntry {
        landmark: name.identifier(),
        x_px: point.at.x_px,
        y_px: point.at.y_px,
        spread_px: point.sd_px,
        spread_mm: millimetres(point.sd_px),
        doubt: film.doubts.get(name).cloned(),
    };
    let shafts = tracing.cortices.iter().map(|(bone, cortices)| ShaftEntry {
        bone: bone.identifier(),
        spread_px: cortices.sd_px,
        spread_mm: millimetres(cortices.sd_px),
        widths: shaft_widths(traced, film, *bone)
            .into_iter()
            .map(|(share_from_base, width_px, spread_px)| WidthEntry {
                share_from_base,
                width_px,
                spread_px,
                width_mm: millimetres(width_px),
            })
            .collect(),
    });
    let left = film.left.iter().map(|(name, reason)| LeftEntry {
        landmark: name.identifier(),
        reason: reason.clone(),
    });
    FilmEntry {
        film: film.path.display().to_string(),
        view: film.view.identifier(),
        spread_calibration: calibration.map(|calibration| calibration.basis.name()),
        landmarks: tracing.points.iter().map(landmark).collect(),
        shafts: shafts.collect(),
        left_to_reader: left.collect(),
        notes: film.remarks.clone(),
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use plumbray_anatomy::{
        Calibration, CalibrationBasis, FilmPoint, FilmTracing, Landmark, Origin, PixelSpacing,
        Side, View,
    };
    use plumbray_film::FilmFacts;
    use plumbray_proposal::{Doubt, Proposal};
    use plumbray_study::FilmRecord;

    use super::*;
    use crate::command_line::{
        traced_film::{TracedFilm, TracedFoot},
        traced_study::studies_of_film,
    };

    /// A film with three points of a proposal on it, one of them doubtful, and one that is left.
    fn traced(calibration: Option<Calibration>) -> TracedStudy {
        let point = |x_px| PlacedPoint {
            at: FilmPoint::new(x_px, 40.0),
            sd_px: 2.0,
            origin: Origin::Proposed,
        };
        let points = [
            (Landmark::BaseCentre(LongBone::M1), point(10.0)),
            (Landmark::Tip(LongBone::M1), point(20.0)),
            (Landmark::HeadCentre, point(30.0)),
        ];
        let proposal = Proposal {
            view: View::Ap,
            side: Some(Side::Right),
            tracing: FilmTracing {
                points: points.into(),
                ..FilmTracing::default()
            },
            doubts: [(Landmark::HeadCentre, Doubt::Ambiguous)].into(),
            left_to_reader: [(Landmark::HeadEdge, Doubt::Faint)].into(),
        };
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("film.png");
        std::fs::write(&path, "a film").expect("writable");
        let mut record = FilmRecord::of_file(&path, folder.path(), 100, 100).expect("a record");
        record.calibration = calibration;
        let film = TracedFilm {
            path: PathBuf::from("film.png"),
            record,
            facts: FilmFacts::default(),
            view: View::Ap,
            feet_on_film: 1,
            feet: vec![TracedFoot::proposed(proposal, None)],
        };
        studies_of_film(&film).pop().expect("one foot")
    }

    fn text(traced: &TracedStudy) -> String {
        let mut output = Vec::new();
        write_study(traced, &mut output).expect("writable");
        String::from_utf8(output).expect("text")
    }

    #[test]
    fn every_point_stands_with_its_spread_its_doubt_and_what_is_left() {
        let text = text(&traced(None));
        for line in [
            "  m1_tip                             20.0      40.0        2.0",
            "look again: two places are about as likely",
            "m1_head_edge                  left to a reader: hidden behind other bones",
            "nobody has looked at it",
            "film.png (right foot, not confirmed)",
            "not a medical device",
        ] {
            assert!(text.contains(line), "“{line}” in {text}");
        }
        assert!(!text.contains("spread mm"), "no calibration: {text}");
    }

    #[test]
    fn millimetres_name_their_calibration() {
        let calibration = Calibration {
            spacing: PixelSpacing::new(0.2, 0.2).expect("possible"),
            basis: CalibrationBasis::RoundObject { diameter_mm: 25.0 },
            relative_sd: 0.004,
        };
        let text = text(&traced(Some(calibration)));
        assert!(
            text.contains("spread mm, by a 25 mm ball or coin"),
            "{text}"
        );
        assert!(
            text.contains("        2.0       0.40"),
            "2 pixels of 0.2 mm: {text}"
        );
    }

    #[test]
    fn a_line_of_summary_counts_what_was_found() {
        let line = summary_line(&traced(None));
        assert_eq!(
            line, "film.png: right foot, AP, 3 of 4 landmarks, 1 to look at again",
            "one line"
        );
    }
}
