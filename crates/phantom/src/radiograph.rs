//! The simulated films: rays through the standing feet, then the detector.

use nalgebra::Vector3;
use plumbray_anatomy::{FilmPoint, PixelSpacing, Side, SpacingError, View};
use rayon::prelude::*;

use crate::{
    bones::bone::{Bone, BoneName, Stretch},
    foot::{Foot, StandingFoot},
    geometry::projection::{Projection, Ray},
    operation::metal::{Alloy, Metal},
    physics::beam::Thickness,
    physics::detector::Signal,
    physics::exposure::{Exposure, ExposureError, Field},
    physics::round_object::RoundObject,
    physics::side_letter::SideLetter,
    truth::{FilmTruth, film_truth},
};

/// A simulated film with everything that is true of it.
#[derive(Clone, Debug)]
pub struct SimulatedFilm {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// Samples row by row from the top, bone bright, in the upper bits of sixteen.
    pub samples: Vec<u16>,
    /// How many of the upper bits are used: no more than the noise deserves.
    pub bits_stored: u16,
    /// The size of a pixel at the detector.
    pub pixel_spacing: PixelSpacing,
    /// The landmarks where they truly are, and how the film was taken.
    pub truth: FilmTruth,
}

/// Why a film could not be simulated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SimulationError {
    /// A setting of the exposure is out of range.
    #[error(transparent)]
    Exposure(#[from] ExposureError),
    /// The size of a pixel is not possible.
    #[error(transparent)]
    Spacing(#[from] SpacingError),
    /// The outline of a bone does not fall on the detector as it must.
    #[error("the outline of the {bone:?} could not be found on the {} film; use milder parameters", view.name())]
    Outline {
        /// The bone.
        bone: BoneName,
        /// The film.
        view: View,
    },
}

/// The AP film of one foot, seen from the dorsum with the toes up.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn render_ap(foot: &Foot, exposure: &Exposure) -> Result<SimulatedFilm, SimulationError> {
    Scene::of_one(View::Ap, &one_foot(foot, exposure), exposure)?.film()
}

/// One AP film of both feet of a person, each at its own side as a person sees the own feet.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn render_ap_of_both(
    left: &Foot,
    right: &Foot,
    exposure: &Exposure,
) -> Result<SimulatedFilm, SimulationError> {
    Scene::of_both(&both_feet(left, right, exposure), exposure)?.film()
}

/// The lateral film of one foot with a horizontal beam, cassette at the medial side, seen from the
/// lateral side: the toes of a right foot point to the right of the film.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn render_lateral(foot: &Foot, exposure: &Exposure) -> Result<SimulatedFilm, SimulationError> {
    Scene::of_one(View::Lateral, &one_foot(foot, exposure), exposure)?.film()
}

/// What is true of the film that [`render_ap`] makes, without its picture: a thousand times quicker.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn truth_of_ap(foot: &Foot, exposure: &Exposure) -> Result<FilmTruth, SimulationError> {
    Scene::of_one(View::Ap, &one_foot(foot, exposure), exposure)?.truth()
}

/// What is true of the film that [`render_ap_of_both`] makes, without its picture.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn truth_of_ap_of_both(
    left: &Foot,
    right: &Foot,
    exposure: &Exposure,
) -> Result<FilmTruth, SimulationError> {
    Scene::of_both(&both_feet(left, right, exposure), exposure)?.truth()
}

/// What is true of the film that [`render_lateral`] makes, without its picture.
///
/// # Errors
/// [`SimulationError`] when the exposure is out of range.
pub fn truth_of_lateral(foot: &Foot, exposure: &Exposure) -> Result<FilmTruth, SimulationError> {
    Scene::of_one(View::Lateral, &one_foot(foot, exposure), exposure)?.truth()
}

fn one_foot(foot: &Foot, exposure: &Exposure) -> [StandingFoot; 1] {
    [StandingFoot {
        positioning: exposure.positioning,
        ..StandingFoot::in_the_middle(foot.clone())
    }]
}

