//! Graphics that a file lays over its film.

/// A picture of one bit that a file lays over its film: text, arrows, a region (PS3.3 C.9.2).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlay {
    /// What the file calls it; may be empty.
    pub label: String,
    /// Whether it marks a region of interest and is no graphic.
    pub is_region: bool,
    /// The film's column on which its first column lies, from 0; may lie beyond the film.
    pub left: i32,
    /// The film's row on which its first row lies, from 0; may lie beyond the film.
    pub top: i32,
    /// Its columns.
    pub width: usize,
    /// Its rows.
    pub height: usize,
    /// `width · height` bits row by row, the first in the lowest bit of a byte.
    pub(crate) bits: Vec<u8>,
}

impl Overlay {
    /// Whether it covers one of its own pixels; never outside of it.
    #[must_use]
    pub fn covers(&self, column: usize, row: usize) -> bool {
        if column >= self.width || row >= self.height {
            return false;
        }
        let bit = row * self.width + column;
        let byte = self.bits.get(bit / 8).copied().unwrap_or(0);
        byte >> (bit % 8) & 1 == 1
    }
}
