//! A folder of studies becomes a table: rows, feet, filters, the index in SQLite, shards and parts.

mod feet;
mod index;
mod made;
mod parts;
mod rows;
