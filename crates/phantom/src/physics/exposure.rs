//! How a film is taken: source, detector, dose, and the field that it covers.

use nalgebra::Vector3;
use plumbray_anatomy::{Side, View};
use serde::{Deserialize, Serialize};

use super::{beam::Beam, collimation::Collimation, processing::Processing};
use crate::geometry::projection::Projection;

/// How a film is taken. The defaults are those of a standing film of one foot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Exposure {
    /// From the source to the detector along the central ray, in mm.
    pub source_detector_distance_mm: f64,
    /// Tilt of the AP tube from the vertical in degrees, its rays running down and toward the heel.
    pub tube_tilt_degrees: f64,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
    /// Voltage of the tube in kV.
    pub tube_voltage_kv: f64,
    /// Everything between the focus and the foot that filters the beam, the anode's own thickness
    /// included, as mm of aluminium.
    pub filter_mm: f64,
    /// Width of the focal spot in mm.
    pub focal_spot_mm: f64,
    /// Photons that a pixel detects through air: the fewer, the more noise.
    pub photons_per_pixel: f64,
    /// Standard deviation of the noise that the detector's electronics add, as a number of photons.
    pub electronic_noise_photons: f64,
    /// The strongest signal that a pixel can count, as a share of the open field's: below 1 the open
    /// field and what is thin are saturated.
    pub saturation_share: f64,
    /// Standard deviation of the detector's own blur, in mm.
    pub blur_mm: f64,
    /// How far the foot moves along rows and columns while the film is taken, in mm at the detector.
    pub motion_mm: [f64; 2],
    /// Scattered photons for each primary one behind a wide slab whose depth (the logarithm of its
    /// attenuation) is 1.
    pub scatter_share: f64,
    /// The blades of the collimator.
    pub collimation: Collimation,
    /// How the foot is turned from a true standing position.
    pub positioning: Positioning,
    /// How the signal becomes grey.
    pub processing: Processing,
    /// Seed of the noise: the same seed gives the same bytes.
    pub seed: u64,
    /// Whether a round object of known size is on the film: a disc beside the foot on the AP film, a
    /// ball above the toes on the lateral one.
    pub calibration_object: bool,
    /// Whether a letter of lead names the side.
    pub side_letter: bool,
}

