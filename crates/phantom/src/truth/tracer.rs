//! Traces a foot on a film as a perfect reader would, from its geometry.

mod outermost;

use std::collections::BTreeMap;

use nalgebra::Vector3;
use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, Sesamoid, View,
};

use crate::{
    bones::bone::{Bone, BoneName},
    foot::StandingFoot,
    geometry::curve_fit::{fit_circle, fit_ellipse},
    geometry::projection::Projection,
    radiograph::{FloorWire, SimulationError},
    truth::parts::{Stretch, axis, parts},
    truth::polyline::resting_points,
    truth::rounding::{film_place, rounded},
    truth::silhouette::{Silhouette, turned},
};

/// Shares of a bone's length between which its cortices are given.
const CORTICES: (f64, f64) = (0.12, 0.88);

/// How many lines across a shaft give a point of either cortex.
const CORTEX_LINES: u32 = 39;

/// What is true of one foot on one film.
#[derive(Clone, Debug, Default)]
pub(crate) struct Traced {
    /// The landmarks and cortices.
    pub(crate) tracing: FilmTracing,
    /// Places in the foot of landmarks that are points of a bone, in mm.
    pub(crate) places_mm: BTreeMap<Landmark, [f64; 3]>,
    /// Projected outlines and other contours, by name.
    pub(crate) contours_px: BTreeMap<String, Vec<[f64; 2]>>,
}

/// Traces a foot on a film.
///
/// # Errors
/// [`SimulationError::Outline`] when an outline does not fall on the detector as it must.
pub(crate) fn trace(
    view: View,
    standing: &StandingFoot,
    projection: &Projection,
) -> Result<Traced, SimulationError> {
    let mut tracer = Tracer {
        view,
        standing,
        projection,
        traced: Traced::default(),
    };
    match view {
        View::Ap => tracer.trace_ap()?,
        View::Lateral => tracer.trace_lateral()?,
    }
    Ok(tracer.traced)
}

