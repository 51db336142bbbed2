//! A borrowed view of a film's pixels, as tracing reads them.

use plumbray_anatomy::Proportions;

/// The pixels of one film at full depth, row by row from the upper left corner.
///
/// Samples keep the order of the film's own values: a larger sample is a larger value. Whether bone
/// is the bright or the dark side of that order depends on the film, so it is said here.
#[derive(Clone, Copy, Debug)]
pub struct GreyView<'a> {
    /// Number of columns.
    pub width: usize,
    /// Number of rows.
    pub height: usize,
    /// `width * height` samples.
    pub samples: &'a [u16],
    /// Whether bone has larger samples than soft tissue and air.
    pub bone_is_bright: bool,
    /// The shape of a pixel.
    pub proportions: Proportions,
}
