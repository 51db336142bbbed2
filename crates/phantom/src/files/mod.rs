//! A simulated film as files.

mod dicom_object;
pub(crate) mod film_files;
mod lossless_jpeg;
