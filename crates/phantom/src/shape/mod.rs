//! What a bone is made of: its surface, its wall and the texture within.

pub(crate) mod form;
pub(crate) mod profile;
pub(crate) mod solid;
mod table;
pub(crate) mod texture;
pub(crate) mod volume;
pub(crate) mod wall;
