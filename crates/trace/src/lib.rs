//! Finds edges, shafts, circles and ellipses in a film near where a person pointed, with a stated spread.
