//! The vocabulary of a foot on film: bones, views, sides, landmark names, units as types, and tracings.
//!
//! Conventions that every other crate keeps:
//!
//! * A **film point** is in pixels, x to the right and y down; the centre of the first pixel lies at
//!   (0.5, 0.5).
//! * Pixels may be wider than tall. Every angle and every ratio of lengths is therefore computed in a
//!   [`PhysicalPoint`], which [`Proportions`] makes from a film point.
//! * [`Angle`] holds radians inside and shows degrees at the border.
//! * [`Millimetres`] exist only where a film has a [`Calibration`].
//! * Which way is lateral follows from the bones, never from the screen or from the side marker.
#![deny(missing_docs)]

mod bone;
mod calibration;
mod geometry;
mod landmark;
mod moved_piece;
mod similarity;
#[cfg(any(test, feature = "testing"))]
pub mod testing;
mod tracing;
mod unit;

pub use bone::{LongBone, Sesamoid, Side, View};
pub use calibration::{Calibration, CalibrationBasis};
pub use geometry::{
    FilmPoint, FilmStep, HEAD_SURFACE_REACH, PhysicalPoint, PhysicalVector, Proportions,
};
pub use landmark::{Landmark, UnknownLandmark, capitalised};
pub use moved_piece::{FORMER_PLACE_DARKNESS, MovedPiece};
pub use similarity::{Similarity, WeightedPair};
pub use tracing::{Cortices, FilmTracing, Origin, PROXIMAL_SHARE, PlacedPoint, Tracing};
pub use unit::{Angle, Millimetres, PixelSpacing, Pixels, SpacingError};
