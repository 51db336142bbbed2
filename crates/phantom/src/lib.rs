//! A parametric foot in three dimensions and its simulated radiographs, with exact truth for every landmark.
