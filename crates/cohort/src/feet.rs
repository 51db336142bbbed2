//! Studies become feet: the visits of one foot, what changed between them, and whether the deformity is back.

use jiff::civil::Date;
use plumbray_anatomy::Side;
use plumbray_compare::{Change, NoChange, Occasion, Recurrence, Standing, change};
use plumbray_measure::{Measurement, Outcome};
use plumbray_study::Stance;

use crate::{
    index::IndexedRow,
    row::{HEADLINES, Number, StudyFacts, StudyRow},
};

/// More studies of one side in one folder than this are not taken for the visits of one foot: nobody is seen so often,
/// and the folder rather holds many patients. Ours.
pub const MOST_VISITS_OF_A_FOLDER: usize = 12;

/// Why studies are taken for visits of one foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grouping {
    /// A time line names them.
    TimeLine,
    /// They are of one side and lie in one folder.
    Folder,
    /// The study stands for itself.
    Alone,
}

/// One visit of a foot.
#[derive(Clone, Debug, PartialEq)]
pub struct FootVisit {
    /// Its study.
    pub row: StudyRow,
    /// When it was.
    pub occasion: Occasion,
    /// How it is called: by the time line, or else by the study; may be empty.
    pub name: String,
}

impl FootVisit {
    fn of(indexed: IndexedRow) -> Self {
        let facts = indexed.row.facts();
        let by_study = if facts.is_some_and(|facts| facts.operated) {
            Occasion::After
        } else {
            Occasion::Before
        };
        let label = facts.map_or("", |facts| facts.visit.as_str());
        let named = indexed.visit.as_ref().map(|(_, visit)| visit);
        let name = named
            .and_then(|visit| visit.name.as_deref())
            .map(str::trim)
            .filter(|name| !name.is_empty())
            .unwrap_or(label)
            .to_owned();
        Self {
            occasion: named.and_then(|visit| visit.occasion).unwrap_or(by_study),
            name,
            row: indexed.row,
        }
    }

    /// The day of its films.
    #[must_use]
    pub fn date(&self) -> Option<Date> {
        self.row.facts()?.date()
    }

    /// Whether the foot bore weight; who said nothing is taken as standing, as where visits are compared.
    #[must_use]
    pub fn bears_weight(&self) -> bool {
        self.occasion != Occasion::InTheatre
            && self
                .row
                .facts()
                .is_some_and(|facts| facts.stance != Stance::NotStanding)
    }

    /// Whether its numbers are a result of the operation: after it, on standing films.
    #[must_use]
    pub fn is_result(&self) -> bool {
        self.occasion == Occasion::After && self.bears_weight()
    }
}

/// A foot with its visits in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct SeriesFoot {
    /// By what it goes: its time line, its folder with the side, or its study.
    pub name: String,
    /// Why its studies are taken for one foot's.
    pub grouping: Grouping,
    /// Its visits, the earliest first; by a time line in a person's order. Those that cannot be read are among them.
    pub visits: Vec<FootVisit>,
}

impl SeriesFoot {
    /// The side, as the first visit that knows says.
    #[must_use]
    pub fn side(&self) -> Option<Side> {
        self.facts().find_map(|facts| facts.side)
    }

    fn facts(&self) -> impl Iterator<Item = &StudyFacts> {
        self.visits.iter().filter_map(|visit| visit.row.facts())
    }

    fn readable(&self) -> impl DoubleEndedIterator<Item = &FootVisit> {
        self.visits
            .iter()
            .filter(|visit| visit.row.facts().is_some())
    }

    /// The first and the last visit that can be read; nothing where there are no two.
    #[must_use]
    pub fn first_and_last(&self) -> Option<(&FootVisit, &FootVisit)> {
        let mut readable = self.readable();
        Some((readable.next()?, readable.next_back()?))
    }

    /// The last standing visit before surgery and the last standing one after it; nothing where one of them is missing.
    #[must_use]
    pub fn around_surgery(&self) -> Option<(&FootVisit, &FootVisit)> {
        let last = self.visits.iter().rposition(FootVisit::is_result)?;
        let first = self.visits.iter().position(FootVisit::is_result)?;
        let before = self.visits[..first]
            .iter()
            .rfind(|visit| visit.occasion == Occasion::Before && visit.bears_weight())?;
        Some((before, &self.visits[last]))
    }

    /// Where the foot stands by a limit of recurrence at its last standing visit after surgery; nothing without such a
    /// visit, or where its number is missing.
    #[must_use]
    pub fn recurrence(&self, limit: Recurrence) -> Option<Standing> {
        let last = self.visits.iter().rfind(|visit| visit.is_result())?;
        last.row.facts()?.standing(limit)
    }
}

