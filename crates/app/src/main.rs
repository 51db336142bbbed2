//! The program `plumbray`.

fn main() {}
