//! A parametric foot in three dimensions and its simulated radiographs, with exact truth for every landmark.
#![deny(missing_docs)]

mod attenuation;
mod bone;
mod curve_fit;
mod detector;
mod dicom_object;
mod exposure;
mod film_files;
mod first_ray;
mod foot;
mod frame;
mod hindfoot;
mod lesser_rays;
mod long_bone;
mod parameters;
mod profile;
mod projection;
mod radiograph;
mod round_object;
mod side_letter;
mod silhouette;
mod skin;
mod smooth;
mod solid;
mod texture;
mod truth;

pub use attenuation::{Beam, Material, Thickness};
pub use bone::BoneName;
pub use exposure::{Exposure, ExposureError};
pub use film_files::WriteFilmError;
pub use foot::{Foot, StandingFoot};
pub use parameters::{FootParameters, ParameterError};
pub use projection::Projection;
pub use radiograph::{
    SimulatedFilm, SimulationError, render_ap, render_ap_of_both, render_lateral,
};
pub use truth::{FilmTruth, FootTruth, RoundObjectTruth};
