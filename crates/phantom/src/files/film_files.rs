//! A simulated film as files: a picture, a DICOM object, and the truth beside them.

use std::{
    fs::{self, File},
    io::{self, BufWriter},
    path::{Path, PathBuf},
};

use image::{
    ExtendedColorType, ImageEncoder,
    codecs::{
        jpeg::JpegEncoder,
        png::{CompressionType, FilterType, PngEncoder},
    },
};

use super::dicom_object::to_dicom;
use crate::{radiograph::SimulatedFilm, truth::FilmTruth};

/// Why a simulated film could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteFilmError {
    /// The file could not be created or filled.
    #[error(
        "the simulated film could not be written, {source}; check that the folder exists and has room: {path}"
    )]
    File {
        /// What went wrong.
        source: io::Error,
        /// The file.
        path: PathBuf,
    },
    /// The picture could not be coded.
    #[error("the picture could not be coded, {source}; choose larger pixels: {path}")]
    Picture {
        /// What went wrong.
        source: image::ImageError,
        /// The file.
        path: PathBuf,
    },
    /// The DICOM object could not be made.
    #[error(
        "the DICOM object could not be written, {reason}; check that the folder exists and has room: {path}"
    )]
    Dicom {
        /// What went wrong.
        reason: String,
        /// The file.
        path: PathBuf,
    },
    /// The truth could not be put into words.
    #[error("the truth of the film could not be written, {source}: {path}")]
    Truth {
        /// What went wrong.
        source: ron::Error,
        /// The file.
        path: PathBuf,
    },
}

fn create(path: &Path) -> Result<BufWriter<File>, WriteFilmError> {
    File::create(path)
        .map(BufWriter::new)
        .map_err(|source| WriteFilmError::File {
            source,
            path: path.to_owned(),
        })
}

fn png(file: BufWriter<File>) -> PngEncoder<BufWriter<File>> {
    PngEncoder::new_with_quality(file, CompressionType::Best, FilterType::Adaptive)
}

impl SimulatedFilm {
    /// Writes the film as a 16-bit grey PNG.
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write_png(&self, path: &Path) -> Result<(), WriteFilmError> {
        let bytes: Vec<u8> = self
            .samples
            .iter()
            .flat_map(|sample| sample.to_ne_bytes())
            .collect();
        self.write_picture(png(create(path)?), &bytes, ExtendedColorType::L16, path)
    }

    /// Writes a copy of the film in 8 bits as a grey PNG.
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write_png_in_8_bits(&self, path: &Path) -> Result<(), WriteFilmError> {
        let bytes = self.in_8_bits();
        self.write_picture(png(create(path)?), &bytes, ExtendedColorType::L8, path)
    }

    /// Writes a copy of the film in 8 bits as a lossy JPEG of a quality from 1 (worst) to 100 (best).
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write_jpeg(&self, path: &Path, quality: u8) -> Result<(), WriteFilmError> {
        let encoder = JpegEncoder::new_with_quality(create(path)?, quality.clamp(1, 100));
        let bytes = self.in_8_bits();
        self.write_picture(encoder, &bytes, ExtendedColorType::L8, path)
    }

    /// The upper eight bits of every sample, row by row from the top.
    #[must_use]
    pub fn in_8_bits(&self) -> Vec<u8> {
        self.samples
            .iter()
            .map(|sample| sample.to_be_bytes()[0])
            .collect()
    }

    fn write_picture(
        &self,
        encoder: impl ImageEncoder,
        bytes: &[u8],
        colour: ExtendedColorType,
        path: &Path,
    ) -> Result<(), WriteFilmError> {
        let size = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
        encoder
            .write_image(bytes, size(self.width), size(self.height), colour)
            .map_err(|source| WriteFilmError::Picture {
                source,
                path: path.to_owned(),
            })
    }

    /// Writes the film as a DICOM object of Digital X-Ray, for presentation, its pixels compressed
    /// without loss.
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write_dicom(&self, path: &Path) -> Result<(), WriteFilmError> {
        let failed = |reason: String| WriteFilmError::Dicom {
            reason,
            path: path.to_owned(),
        };
        to_dicom(self)
            .map_err(|error| failed(error.to_string()))?
            .write_to_file(path)
            .map_err(|error| failed(error.to_string()))
    }

    /// Writes the truth as RON.
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write_truth(&self, path: &Path) -> Result<(), WriteFilmError> {
        self.truth.write(path)
    }
}

impl FilmTruth {
    /// Writes the truth as RON.
    ///
    /// # Errors
    /// [`WriteFilmError`] when the file cannot be written.
    pub fn write(&self, path: &Path) -> Result<(), WriteFilmError> {
        // Deeper than this, all stays on one line: a landmark, a value by convention, a point of a contour.
        let layout = ron::ser::PrettyConfig::new()
            .depth_limit(5)
            .indentor("  ".to_owned());
        let text =
            ron::ser::to_string_pretty(self, layout).map_err(|source| WriteFilmError::Truth {
                source,
                path: path.to_owned(),
            })?;
        fs::write(path, text + "\n").map_err(|source| WriteFilmError::File {
            source,
            path: path.to_owned(),
        })
    }
}
