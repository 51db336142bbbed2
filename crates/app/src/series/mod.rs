//! A series of feet as it leaves the program: in words.

pub(crate) mod files;
pub(crate) mod words;
