//! What is true of a simulated film: where its landmarks lie, and what each measurement comes to.

mod in_space;
mod parts;
mod polyline;
mod rounding;
mod silhouette;
mod tracer;
mod values;

use std::collections::BTreeMap;

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, Landmark, PixelSpacing, Side,
    SpacingError, View,
};
use plumbray_measure::Measurement;
use serde::{Deserialize, Serialize};

use crate::{
    foot::StandingFoot, geometry::projection::Projection, parameters::FootParameters,
    physics::exposure::Exposure, physics::round_object::RoundObject, radiograph::SimulationError,
    truth::rounding::rounded,
};

pub use values::MeasurementTruth;

/// Everything that is true of a simulated film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FilmTruth {
    /// The direction from which it was taken.
    pub view: View,
    /// How it was taken. Its `pixel_mm` is the size of a pixel at the detector.
    pub exposure: Exposure,
    /// Width of the film in pixels.
    pub width_px: usize,
    /// Height of the film in pixels.
    pub height_px: usize,
    /// How much larger than life the first metatarsal head of the first foot is drawn.
    pub magnification_at_first_metatarsal_head: f64,
    /// The round object of known size, if there is one.
    pub round_object: Option<RoundObjectTruth>,
    /// The feet on the film.
    pub feet: Vec<FootTruth>,
}

/// The round object of known size on a film.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoundObjectTruth {
    /// Its diameter in mm.
    pub diameter_mm: f64,
    /// The middle of its shadow.
    pub centre: FilmPoint,
    /// The diameter of its shadow in pixels.
    pub diameter_px: f64,
}

/// One foot on a simulated film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FootTruth {
    /// Which foot.
    pub side: Side,
    /// The parameters that were asked for. What a film shows differs from them by its projection.
    pub parameters: FootParameters,
    /// How much larger than life this foot's first metatarsal head is drawn.
    pub magnification_at_first_metatarsal_head: f64,
    /// Every measurement of the view. Its millimetres are by [`calibration`](FilmTruth::calibration).
    #[serde(with = "values::by_measurement")]
    pub values: BTreeMap<Measurement, MeasurementTruth>,
    /// The landmarks on the film as a perfect reader would place them. Their spread is zero: they are
    /// computed, not read.
    pub tracing: FilmTracing,
    /// The places in the foot, in mm (x toward lateral, y toward distal, z up), of those landmarks
    /// that are points of a bone and not of its outline on the film.
    pub places_mm: BTreeMap<Landmark, [f64; 3]>,
    /// Contours on the film in pixels, x right and y down. Closed ones, whose last point is the first
    /// again, are outlines of whole bones: `m1` … `m5`, `proximal_phalanx`, `distal_phalanx`,
    /// `tibial_sesamoid`, `fibular_sesamoid`, `talus`, `calcaneus`. After an osteotomy `m1` is its shaft
    /// and `m1_fragment` its capital fragment. Open ones are what a reader follows:
    /// `m1_head` (to which the head's circle is fitted), `calcaneus_plantar` and `floor`.
    pub contours_px: BTreeMap<String, Vec<[f64; 2]>>,
}

impl FilmTruth {
    /// The calibration at the height of a foot's first metatarsal head, by which the values in mm and the
    /// levels in mm of a [`FootTruth`] were made.
    ///
    /// # Errors
    /// [`SpacingError`] when a film's file gives an impossible size of pixel or magnification.
    pub fn calibration(&self, foot: &FootTruth) -> Result<Calibration, SpacingError> {
        calibration(
            self.exposure.pixel_mm,
            foot.magnification_at_first_metatarsal_head,
        )
    }

    /// Where the source and the detector stood.
    #[must_use]
    pub fn projection(&self) -> Projection {
        let side = self.feet.first().map_or(Side::Right, |foot| foot.side);
        let field = match self.feet.len() {
            0 | 1 => Exposure::field_of_one_foot(self.view, side),
            _ => Exposure::field_of_two_feet(),
        };
        match self.view {
            View::Ap => self.exposure.ap_projection(field),
            View::Lateral => self.exposure.lateral_projection(side, field),
        }
    }
}

fn calibration(pixel_mm: f64, magnification: f64) -> Result<Calibration, SpacingError> {
    Ok(Calibration {
        spacing: PixelSpacing::new(pixel_mm, pixel_mm)?.divided_by(magnification)?,
        basis: CalibrationBasis::EstimatedMagnification {
            factor: magnification,
        },
        relative_sd: 0.0,
    })
}

pub(crate) fn film_truth(
    view: View,
    feet: &[StandingFoot],
    exposure: &Exposure,
    projection: &Projection,
    size_px: [usize; 2],
    round_object: Option<RoundObject>,
) -> Result<FilmTruth, SimulationError> {
    let feet = feet
        .iter()
        .map(|standing| foot_truth(view, standing, exposure, projection))
        .collect::<Result<Vec<FootTruth>, SimulationError>>()?;
    Ok(FilmTruth {
        view,
        exposure: *exposure,
        width_px: size_px[0],
        height_px: size_px[1],
        magnification_at_first_metatarsal_head: feet[0].magnification_at_first_metatarsal_head,
        round_object: round_object.map(|object| {
            let (centre, diameter_px) = object.shadow(projection);
            RoundObjectTruth {
                diameter_mm: object.diameter_mm(),
                centre: rounding::film_place(centre),
                diameter_px: rounded(diameter_px, 4),
            }
        }),
        feet,
    })
}

