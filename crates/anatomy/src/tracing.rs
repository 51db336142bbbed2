//! What a reader has placed on the films of one foot.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{
    bone::{LongBone, View},
    geometry::FilmPoint,
    landmark::Landmark,
};

/// How a point came to be where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// A person put it there, and nothing moved it.
    Hand,
    /// A person pointed near it, and the program moved it to an edge, corner or fit.
    Snapped,
    /// The program found it from other strokes, without a click of its own.
    Derived,
    /// The program found it without being pointed at, and the reader accepted it.
    Proposed,
    /// It was read from a table of landmarks.
    Imported,
}

/// A landmark's place on a film with its spread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlacedPoint {
    /// Where it is.
    pub at: FilmPoint,
    /// Standard deviation of its place in each direction, in pixels; not negative. Of a point that lies
    /// somewhere along a line that is measured, such as the floor, across that line.
    pub sd_px: f64,
    /// How it came there.
    pub origin: Origin,
}

/// The share of a long bone's length, from its base, up to which its cortices may have a
/// [spread of their own](Cortices::proximal_sd_px).
///
/// Just beyond the levels by which the shaft of an operated first metatarsal is laid, and proximal of any
/// osteotomy through its neck.
pub const PROXIMAL_SHARE: f64 = 0.45;

/// The two cortices of a long bone's shaft, as they were found on many lines across it.
///
/// Which of the two is medial is not said: the bones' order on the film says it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cortices {
    /// One cortex, from proximal to distal, as a line of points.
    pub one: Vec<FilmPoint>,
    /// The opposite cortex, from proximal to distal.
    pub two: Vec<FilmPoint>,
    /// Standard deviation of each point across the shaft, in pixels; not negative.
    pub sd_px: f64,
    /// The part of it by which all points of one cortex lie off together, in pixels, from 0 to
    /// [`sd_px`](Self::sd_px): such a shift moves the bone and turns no axis.
    #[serde(default)]
    pub together_sd_px: f64,
    /// The standard deviation of the points that lie within [`PROXIMAL_SHARE`] of the bone's length from its
    /// base, where it is not that of the rest; not below [`together_sd_px`](Self::together_sd_px). Metal and a
    /// moved fragment make the rest far more uncertain.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proximal_sd_px: Option<f64>,
    /// How they were found.
    pub origin: Origin,
}

impl Cortices {
    /// The name of a cortex's points in a table of landmarks: `m1_cortex_one`.
    #[must_use]
    pub fn identifiers(bone: LongBone) -> [String; 2] {
        ["one", "two"].map(|which| format!("{}_cortex_{which}", bone.identifier()))
    }

    /// The standard deviation in pixels of a point across the shaft, at this share of the bone's length from
    /// its base.
    #[must_use]
    pub fn sd_px_at(&self, share: f64) -> f64 {
        self.proximal_sd_px
            .filter(|_| share < PROXIMAL_SHARE)
            .unwrap_or(self.sd_px)
    }
}

/// Everything that was placed on one film.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct FilmTracing {
    /// Single points, by name.
    #[serde(default)]
    pub points: BTreeMap<Landmark, PlacedPoint>,
    /// Traced shafts, by bone.
    #[serde(default)]
    pub cortices: BTreeMap<LongBone, Cortices>,
}

impl FilmTracing {
    /// Where a landmark is, if it was placed.
    #[must_use]
    pub fn point(&self, landmark: Landmark) -> Option<FilmPoint> {
        self.points.get(&landmark).map(|placed| placed.at)
    }

    /// Whether nothing was placed yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.points.is_empty() && self.cortices.is_empty()
    }
}

/// Everything that was placed on the films of one foot.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Tracing {
    /// On the AP film.
    #[serde(default)]
    pub ap: FilmTracing,
    /// On the lateral film.
    #[serde(default)]
    pub lateral: FilmTracing,
}

impl Tracing {
    /// What was placed on the film of this view.
    #[must_use]
    pub const fn on(&self, view: View) -> &FilmTracing {
        match view {
            View::Ap => &self.ap,
            View::Lateral => &self.lateral,
        }
    }

    /// What was placed on the film of this view, to change it.
    pub const fn on_mut(&mut self, view: View) -> &mut FilmTracing {
        match view {
            View::Ap => &mut self.ap,
            View::Lateral => &mut self.lateral,
        }
    }
}
