//! Plans of an osteotomy as they leave the program: in words, as data, as a table, as a sheet for theatre.

mod carried;
mod check_words;
mod data;
mod lines;
pub(crate) mod screw_words;
mod table;
mod theatre;
mod theatre_drawing;
pub(crate) mod words;

pub(crate) use carried::{Carried, Changes, Diameter, carried, is_calibrated};
pub(crate) use data::planned_foot;
pub(crate) use lines::{Line, lines};
pub(crate) use table::plan_table;
pub(crate) use theatre::TheatreSheet;
pub(crate) use theatre_drawing::first_ray;
