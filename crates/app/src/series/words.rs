//! A series in words, as window and command line write it.

use std::io::Write;

use plumbray_anatomy::Side;
use plumbray_cohort::{
    ChangeSummary, HEADLINES, NumberSummary, Refreshed, SeriesFoot, Share, StudyFacts, Summary,
    Value, change_between, shared_convention_name,
};
use plumbray_compare::{Recurrence, Standing};
use plumbray_measure::{AxisConvention, Measurement, SeverityScheme, Unit};

use crate::words::{counted, draft_words, once};

/// The numbers of a printed row; the others are in the table that is written.
pub(crate) const PRINTED: [Measurement; 4] =
    [HEADLINES[0], HEADLINES[1], HEADLINES[2], HEADLINES[3]];

/// How wide the path of a row is printed; longer ones keep their end.
const PATH_WIDTH: usize = 44;
/// How wide the reader of a row is printed.
const READER_WIDTH: usize = 15;

/// What was found in the folder, and where its index lies.
pub(crate) fn write_refreshed(
    refreshed: &Refreshed,
    index: &str,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    writeln!(
        output,
        "{} and {}; {} measured now, {} gone since; index {index}",
        counted(refreshed.studies, "study", "studies"),
        counted(refreshed.time_lines, "time line", "time lines"),
        refreshed.measured,
        refreshed.removed
    )?;
    let problems = refreshed.problems.iter();
    for problem in problems.chain(&refreshed.time_line_problems) {
        writeln!(output, "  Look again: {problem}")?;
    }
    Ok(())
}

/// What the intervals of a series hold.
pub(crate) const OF_TRACING_ALONE: &str = "± of the tracing, without the reader";
/// Who traced, where the program did and nobody has looked at it.
pub(crate) const BY_THE_PROGRAM: &str = "program, unseen";

/// The heading over the rows.
pub(crate) fn row_heading() -> String {
    let numbers: Vec<String> = PRINTED
        .iter()
        .map(|measurement| format!("{:>17}", measurement.short_name()))
        .collect();
    format!(
        "  {:<PATH_WIDTH$} {:<7} {:<11} {:<9} {:<READER_WIDTH$}{}  severity   ({OF_TRACING_ALONE})",
        "study",
        "side",
        "day",
        "operated",
        "reader",
        numbers.join("")
    )
}

/// One visit in words, a part for each column.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct VisitWords {
    /// Which foot.
    pub side: String,
    /// The day of its films.
    pub day: String,
    /// Whether it was operated on before.
    pub operated: String,
    /// Who traced it; [`BY_THE_PROGRAM`] where nobody has looked at it.
    pub reader: String,
    /// What to know of its tracing; empty where somebody traced it.
    pub draft: String,
    /// Its numbers, in the order of [`PRINTED`].
    pub numbers: Vec<String>,
    /// By which axes its numbers are, each once: "mid-diaphyseal, at the quarters".
    pub conventions: String,
    /// Its class.
    pub severity: String,
    /// That the class is the worse of two angles', where it has one; else empty.
    pub by_which_angle: String,
    /// What became of the foot, where it is its last visit.
    pub remarks: String,
}

/// A visit in words, or why its study cannot be read.
pub(crate) fn visit_words(
    foot: &SeriesFoot,
    place: usize,
    limit: Recurrence,
) -> Result<VisitWords, String> {
    let row = &foot.visits[place].row;
    let Some(facts) = row.facts() else {
        return Err(row.problem().unwrap_or_default().to_string());
    };
    let numbers = PRINTED
        .iter()
        .map(|measurement| {
            let number = facts.number(*measurement).and_then(|number| number.value());
            number.map_or_else(|| "–".to_owned(), |value| short(*measurement, value))
        })
        .collect();
    let or = |text: Option<String>, none: &str| text.unwrap_or_else(|| none.to_owned());
    Ok(VisitWords {
        side: or(facts.side.map(|side| side_words(side, facts)), "?"),
        day: or(facts.date().map(|date| date.to_string()), "?"),
        operated: if facts.operated { "yes" } else { "no" }.to_owned(),
        reader: match (facts.draft, facts.reader.as_str()) {
            (Some(_), _) => BY_THE_PROGRAM.to_owned(),
            (None, "") => "–".to_owned(),
            (None, name) => name.to_owned(),
        },
        draft: facts.draft.map_or_else(String::new, draft_words),
        numbers,
        conventions: conventions(facts),
        severity: or(
            facts.severity.map(|class| class.identifier().to_owned()),
            "–",
        ),
        by_which_angle: facts.severity.map_or_else(String::new, |class| {
            format!(
                "{}: the worse class of the hallux valgus and the intermetatarsal angle as they were read, without a reader’s error.",
                class.identifier()
            )
        }),
        remarks: remarks(foot, place, limit),
    })
}

