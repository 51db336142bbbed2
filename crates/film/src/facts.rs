//! What a file says about its film besides the pixels.

use plumbray_anatomy::{Proportions, Side, View};

use crate::spacing::StatedSpacing;

/// What a file says about its film besides the pixels. Names of people are not among it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FilmFacts {
    /// Which foot, and the attribute that was believed.
    pub side: Option<Stated<Side>>,
    /// From where, and the attribute that was believed.
    pub view: Option<Stated<View>>,
    /// The size of a pixel, and what it measures.
    pub spacing: StatedSpacing,
    /// The shape of a pixel.
    pub proportions: Proportions,
    /// The day on which the film was taken, as `2026-11-25`.
    pub acquisition_date: Option<String>,
    /// The DICOM modality: `DX`, `CR`, …
    pub modality: Option<String>,
    /// The DICOM body part: `FOOT`, …
    pub body_part: Option<String>,
    /// Whether the file says that the patient stood, and the attribute that was believed.
    pub weight_bearing: Option<Stated<bool>>,
}

/// A fact with the name of the attribute that says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stated<T> {
    /// What is said.
    pub value: T,
    /// The attribute's name in its standard, to show beside it.
    pub source: &'static str,
}
