//! The engine against feet whose numbers are known from elsewhere.

mod known_angles;
mod made_feet;
