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
    /// Where its rows and columns run in the patient's body, and the attribute that was believed.
    pub directions: Option<Stated<FilmDirections>>,
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

/// A direction in the body of a patient who stands in the anatomical position: the toes point anterior.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyDirection {
    /// Toward the patient's left.
    Left,
    /// Toward the patient's right.
    Right,
    /// Toward the front.
    Anterior,
    /// Toward the back.
    Posterior,
    /// Toward the head.
    Head,
    /// Toward the soles of the feet.
    Feet,
}

/// Where the rows and columns of a film run in the patient's body (DICOM Patient Orientation, PS3.3
/// C.7.6.1.1.1). An oblique direction counts as the one that it is nearest to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FilmDirections {
    /// Where one gets to along a row, from its first column to its last.
    pub along_rows: BodyDirection,
    /// Where one gets to down a column, from its first row to its last.
    pub down_columns: BodyDirection,
}
