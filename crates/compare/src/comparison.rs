//! Every number of a foot at every visit, and what changed between two of them.

use plumbray_anatomy::{Side, View, capitalised};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, Outcome, Unit, measure};
use plumbray_study::Stance;

use crate::{
    change::{Change, NoChange, change},
    correction::{Correction, CorrectionLost, Recurrence, Standing},
    engine_input::foot_of,
    head_shift::{HeadShift, NoHeadShift, head_shift},
    registration::{NotLaidOver, Registration},
    visit::{Occasion, Visit, VisitName},
};

/// Which two visits are subtracted, by their places in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pair {
    /// The earlier one.
    pub earlier: usize,
    /// The later one.
    pub later: usize,
}

/// A foot at its visits.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The visits in their order.
    pub visits: Vec<VisitColumn>,
    /// Which two are subtracted.
    pub pair: Pair,
    /// By which axes everything is read.
    pub convention: AxisConvention,
    /// A row for every measurement that some visit has a number of.
    pub rows: Vec<ChangeRow>,
    /// What the operation corrected, by the hallux valgus and the intermetatarsal angle: from the last visit
    /// before it to the first standing one after it.
    pub corrections: Vec<Correction>,
    /// What was lost of it until the later visit of the pair.
    pub lost: Vec<CorrectionLost>,
    /// How far the head was moved until the later visit of the pair: from the last visit before the operation,
    /// and, where the earlier one of the pair is after it too, from that one. Empty where no operation lies
    /// before the later visit.
    pub head_moves: Vec<HeadMove>,
    /// The views of which both visits of the pair have the very same film, by its content: read twice, no foot has
    /// changed in it. Its sentence is the first of the warnings.
    pub same_films: Vec<View>,
    /// What should be known before any of it is believed, a sentence each.
    pub warnings: Vec<String>,
}

/// How far the head was moved between two visits.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadMove {
    /// Between which.
    pub between: Pair,
    /// How far, or why that is not told.
    pub shift: Result<HeadShift, NoHeadShift>,
}

/// A visit's column.
#[derive(Clone, Debug, PartialEq)]
pub struct VisitColumn {
    /// How it is called.
    pub name: VisitName,
    /// When it was.
    pub occasion: Occasion,
    /// The day on which its films were taken.
    pub date: Option<jiff::civil::Date>,
    /// Days since the operation.
    pub days_after_operation: Option<i32>,
    /// Whether later visits are held against it.
    pub is_result: bool,
    /// Which foot it shows; nothing while unknown.
    pub side: Option<Side>,
    /// Whose millimetres the numbers of each of its films are.
    pub films: Vec<VisitFilm>,
}

/// A film of a visit and its calibration.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VisitFilm {
    /// Which film.
    pub view: View,
    /// The name of its calibration; nothing where it has none, and so no millimetres.
    pub calibration: Option<String>,
}

impl VisitFilm {
    /// The film and its calibration: "AP film: millimetres at the detector".
    #[must_use]
    pub fn words(&self) -> String {
        let basis = self.calibration.as_ref().map_or_else(
            || "not calibrated, no millimetres".to_owned(),
            |calibration| format!("millimetres {calibration}"),
        );
        format!("{} film: {basis}", self.view.name())
    }
}

/// One measurement at every visit.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeRow {
    /// What was measured.
    pub measurement: Measurement,
    /// What it came to at each visit.
    pub outcomes: Vec<Outcome>,
    /// What became of it between the two visits of the pair.
    pub change: Result<Change, NoChange>,
}

impl Comparison {
    /// The row of a measurement, where some visit has a number of it.
    #[must_use]
    pub fn row(&self, measurement: Measurement) -> Option<&ChangeRow> {
        self.rows.iter().find(|row| row.measurement == measurement)
    }

    /// Where the later visit of the pair stands by a limit; nothing where it has no number, or is no result.
    #[must_use]
    pub fn standing(&self, limit: Recurrence) -> Option<Standing> {
        let later = self.pair.later;
        let is_result = self.visits.get(later)?.is_result;
        let outcome = self.row(limit.measurement())?.outcomes.get(later)?;
        limit.standing(outcome).filter(|_| is_result)
    }
}

/// Which way a number went for the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Nearer to the middle of its usual range.
    Toward,
    /// Farther from it.
    Away,
}

