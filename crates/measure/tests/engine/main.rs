//! The engine against feet whose numbers are known from elsewhere.

mod absent_and_broken;
mod coverage;
mod further_examples;
mod invariance;
mod known_angles;
mod lateral_head;
mod made_feet;
mod own_spread;
mod plausibility;
mod severity_limits;
mod shaft_width;
mod spread;
mod translation;
mod worked_examples;
