//! What a person can do while visits are compared, as data.

use std::path::PathBuf;

use plumbray_anatomy::{FilmPoint, View};
use plumbray_compare::{Occasion, Pair, Recurrence};
use plumbray_measure::AxisConvention;

use crate::canvas::{FilmLook, Placement};

/// How two films are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum CompareView {
    /// Beside each other, moved together.
    #[default]
    SideBySide,
    /// The later one over the earlier one, as strongly as the person wants.
    Blend,
    /// The earlier one left of a line, the later one right of it.
    Curtain,
    /// One after the other in the same place.
    Blink,
    /// The later one with the outlines of the earlier one.
    Outlines,
    /// Where they differ.
    Difference,
}

impl CompareView {
    /// Every way, in the order of their keys.
    pub const ALL: [Self; 6] = [
        Self::SideBySide,
        Self::Blend,
        Self::Curtain,
        Self::Blink,
        Self::Outlines,
        Self::Difference,
    ];

    /// As a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::SideBySide => "side by side",
            Self::Blend => "blend",
            Self::Curtain => "curtain",
            Self::Blink => "blink",
            Self::Outlines => "outlines",
            Self::Difference => "difference",
        }
    }

    /// Whether the later film is seen by itself, so that something can be marked on it.
    #[must_use]
    pub const fn shows_later_by_itself(self) -> bool {
        matches!(self, Self::SideBySide | Self::Outlines)
    }
}

/// What a comparison can be written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ComparisonFile {
    /// A sheet to print.
    Sheet,
    /// Every number at every visit, as a table.
    Table,
    /// The angles over time, as a picture.
    Plot,
}

impl ComparisonFile {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Sheet, Self::Table, Self::Plot];

    /// How its file's name ends.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Sheet => "pdf",
            Self::Table => "csv",
            Self::Plot => "png",
        }
    }

    /// As a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Table => "table",
            Self::Plot => "plot",
        }
    }
}

/// A change of the list of visits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimeLineEdit {
    /// Call the visit at a place so; an empty name stands for the study's own.
    Name(usize, String),
    /// Say when the visit at a place was; nothing stands for what the study says.
    When(usize, Option<Occasion>),
    /// Move the visit at a place one place toward the beginning.
    Earlier(usize),
    /// Move the visit at a place one place toward the end.
    Later(usize),
    /// Put the visits whose days are known into the order of those; the others keep their places.
    ByDays,
    /// Take the visit at a place out of the list; its files stay.
    TakeOut(usize),
    /// Add the visits of these studies at the end.
    Add(Vec<PathBuf>),
}

impl TimeLineEdit {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Name(place, _) => format!("Name visit {}", place + 1),
            Self::When(place, _) => format!("Say when visit {} was", place + 1),
            Self::Earlier(place) => format!("Move visit {} up", place + 1),
            Self::Later(place) => format!("Move visit {} down", place + 1),
            Self::ByDays => "Put the visits in the order of their days".to_owned(),
            Self::TakeOut(place) => format!("Take visit {} out of the list", place + 1),
            Self::Add(_) => "Add a visit".to_owned(),
        }
    }
}

/// What a person can do while visits are compared.
#[derive(Clone, Debug, PartialEq)]
pub enum CompareCommand {
    /// Compare the foot that is open with its other visits.
    Begin,
    /// Ask which studies, or which time line, to compare.
    AskForVisits,
    /// Compare these studies, or the visits of this time line.
    Open(Vec<PathBuf>),
    /// Go back to measuring.
    Leave,
    /// Change the list of visits.
    Edit(TimeLineEdit),
    /// Ask which studies to add to the list of visits.
    AskForMoreVisits,
    /// Subtract these two visits.
    Between(Pair),
    /// Read every visit by these axes.
    By(AxisConvention),
    /// Show the films of this view.
    Films(View),
    /// Show the two films in this way.
    Show(CompareView),
    /// How strongly the later film covers the earlier one where they blend, from 0 to 1.
    Cover(f32),
    /// Show the earlier (0) or the later (1) film through another window.
    Look(usize, Box<FilmLook>),
    /// Show both films through the next of their own windows: the first one again where a hand has changed it.
    NextWindow,
    /// Exchange dark and bright on both films.
    Invert,
    /// Which part of the films is shown, and how large.
    Place(Placement),
    /// Hold the plan at this place against the result.
    HoldPlan(usize),
    /// Begin to mark a wire or screw as it lies on the later film: first where it enters, then its tip.
    MarkWire,
    /// Mark the next end of that wire here, in the later film's own coordinates.
    WireAt(FilmPoint),
    /// Mark no wire after all.
    ForgetWire,
    /// Take the marked wire at this place away.
    TakeWire(usize),
    /// Count the deformity as being back by this limit.
    Recur(Recurrence),
    /// Ask where to write the comparison.
    AskWhere(ComparisonFile),
    /// Write the comparison.
    Write(ComparisonFile, PathBuf),
}

impl CompareCommand {
    /// Those that the searchable list offers.
    pub(crate) fn listed() -> impl Iterator<Item = Self> {
        [
            Self::Begin,
            Self::AskForVisits,
            Self::AskForMoreVisits,
            Self::Edit(TimeLineEdit::ByDays),
            Self::MarkWire,
            Self::NextWindow,
            Self::Invert,
            Self::Leave,
        ]
        .into_iter()
        .chain(ComparisonFile::ALL.map(Self::AskWhere))
        .chain(View::ALL.map(Self::Films))
        .chain(CompareView::ALL.map(Self::Show))
        .chain(AxisConvention::ALL.map(Self::By))
        .chain(Recurrence::ALL.map(Self::Recur))
    }

    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Begin => "Compare this foot with its other visits".to_owned(),
            Self::AskForVisits | Self::Open(_) => "Compare studies of one foot…".to_owned(),
            Self::Leave => "Go back to measuring".to_owned(),
            Self::Edit(edit) => edit.text(),
            Self::AskForMoreVisits => "Add a visit…".to_owned(),
            Self::Between(pair) => {
                format!(
                    "Compare visit {} with visit {}",
                    pair.earlier + 1,
                    pair.later + 1
                )
            }
            Self::By(convention) => format!("Read every visit by {}", convention.name()),
            Self::Films(view) => format!("Compare the {} films", view.name_in_sentence()),
            Self::Show(shown) => format!("Show both films: {}", shown.name()),
            Self::NextWindow => "Next window of both films".to_owned(),
            Self::Invert => "Exchange dark and bright on both films".to_owned(),
            Self::Cover(_) | Self::Look(..) | Self::Place(_) => "Look".to_owned(),
            Self::HoldPlan(place) => format!("Hold plan {} against the result", place + 1),
            Self::MarkWire | Self::WireAt(_) => "Mark a wire as it lies".to_owned(),
            Self::ForgetWire => "Mark no wire".to_owned(),
            Self::TakeWire(place) => format!("Take wire {} away", place + 1),
            Self::Recur(limit) => format!("Recurrence: {}", limit.name()),
            Self::AskWhere(file) | Self::Write(file, _) => match file {
                ComparisonFile::Sheet => "Print this comparison…".to_owned(),
                ComparisonFile::Table => "Write the table as CSV…".to_owned(),
                ComparisonFile::Plot => "Write the plot as a picture…".to_owned(),
            },
        }
    }
}
