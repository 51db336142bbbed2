//! Makes the practice set of `sample-images/practice/` again, the same bytes each time on one machine; the folder must
//! not be there yet: `cargo run --release -p plumbray-practise --example make_practice_set [FOLDER]`.

use std::{
    env,
    path::{Path, PathBuf},
};

use plumbray_practise::{MakingError, Picture, SimulatedSet, made_set};

fn main() -> Result<(), MakingError> {
    let folder = env::args_os().nth(1).map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images/practice"),
        PathBuf::from,
    );
    let request = SimulatedSet {
        name: "Ten simulated feet".to_owned(),
        seed: 2026,
        picture: Picture::Jpeg(95),
        ..SimulatedSet::default()
    };
    made_set(&folder, &request).map(drop)
}
