//! A parametric foot in three dimensions and its simulated radiographs, with exact truth for every landmark.
#![deny(missing_docs)]

mod bones;
mod files;
mod foot;
mod geometry;
mod normal_distribution;
mod operation;
mod parameters;
mod physics;
mod radiograph;
mod shape;
mod truth;

pub use bones::bone::BoneName;
pub use files::film_files::WriteFilmError;
pub use foot::{CorrectedAngles, FirstRayAngles, Foot, StandingFoot};
pub use geometry::projection::Projection;
pub use normal_distribution::normal_pair;
pub use operation::follow_up::FollowUp;
pub use operation::{Callus, Operation, Screw, Screws, Thread, Wire};
pub use parameters::{FootParameters, ParameterError};
pub use physics::attenuation::Material;
pub use physics::beam::{Beam, Thickness};
pub use physics::collimation::Collimation;
pub use physics::exposure::{Exposure, ExposureError, Positioning};
pub use physics::poor_film::PoorFilm;
pub use physics::processing::Processing;
pub use radiograph::{
    SimulatedFilm, SimulationError, render_ap, render_ap_of_both, render_lateral, truth_of_ap,
    truth_of_ap_of_both, truth_of_lateral,
};
pub use truth::{FilmTruth, FootTruth, MeasurementTruth, RoundObjectTruth};
