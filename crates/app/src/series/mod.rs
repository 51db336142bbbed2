//! A series of feet as it leaves the program: in words.

pub(crate) mod words;
