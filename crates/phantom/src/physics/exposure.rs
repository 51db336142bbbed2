//! How a film is taken: source, detector, dose, and the field that it covers.

use nalgebra::Vector3;
use plumbray_anatomy::{Side, View};
use serde::{Deserialize, Serialize};

use crate::geometry::projection::Projection;

/// How a film is taken. The defaults are those of a standing film of one foot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exposure {
    /// From the source to the detector along the central ray, in mm.
    pub source_detector_distance_mm: f64,
    /// Tilt of the AP tube from the vertical in degrees, its rays running down and toward the heel.
    pub tube_tilt_degrees: f64,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
    /// Photons that reach a pixel through air: the fewer, the more noise.
    pub photons_per_pixel: f64,
    /// Standard deviation of the blur by focal spot and detector, in mm at the detector.
    pub blur_mm: f64,
    /// Scattered radiation as a share of the primary.
    pub scatter_share: f64,
    /// Seed of the noise: the same seed gives the same bytes.
    pub seed: u64,
    /// Whether a round object of known size is on the film: a disc beside the foot on the AP film, a
    /// ball above the toes on the lateral one.
    pub calibration_object: bool,
}

/// An exposure that no X-ray set can make.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "a film cannot be simulated with a {setting} of {value}; choose a value from {lowest} to {highest}"
)]
pub struct ExposureError {
    /// The setting, by its field name.
    pub setting: &'static str,
    /// The value that was given.
    pub value: f64,
    /// The lowest possible value.
    pub lowest: f64,
    /// The highest possible value.
    pub highest: f64,
}

impl Default for Exposure {
    /// One metre from source to detector and a tube tilted by 15° (common practice).
    fn default() -> Self {
        Self {
            source_detector_distance_mm: 1000.0,
            tube_tilt_degrees: 15.0,
            pixel_mm: 0.18,
            photons_per_pixel: 9000.0,
            blur_mm: 0.13,
            scatter_share: 0.12,
            seed: 1,
            calibration_object: true,
        }
    }
}

/// The field of a film, in mm at the detector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Field {
    /// Lowest and highest place along a row.
    pub(crate) across_mm: [f64; 2],
    /// Lowest and highest place against the columns: forward on an AP film, up on a lateral one.
    pub(crate) up_mm: [f64; 2],
}

impl Field {
    /// Width and height in pixels.
    pub(crate) fn size_px(&self, pixel_mm: f64) -> (usize, usize) {
        let count = |range: [f64; 2]| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a field of at most 0.5 m with pixels of at least 0.05 mm"
            )]
            let pixels = ((range[1] - range[0]) / pixel_mm).round() as usize;
            pixels
        };
        (count(self.across_mm), count(self.up_mm))
    }
}

/// Depth of the detector below the floor on which the foot stands, or beyond the medial side of the
/// foot on a lateral film, in mm.
const DETECTOR_GAP_MM: f64 = 8.0;

/// Where the medial face of a lateral film's cassette stands, toward lateral from the foot's middle.
const MEDIAL_CASSETTE_MM: f64 = -52.0;

/// Height of the horizontal beam of a lateral film above the floor, in mm.
const LATERAL_BEAM_HEIGHT_MM: f64 = 22.0;

/// Where the beams are centred along the foot, in mm: at the bases of the metatarsals.
const BEAM_CENTRE_MM: f64 = 5.0;

impl Exposure {
    /// Whether a film can be taken so.
    ///
    /// # Errors
    /// [`ExposureError`] names the first setting that is not a number or out of range.
    pub fn validate(&self) -> Result<(), ExposureError> {
        for (setting, value, lowest, highest) in [
            (
                "source_detector_distance_mm",
                self.source_detector_distance_mm,
                600.0,
                3000.0,
            ),
            ("tube_tilt_degrees", self.tube_tilt_degrees, 0.0, 30.0),
            ("pixel_mm", self.pixel_mm, 0.05, 2.0),
            ("photons_per_pixel", self.photons_per_pixel, 10.0, 1e9),
            ("blur_mm", self.blur_mm, 0.0, 5.0),
            ("scatter_share", self.scatter_share, 0.0, 2.0),
        ] {
            if !(lowest..=highest).contains(&value) {
                return Err(ExposureError {
                    setting,
                    value,
                    lowest,
                    highest,
                });
            }
        }
        Ok(())
    }

    /// The field of a film of one foot that stands in the middle of the room.
    pub(crate) const fn field_of_one_foot(view: View, side: Side) -> Field {
        match (view, side) {
            (View::Ap, Side::Right) => Field {
                across_mm: [-80.0, 84.0],
                up_mm: [-52.0, 138.0],
            },
            (View::Ap, Side::Left) => Field {
                across_mm: [-84.0, 80.0],
                up_mm: [-52.0, 138.0],
            },
            (View::Lateral, Side::Right) => Field {
                across_mm: [-144.0, 146.0],
                up_mm: [-20.0, 106.0],
            },
            (View::Lateral, Side::Left) => Field {
                across_mm: [-146.0, 144.0],
                up_mm: [-20.0, 106.0],
            },
        }
    }

