//! What can go wrong while tracing, and what the reader can do about it.

use plumbray_anatomy::LongBone;

/// Why nothing was traced. Each message says what to do next.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TraceError {
    /// The film has no pixels, or fewer samples than its size claims.
    #[error("the film has no readable pixels here; open the film again")]
    NoPixels,
    /// A coordinate is not an ordinary number.
    #[error("the place pointed at is not a number; point again")]
    NotANumber,
    /// What was pointed at lies outside the film.
    #[error("that lies outside the film; point at the bone itself")]
    OutsideFilm,
    /// A stroke too short to say where the shaft runs.
    #[error(
        "the stroke along the {} is only {length_px:.0} pixels long; \
         sweep along the shaft again, a little longer", bone.name()
    )]
    StrokeTooShort {
        /// The bone that was to be traced.
        bone: LongBone,
        /// The length of the stroke in pixel widths.
        length_px: f64,
    },
    /// No pair of cortices lies along the stroke.
    #[error(
        "no pair of cortices was found along the stroke on the {}; sweep along the shaft again, \
         a little longer and nearer to its middle", bone.name()
    )]
    NoShaft {
        /// The bone that was to be traced.
        bone: LongBone,
    },
    /// No round contour lies around the place pointed at.
    #[error("no round edge was found here; point nearer to its centre, or place its edge by hand")]
    NoRoundEdge,
    /// A rough size that nothing on the film can have.
    #[error("a rough size of {size_px} pixels is not possible; point at the edge again")]
    BadSize {
        /// The size that was given, in pixel widths.
        size_px: f64,
    },
    /// Too few points, or points on one line, through which no circle or ellipse passes.
    #[error("these points do not lie on a curve; place at least {needed} points around the edge")]
    Degenerate {
        /// How many points the curve needs.
        needed: usize,
    },
}
