//! Where the landmarks of a simulated film truly are.

mod silhouette;

use std::collections::BTreeMap;

use nalgebra::Vector3;
use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, Sesamoid, Side, View,
};
use serde::{Deserialize, Serialize};

use crate::{
    bones::bone::BoneName,
    foot::StandingFoot,
    geometry::curve_fit::{fit_circle, fit_ellipse},
    geometry::projection::Projection,
    parameters::FootParameters,
    physics::exposure::Exposure,
    physics::round_object::RoundObject,
    radiograph::{FloorWire, SimulationError},
    truth::silhouette::{Silhouette, turned},
};

/// Everything that is true of a simulated film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FilmTruth {
    /// The direction from which it was taken.
    pub view: View,
    /// How it was taken. Its `pixel_mm` is the size of a pixel at the detector.
    pub exposure: Exposure,
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
    /// The landmarks on the film. Their spread is zero: they are computed, not read.
    pub tracing: FilmTracing,
    /// The places in the foot, in mm (x toward lateral, y toward distal, z up), of those landmarks
    /// that are points of a bone and not of its outline on the film.
    pub places_mm: BTreeMap<Landmark, [f64; 3]>,
}

/// Shares of a bone's length between which its cortices are given.
const CORTICES: (f64, f64) = (0.12, 0.88);

/// How many lines across a shaft give a point of either cortex.
const CORTEX_LINES: u32 = 39;

pub(crate) fn film_truth(
    view: View,
    feet: &[StandingFoot],
    exposure: &Exposure,
    projection: &Projection,
    round_object: Option<RoundObject>,
) -> Result<FilmTruth, SimulationError> {
    let head = feet[0].point_in_room(feet[0].foot.points().head_centre);
    let feet = feet
        .iter()
        .map(|standing| {
            let mut tracer = Tracer {
                view,
                standing,
                projection,
                tracing: FilmTracing::default(),
                places_mm: BTreeMap::new(),
            };
            match view {
                View::Ap => tracer.trace_ap()?,
                View::Lateral => tracer.trace_lateral()?,
            }
            Ok(FootTruth {
                side: standing.foot.side(),
                parameters: *standing.foot.parameters(),
                tracing: tracer.tracing,
                places_mm: tracer.places_mm,
            })
        })
        .collect::<Result<Vec<FootTruth>, SimulationError>>()?;
    Ok(FilmTruth {
        view,
        exposure: *exposure,
        magnification_at_first_metatarsal_head: projection.magnification(head.into()),
        round_object: round_object.map(|object| {
            let (centre, diameter_px) = object.shadow(projection);
            RoundObjectTruth {
                diameter_mm: object.diameter_mm(),
                centre,
                diameter_px,
            }
        }),
        feet,
    })
}

/// Places one foot's landmarks on one film.
struct Tracer<'a> {
    view: View,
    standing: &'a StandingFoot,
    projection: &'a Projection,
    tracing: FilmTracing,
    places_mm: BTreeMap<Landmark, [f64; 3]>,
}

