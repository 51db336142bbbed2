//! Plans of an osteotomy as they leave the program: in words, as data, as a table, as a sheet for theatre.

pub(crate) mod words;