/// The side, with a question mark where nobody confirmed it.
fn side_words(side: Side, facts: &StudyFacts) -> String {
    let mark = if facts.side_confirmed { "" } else { "?" };
    format!("{}{mark}", side.identifier())
}

/// By which axes the printed numbers of a study are.
fn conventions(facts: &StudyFacts) -> String {
    let names = PRINTED
        .iter()
        .filter_map(|measurement| {
            let value = facts.number(*measurement)?.value()?;
            AxisConvention::from_identifier(value.convention.as_deref()?)
        })
        .map(AxisConvention::name);
    once(names).join("; ")
}

/// One visit in a line.
pub(crate) fn row_line(foot: &SeriesFoot, place: usize, limit: Recurrence) -> String {
    let path = shortened(&foot.visits[place].row.path);
    let words = match visit_words(foot, place, limit) {
        Ok(words) => words,
        Err(problem) => return format!("  {path:<PATH_WIDTH$} cannot be read: {problem}"),
    };
    let numbers: String = words
        .numbers
        .iter()
        .map(|number| format!("{number:>17}"))
        .collect();
    let VisitWords {
        side,
        day,
        operated,
        reader,
        severity,
        remarks,
        ..
    } = words;
    let reader: String = reader.chars().take(READER_WIDTH).collect();
    format!(
        "  {path:<PATH_WIDTH$} {side:<7} {day:<11} {operated:<9} {reader:<READER_WIDTH$}{numbers}  {severity}{remarks}"
    )
}

/// What became of the foot, behind the line of its last visit.
fn remarks(foot: &SeriesFoot, place: usize, limit: Recurrence) -> String {
    let mut remarks = String::new();
    let visit = &foot.visits[place];
    if let Some((first, last)) = foot.first_and_last()
        && last.row.path == visit.row.path
        && let Ok(change) = change_between(first, last, Measurement::HalluxValgusAngle)
    {
        let sign = if change.difference < 0.0 { '−' } else { '+' };
        remarks = format!(
            "; {} {sign}{:.1}° since the first visit, {}",
            Measurement::HalluxValgusAngle.short_name(),
            change.difference.abs(),
            change.verdict()
        );
    }
    let standing = visit.row.facts().and_then(|facts| facts.standing(limit));
    match standing.filter(|_| visit.is_result()) {
        Some(Standing::Beyond) => remarks.push_str("; recurrence"),
        Some(Standing::TooCloseToSay) => remarks.push_str("; recurrence too close to say"),
        Some(Standing::Within) | None => {}
    }
    remarks
}

fn short(measurement: Measurement, value: &Value) -> String {
    if measurement.unit() == Unit::Grade {
        return format!("{:.0}", value.value);
    }
    let half = (value.interval.1 - value.interval.0) / 2.0;
    format!("{} ± {half:.1}", decimal(value.value, 1))
}

fn shortened(path: &str) -> String {
    let length = path.chars().count();
    if length <= PATH_WIDTH {
        return path.to_owned();
    }
    let end: String = path.chars().skip(length + 1 - PATH_WIDTH).collect();
    format!("…{end}")
}