fn both_feet(left: &Foot, right: &Foot, exposure: &Exposure) -> [StandingFoot; 2] {
    [(left, -66.0), (right, 66.0)].map(|(foot, right_mm)| StandingFoot {
        foot: foot.clone(),
        right_mm,
        positioning: exposure.positioning,
    })
}

/// Everything that stands between source and detector.
struct Scene<'a> {
    view: View,
    feet: &'a [StandingFoot],
    exposure: &'a Exposure,
    field: Field,
    projection: Projection,
    width: usize,
    height: usize,
    letters: Vec<SideLetter>,
    round_object: Option<RoundObject>,
}

/// Something of a foot with the part of the film that its shadow can reach.
struct Shadow<'a, T> {
    thing: &'a T,
    low: FilmPoint,
    high: FilmPoint,
}

impl<'a, T> Shadow<'a, T> {
    /// The shadow of a thing by the corners of a box that holds it, in the foot's coordinates.
    fn new(
        standing: &StandingFoot,
        thing: &'a T,
        corners: [Vector3<f64>; 8],
        projection: &Projection,
    ) -> Self {
        let corners = corners.map(|corner| standing.point_in_room(corner));
        let (low, high) = projection.rectangle(corners.into_iter());
        Self {
            thing,
            low: FilmPoint::new(low.x, low.y),
            high: FilmPoint::new(high.x, high.y),
        }
    }

    fn reaches(&self, at: FilmPoint) -> bool {
        (self.low.x_px..=self.high.x_px).contains(&at.x_px)
            && (self.low.y_px..=self.high.y_px).contains(&at.y_px)
    }
}

/// A foot with the shadows of everything in it.
struct FootShadows<'a> {
    standing: &'a StandingFoot,
    bones: Vec<Shadow<'a, Bone>>,
    metal: Vec<Shadow<'a, Metal>>,
}

impl<'a> FootShadows<'a> {
    fn new(standing: &'a StandingFoot, projection: &Projection) -> Self {
        let foot = &standing.foot;
        Self {
            standing,
            bones: foot
                .bones()
                .iter()
                .map(|bone| Shadow::new(standing, bone, bone.corners(), projection))
                .collect(),
            metal: foot
                .metal()
                .iter()
                .map(|metal| Shadow::new(standing, metal, metal.corners(), projection))
                .collect(),
        }
    }

    /// Adds the foot's matter along a ray of the room to a point of the film.
    fn add_thickness(&self, ray: &Ray, at: FilmPoint, thickness: &mut Thickness) {
        let own = self.standing.ray_in_foot(ray);
        let foot = &self.standing.foot;
        thickness.soft_tissue_mm += foot.skin().path_mm(&own);
        let metal = self.add_metal(&own, at, thickness);
        for shadow in self.bones.iter().filter(|shadow| shadow.reaches(at)) {
            let solid_mm = shadow.thing.solid_mm(&own, &metal, foot.trabeculae());
            thickness.bone_mm += solid_mm;
            // What is not solid bone within a bone is marrow, which counts as soft tissue.
            thickness.soft_tissue_mm -= solid_mm;
        }
    }

    /// The stretches of a ray of the foot in screws and wires. They are added to the matter along the ray
    /// in the place of soft tissue; bone makes room for them by itself.
    fn add_metal(&self, own: &Ray, at: FilmPoint, thickness: &mut Thickness) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        for shadow in self.metal.iter().filter(|shadow| shadow.reaches(at)) {
            let found = shadow.thing.stretches(own);
            let length: f64 = found.iter().map(|(enter, leave)| leave - enter).sum();
            match shadow.thing.alloy {
                Alloy::Titanium => thickness.titanium_mm += length,
                Alloy::Steel => thickness.iron_mm += length,
            }
            thickness.soft_tissue_mm -= length;
            stretches.extend(found);
        }
        stretches
    }
}

