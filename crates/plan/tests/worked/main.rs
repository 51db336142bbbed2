//! Plans worked by hand on a foot drawn with ruler and compass, and published numbers.

mod by_hand;
mod goals;
mod published;
mod refusals;
mod schematic;
mod screws;