/// What became of a number between two visits, by the rules of `plumbray compare` and by the convention that visits
/// share.
///
/// # Errors
/// Where one of the numbers is missing, or they must not be subtracted.
pub fn change_between(
    earlier: &FootVisit,
    later: &FootVisit,
    measurement: Measurement,
) -> Result<Change, NoChange> {
    let (one, other) = (outcome(earlier, measurement), outcome(later, measurement));
    if earlier.bears_weight() != later.bears_weight()
        && one.reading().is_some()
        && other.reading().is_some()
    {
        return Err(NoChange::OtherStance);
    }
    let share = (measurement == Measurement::TibialSesamoidGrade)
        .then(|| change_between(earlier, later, Measurement::TibialSesamoidShare).ok())
        .flatten();
    let change = change(measurement, &one, &other, share.as_ref())?;
    let film = |visit: &FootVisit| Some(visit.row.facts()?.film(measurement.view())?.to_owned());
    let earlier_film = film(earlier);
    Ok(if earlier_film.is_some() && earlier_film == film(later) {
        change.on_the_same_film()
    } else {
        change
    })
}

fn outcome(visit: &FootVisit, measurement: Measurement) -> Outcome {
    let number = visit
        .row
        .facts()
        .and_then(|facts| facts.compared(measurement));
    number.map_or_else(
        || Outcome::Refused {
            reason: "the study cannot be read".to_owned(),
        },
        Number::outcome,
    )
}

/// What rows of one foot have in common.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Key {
    TimeLine(String),
    Folder(String, Side),
}

/// Gathers rows into feet; rows of one foot come one after another.
#[derive(Debug, Default)]
pub(crate) struct Gatherer {
    key: Option<Key>,
    waiting: Vec<IndexedRow>,
    /// The folder of the key holds too many studies to be one foot's.
    is_crowded: bool,
}

impl Gatherer {
    /// Takes a row; `give` gets every foot that is complete by it.
    pub(crate) fn add(&mut self, row: IndexedRow, give: &mut dyn FnMut(SeriesFoot)) {
        let key = key_of(&row);
        if key.is_none() || key != self.key {
            self.finish(give);
            self.key = key;
        }
        if self.key.is_none() || self.is_crowded {
            give(alone(row));
            return;
        }
        self.waiting.push(row);
        let by_folder = matches!(self.key, Some(Key::Folder(..)));
        if by_folder && self.waiting.len() > MOST_VISITS_OF_A_FOLDER {
            self.is_crowded = true;
            self.waiting.drain(..).map(alone).for_each(give);
        }
    }

    /// Gives the last foot.
    pub(crate) fn finish(&mut self, give: &mut dyn FnMut(SeriesFoot)) {
        let rows = std::mem::take(&mut self.waiting);
        self.is_crowded = false;
        let Some(key) = self.key.take() else {
            return;
        };
        if rows.is_empty() {
            return;
        }
        let mut visits: Vec<FootVisit> = rows.into_iter().map(FootVisit::of).collect();
        let (name, grouping) = match key {
            Key::TimeLine(time_line) => (time_line, Grouping::TimeLine),
            Key::Folder(..) if visits.len() == 1 => (visits[0].row.path.clone(), Grouping::Alone),
            Key::Folder(folder, side) => {
                visits.sort_by_key(|visit| (visit.occasion, visit.date()));
                let folder = if folder.is_empty() { "." } else { &folder };
                let name = format!("{folder}, {} foot", side.identifier());
                (name, Grouping::Folder)
            }
        };
        give(SeriesFoot {
            name,
            grouping,
            visits,
        });
    }
}

fn key_of(indexed: &IndexedRow) -> Option<Key> {
    if let Some((time_line, _)) = &indexed.visit {
        return Some(Key::TimeLine(time_line.clone()));
    }
    let side = indexed.row.facts()?.side?;
    Some(Key::Folder(indexed.row.folder().to_owned(), side))
}

fn alone(row: IndexedRow) -> SeriesFoot {
    SeriesFoot {
        name: row.row.path.clone(),
        grouping: Grouping::Alone,
        visits: vec![FootVisit::of(row)],
    }
}

/// The changes of every number between two visits, in the order of the row's numbers.
#[must_use]
pub fn changes_between(
    earlier: &FootVisit,
    later: &FootVisit,
) -> Vec<(Measurement, Result<Change, NoChange>)> {
    HEADLINES
        .into_iter()
        .map(|measurement| (measurement, change_between(earlier, later, measurement)))
        .collect()
}
