//! Reads a film: pixels at full depth, the grey-scale pipeline, the size of a pixel and how far to trust it.
//!
//! [`open`] takes a PNG, TIFF, JPEG, BMP or DICOM file, recognised by its content. The result is the
//! same for all of them: a [`Film`] of 16-bit codes in the order of the film's own values, the
//! [`GreyScale`] that makes greys of them, and the [`FilmFacts`] that the file states.
//! `docs/films.md` says what is read, what is refused and why.
//!
//! [`locate`] and [`DataSet`] read the structure of a DICOM file or message alone, for what talks to an archive.
//!
//! Files are hostile until proven otherwise: nothing is allocated that the size of the file does not
//! support, every number of a header is checked once where it is read, and decoders from elsewhere
//! run behind a fence that makes an error of a panic.
#![deny(missing_docs)]

mod appearance;
mod coverage;
mod dicom;
mod disc;
mod error;
mod facts;
mod film;
mod foreign;
mod grey_scale;
mod grey_view;
mod grid;
mod limits;
mod luminance;
mod notice;
mod object;
mod overlay;
mod patient;
mod plain;
mod program;
mod pyramid;
mod relaid;
mod resample;
mod sixteen_bits;
mod spacing;
mod summary;
mod window;

pub use coverage::Coverage;
pub use dicom::{
    DataSet, Element, Encoding, Located, directory_films, locate, name_in_words,
    text_in_character_sets,
};
pub use disc::{
    Disc, DiscError, DiscFilm, DiscPatient, DiscProgress, DiscSeries, DiscStudy, list_disc,
};
pub use error::{FilmError, FilmProblem};
pub use facts::{BodyDirection, FilmDirections, FilmFacts, Stated};
pub use film::{Film, FrameOf, ValueScale, open, open_frame};
pub use grey_scale::{DisplayTable, GreyScale, NamedWindow};
pub use grey_view::GreyView;
pub use grid::{FilmGrid, GridSampler, TIE_BREAK_PX, pixel_at};
pub use luminance::luminance;
pub use notice::Notice;
pub use object::{FilmElement, FilmObject, FilmPixels, FilmValue};
pub use overlay::Overlay;
pub use patient::{PatientIdentity, patient_identity};
pub use program::{PROGRAM_NAME, PROGRAM_UID};
pub use pyramid::{Level, Pyramid};
pub use resample::FilmRegion;
pub use spacing::{Correction, StatedSpacing};
pub use summary::{FilmSummary, SeriesSummary, StudySummary, film_summary, film_summary_of};
pub use window::{CodeRamp, Window};