/// The series in a few lines.
pub(crate) fn summary_lines(summary: &Summary, limit: Recurrence) -> Vec<String> {
    let mut lines = vec![format!(
        "{} of {}{}; {}, each counted once by its first visit here, a film that was read several times by the latest tracing",
        counted(summary.studies, "study", "studies"),
        counted(summary.films, "film", "films"),
        match summary.unreadable {
            0 => String::new(),
            one => format!(", {one} of them cannot be read"),
        },
        counted(summary.feet, "foot", "feet")
    )];
    if summary.drafts > 0 {
        lines.push(format!(
            "  Traced by the program, and nobody has looked at it: {}",
            counted(summary.drafts, "study", "studies")
        ));
    }
    lines.push(format!("  Feet put together by time lines {}, by side and folder {} (a folder is taken to hold one patient)",
        summary.feet_by_time_line, summary.feet_by_folder
    ));
    for severity in &summary.severity {
        let classes = severity.classes.iter();
        let shares: Vec<String> = classes
            .map(|(class, share)| format!("{class} {}", share_words(*share)))
            .collect();
        let scheme = SeverityScheme::from_identifier(&severity.scheme);
        let scheme = scheme.map_or(severity.scheme.as_str(), |scheme| scheme.name());
        lines.push(format!("  Severity by {scheme}: {}", shares.join(", ")));
    }
    if summary.without_severity > 0 {
        lines.push(format!(
            "  Without a class, since an angle is missing: {}",
            summary.without_severity
        ));
    }
    if summary.sesamoid_grades.iter().any(|share| share.of > 0) {
        let shares: Vec<String> = summary
            .sesamoid_grades
            .iter()
            .enumerate()
            .map(|(grade, share)| format!("grade {grade} in {}", share_words(*share)))
            .collect();
        lines.push(format!("  Tibial sesamoid: {}", shares.join(", ")));
    }
    for number in &summary.numbers {
        lines.push(format!("  {}", number_words(number)));
    }
    lines.extend(outcome_lines(summary, limit));
    lines
}

fn outcome_lines(summary: &Summary, limit: Recurrence) -> Vec<String> {
    let mut lines = Vec::new();
    if summary.numbers_left_out > 0 {
        lines.push(format!(
            "  {} numbers are in no mean: there are too many conventions and calibrations",
            summary.numbers_left_out
        ));
    }
    if !summary.changes.is_empty() {
        let convention = shared_convention_name();
        lines.push(format!(
            "  Change by surgery, last standing visit less the one before, by {convention}:"
        ));
    }
    for ChangeSummary { number, real } in &summary.changes {
        lines.push(format!(
            "    {}; more than the error of measuring in {}",
            number_words(number),
            share_words(*real)
        ));
    }
    let recurrence = &summary.recurrence;
    if recurrence.beyond.of > 0 {
        lines.push(format!("  Recurrence ({}) at the last standing visit after surgery: {}; too close to say {}, no {}",
            limit.name(),
            share_words(recurrence.beyond),
            recurrence.too_close_to_say,
            recurrence.within
        ));
    }
    lines.push("  Intervals are 95 %, for feet that have nothing to do with each other".to_owned());
    lines
}

/// "12 of 40 (30 %, 18 to 45 %)".
fn share_words(share: Share) -> String {
    let Share { count, of, .. } = share;
    share.interval.map_or_else(
        || format!("{count} of {of}"),
        |(low, high)| {
            format!(
                "{count} of {of} ({:.0} to {:.0} %)",
                100.0 * low,
                100.0 * high
            )
        },
    )
}

fn number_words(number: &NumberSummary) -> String {
    let measurement = Measurement::from_identifier(number.measurement);
    let name = measurement.map_or(number.measurement, Measurement::name);
    let convention = number.convention.as_deref();
    let convention = convention
        .and_then(AxisConvention::from_identifier)
        .map(AxisConvention::name);
    let by: Vec<&str> = [convention, number.calibration.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    let by = if by.is_empty() {
        String::new()
    } else {
        format!(" ({})", by.join(", "))
    };
    let decimals = if number.unit == "ratio" { 3 } else { 1 };
    let mean = number.mean.unwrap_or_default();
    let spread = match (number.sd, number.interval) {
        (Some(sd), Some((low, high))) => {
            let [low, high] = [low, high].map(|end| decimal(end, decimals));
            format!(" (95 % interval of the mean {low} to {high}), SD {sd:.decimals$}")
        }
        _ => String::new(),
    };
    let feet = if number.feet == 1 { "foot" } else { "feet" };
    format!(
        "{name}{by}: mean {} {}{spread}, {} {feet}",
        decimal(mean, decimals),
        number.unit,
        number.feet
    )
}

/// A number with so many decimals and a real minus sign.
fn decimal(number: f64, decimals: usize) -> String {
    format!("{number:.decimals$}").replace('-', "\u{2212}")
}