/// How the whole foot is turned from a true standing position. Zero is true; a left foot turns as the
/// mirror image of a right one.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Positioning {
    /// Turn about the vertical through the foot's origin in degrees, positive when the toes point
    /// laterally.
    pub turn_degrees: f64,
    /// Roll about the long axis of the foot along the floor in degrees, positive when the sole's
    /// lateral edge rises.
    pub obliquity_degrees: f64,
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
    /// One metre from source to detector, a tube tilted by 15°, 55 kV, a focus of 1 mm and a dose of
    /// about 10 µGy to the open detector (common practice, no source). The scatter is of the order that
    /// 5 cm of tissue give without a grid, about half of the primary (from memory).
    fn default() -> Self {
        Self {
            source_detector_distance_mm: 1000.0,
            tube_tilt_degrees: 15.0,
            pixel_mm: 0.18,
            tube_voltage_kv: 55.0,
            filter_mm: 3.0,
            focal_spot_mm: 1.0,
            photons_per_pixel: 8000.0,
            electronic_noise_photons: 6.0,
            saturation_share: 8.0,
            blur_mm: 0.14,
            motion_mm: [0.0, 0.0],
            scatter_share: 0.3,
            collimation: Collimation::default(),
            positioning: Positioning::default(),
            processing: Processing::default(),
            seed: 1,
            calibration_object: true,
            side_letter: true,
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
        let limits = self
            .limits_of_tube_and_detector()
            .into_iter()
            .chain(self.limits_of_foot_and_film());
        for (setting, value, lowest, highest) in limits {
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

    /// Each setting of the tube and of the detector with its name, lowest and highest value.
    const fn limits_of_tube_and_detector(&self) -> [(&'static str, f64, f64, f64); 11] {
        [
            (
                "source_detector_distance_mm",
                self.source_detector_distance_mm,
                600.0,
                3000.0,
            ),
            ("tube_tilt_degrees", self.tube_tilt_degrees, -10.0, 40.0),
            ("pixel_mm", self.pixel_mm, 0.05, 2.0),
            ("tube_voltage_kv", self.tube_voltage_kv, 40.0, 90.0),
            ("filter_mm", self.filter_mm, 0.5, 20.0),
            ("focal_spot_mm", self.focal_spot_mm, 0.0, 3.0),
            ("photons_per_pixel", self.photons_per_pixel, 10.0, 1e9),
            (
                "electronic_noise_photons",
                self.electronic_noise_photons,
                0.0,
                1e6,
            ),
            ("saturation_share", self.saturation_share, 0.01, 1000.0),
            ("blur_mm", self.blur_mm, 0.0, 5.0),
            ("scatter_share", self.scatter_share, 0.0, 2.0),
        ]
    }

    /// The same of how the foot stands, of the blades and of the processing.
    const fn limits_of_foot_and_film(&self) -> [(&'static str, f64, f64, f64); 16] {
        let blades = self.collimation;
        let grey = self.processing;
        let bits = match grey.bits_stored {
            Some(bits) => bits as f64,
            None => 12.0,
        };
        [
            ("motion_mm", self.motion_mm[0], -20.0, 20.0),
            ("motion_mm", self.motion_mm[1], -20.0, 20.0),
            ("left_mm", blades.left_mm, -1000.0, 200.0),
            ("right_mm", blades.right_mm, -1000.0, 200.0),
            ("top_mm", blades.top_mm, -1000.0, 200.0),
            ("bottom_mm", blades.bottom_mm, -1000.0, 200.0),
            ("turn_degrees", self.positioning.turn_degrees, -30.0, 30.0),
            (
                "obliquity_degrees",
                self.positioning.obliquity_degrees,
                -45.0,
                45.0,
            ),
            ("background_grey", grey.background_grey, 0.0, 0.5),
            ("bone_grey", grey.bone_grey, 0.5, 1.0),
            ("curvature", grey.curvature, 0.0, 5.0),
            ("detail_equalisation", grey.detail_equalisation, 0.0, 1.0),
            ("base_spread_mm", grey.base_spread_mm, 0.5, 50.0),
            ("edge_enhancement", grey.edge_enhancement, 0.0, 5.0),
            ("edge_spread_mm", grey.edge_spread_mm, 0.0, 5.0),
            ("bits_stored", bits, 8.0, 16.0),
        ]
    }

    /// The beam as the detector sees it.
    pub(crate) fn beam(&self) -> Beam {
        Beam::of_a_tube(
            self.tube_voltage_kv,
            self.filter_mm,
            self.source_detector_distance_mm,
        )
    }

    /// The depth (the logarithm of attenuation) below which the detector cannot see: 0, or more where
    /// the open beam saturates it.
    pub(super) fn darkest_depth(&self) -> f64 {
        -self.saturation_share.min(1.0).ln()
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
                across_mm: [-151.0, 152.0],
                up_mm: [-22.0, 110.0],
            },
            (View::Lateral, Side::Left) => Field {
                across_mm: [-152.0, 151.0],
                up_mm: [-22.0, 110.0],
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
    use plumbray_anatomy::FilmPoint;

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
            let [on_ap, on_lateral] =
                [ap, lateral].map(|projection| projection.project(place.into()));
            // Any line through the point on the lateral film, but for one in the plane of the ray.
            let line = [
                on_lateral,
                on_lateral.toward(FilmPoint::new(0.0, on_lateral.y_px), 0.5),
            ];
            let found = Vector3::from(ap.seen_on_line(on_ap, &lateral, line));
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
