//! What stands on the sheet of a plan that goes to theatre, in words.

use std::sync::Arc;

use crate::{
    content::{Identity, Paper, SheetSide},
    drawing::Drawing,
    film_picture::FilmPicture,
};

/// What stands at the top of a plan's sheet.
pub const PLAN_TITLE: &str = "Plan of an osteotomy, first metatarsal";

/// Everything that stands on the sheet of a plan. It is always one page.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanContent {
    /// The paper.
    pub paper: Paper,
    /// Which foot. A sheet without a side is refused.
    pub side: SheetSide,
    /// Which plan, of which visit and which films, in one line.
    pub plan: String,
    /// The patient, where it was asked for; otherwise there is room to write it by hand.
    pub identity: Option<Identity>,
    /// The films with the plan drawn over them, AP first.
    pub films: Vec<PlanFilm>,
    /// What is found with a finger or under an image intensifier, under headings: of the cut, of the head, of each
    /// screw.
    pub places: Vec<(String, Vec<String>)>,
    /// The screws and wires, each with as many cells as [`SCREW_COLUMNS`].
    pub screws: Vec<[String; SCREW_COLUMNS.len()]>,
    /// What is expected.
    pub expected: Vec<ExpectedRow>,
    /// What stands above the last column of it: "30 % lost".
    pub lost: String,
    /// What the plan leaves open, and what these films cannot tell, a sentence each.
    pub open: Vec<String>,
    /// What is taken for granted, with its sources.
    pub granted: Vec<String>,
    /// Whose millimetres they are, and why lengths are withheld.
    pub notes: Vec<String>,
    /// A measuring aid, not a medical device.
    pub caution: String,
    /// Program and version.
    pub program: String,
    /// Program, study file and films.
    pub origin: String,
}

/// The names of the columns of the screws.
pub const SCREW_COLUMNS: [&str; 7] = [
    "",
    "diameter",
    "true length",
    "films alone",
    "cortices in order",
    "in bone",
    "angle",
];

/// A film on the sheet of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanFilm {
    /// "AP film, standing, 5 January 2026".
    pub caption: String,
    /// The part of the film that the plan is about, or why it is not there.
    pub picture: Result<Arc<FilmPicture>, String>,
    /// What is drawn over it.
    pub drawing: Drawing,
    /// Its scale; nothing where it is not calibrated.
    pub scale: Option<FilmScale>,
}

/// How large what a film shows is.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmScale {
    /// Millimetres of one pixel width.
    pub mm_per_pixel_width: f64,
    /// The name of the calibration.
    pub calibration: String,
}

/// A measurement before and as planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedRow {
    /// "Hallux valgus angle".
    pub name: String,
    /// "32.1° ± 3.4".
    pub before: String,
    /// "12.0° ± 3.5", or why there is none.
    pub planned: String,
    /// Whether `planned` was chosen by the surgeon, and not worked out: it is then not printed as a result.
    pub is_chosen: bool,
    /// "18.0°"; empty where losing a part of it has no meaning.
    pub with_loss: String,
}
