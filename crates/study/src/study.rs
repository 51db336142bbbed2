//! The document: everything that is known and placed on the films of one foot at one visit.

use jiff::{Timestamp, civil::Date};
use plumbray_anatomy::{Origin, Side, Tracing, View};
use plumbray_plan::Plan;
use serde::{Deserialize, Serialize};

use crate::{film_record::FilmRecord, history::History};

/// The document of one foot at one visit.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Study {
    /// Which foot it is; nothing while nobody knows.
    pub side: Option<SideChoice>,
    /// The AP film.
    pub ap: Option<FilmRecord>,
    /// The lateral film.
    pub lateral: Option<FilmRecord>,
    /// What is known of the visit.
    pub visit: Visit,
    /// What was placed on the films.
    pub tracing: Tracing,
    /// What the reader judged by eye.
    pub judged: Judged,
    /// Tracings of the same films that were put by to trace them again, the oldest first; at most
    /// [`EarlierTracing::MOST`].
    pub earlier_tracings: Vec<EarlierTracing>,
    /// What a surgeon intends for this foot, in the order in which it was thought of; at most
    /// [`Study::MOST_PLANS`].
    pub plans: Vec<Plan>,
    /// What the reader chose among published variants.
    pub choices: Choices,
    /// Who traced, and when.
    pub reader: Reader,
    /// What was changed, oldest first.
    pub history: History,
}

impl Study {
    /// How many plans a study keeps.
    pub const MOST_PLANS: usize = 12;

    /// The film of this view.
    #[must_use]
    pub const fn film(&self, view: View) -> Option<&FilmRecord> {
        match view {
            View::Ap => self.ap.as_ref(),
            View::Lateral => self.lateral.as_ref(),
        }
    }

    /// The place of the film of this view, to set, change or clear it.
    pub const fn film_mut(&mut self, view: View) -> &mut Option<FilmRecord> {
        match view {
            View::Ap => &mut self.ap,
            View::Lateral => &mut self.lateral,
        }
    }

    /// How many points and shafts the program placed, where all that is traced is the program's and no reader took it
    /// over: nobody accepted it, moved a point, found one right, or put a name to it. Nothing where somebody has, or
    /// nothing is traced.
    #[must_use]
    pub fn draft_of_the_program(&self) -> Option<usize> {
        if self.reader.traced_at.is_some() || !self.reader.name.trim().is_empty() {
            return None;
        }
        let films = [&self.tracing.ap, &self.tracing.lateral].into_iter();
        let origins: Vec<Origin> = films
            .flat_map(|film| {
                let points = film.points.values().map(|point| point.origin);
                points.chain(film.cortices.values().map(|shaft| shaft.origin))
            })
            .collect();
        let is_the_programs =
            |origin: &Origin| matches!(origin, Origin::Proposed | Origin::Derived);
        let proposed = origins
            .iter()
            .filter(|origin| **origin == Origin::Proposed)
            .count();
        (proposed > 0 && origins.iter().all(is_the_programs)).then_some(proposed)
    }

    /// Which foot it is, confirmed or only proposed.
    #[must_use]
    pub fn foot(&self) -> Option<Side> {
        self.side.map(|choice| choice.side)
    }
}

/// What a reader judges by eye, without placing anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Judged {
    /// The shape of the lateral edge of the first metatarsal's head on the AP film; nothing while nobody
    /// judged it.
    pub lateral_head_edge: Option<LateralHeadEdge>,
}

/// The shape of the lateral edge of the first metatarsal's head on an AP film, known as the round sign: the
/// rounder, the more the bone is pronated.
///
/// Okuda et al., J Bone Joint Surg Am 2007;89:2163–2172 (citation from memory): round in 78.3 % of feet with
/// hallux valgus and 1.7 % of normal ones, angular in 3.3 % and 81.7 %. Readers agree poorly, with a kappa of
/// 0.41 to 0.53 by eye (Sun et al. 2024, doi 10.21203/rs.3.rs-4200830/v1): a weak sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LateralHeadEdge {
    /// A round edge.
    Round,
    /// Between round and angular.
    Intermediate,
    /// An edge with a corner.
    Angular,
}

