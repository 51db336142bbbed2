//! Places, attitudes, rays and curves.

pub(crate) mod curve_fit;
pub(crate) mod frame;
pub(crate) mod projection;
pub(crate) mod smooth;
