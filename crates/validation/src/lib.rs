//! Measures how true the program's numbers are, on simulated films whose truth is known, and writes
//! `docs/validation.md`, `docs/tracing.md`, `docs/reliability.md`, `docs/visits.md` and
//! `docs/plans.md`.
#![deny(missing_docs)]

pub mod accuracy;
pub mod chance;
pub mod cohort;
pub mod likeness;
mod page;
pub mod plans;
pub mod plot;
pub mod projection_effects;
pub mod quality;
pub mod reader;
pub mod real_bones;
pub mod real_film;
pub mod reliability;
pub mod requested;
pub mod snapping;
pub mod statistics;
pub mod tracing;
pub mod visits;

pub use page::{
    Page, PlansPage, RealBonesSource, ReliabilityPage, TracingPage, VisitsPage, plans_page,
    reliability_page, tracing_page, visits_page, written_page,
};