impl Tracer<'_> {
    fn trace_ap(&mut self) -> Result<(), SimulationError> {
        for bone in LongBone::ALL {
            self.trace_long_bone(bone)?;
        }
        let [medial, lateral] = self.standing.foot.points().articular_ends;
        self.place_of_foot(Landmark::ArticularMedial, medial);
        self.place_of_foot(Landmark::ArticularLateral, lateral);
        self.trace_head(medial, lateral)?;
        for sesamoid in Sesamoid::ALL {
            self.trace_sesamoid(sesamoid)?;
        }
        Ok(())
    }

    fn trace_lateral(&mut self) -> Result<(), SimulationError> {
        self.trace_long_bone(LongBone::M1)?;
        let head = self.standing.foot.bone(BoneName::Long(LongBone::M1));
        let [dorsal, plantar] = [7.5, -7.0].map(|v| {
            let centre = self.standing.foot.points().head_centre;
            let local = head.frame.bone_from_foot(centre) + Vector3::new(0.0, v, 6.0);
            head.frame.foot_from_bone(local)
        });
        self.trace_head(dorsal, plantar)?;
        let [posterior, anterior] = self.standing.foot.points().talus_axis;
        self.place_of_foot(Landmark::TalusPosterior, posterior);
        self.place_of_foot(Landmark::TalusAnterior, anterior);
        self.trace_calcaneus()?;
        for (landmark, y_mm) in [
            (Landmark::FloorPosterior, -95.0),
            (Landmark::FloorAnterior, 70.0),
        ] {
            let place = FloorWire::place(y_mm);
            self.put(landmark, self.projection.project(place));
            self.places_mm.insert(landmark, place);
        }
        Ok(())
    }

    fn put(&mut self, landmark: Landmark, at: FilmPoint) {
        let placed = PlacedPoint {
            at,
            sd_px: 0.0,
            origin: Origin::Derived,
        };
        self.tracing.points.insert(landmark, placed);
    }

    fn place_of_foot(&mut self, landmark: Landmark, place: Vector3<f64>) {
        self.put(landmark, self.project(place));
        self.places_mm.insert(landmark, place.into());
    }

    fn project(&self, place: Vector3<f64>) -> FilmPoint {
        self.projection
            .project(self.standing.point_in_room(place).into())
    }

    fn silhouette(&self, name: BoneName) -> Silhouette<'_> {
        let bone = self.standing.foot.bone(name);
        Silhouette::new(bone, self.standing, self.projection)
    }

    const fn lost(&self, bone: BoneName) -> SimulationError {
        SimulationError::Outline {
            bone,
            view: self.view,
        }
    }

    /// Base, tip, the ends of the stroke and both cortices of a bone.
    fn trace_long_bone(&mut self, bone: LongBone) -> Result<(), SimulationError> {
        let name = BoneName::Long(bone);
        let [base, end] = self.standing.foot.axis(bone).map(Vector3::from);
        let (from, to) = (self.project(base), self.project(end));
        let along = direction(from, to);
        let outline = self.silhouette(name);
        let tip = outline
            .farthest(from.toward(to, 0.8), along)
            .ok_or_else(|| self.lost(name))?;
        let mut cortices = Cortices {
            one: Vec::new(),
            two: Vec::new(),
            sd_px: 0.0,
            origin: Origin::Derived,
        };
        for line in 0..CORTEX_LINES {
            let share = f64::from(line) / f64::from(CORTEX_LINES - 1);
            let middle = from.toward(to, CORTICES.0 + share * (CORTICES.1 - CORTICES.0));
            for (edge, turn) in [(&mut cortices.one, 1.0), (&mut cortices.two, -1.0)] {
                let across = turned(along, turn * std::f64::consts::FRAC_PI_2);
                edge.push(
                    outline
                        .edge(middle, across)
                        .ok_or_else(|| self.lost(name))?,
                );
            }
        }
        self.tracing.cortices.insert(bone, cortices);
        self.place_of_foot(Landmark::BaseCentre(bone), base);
        self.put(Landmark::Tip(bone), tip);
        self.put(Landmark::ShaftStart(bone), from.toward(to, CORTICES.0));
        self.put(Landmark::ShaftEnd(bone), from.toward(to, CORTICES.1));
        Ok(())
    }

    /// The circle fitted to the outline of the first metatarsal head between the ends of its joint
    /// surface.
    fn trace_head(
        &mut self,
        one: Vector3<f64>,
        other: Vector3<f64>,
    ) -> Result<(), SimulationError> {
        let name = BoneName::Long(LongBone::M1);
        let centre = self.project(self.standing.foot.points().head_centre);
        let toward_one = direction(centre, self.project(one));
        let toward_other = direction(centre, self.project(other));
        let middle = [
            toward_one[0] + toward_other[0],
            toward_one[1] + toward_other[1],
        ];
        let length = middle[0].hypot(middle[1]);
        let opening = (toward_one[0] * toward_other[1] - toward_one[1] * toward_other[0])
            .abs()
            .atan2(toward_one[0] * toward_other[0] + toward_one[1] * toward_other[1]);
        // The rounded corners at both ends belong to no circle.
        let circle = self
            .silhouette(name)
            .fan(centre, middle.map(|part| part / length), 0.8 * opening, 61)
            .and_then(|contour| fit_circle(&contour))
            .ok_or_else(|| self.lost(name))?;
        self.put(Landmark::HeadCentre, circle.centre);
        let up = middle.map(|part| part / length * circle.radius_px);
        self.put(
            Landmark::HeadEdge,
            FilmPoint::new(circle.centre.x_px + up[0], circle.centre.y_px + up[1]),
        );
        Ok(())
    }

    fn trace_sesamoid(&mut self, sesamoid: Sesamoid) -> Result<(), SimulationError> {
        let name = BoneName::Sesamoid(sesamoid);
        let centre = self.project(self.standing.foot.bone(name).frame.origin);
        let ellipse = self
            .silhouette(name)
            .fan(centre, [1.0, 0.0], std::f64::consts::TAU, 73)
            .and_then(|outline| fit_ellipse(&outline))
            .ok_or_else(|| self.lost(name))?;
        let [middle, long, short] = Landmark::of_sesamoid(sesamoid);
        self.put(middle, ellipse.centre);
        self.put(long, ellipse.long_end);
        self.put(short, ellipse.short_end);
        Ok(())
    }

    /// The two points on which a ruler laid along the plantar outline of the calcaneus rests.
    fn trace_calcaneus(&mut self) -> Result<(), SimulationError> {
        let name = BoneName::Calcaneus;
        let bone = self.standing.foot.bone(name);
        let outline = self.silhouette(name);
        let plantar = (2..=49)
            .map(|step| {
                let within = Vector3::new(0.0, -2.0, 1.5 * f64::from(step));
                outline.edge(self.project(bone.frame.foot_from_bone(within)), [0.0, 1.0])
            })
            .collect::<Option<Vec<FilmPoint>>>()
            .ok_or_else(|| self.lost(name))?;
        let (posterior, anterior) = resting_points(&plantar).ok_or_else(|| self.lost(name))?;
        self.put(Landmark::CalcaneusPosterior, posterior);
        self.put(Landmark::CalcaneusAnterior, anterior);
        Ok(())
    }
}

/// The pair of points, farthest apart, between which no point of a line of points lies lower on the
/// film than the straight line through the two, within a hundredth of a pixel.
fn resting_points(line: &[FilmPoint]) -> Option<(FilmPoint, FilmPoint)> {
    let mut best: Option<(f64, FilmPoint, FilmPoint)> = None;
    for (index, first) in line.iter().enumerate() {
        for second in &line[index + 1..] {
            let width = second.x_px - first.x_px;
            if width.abs() < 1e-6 {
                continue;
            }
            let slope = (second.y_px - first.y_px) / width;
            let is_support = line
                .iter()
                .all(|point| point.y_px <= first.y_px + slope * (point.x_px - first.x_px) + 0.01);
            let length = first.distance_px(*second);
            if is_support && best.is_none_or(|known| length > known.0) {
                best = Some((length, *first, *second));
            }
        }
    }
    best.map(|(_, first, second)| (first, second))
}

/// The unit vector from one film point to another.
fn direction(from: FilmPoint, to: FilmPoint) -> [f64; 2] {
    let length = from.distance_px(to);
    [
        (to.x_px - from.x_px) / length,
        (to.y_px - from.y_px) / length,
    ]
}
