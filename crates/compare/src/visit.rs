//! A visit as it is compared.

use jiff::civil::Date;
use plumbray_anatomy::View;
use plumbray_study::{Stance, Study};
use serde::{Deserialize, Serialize};

/// When in the course of treatment films were taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Occasion {
    /// Before the operation, or without any.
    Before,
    /// During it. The foot bears no weight: its angles are no result, and correction is not counted from it.
    InTheatre,
    /// After it.
    After,
}

impl Occasion {
    /// Every occasion, in the order of time.
    pub const ALL: [Self; 3] = [Self::Before, Self::InTheatre, Self::After];

    /// What a study says of it by itself: operated or not.
    #[must_use]
    pub const fn of(study: &Study) -> Self {
        if study.visit.operated {
            Self::After
        } else {
            Self::Before
        }
    }

    /// As a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Before => "before surgery",
            Self::InTheatre => "in theatre",
            Self::After => "after surgery",
        }
    }
}

/// A visit as it is compared.
#[derive(Clone, Copy, Debug)]
pub struct Visit<'a> {
    /// Its films, tracing and choices.
    pub study: &'a Study,
    /// When it was.
    pub occasion: Occasion,
    /// How the time line calls it; nothing where nobody named it there.
    pub called: Option<&'a str>,
}

/// How a visit is called, in full and where room is short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VisitName {
    /// "6 weeks after surgery".
    pub long: String,
    /// "6 weeks".
    pub short: String,
}

const DAYS_IN_WEEK: i32 = 7;
/// Days in a month, on average.
pub const DAYS_IN_MONTH: f64 = 30.44;
/// Up to so many weeks after an operation, time is told in weeks.
const MOST_WEEKS: i32 = 16;
/// Up to so many months, in months.
const MOST_MONTHS: i32 = 23;

impl Visit<'_> {
    /// The day on which its films were taken: that of the AP film, or else of the lateral one.
    #[must_use]
    pub fn date(&self) -> Option<Date> {
        let of = |view| self.study.film(view).and_then(|film| film.date);
        of(View::Ap).or_else(|| of(View::Lateral))
    }

    /// How many days after the operation it was, where both days are known; negative before it.
    #[must_use]
    pub fn days_after_operation(&self) -> Option<i32> {
        let operated = self.study.visit.operation?.date?;
        days_between(operated, self.date()?)
    }

    /// Whether its films show the foot bearing weight, as far as anybody said.
    #[must_use]
    pub fn stance(&self) -> Stance {
        if self.occasion == Occasion::InTheatre {
            Stance::NotStanding
        } else {
            self.study.visit.stance
        }
    }

    /// Whether the foot bore weight on its films, as far as anybody said; who said nothing is taken as standing.
    #[must_use]
    pub fn bears_weight(&self) -> bool {
        self.stance() != Stance::NotStanding
    }

    /// Whether its numbers are a result that later ones are held against: after the operation, and not known
    /// to bear no weight.
    #[must_use]
    pub fn is_result(&self) -> bool {
        self.occasion == Occasion::After && self.stance() != Stance::NotStanding
    }

    /// How it is called: by its name on the time line, else by the study's label, else by the time since the
    /// operation, else by its occasion.
    #[must_use]
    pub fn name(&self) -> VisitName {
        let named = self.called.map(str::trim).filter(|name| !name.is_empty());
        let label = named.unwrap_or_else(|| self.study.visit.label.trim());
        if !label.is_empty() {
            let long = if self.occasion == Occasion::InTheatre {
                format!("{label}, in theatre")
            } else {
                label.to_owned()
            };
            return VisitName {
                long,
                short: label.to_owned(),
            };
        }
        let both = |long: &str, short: &str| VisitName {
            long: long.to_owned(),
            short: short.to_owned(),
        };
        match (self.occasion, self.days_after_operation()) {
            (Occasion::Before, _) => both("before surgery", "before"),
            (Occasion::InTheatre, _) => both("in theatre", "theatre"),
            (Occasion::After, Some(days)) if days >= 0 => {
                let since = time_since(days);
                VisitName {
                    long: format!("{since} after surgery"),
                    short: since,
                }
            }
            (Occasion::After, _) => both("after surgery", "after"),
        }
    }
}

/// So many days in words: "12 days", "6 weeks", "1 year".
fn time_since(days: i32) -> String {
    let counted = |count: i32, unit: &str| {
        let plural = if count == 1 { "" } else { "s" };
        format!("{count} {unit}{plural}")
    };
    let weeks = (f64::from(days) / f64::from(DAYS_IN_WEEK)).round();
    let months = (f64::from(days) / DAYS_IN_MONTH).round();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a number of days divided, within 32 bits"
    )]
    let (weeks, months) = (weeks as i32, months as i32);
    if days < 2 * DAYS_IN_WEEK {
        counted(days, "day")
    } else if weeks <= MOST_WEEKS {
        counted(weeks, "week")
    } else if months == 12 {
        counted(1, "year")
    } else if months <= MOST_MONTHS {
        counted(months, "month")
    } else {
        counted((months + 6) / 12, "year")
    }
}

/// Days from one day to another; nothing where they are centuries apart.
#[must_use]
pub fn days_between(from: Date, to: Date) -> Option<i32> {
    from.until(to).ok().map(|span| span.get_days())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_since_an_operation_is_told_in_the_unit_that_people_use() {
        for (days, words) in [
            (1, "1 day"),
            (13, "13 days"),
            (41, "6 weeks"),
            (92, "13 weeks"),
            (182, "6 months"),
            (360, "1 year"),
            (800, "2 years"),
        ] {
            assert_eq!(time_since(days), words, "{days} days");
        }
    }

    #[test]
    fn days_are_counted_across_months_and_years() {
        let day = |text: &str| text.parse::<Date>().expect("a day");
        assert_eq!(
            days_between(day("2025-12-20"), day("2026-02-03")),
            Some(45),
            "across a year"
        );
    }

    #[test]
    fn a_theatre_film_is_never_a_result_whatever_the_study_says() {
        let mut study = Study::default();
        study.visit.operated = true;
        study.visit.stance = Stance::Standing;
        let visit = |occasion| Visit {
            study: &study,
            occasion,
            called: None,
        };
        assert!(visit(Occasion::of(&study)).is_result(), "after surgery");
        assert!(!visit(Occasion::InTheatre).is_result(), "in theatre");
        assert!(!visit(Occasion::Before).is_result(), "before");
    }

    #[test]
    fn the_time_line_names_a_visit_before_its_study_does() {
        let mut study = Study::default();
        study.visit.label = "second opinion".to_owned();
        let called = |called| Visit {
            study: &study,
            occasion: Occasion::After,
            called,
        };
        assert_eq!(called(Some("six weeks")).name().long, "six weeks");
        assert_eq!(called(Some("  ")).name().long, "second opinion", "no name");
        assert_eq!(called(None).name().long, "second opinion", "by the study");
    }
}