impl<'a> Scene<'a> {
    /// One foot in the middle of the film.
    fn of_one(
        view: View,
        foot: &'a [StandingFoot; 1],
        exposure: &'a Exposure,
    ) -> Result<Self, ExposureError> {
        exposure.validate()?;
        let field = Exposure::field_of_one_foot(view, foot[0].foot.side());
        Ok(Self::new(view, foot, exposure, field))
    }

    /// Two feet on an AP film.
    fn of_both(feet: &'a [StandingFoot; 2], exposure: &'a Exposure) -> Result<Self, ExposureError> {
        exposure.validate()?;
        let field = Exposure::field_of_two_feet();
        Ok(Self::new(View::Ap, feet, exposure, field))
    }

    fn new(view: View, feet: &'a [StandingFoot], exposure: &'a Exposure, field: Field) -> Self {
        let side = feet[0].foot.side();
        let projection = match view {
            View::Ap => exposure.ap_projection(field),
            View::Lateral => exposure.lateral_projection(side, field),
        };
        let (width, height) = field.size_px(exposure.pixel_mm);
        let letters = match view {
            _ if !exposure.side_letter => Vec::new(),
            View::Ap if feet.len() > 1 => vec![
                SideLetter::new(Side::Left, [field.across_mm[0] + 10.0, 118.0], 10.0),
                SideLetter::new(Side::Right, [field.across_mm[1] - 16.0, 118.0], 10.0),
            ],
            View::Ap => {
                let left_edge = match side {
                    Side::Right => field.across_mm[1] - 16.0,
                    Side::Left => field.across_mm[0] + 10.0,
                };
                vec![SideLetter::new(side, [left_edge, 118.0], 10.0)]
            }
            View::Lateral => {
                let left_edge = match side {
                    Side::Right => field.across_mm[1] - 40.0,
                    Side::Left => field.across_mm[0] + 34.0,
                };
                vec![SideLetter::new(side, [left_edge, 86.0], 10.0)]
            }
        };
        let round_object = exposure
            .calibration_object
            .then(|| RoundObject::beside(view, &feet[0], feet.len()));
        Self {
            view,
            feet,
            exposure,
            field,
            projection,
            width,
            height,
            letters,
            round_object,
        }
    }

    fn film(&self) -> Result<SimulatedFilm, SimulationError> {
        let pixel_spacing = PixelSpacing::new(self.exposure.pixel_mm, self.exposure.pixel_mm)?;
        let truth = self.truth()?;
        let magnification = truth.magnification_at_first_metatarsal_head;
        let film = self.signal().develop(self.exposure, magnification);
        Ok(SimulatedFilm {
            width: self.width,
            height: self.height,
            samples: film.samples,
            bits_stored: film.bits_stored,
            pixel_spacing,
            truth,
        })
    }

    fn truth(&self) -> Result<FilmTruth, SimulationError> {
        film_truth(
            self.view,
            self.feet,
            self.exposure,
            &self.projection,
            [self.width, self.height],
            self.round_object,
        )
    }

    fn signal(&self) -> Signal {
        let beam = self.exposure.beam();
        let feet: Vec<FootShadows<'_>> = self
            .feet
            .iter()
            .map(|standing| FootShadows::new(standing, &self.projection))
            .collect();
        let mut values = vec![0.0; self.width * self.height];
        values
            .par_chunks_exact_mut(self.width)
            .enumerate()
            .for_each(|(row, values)| {
                for (column, value) in values.iter_mut().enumerate() {
                    #[expect(clippy::cast_precision_loss, reason = "a film of some megapixels")]
                    let at = FilmPoint::new(column as f64 + 0.5, row as f64 + 0.5);
                    *value = beam.transmission(self.thickness(at, &feet));
                }
            });
        Signal {
            width: self.width,
            height: self.height,
            values,
        }
    }

