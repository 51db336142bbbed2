//! A film as a small picture for a list.

use std::path::Path;

use plumbray_film::Level;

use crate::workbench::GreyPicture;

/// A small picture is at most so many pixels wide and high.
const LARGEST_PX: usize = 160;

/// Decodes a film and makes it small, as its file wants it to be shown. Takes as long as opening the film: call it on a
/// worker's thread.
///
/// # Errors
/// Why the film cannot be decoded, in short: without its path.
pub(crate) fn small_picture(path: &Path) -> Result<GreyPicture, String> {
    let film = plumbray_film::open(path).map_err(|problem| problem.problem.to_string())?;
    let table = film.grey().named_table(film.grey().default_window(), false);
    let pyramid = film.pyramid();
    let is_small = |level: &Level<'_>| level.width.max(level.height) <= LARGEST_PX;
    let level = pyramid.levels().find(is_small);
    let level = level.unwrap_or_else(|| pyramid.level(usize::MAX));
    let mut greys = vec![0; level.samples.len()];
    table.apply(level.samples, &mut greys);
    Ok(GreyPicture {
        size: [level.width, level.height],
        greys,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sample_film_becomes_small_with_bone_brighter_than_air() {
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images");
        let small = small_picture(&samples.join("sample-foot-ap.dcm")).expect("a film");
        let [width, height] = small.size;
        assert!(
            width.max(height) <= LARGEST_PX && width.max(height) > LARGEST_PX / 4,
            "small, but not too small: {width} × {height}"
        );
        assert_eq!(small.greys.len(), width * height, "a grey for each pixel");
        let corner = small.greys[0];
        let brightest = small.greys.iter().max().expect("some");
        assert!(*brightest > corner + 60, "bone stands out from air");
    }

    #[test]
    fn what_is_no_film_says_so_without_its_path() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("notes");
        std::fs::write(&file, "no film").expect("written");
        let problem = small_picture(&file).expect_err("no film");
        assert!(!problem.contains("notes"), "in short: {problem}");
    }
}
