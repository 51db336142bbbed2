//! The bones of the foot and its skin, each with its shape and its place.

pub(crate) mod bone;
pub(crate) mod calcaneus;
pub(crate) mod cuboid;
pub(crate) mod cuneiforms;
pub(crate) mod first_metatarsal;
pub(crate) mod first_ray;
pub(crate) mod flesh;
pub(crate) mod forefoot;
pub(crate) mod hallux;
pub(crate) mod hindfoot;
pub(crate) mod lesser_metatarsal;
pub(crate) mod lesser_rays;
pub(crate) mod lesser_toe;
pub(crate) mod long_bone;
pub(crate) mod navicular;
pub(crate) mod sesamoid;
pub(crate) mod sesamoid_place;
pub(crate) mod shank;
pub(crate) mod skin;
pub(crate) mod talus;
pub(crate) mod tarsal;
pub(crate) mod trabecular_group;