fn foot_truth(
    view: View,
    standing: &StandingFoot,
    exposure: &Exposure,
    projection: &Projection,
) -> Result<FootTruth, SimulationError> {
    let traced = tracer::trace(view, standing, projection)?;
    let head = standing.point_in_room(standing.foot.points().head_centre);
    let magnification = rounded(projection.magnification(head.into()), 7);
    let calibration = calibration(exposure.pixel_mm, magnification)?;
    let values = values::measurement_truths(view, &standing.foot, &traced.tracing, &calibration);
    Ok(FootTruth {
        side: standing.foot.side(),
        parameters: *standing.foot.parameters(),
        magnification_at_first_metatarsal_head: magnification,
        values,
        tracing: traced.tracing,
        places_mm: traced.places_mm,
        contours_px: traced.contours_px,
    })
}

#[cfg(test)]
mod tests {
    use nalgebra::Vector3;
    use plumbray_anatomy::LongBone;

    use super::*;
    use crate::{
        foot::Foot,
        radiograph::{truth_of_ap, truth_of_lateral},
    };

    /// The point of the room that both films show at these places.
    fn reconstructed(
        ap: (&Projection, FilmPoint),
        lateral: (&Projection, FilmPoint),
    ) -> Vector3<f64> {
        let [one, other] = [ap, lateral].map(|(projection, at)| projection.ray(at));
        let normal = one.direction.cross(&other.direction);
        let between = other.origin - one.origin;
        let nearest =
            |along: &Vector3<f64>| between.cross(along).dot(&normal) / normal.norm_squared();
        let on_one = one.at(nearest(&other.direction));
        let on_other = other.at(nearest(&one.direction));
        (on_one + on_other) / 2.0
    }

    #[test]
    fn the_first_metatarsal_is_found_again_in_space_from_the_truths_of_both_films() {
        let exposure = Exposure::default();
        for side in [Side::Left, Side::Right] {
            let foot = Foot::new(FootParameters {
                side,
                ..FootParameters::default()
            })
            .expect("possible");
            let field = |view| Exposure::field_of_one_foot(view, side);
            let projections = (
                exposure.ap_projection(field(View::Ap)),
                exposure.lateral_projection(side, field(View::Lateral)),
            );
            let ap = truth_of_ap(&foot, &exposure).expect("a truth");
            let lateral = truth_of_lateral(&foot, &exposure).expect("a truth");
            let standing = StandingFoot::in_the_middle(foot);
            // The base is a point of the bone. The head's centre is read from a circle fitted to its
            // outline, which is not the same section of the head on both films.
            for (landmark, within_mm) in [
                (Landmark::BaseCentre(LongBone::M1), 0.1),
                (Landmark::HeadCentre, 2.5),
            ] {
                let at = |truth: &FilmTruth| truth.feet[0].tracing.point(landmark).expect("placed");
                let found =
                    reconstructed((&projections.0, at(&ap)), (&projections.1, at(&lateral)));
                let place = ap.feet[0].places_mm[&landmark];
                let off = (found - Vector3::from(standing.room_from_foot(place))).norm();
                assert!(off < within_mm, "{side:?} {landmark}: {off} mm");
            }
        }
    }

    #[test]
    fn the_magnification_of_the_head_follows_the_pinhole_formula() {
        for distance in [800.0, 1000.0, 1150.0] {
            let foot = Foot::new(FootParameters::default()).expect("possible");
            let exposure = Exposure {
                tube_tilt_degrees: 0.0,
                source_detector_distance_mm: distance,
                ..Exposure::default()
            };
            let truth = truth_of_ap(&foot, &exposure).expect("a truth");
            let foot = &truth.feet[0];
            // The detector lies 8 mm below the floor.
            let height = foot.places_mm[&Landmark::HeadCentre][2] + 8.0;
            let expected = distance / (distance - height);
            let said = foot.magnification_at_first_metatarsal_head;
            assert!((said / expected - 1.0).abs() < 1e-3, "{said}, {expected}");
            // A line between two landmarks at one height, as it is drawn.
            let ends = [Landmark::ArticularMedial, Landmark::ArticularLateral];
            let [medial, lateral] = ends.map(|end| foot.places_mm[&end]);
            let [on_film, on_film_lateral] =
                ends.map(|end| foot.tracing.point(end).expect("placed"));
            let scale = |height: f64| distance / (distance - height - 8.0);
            let across = scale(lateral[2]) * lateral[0] - scale(medial[2]) * medial[0];
            let drawn = (on_film_lateral.x_px - on_film.x_px) * exposure.pixel_mm;
            assert!((drawn / across - 1.0).abs() < 1e-3, "{drawn}, {across}");
        }
    }
}
