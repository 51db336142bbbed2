//! A visit's study on disk, and what the time line says of it.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;
use plumbray_compare::{Occasion, Visit};
use plumbray_study::{Study, load};

/// A visit of a foot as it lies on disk. Its films are opened when they are looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct VisitOnDisk {
    /// The study's file.
    pub path: PathBuf,
    /// What it holds.
    pub study: Study,
    /// When it was, where a person said so.
    pub occasion: Option<Occasion>,
    /// How the time line calls it, where a person named it there.
    pub name: Option<String>,
}

impl VisitOnDisk {
    /// Reads a study.
    ///
    /// # Errors
    /// When the study cannot be read.
    pub fn read(path: &Path) -> anyhow::Result<Self> {
        Ok(Self {
            path: path.to_owned(),
            study: load(path)?,
            occasion: None,
            name: None,
        })
    }

    /// The visit as it is compared.
    #[must_use]
    pub fn visit(&self) -> Visit<'_> {
        Visit {
            study: &self.study,
            occasion: self.occasion.unwrap_or_else(|| Occasion::of(&self.study)),
            called: self.name.as_deref(),
        }
    }

    /// Where the film of a view lies, or should; nothing where the study has none.
    #[must_use]
    pub fn film_path(&self, view: View) -> Option<PathBuf> {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        Some(self.study.film(view)?.path_in(folder))
    }
}
