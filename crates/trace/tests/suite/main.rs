//! Tracing on films that are drawn here, so that the truth is known.

mod drawn_bone;
mod film;
mod hostile_input;
mod long_bones;
mod points;
mod round_things;
