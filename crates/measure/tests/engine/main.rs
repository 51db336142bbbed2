//! The engine against feet whose numbers are known from elsewhere.

mod absent_and_broken;
mod invariance;
mod known_angles;
mod made_feet;
mod severity_limits;
mod spread;
mod translation;
mod worked_examples;