    /// The matter along the ray to a point of the film.
    fn thickness(&self, at: FilmPoint, feet: &[FootShadows<'_>]) -> Thickness {
        let ray = self.projection.ray(at);
        let mut thickness = Thickness::default();
        for foot in feet {
            foot.add_thickness(&ray, at, &mut thickness);
        }
        thickness.soft_tissue_mm = thickness.soft_tissue_mm.max(0.0);
        let place = self.place_of(at);
        thickness.lead_mm = self
            .letters
            .iter()
            .map(|letter| letter.thickness_mm(place))
            .sum();
        thickness.iron_mm += self.iron_mm(&ray);
        thickness
    }

    /// The round object and, on a lateral film, the wire that marks the floor.
    fn iron_mm(&self, ray: &Ray) -> f64 {
        let object = self.round_object.map_or(0.0, |object| object.path_mm(ray));
        let floor = match self.view {
            View::Lateral => FloorWire::path_mm(ray),
            View::Ap => 0.0,
        };
        object + floor
    }

    /// A film point as a place on the detector in mm, x to the right and y up, from the foot's own
    /// middle.
    fn place_of(&self, at: FilmPoint) -> [f64; 2] {
        [
            self.field.across_mm[0] + at.x_px * self.exposure.pixel_mm,
            self.field.up_mm[1] - at.y_px * self.exposure.pixel_mm,
        ]
    }
}

/// A thin wire along the floor beneath the middle of the foot: the floor line of a lateral film.
pub(crate) struct FloorWire;

impl FloorWire {
    /// Half the thickness of the wire in mm; its upper side lies at the height of the floor.
    const RADIUS_MM: f64 = 0.4;

    /// A point of the wire's axis: along the foot at `y_mm`.
    pub(crate) const fn place(y_mm: f64) -> [f64; 3] {
        [0.0, y_mm, 0.0]
    }

    fn path_mm(ray: &Ray) -> f64 {
        // A long straight wire along y: the chord of a circle in the x–z plane.
        let origin = Vector3::new(ray.origin.x, 0.0, ray.origin.z);
        let flat = Vector3::new(ray.direction.x, 0.0, ray.direction.z);
        let along = flat.norm();
        let nearest = origin.cross(&flat).norm() / along;
        let half_squared = Self::RADIUS_MM * Self::RADIUS_MM - nearest * nearest;
        // A thin sheet of it is enough to be seen.
        1.2 * half_squared.max(0.0).sqrt() / along
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{operation::Operation, parameters::FootParameters};

    #[test]
    fn a_left_foot_is_the_mirror_image_of_a_right_one() {
        let exposure = Exposure {
            // Both fields are whole numbers of such pixels, so that their middles lie mirrored.
            pixel_mm: 1.0,
            calibration_object: true,
            ..Exposure::default()
        };
        for view in View::ALL {
            let signal = |side| {
                let foot = Foot::new(FootParameters {
                    side,
                    hallux_valgus_angle: 30.0,
                    first_ray_pronation: 15.0,
                    metatarsus_adductus_angle: 20.0,
                    operation: Some(Operation::default()),
                    ..FootParameters::default()
                })
                .expect("possible");
                let feet = [StandingFoot::in_the_middle(foot)];
                let field = Exposure::field_of_one_foot(view, side);
                let mut scene = Scene::new(view, &feet, &exposure, field);
                // The letters are no mirror images of each other.
                scene.letters.clear();
                scene.signal()
            };
            let (left, right) = (signal(Side::Left), signal(Side::Right));
            let worst = left
                .values
                .chunks_exact(left.width)
                .zip(right.values.chunks_exact(right.width))
                .flat_map(|(left, right)| left.iter().rev().zip(right))
                .map(|(left, right)| (left - right).abs())
                .fold(0.0, f64::max);
            assert!(worst < 1e-6, "{view:?}: {worst}");
        }
    }
}