    /// The field of an AP film of two feet.
    pub(crate) const fn field_of_two_feet() -> Field {
        Field {
            across_mm: [-140.0, 140.0],
            up_mm: [-52.0, 138.0],
        }
    }

    /// The geometry of an AP film: the film is seen from the dorsum with the toes up, so that x on it
    /// is x in the room.
    pub(crate) fn ap_projection(&self, field: Field) -> Projection {
        let tilt = self.tube_tilt_degrees.to_radians();
        let aim = Vector3::new(0.0, BEAM_CENTRE_MM, -DETECTOR_GAP_MM);
        let source =
            aim + Vector3::new(0.0, tilt.sin(), tilt.cos()) * self.source_detector_distance_mm;
        Projection::new(
            source,
            Vector3::new(field.across_mm[0], field.up_mm[1], -DETECTOR_GAP_MM),
            Vector3::x(),
            -Vector3::y(),
            self.pixel_mm,
        )
    }

    /// The geometry of a lateral film with the cassette at the medial side of the foot, seen from
    /// the source: the toes of a right foot point to the right.
    pub(crate) fn lateral_projection(&self, side: Side, field: Field) -> Projection {
        let lateral = match side {
            Side::Right => 1.0,
            Side::Left => -1.0,
        };
        let cassette = lateral * (MEDIAL_CASSETTE_MM - DETECTOR_GAP_MM);
        let source = Vector3::new(
            cassette + lateral * self.source_detector_distance_mm,
            BEAM_CENTRE_MM - 20.0,
            LATERAL_BEAM_HEIGHT_MM,
        );
        // Along a row the film of a right foot runs forward, that of a left foot backward.
        Projection::new(
            source,
            Vector3::new(cassette, lateral * field.across_mm[0], field.up_mm[1]),
            Vector3::y() * lateral,
            -Vector3::z(),
            self.pixel_mm,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_impossible_setting_is_named() {
        let error = Exposure {
            pixel_mm: f64::NAN,
            ..Exposure::default()
        }
        .validate()
        .expect_err("not a number");
        assert!(error.to_string().contains("pixel_mm"), "{error}");
    }

    #[test]
    fn magnification_follows_the_pinhole_formula() {
        let exposure = Exposure {
            tube_tilt_degrees: 0.0,
            ..Exposure::default()
        };
        let field = Exposure::field_of_one_foot(View::Ap, Side::Right);
        let projection = exposure.ap_projection(field);
        for height in [0.0, 20.0, 60.0] {
            let left = projection.project([-30.0, 40.0, height]);
            let right = projection.project([30.0, 40.0, height]);
            let drawn = (right.x_px - left.x_px) * exposure.pixel_mm / 60.0;
            let expected = 1000.0 / (1000.0 - height - DETECTOR_GAP_MM);
            assert!(
                (drawn / expected - 1.0).abs() < 1e-9,
                "at {height} mm: {drawn} instead of {expected}"
            );
            let said = projection.magnification([0.0, 0.0, height]);
            assert!((said / expected - 1.0).abs() < 1e-12, "{said}");
        }
    }

    #[test]
    fn a_point_seen_in_both_views_is_found_again_in_space() {
        let exposure = Exposure::default();
        for side in [Side::Left, Side::Right] {
            let ap = exposure.ap_projection(Exposure::field_of_one_foot(View::Ap, side));
            let lateral =
                exposure.lateral_projection(side, Exposure::field_of_one_foot(View::Lateral, side));
            let place = Vector3::new(-22.0, 55.0, 18.0);
            let [one, other] =
                [ap, lateral].map(|projection| projection.ray(projection.project(place.into())));
            // Where the first ray comes nearest to the second.
            let normal = one.direction.cross(&other.direction);
            let along = (other.origin - one.origin)
                .cross(&other.direction)
                .dot(&normal)
                / normal.norm_squared();
            let found = one.at(along);
            assert!((found - place).norm() < 1e-6, "{side:?}: {found}");
        }
    }

    #[test]
    fn a_tilted_tube_throws_what_is_high_toward_the_heel() {
        let field = Exposure::field_of_one_foot(View::Ap, Side::Right);
        let projection = Exposure::default().ap_projection(field);
        let low = projection.project([0.0, 5.0, 0.0]);
        let high = projection.project([0.0, 5.0, 40.0]);
        let thrown = (high.y_px - low.y_px) * 0.18;
        assert!((10.0..13.0).contains(&thrown), "{thrown} mm");
    }
}
