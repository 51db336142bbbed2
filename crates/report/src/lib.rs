//! What leaves the program on paper or as a file: the printed sheet, the annotated picture, the table.
//!
//! * [`SheetContent::of`] gathers what stands on a sheet from a study, its worksheet and its films, and
//!   [`sheet`] writes it as a PDF.
//! * [`comparison_sheet`] writes two visits of one foot, and what changed between them, as a PDF.
//! * [`agreement_sheet`] writes how far readers agree, with their plots of differences, as a PDF.
//! * [`plan_sheet`] writes the plan of an osteotomy as one page for theatre, [`plan_picture`] the same as PNG.
//! * [`course_picture`] draws angles over the visits of a foot.
//! * [`annotated_picture`] burns the tracing of one film into a picture of it.
//! * [`table`] writes one line for each measurement.
//! * [`objects_of`] makes DICOM objects for an archive of a measured study.
//!
//! All of them are pure functions that may take some tenths of a second: call them on a worker thread. None
//! of them names the patient, except a sheet for which an [`Identity`] was given; and none of them is made
//! without the caution that the caller gives.
#![deny(missing_docs)]

mod agreement;
mod clip;
mod comparison;
mod content;
mod contradiction;
mod course;
mod dicom;
mod drawing;
mod error;
mod film_picture;
mod identity;
mod layout;
mod mark;
mod missing;
pub mod number;
mod overlay;
mod pdf;
mod picture;
mod raster;
mod row;
mod table;
mod theatre;
mod typeface;
mod verdict;
mod wording;

pub use agreement::{
    AGREEMENT_TITLE, AgreementContent, AgreementPart, AgreementRow, LimitsPlot, PlotLine, step_of,
};
pub use comparison::{
    COMPARISON_TITLE, ComparisonContent, ComparisonRow, PlanResultRow, PlanResultTable,
};
pub use content::{
    FoundFilm, Identity, Paper, SheetContent, SheetFilm, SheetRequest, SheetSide, proportions_of,
};
pub use contradiction::{Contradiction, OtherFact, contradictions};
pub use course::{Course, CoursePoint, CourseScale, course_picture};
pub use dicom::{
    ChosenObjects, Code, DicomError, ExportFilm, ExportSheet, OWN_SCHEME, ObjectFile,
    ObjectsRequest, STANDARD_CODES, objects_of,
};
pub use drawing::{Drawing, Label, Manner, Stroke};
pub use error::SheetError;
pub use film_picture::FilmPicture;
pub use identity::{
    Action, BASIC_PROFILE, MaskBox, NewUids, TextInPicture, action, film_without_identity,
    object_without_identity, picture_without_identity, study_without_identity,
};
pub use pdf::{agreement_sheet, comparison_sheet, plan_picture, plan_sheet, sheet};
pub use picture::{PictureRequest, annotated_picture};
pub use row::{SheetRow, Standing};
pub use table::table;
pub use theatre::{ExpectedRow, FilmScale, PLAN_TITLE, PlanContent, PlanFilm, SCREW_COLUMNS};
pub use verdict::Verdict;
pub use wording::{files_line, film_caption, visit_line};
