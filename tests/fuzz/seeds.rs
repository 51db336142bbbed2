//! The seeds: small whole files, in a folder for each target.

use std::{fs, path::Path};

use anyhow::{Context as _, ensure};

use crate::targets::{TARGETS, Target};

/// A whole file that is damaged in many ways.
pub(crate) struct Seed {
    pub target: &'static Target,
    pub bytes: Vec<u8>,
    /// Where damage begins: a preamble means nothing.
    pub first_byte: usize,
}

/// Every seed, by target and name.
pub(crate) fn read() -> anyhow::Result<Vec<Seed>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds");
    let mut seeds = Vec::new();
    for target in &TARGETS {
        let folder = folder.join(target.name);
        let mut paths: Vec<_> = fs::read_dir(&folder)
            .with_context(|| format!("no seeds in {}", folder.display()))?
            .map(|entry| Ok(entry?.path()))
            .collect::<std::io::Result<_>>()?;
        paths.sort();
        for path in paths {
            let bytes = fs::read(&path)?;
            let has_preamble = bytes.get(128..132) == Some(b"DICM");
            seeds.push(Seed {
                target,
                first_byte: if has_preamble { 128 } else { 0 },
                bytes,
            });
        }
    }
    ensure!(!seeds.is_empty(), "there are no seeds");
    Ok(seeds)
}
