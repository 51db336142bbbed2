//! From source to film: attenuation, detector, and what stands beside the foot.

pub(crate) mod attenuation;
mod attenuation_tables;
pub(crate) mod beam;
pub(crate) mod detector;
pub(crate) mod exposure;
pub(crate) mod round_object;
pub(crate) mod side_letter;
