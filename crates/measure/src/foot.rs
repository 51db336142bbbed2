//! What is measured: the tracings of one foot, and the reader's choices.

use plumbray_anatomy::{Calibration, FilmTracing, Proportions, View};

use crate::{
    convention::{AxisConvention, AxisLevels},
    own_spread::OwnSpread,
    severity::{ReaderError, SeverityScheme},
};

/// One film of the foot with what was traced on it.
#[derive(Clone, Copy, Debug)]
pub struct TracedFilm<'a> {
    /// What the reader placed.
    pub tracing: &'a FilmTracing,
    /// The shape of the film's pixels.
    pub proportions: Proportions,
    /// The size of a pixel, where it is known. Lengths in millimetres need it; angles, grades and
    /// ratios do not.
    pub calibration: Option<&'a Calibration>,
}

/// The films of one foot at one visit.
#[derive(Clone, Copy, Debug, Default)]
pub struct Foot<'a> {
    /// The standing dorsoplantar film.
    pub ap: Option<TracedFilm<'a>>,
    /// The standing lateral film.
    pub lateral: Option<TracedFilm<'a>>,
    /// Whether the first metatarsal was cut before this visit. An axis that leans on the bone
    /// distal to the cut is then refused.
    pub operated: bool,
}

impl<'a> Foot<'a> {
    /// The film of this view.
    #[must_use]
    pub const fn film(&self, view: View) -> Option<TracedFilm<'a>> {
        match view {
            View::Ap => self.ap,
            View::Lateral => self.lateral,
        }
    }

    /// The axis convention that stands where the reader chose none: head centre to base centre on an
    /// operated foot, mid-diaphyseal at the quarters on any other.
    #[must_use]
    pub const fn default_convention(&self) -> AxisConvention {
        if self.operated {
            AxisConvention::HeadBase
        } else {
            AxisConvention::MidDiaphysealQuarters
        }
    }
}

/// What the reader chose.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Choices {
    /// The axis convention; none stands for the default of the visit.
    pub convention: Option<AxisConvention>,
    /// The levels of [`AxisConvention::MidDiaphysealMm`].
    pub levels_mm: AxisLevels,
    /// By whose limits the deformity is graded.
    pub severity: SeverityScheme,
    /// How well a reader repeats an angle: what is published of others.
    pub reader_error: ReaderError,
    /// How well the reader of this tracing repeats himself, as he was found to. Where it is known, intervals hold it,
    /// and it takes the place of `reader_error` where it is larger.
    pub own_spread: OwnSpread,
}