impl LateralHeadEdge {
    /// Every shape, the most pronated first.
    pub const ALL: [Self; 3] = [Self::Round, Self::Intermediate, Self::Angular];

    /// The shape in one word, also used in files.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Round => "round",
            Self::Intermediate => "intermediate",
            Self::Angular => "angular",
        }
    }

    /// How much the sign is worth, for a reader who looks at it.
    pub const WORTH: &'static str = "A weak sign of pronation: round in 78 % of feet with hallux valgus and 2 % of normal ones \
                                     (Okuda et al., J Bone Joint Surg Am 2007;89:2163–2172), but readers agree poorly (kappa \
                                     0.41 to 0.53, Sun et al. 2024).";
}

/// A tracing of the same films that was put by, so that it could be traced again.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct EarlierTracing {
    /// What was placed.
    pub tracing: Tracing,
    /// Who traced it, and when.
    pub reader: Reader,
}

impl EarlierTracing {
    /// How many a study keeps.
    pub const MOST: usize = 20;
}

/// Which foot a study shows, and how far that is certain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SideChoice {
    /// The foot.
    pub side: Side,
    /// Where the side comes from.
    pub source: SideSource,
    /// Whether the user confirmed it. A side that the user entered is confirmed.
    pub confirmed: bool,
}

impl SideChoice {
    /// A side that the program proposes and the user has yet to confirm.
    #[must_use]
    pub const fn proposed(side: Side, source: SideSource) -> Self {
        Self {
            side,
            source,
            confirmed: false,
        }
    }

    /// A side that the user entered.
    #[must_use]
    pub const fn entered(side: Side) -> Self {
        Self {
            side,
            source: SideSource::User,
            confirmed: true,
        }
    }
}

/// Where the side of a foot comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SideSource {
    /// The film's own file says it, such as DICOM Laterality.
    FilmFile,
    /// The side marker on the film.
    Marker,
    /// The order of the metatarsals, given that the film is seen from the dorsum.
    Bones,
    /// The user entered it.
    User,
}

/// What is known of the visit at which the films were taken.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Visit {
    /// What the user calls the visit, such as "before surgery"; may be empty.
    pub label: String,
    /// Whether the foot had been operated on by then. Decides which axis conventions are offered.
    pub operated: bool,
    /// The operation, if anything is known of it.
    pub operation: Option<Operation>,
    /// Whether the patient stood.
    pub stance: Stance,
}

/// An operation on the foot, before or after this visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Operation {
    /// Its day; nothing when unknown.
    pub date: Option<Date>,
    /// The foot that was operated on; nothing when unknown.
    pub side: Option<Side>,
}

/// Whether the patient stood while the films were taken. Angles of a foot without load are not
/// comparable with published limits, which are for standing films.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stance {
    /// Nobody said.
    #[default]
    Unknown,
    /// The foot bore weight.
    Standing,
    /// The foot did not bear weight.
    NotStanding,
}

/// What the reader chose among published variants, by identifier. The study keeps the identifiers
/// as plain text and gives them no meaning; nothing stands for the program's default.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Choices {
    /// The axis convention, such as `mid_diaphyseal_quarters`.
    pub axis_convention: Option<String>,
    /// The levels of an axis convention whose levels are set in millimetres.
    pub axis_levels: Option<AxisLevels>,
    /// The severity scheme.
    pub severity_scheme: Option<String>,
}

/// How far from each end of a bone its axis crosses the middle of the shaft, where the axis
/// convention lets the reader set it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisLevels {
    /// In a metatarsal, in millimetres.
    pub metatarsal_mm: f64,
    /// In the proximal phalanx of the great toe, in millimetres.
    pub proximal_phalanx_mm: f64,
    /// In the distal phalanx of the great toe, in millimetres.
    pub distal_phalanx_mm: f64,
}

/// Who traced the films, and when.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Reader {
    /// The reader's name or initials; may be empty.
    pub name: String,
    /// When the tracing was last changed; nothing before the first point.
    pub traced_at: Option<Timestamp>,
}
