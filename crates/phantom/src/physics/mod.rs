//! From source to film: attenuation, detector, and what stands beside the foot.

pub(crate) mod attenuation;
mod attenuation_tables;
pub(crate) mod beam;
pub(crate) mod collimation;
pub(crate) mod detector;
pub(crate) mod exposure;
mod noise;
pub(crate) mod poor_film;
pub(crate) mod processing;
mod raster;
pub(crate) mod round_object;
mod scatter;
pub(crate) mod side_letter;
