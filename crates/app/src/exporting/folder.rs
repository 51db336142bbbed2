//! Folders into which objects are written, over nothing that lies there.

use std::{
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, ensure};
use plumbray_report::ObjectFile;

use crate::files::write_new_file;

/// Writes files into a folder in which none of them is yet; the folder is made if there is none.
///
/// # Errors
/// When one of them is there already, and then nothing is written, or the disk does not take them.
pub(crate) fn write_new(folder: &Path, files: &[ObjectFile]) -> anyhow::Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("the folder cannot be made: {}", folder.display()))?;
    let there = files.iter().map(|file| folder.join(&file.name));
    for path in there {
        ensure!(
            !path.exists(),
            "nothing is written over what is there; choose another folder: {}",
            path.display()
        );
    }
    for file in files {
        let path = folder.join(&file.name);
        // What another program has put there meanwhile stays, too.
        write_new_file(&path, &file.bytes).with_context(|| {
            format!(
                "it cannot be written there; choose another folder: {}",
                path.display()
            )
        })?;
    }
    Ok(())
}

/// A folder of this name beside a file, or, where something of that name is there, with a number behind it. No folder
/// is made.
#[must_use]
pub(crate) fn new_folder_beside(file: &Path, name: &str) -> PathBuf {
    let first = file.with_file_name(name);
    if !first.exists() {
        return first;
    }
    let mut numbered = (2_u32..).map(|number| file.with_file_name(format!("{name} {number}")));
    numbered
        .find(|folder| !folder.exists())
        .unwrap_or_else(|| first.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_is_proposed_is_not_there_yet() {
        let desk = tempfile::tempdir().expect("a temporary folder");
        let film = desk.path().join("film.dcm");
        for name in ["for an archive", "for an archive 2", "for an archive 3"] {
            let proposed = new_folder_beside(&film, "for an archive");
            assert_eq!(proposed, desk.path().join(name), "the next free name");
            fs::create_dir(&proposed).expect("a folder");
        }
    }
}
