//! A rough sweep along a bone.

use plumbray_anatomy::FilmPoint;

/// A rough stroke along a bone's shaft, in film pixels. The trace is oriented by it: its start is
/// taken for the proximal end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Where the sweep began: proximal.
    pub from: FilmPoint,
    /// Where it ended: distal.
    pub to: FilmPoint,
}

impl Stroke {
    /// A sweep from one point to another.
    #[must_use]
    pub const fn new(from: FilmPoint, to: FilmPoint) -> Self {
        Self { from, to }
    }

    /// The same sweep the other way.
    #[must_use]
    pub const fn reversed(self) -> Self {
        Self::new(self.to, self.from)
    }
}