/// Places one foot's landmarks on one film.
struct Tracer<'a> {
    view: View,
    standing: &'a StandingFoot,
    projection: &'a Projection,
    traced: Traced,
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
        self.place_cut();
        for sesamoid in Sesamoid::ALL {
            self.trace_sesamoid(sesamoid)?;
        }
        self.trace_outermost()
    }

    fn trace_lateral(&mut self) -> Result<(), SimulationError> {
        self.trace_long_bone(LongBone::M1)?;
        let head = self.head_bone();
        let [dorsal, plantar] = [7.5, -7.0].map(|v| {
            let centre = self.standing.foot.points().head_centre;
            let local = head.frame.bone_from_foot(centre) + Vector3::new(0.0, v, 6.0);
            head.frame.foot_from_bone(local)
        });
        self.trace_head(dorsal, plantar)?;
        self.place_cut();
        let [posterior, anterior] = self.standing.foot.points().talus_axis;
        self.place_of_foot(Landmark::TalusPosterior, posterior);
        self.place_of_foot(Landmark::TalusAnterior, anterior);
        self.trace_outline(BoneName::Talus, "talus", (posterior + anterior) / 2.0)?;
        self.trace_calcaneus()?;
        let floor = [
            (Landmark::FloorPosterior, -95.0),
            (Landmark::FloorAnterior, 70.0),
        ]
        .map(|(landmark, y_mm)| {
            let place = FloorWire::place(y_mm);
            let at = self.projection.project(place);
            self.put(landmark, at);
            self.keep_place(landmark, place.into());
            at
        });
        self.keep_contour("floor", &floor);
        Ok(())
    }

    /// The bone that carries the first metatarsal's head: its fragment, if it was cut.
    fn head_bone(&self) -> &Bone {
        let foot = &self.standing.foot;
        let whole = foot.bone(BoneName::Long(LongBone::M1));
        parts(foot, whole.name).pop().unwrap_or(whole)
    }

    fn place_cut(&mut self) {
        if let Some(level) = self.standing.foot.points().osteotomy {
            self.place_of_foot(Landmark::OsteotomyLevel, level);
        }
    }

    fn put(&mut self, landmark: Landmark, at: FilmPoint) {
        let placed = PlacedPoint {
            at: film_place(at),
            sd_px: 0.0,
            origin: Origin::Derived,
        };
        self.traced.tracing.points.insert(landmark, placed);
    }

    fn place_of_foot(&mut self, landmark: Landmark, place: Vector3<f64>) {
        self.put(landmark, self.project(place));
        self.keep_place(landmark, place);
    }

    fn keep_place(&mut self, landmark: Landmark, place: Vector3<f64>) {
        let place = <[f64; 3]>::from(place).map(|mm| rounded(mm, 4));
        self.traced.places_mm.insert(landmark, place);
    }

    fn project(&self, place: Vector3<f64>) -> FilmPoint {
        self.projection
            .project(self.standing.point_in_room(place).into())
    }

    fn silhouette(&self, name: BoneName) -> Silhouette<'_> {
        Silhouette::new(
            parts(&self.standing.foot, name),
            self.standing,
            self.projection,
        )
    }

    const fn lost(&self, bone: BoneName) -> SimulationError {
        SimulationError::Outline {
            bone,
            view: self.view,
        }
    }

    fn keep_contour(&mut self, name: &str, points: &[FilmPoint]) {
        let contour = points
            .iter()
            .map(|point| [rounded(point.x_px, 2), rounded(point.y_px, 2)])
            .collect();
        self.traced.contours_px.insert(name.to_owned(), contour);
    }

    /// The whole outline of a bone about a place within it.
    fn trace_outline(
        &mut self,
        bone: BoneName,
        name: &str,
        within: Vector3<f64>,
    ) -> Result<(), SimulationError> {
        let outline = self
            .silhouette(bone)
            .outline(self.project(within))
            .ok_or_else(|| self.lost(bone))?;
        self.keep_contour(name, &outline);
        Ok(())
    }

    /// Base, tip, the ends of the stroke, both cortices and the outline of a bone.
    fn trace_long_bone(&mut self, bone: LongBone) -> Result<(), SimulationError> {
        let name = BoneName::Long(bone);
        let [base, end] = axis(&self.standing.foot, bone);
        let (from, to) = (self.project(base), self.project(end));
        let mut cortices = Cortices {
            one: Vec::new(),
            two: Vec::new(),
            sd_px: 0.0,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Derived,
        };
        let foot = &self.standing.foot;
        let parts = parts(foot, name);
        for (number, part) in parts.iter().enumerate() {
            let [one, two] = self.cortices_of(part).ok_or_else(|| self.lost(name))?;
            cortices.one.extend(one);
            cortices.two.extend(two);
            let (low, high) = Stretch::of(part).whole_mm;
            let middle = Vector3::new(0.0, 0.0, f64::midpoint(low, high));
            let outline = Silhouette::new(vec![*part], self.standing, self.projection)
                .outline(self.project(part.frame.foot_from_bone(middle)))
                .ok_or_else(|| self.lost(name))?;
            let contour = match number {
                0 => bone.identifier().to_owned(),
                _ => format!("{}_fragment", bone.identifier()),
            };
            self.keep_contour(&contour, &outline);
        }
        self.traced.tracing.cortices.insert(bone, cortices);
        let tip = self
            .tip(&parts, direction(from, to))
            .ok_or_else(|| self.lost(name))?;
        self.place_of_foot(Landmark::BaseCentre(bone), base);
        self.put(Landmark::Tip(bone), tip);
        self.put(Landmark::ShaftStart(bone), from.toward(to, CORTICES.0));
        self.put(Landmark::ShaftEnd(bone), from.toward(to, CORTICES.1));
        Ok(())
    }

    /// The most distal point along a direction of the most distal of a bone's parts.
    fn tip(&self, parts: &[&Bone], along: [f64; 2]) -> Option<FilmPoint> {
        let part = parts.last()?;
        let (low, high) = Stretch::of(part).whole_mm;
        let within = f64::midpoint(low.max(0.6 * high), high);
        let within = part.frame.foot_from_bone(Vector3::new(0.0, 0.0, within));
        Silhouette::new(vec![*part], self.standing, self.projection)
            .farthest(self.project(within), along)
    }

    /// Both cortices of a part, on lines square to its own projected axis.
    fn cortices_of(&self, part: &Bone) -> Option<[Vec<FilmPoint>; 2]> {
        let [from, to] = [0.0, part.length_mm]
            .map(|w| self.project(part.frame.foot_from_bone(Vector3::new(0.0, 0.0, w))));
        let along = direction(from, to);
        let clear = Stretch::of(part).clear_mm;
        let first = CORTICES.0.max(clear.0 / part.length_mm);
        let last = CORTICES.1.min(clear.1 / part.length_mm);
        let apart = (CORTICES.1 - CORTICES.0) / f64::from(CORTEX_LINES - 1);
        let silhouette = Silhouette::new(vec![part], self.standing, self.projection);
        let cortex = |turn: f64| {
            let across = turned(along, turn * std::f64::consts::FRAC_PI_2);
            (0..CORTEX_LINES)
                .map(|line| first + f64::from(line) * apart)
                .take_while(|share| *share < last + 1e-9)
                .map(|share| {
                    silhouette
                        .edge(from.toward(to, share), across)
                        .map(film_place)
                })
                .collect::<Option<Vec<FilmPoint>>>()
        };
        Some([cortex(1.0)?, cortex(-1.0)?])
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
        let contour = Silhouette::new(vec![self.head_bone()], self.standing, self.projection)
            .fan(centre, middle.map(|part| part / length), 0.8 * opening, 61)
            .ok_or_else(|| self.lost(name))?;
        let circle = fit_circle(&contour).ok_or_else(|| self.lost(name))?;
        self.keep_contour("m1_head", &contour);
        let place = self.standing.foot.points().head_centre;
        self.keep_place(Landmark::HeadCentre, place);
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
        let place = self.standing.foot.bone(name).frame.origin;
        let ellipse = self
            .silhouette(name)
            .fan(self.project(place), [0.0, -1.0], std::f64::consts::TAU, 73)
            .and_then(|outline| fit_ellipse(&outline))
            .ok_or_else(|| self.lost(name))?;
        let [middle, long, short] = Landmark::of_sesamoid(sesamoid);
        self.put(middle, ellipse.centre);
        self.put(long, ellipse.long_end);
        self.put(short, ellipse.short_end);
        self.trace_outline(name, sesamoid.identifier(), place)
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
        let middle = bone
            .frame
            .foot_from_bone(Vector3::new(0.0, 0.0, bone.length_mm / 2.0));
        self.keep_contour("calcaneus_plantar", &plantar);
        self.put(Landmark::CalcaneusPosterior, posterior);
        self.put(Landmark::CalcaneusAnterior, anterior);
        self.trace_outline(name, "calcaneus", middle)
    }
}

/// The unit vector from one film point to another.
fn direction(from: FilmPoint, to: FilmPoint) -> [f64; 2] {
    let length = from.distance_px(to);
    [
        (to.x_px - from.x_px) / length,
        (to.y_px - from.y_px) / length,
    ]
}
