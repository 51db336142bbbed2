//! The window, driven by accessible names, keys and the pointer, and judged by the state behind it.

mod agreement;
mod archive;
mod calibrating;
mod comparing;
mod correcting;
mod few_gestures;
mod harness;
mod keyboard;
mod looks;
mod making_a_set;
mod marking_wires;
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
#[path = "../visits/mod.rs"]
mod visits;
mod web_archive;
