//! The window, driven by accessible names, keys and the pointer, and judged by the state behind it.

mod agreement;
mod archive;
mod calibrating;
mod clinic_archive;
mod comparing;
mod correcting;
#[path = "../disc_of_films/mod.rs"]
mod disc_of_films;
mod discs;
mod exporting;
mod few_gestures;
mod film_of_several_pictures;
mod first_use;
mod harness;
mod kept_work;
mod keyboard;
mod looks;
mod made_run;
mod making_a_set;
mod marking_wires;
mod offered_again;
mod opening;
#[path = "../planned/mod.rs"]
mod planned;
mod planning;
mod planning_goals;
mod practising;
mod proposing;
#[path = "../readers/mod.rs"]
mod readers;
mod rows;
mod sample_truth;
#[path = "../samples/mod.rs"]
mod samples;
mod series;
mod tracing_a_foot;
mod visit_list;
mod visit_page;
#[path = "../visits/mod.rs"]
mod visits;
mod web_archive;