impl ChangeRow {
    /// Whether a real change leads toward the usual range or away from it; nothing where there is no real
    /// change, or no usual range.
    #[must_use]
    pub fn direction(&self, pair: Pair) -> Option<Direction> {
        if !self.change.as_ref().is_ok_and(|change| change.is_real) {
            return None;
        }
        let range = self.measurement.usual_range()?;
        let outside = |value: f64| (range.low - value).max(value - range.high).max(0.0);
        let value = |place: usize| Some(self.outcomes.get(place)?.reading()?.value);
        let (one, other) = (outside(value(pair.earlier)?), outside(value(pair.later)?));
        if other < one {
            Some(Direction::Toward)
        } else if other > one {
            Some(Direction::Away)
        } else {
            None
        }
    }
}

/// The axis conventions by which every visit can be read, as far as the operation goes.
#[must_use]
pub fn common_conventions(visits: &[Visit<'_>]) -> Vec<AxisConvention> {
    AxisConvention::ALL
        .into_iter()
        .filter(|convention| {
            visits.iter().all(|visit| {
                let outcome = measured(
                    &foot_of(visit.study),
                    *convention,
                    Measurement::HalluxValgusAngle,
                );
                !matches!(outcome, Outcome::Refused { .. })
            })
        })
        .collect()
}

/// The two visits that are subtracted where nobody chose: the first standing visit after surgery and the last
/// one, or where there are no two such, the first and the last of all. Nothing for fewer than two visits.
#[must_use]
pub fn usual_pair(visits: &[Visit<'_>]) -> Option<Pair> {
    let last = visits.len().checked_sub(1).filter(|last| *last > 0)?;
    let first_result = visits.iter().position(Visit::is_result);
    let last_result = visits.iter().rposition(Visit::is_result);
    match (first_result, last_result) {
        (Some(earlier), Some(later)) if earlier < later => Some(Pair { earlier, later }),
        _ => Some(Pair {
            earlier: 0,
            later: last,
        }),
    }
}

/// A foot at its visits, and what changed between two of them.
///
/// Every number is read by one axis convention. `laid_over` lays the AP film of one visit over that of
/// another, both by their places. Visits keep the order in which they are given.
#[must_use]
pub fn compare(
    visits: &[Visit<'_>],
    pair: Pair,
    convention: AxisConvention,
    laid_over: &dyn Fn(Pair) -> Result<Registration, NotLaidOver>,
) -> Comparison {
    let rows = rows(visits, pair, convention);
    let from = before_operation(visits, pair);
    let first = visits.iter().position(Visit::is_result);
    let known = from.zip(first);
    let known = known.filter(|(before, first)| {
        let (earlier, later) = (*before, *first);
        !is_same_film(visits, Pair { earlier, later }, View::Ap)
    });
    let (corrections, lost) = corrections(visits, &rows, pair, known);
    Comparison {
        visits: visits.iter().map(column).collect(),
        warnings: warnings(visits, pair, convention, laid_over),
        same_films: same_films(visits, pair),
        pair,
        convention,
        rows,
        corrections,
        lost,
        head_moves: head_moves(visits, pair, from, laid_over),
    }
}

/// Whether two visits have the very same film of a view, by its content and which of its pictures it is.
fn is_same_film(visits: &[Visit<'_>], pair: Pair, view: View) -> bool {
    let film = |place: usize| visits.get(place)?.study.film(view);
    let both = film(pair.earlier).zip(film(pair.later));
    pair.earlier != pair.later && both.is_some_and(|(one, other)| one.is_same_picture(other))
}

fn same_films(visits: &[Visit<'_>], pair: Pair) -> Vec<View> {
    let views = View::ALL.into_iter();
    views
        .filter(|view| is_same_film(visits, pair, *view))
        .collect()
}

/// What is said above numbers that were read on the very same film; nothing where no film is the same.
#[must_use]
pub fn same_film_words(same_films: &[View]) -> Option<String> {
    let which = match same_films {
        [] => return None,
        [only] => format!("the same {} film", only.name_in_sentence()),
        _ => "the same films".to_owned(),
    };
    Some(format!(
        "These are {which} twice, not two visits: differences are of reading, no change of the foot."
    ))
}

fn head_moves(
    visits: &[Visit<'_>],
    pair: Pair,
    before: Option<usize>,
    laid_over: &dyn Fn(Pair) -> Result<Registration, NotLaidOver>,
) -> Vec<HeadMove> {
    let is_operated = |place: usize| {
        visits
            .get(place)
            .is_some_and(|visit| visit.occasion != Occasion::Before)
    };
    if !is_operated(pair.later) {
        return Vec::new();
    }
    let since_operation = Some(pair.earlier).filter(|place| is_operated(*place));
    before
        .into_iter()
        .chain(since_operation)
        .filter_map(|earlier| {
            let between = Pair { earlier, ..pair };
            (!is_same_film(visits, between, View::Ap)).then_some(between)
        })
        .map(|between| {
            let laid = laid_over(between);
            let shift = head_shift(
                &foot_of(visits[between.earlier].study),
                &foot_of(visits[between.later].study),
                laid.as_ref().map_err(Clone::clone),
            );
            HeadMove { between, shift }
        })
        .collect()
}

fn column(visit: &Visit<'_>) -> VisitColumn {
    VisitColumn {
        name: visit.name(),
        occasion: visit.occasion,
        date: visit.date(),
        days_after_operation: visit.days_after_operation(),
        is_result: visit.is_result(),
        side: visit.study.foot(),
        films: View::ALL
            .into_iter()
            .filter_map(|view| {
                let record = visit.study.film(view)?;
                let calibration = record.calibration.as_ref();
                Some(VisitFilm {
                    view,
                    calibration: calibration.map(|calibration| calibration.basis.name()),
                })
            })
            .collect(),
    }
}

/// The last visit before surgery that lies before the later one of the pair.
fn before_operation(visits: &[Visit<'_>], pair: Pair) -> Option<usize> {
    visits
        .iter()
        .take(pair.later)
        .rposition(|visit| visit.occasion == Occasion::Before)
}

pub(crate) fn measured(
    foot: &Foot<'_>,
    convention: AxisConvention,
    measurement: Measurement,
) -> Outcome {
    let choices = Choices {
        convention: Some(convention),
        ..Choices::default()
    };
    measure(foot, &choices, measurement)
}

fn rows(visits: &[Visit<'_>], pair: Pair, convention: AxisConvention) -> Vec<ChangeRow> {
    let between = |measurement, outcomes: &[Outcome], share: Option<&Change>| {
        let missing = || NoChange::Missing {
            why: "choose two visits".to_owned(),
        };
        let earlier = outcomes.get(pair.earlier).ok_or_else(missing)?;
        let later = outcomes.get(pair.later).ok_or_else(missing)?;
        if bears_weight(visits, pair.earlier) != bears_weight(visits, pair.later)
            && earlier.reading().is_some()
            && later.reading().is_some()
        {
            return Err(NoChange::OtherStance);
        }
        change(measurement, earlier, later, share)
    };
    Measurement::ALL
        .into_iter()
        .filter_map(|measurement| {
            let by_visit = outcomes(visits, convention, measurement);
            if !by_visit.iter().any(|outcome| outcome.reading().is_some()) {
                return None;
            }
            let share = share_behind(measurement)
                .and_then(|share| between(share, &outcomes(visits, convention, share), None).ok());
            let change = between(measurement, &by_visit, share.as_ref());
            let change = if is_same_film(visits, pair, measurement.view()) {
                change.map(Change::on_the_same_film)
            } else {
                change
            };
            Some(ChangeRow {
                measurement,
                outcomes: by_visit,
                change,
            })
        })
        .collect()
}

/// Whether the foot of a visit bore weight.
fn bears_weight(visits: &[Visit<'_>], place: usize) -> bool {
    visits.get(place).is_none_or(Visit::bears_weight)
}

fn outcomes(
    visits: &[Visit<'_>],
    convention: AxisConvention,
    measurement: Measurement,
) -> Vec<Outcome> {
    visits
        .iter()
        .map(|visit| measured(&foot_of(visit.study), convention, measurement))
        .collect()
}

/// The share that a position or a grade follows from.
fn share_behind(measurement: Measurement) -> Option<Measurement> {
    match (measurement.unit(), measurement) {
        (Unit::Grade, Measurement::FibularSesamoidGrade) => Some(Measurement::FibularSesamoidShare),
        (Unit::Grade | Unit::Position, _) => Some(Measurement::TibialSesamoidShare),
        _ => None,
    }
}

/// The angles whose correction is followed.
pub const FOLLOWED: [Measurement; 2] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
];

fn corrections(
    visits: &[Visit<'_>],
    rows: &[ChangeRow],
    pair: Pair,
    known: Option<(usize, usize)>,
) -> (Vec<Correction>, Vec<CorrectionLost>) {
    let Some((before, first)) = known.filter(|(before, first)| before < first) else {
        return (Vec::new(), Vec::new());
    };
    let of = |measurement| {
        rows.iter()
            .find(|row| row.measurement == measurement)
            .map(|row| &row.outcomes)
    };
    let corrections = FOLLOWED
        .into_iter()
        .filter_map(|angle| {
            let outcomes = of(angle)?;
            Correction::of(angle, &outcomes[before], &outcomes[first])
        })
        .collect();
    let since_first = Pair {
        earlier: first,
        ..pair
    };
    let is_later_result = pair.later > first
        && visits[pair.later].is_result()
        && !is_same_film(visits, since_first, View::Ap);
    let lost = FOLLOWED
        .into_iter()
        .filter(|_| is_later_result)
        .filter_map(|angle| {
            let outcomes = of(angle)?;
            Correction::lost(
                angle,
                &outcomes[before],
                &outcomes[first],
                &outcomes[pair.later],
            )
        })
        .collect();
    (corrections, lost)
}

/// An intermetatarsal angle that seems to change by this many degrees through the direction of the films
/// alone is warned of.
const TELLING_CHANGE_DEGREES: f64 = 1.0;

/// Pixel sizes of one foot's films that differ by more than this share cannot both be right.
const LARGEST_SCALE_ERROR: f64 = 0.12;

fn warnings(
    visits: &[Visit<'_>],
    pair: Pair,
    convention: AxisConvention,
    laid_over: &dyn Fn(Pair) -> Result<Registration, NotLaidOver>,
) -> Vec<String> {
    let mut warnings = Vec::new();
    let (Some(earlier), Some(later)) = (visits.get(pair.earlier), visits.get(pair.later)) else {
        return warnings;
    };
    warnings.extend(same_film_words(&same_films(visits, pair)));
    let sides = [earlier, later].map(|visit| visit.study.foot());
    if let [Some(one), Some(other)] = sides
        && one != other
    {
        warnings.push("One visit is of a left foot and the other of a right one.".to_owned());
    }
    for visit in [earlier, later] {
        let name = visit.name().long;
        match visit.stance() {
            Stance::NotStanding => warnings.push(format!(
                "The foot bore no weight ({name}): its angles are not comparable with standing films."
            )),
            Stance::Unknown => warnings.push(format!(
                "Nobody said whether the patient stood ({name}); it is taken as standing."
            )),
            Stance::Standing => {}
        }
    }
    match laid_over(pair) {
        Err(why) => warnings.push(format!("{}.", capitalised(&why.to_string()))),
        Ok(laid) => {
            let apparent =
                laid.apparent_intermetatarsal_change(&foot_of(earlier.study), convention);
            if let Some(degrees) = apparent.filter(|change| change.abs() >= TELLING_CHANGE_DEGREES)
            {
                warnings.push(format!(
                    "The films were taken from different directions, which by itself changes the 1–2 intermetatarsal angle by about {degrees:+.1}°."
                ));
            }
            if let Some(ratio) = scale_error(&foot_of(earlier.study), &foot_of(later.study), &laid)
            {
                warnings.push(format!(
                    "The lesser metatarsals are {:.0} % {} by the later film’s calibration than by the earlier one’s: one of both is wrong.",
                    100.0 * ratio.abs(),
                    if ratio > 0.0 { "longer" } else { "shorter" }
                ));
            }
        }
    }
    warnings
}

/// By which share lengths come out longer by the later calibration, where that is more than magnification can
/// do.
fn scale_error(earlier: &Foot<'_>, later: &Foot<'_>, laid: &Registration) -> Option<f64> {
    let mm = |foot: &Foot<'_>| Some(foot.film(View::Ap)?.calibration?.mm_per_pixel_width());
    let error = mm(later)? / (mm(earlier)? * laid.scale()) - 1.0;
    (error.abs() > LARGEST_SCALE_ERROR).then_some(error)
}
