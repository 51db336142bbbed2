//! Makes practice sets, so that a crash leaves no half set that opens.

mod fitness;
mod folder;
mod picture;
mod simulated;
mod simulated_feet;
mod studies;

use std::{io, path::PathBuf};

use plumbray_film::FilmError;
use plumbray_phantom::{ParameterError, SimulationError, WriteFilmError};
use plumbray_study::StudyError;

use crate::set::{Damage, SetError};

pub use fitness::{StudyFitness, study_fitness};
pub use picture::write_grey_picture;
pub use simulated::{DifficultyShares, Picture, SimulatedSet, made_set};
pub use studies::{BURNT_IN, SeenPicture, StudyForSet, SupervisedSet, set_from_studies};

/// Why a practice set could not be made. No set was left behind.
#[derive(Debug, thiserror::Error)]
pub enum MakingError {
    /// Something is already at the place.
    #[error("there is already something here; choose a new name for the practice set: {}", path.display())]
    PlaceTaken {
        /// The place.
        path: PathBuf,
    },
    /// What was asked for is not possible.
    #[error("no practice set can be made so: {what}")]
    Request {
        /// What is wrong, and what to do.
        what: String,
    },
    /// The file system refused.
    #[error("the practice set could not be written ({cause}); check that the folder exists and has room: {}", path.display())]
    File {
        /// The file or folder.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// A simulated foot is not possible.
    #[error(transparent)]
    Parameters(#[from] ParameterError),
    /// A film could not be simulated.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
    /// A simulated film could not be written.
    #[error(transparent)]
    Writing(#[from] WriteFilmError),
    /// A film's picture could not be coded.
    #[error("the picture could not be coded, {source}: {}", path.display())]
    Picture {
        /// What went wrong.
        source: image::ImageError,
        /// The file.
        path: PathBuf,
    },
    /// A study could not be opened.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// A study's film could not be opened.
    #[error(transparent)]
    Film(#[from] FilmError),
    /// A study cannot serve as a reference.
    #[error("this study cannot be a reference: {what}: {}", path.display())]
    NoReference {
        /// Why, and what to do.
        what: String,
        /// The study.
        path: PathBuf,
    },
    /// The set holds something that could not be read back.
    #[error("the practice set could not be read back: {0}")]
    NotStorable(#[from] Damage),
    /// The finished set could not be opened.
    #[error(transparent)]
    NotReadable(#[from] SetError),
}
