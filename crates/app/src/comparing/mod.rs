//! The visits of one foot as they lie on disk: what the window and the command line compare.

mod course;
mod data;
mod foot_over_time;
mod held_plan;
mod opened_films;
mod paper;
mod plan_table;
mod plan_words;
mod table;
mod visit_on_disk;
mod wire_words;
mod words;

pub(crate) use course::{comparison_plot, courses};
pub(crate) use data::compared_foot;
pub use foot_over_time::FootOverTime;
pub use held_plan::HeldPlan;
pub use opened_films::{Opened, OpenedFilms};
pub(crate) use paper::comparison_pdf;
pub(crate) use plan_words::{
    estimate_words, plan_difference_words, plan_lines, plan_notes, plan_row_name,
};
pub(crate) use table::comparison_table;
pub use visit_on_disk::VisitOnDisk;
pub(crate) use wire_words::{WIRES_ARE, coarse_words, wire_lines};
pub(crate) use words::{
    HEALING, answers, calibration_lines, change_words, corrected_words, lost_words, shift_lines,
    typical_drift, value_words,
};
