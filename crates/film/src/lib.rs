//! Reads a film: pixels at full depth, the grey-scale pipeline, the size of a pixel and how far to trust it.
#![deny(missing_docs)]

mod grey_view;

pub use grey_view::GreyView;
