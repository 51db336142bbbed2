//! From what a network sees of a bone to the landmarks of a tracing.

use plumbray_anatomy::{
    Cortices, FilmPoint, HEAD_SURFACE_REACH, Landmark, LongBone, Origin, PlacedPoint, Sesamoid,
    View,
};
use plumbray_film::GreyView;
use plumbray_trace::refine_cortices;

use crate::{
    corners::corners,
    head_centre::{Place, balanced},
    look::{Look, Mask, Part, shows},
    proposal::Doubt,
    spread::{
        CortexSpread, PROXIMAL_BESIDE_METAL_MM, corner_spread_mm, cortex_spread, point_spread_mm,
    },
};

/// Some landmarks with their doubts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Found {
    pub(crate) points: Vec<(Landmark, PlacedPoint)>,
    pub(crate) cortices: Option<(LongBone, Cortices)>,
    pub(crate) doubts: Vec<(Landmark, Doubt)>,
    pub(crate) left: Vec<(Landmark, Doubt)>,
}

/// One look, ready to be asked for landmarks on its film.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bones<'a> {
    pub(crate) look: &'a Look,
    pub(crate) film: &'a GreyView<'a>,
    pub(crate) origin: Origin,
}

/// The part of a bone's length along which its cortices are followed.
const FOLLOWED: (f64, f64) = (0.06, 0.94);
/// Distance between the places along a bone at which its cortices are looked for, in millimetres.
const STEP_MM: f64 = 0.5;
/// A cortex farther from the middle than this share of the bone's length is another bone's.
const WIDEST_SHARE: f64 = 0.6;
/// A bone of whose length less than this share has two cortices is left to the reader.
const LEAST_FOLLOWED: f64 = 0.7;
/// Below this share a followed bone is doubtful.
const CLEARLY_FOLLOWED: f64 = 0.92;
/// Cortices that end less steeply than this (scores to the millimetre) are faint.
const FAINT_STEEPNESS: f64 = 1.5;

impl Bones<'_> {
    fn on_film(&self, at: [f64; 2]) -> FilmPoint {
        self.film.proportions.film(self.look.map.film(at))
    }

    /// The place on the picture, in millimetres from its middle, of a place on the film.
    pub(crate) fn on_picture(&self, at: FilmPoint) -> [f64; 2] {
        self.look.map.picture(self.film.proportions.physical(at))
    }

    /// A length of the usual foot's millimetres in pixel widths.
    fn pixels(&self, millimetres: f64) -> f64 {
        millimetres * self.look.map.scale()
    }

    fn placed(&self, at: [f64; 2], sd_mm: f64) -> PlacedPoint {
        PlacedPoint {
            at: self.on_film(at),
            sd_px: self.pixels(sd_mm),
            origin: self.origin,
        }
    }

    /// The spread of a point that was seen with a spread, on this film.
    fn point_spread_mm(&self, landmark: Landmark, seen_mm: f64) -> f64 {
        self.look.unfamiliarity * point_spread_mm(self.look.view, landmark, seen_mm)
    }

    /// The spread of a cortex that ends so steeply, on this film. The network and the edges of the film bear
    /// witness to it, and only the one of them is less sure of an unfamiliar film: that adds to the variance.
    fn cortex_spread(&self, bone: LongBone, steepness: f64) -> CortexSpread {
        let usual = cortex_spread(self.look.view, bone, steepness);
        let unfamiliar = self.look.unfamiliarity.sqrt();
        CortexSpread {
            whole_mm: unfamiliar * usual.whole_mm,
            together_mm: unfamiliar * usual.together_mm,
        }
    }

    /// The spread of the proximal part of the first metatarsal's cortices where metal lies on the bone; nothing
    /// elsewhere. Beside metal the film's edges are those of screws and of a moved fragment: that they turn the
    /// bone says nothing of its proximal shaft, which the network alone has then to find.
    fn proximal_sd_px(&self, bone: LongBone, spread: &CortexSpread) -> Option<f64> {
        let is_disturbed = bone == LongBone::M1 && self.look.has_metal;
        is_disturbed.then(|| {
            let alone_mm = self.look.unfamiliarity.sqrt() * PROXIMAL_BESIDE_METAL_MM;
            self.pixels(spread.whole_mm.hypot(alone_mm))
        })
    }

    /// A single point, with its doubt; left to the reader when it is not on the film.
    pub(crate) fn point(&self, landmark: Landmark) -> Found {
        let mut found = Found::default();
        let Some(seen) = self.look.points.get(&landmark) else {
            return found;
        };
        match seen.doubt {
            Some(doubt @ (Doubt::AtTheEdge | Doubt::Ambiguous)) => {
                found.left.push((landmark, doubt));
                return found;
            }
            Some(doubt) => found.doubts.push((landmark, doubt)),
            None => {}
        }
        let sd_mm = self.point_spread_mm(landmark, seen.spread_mm);
        found.points.push((landmark, self.placed(seen.at, sd_mm)));
        found
    }

    /// A long bone: its two ends and its cortices.
    pub(crate) fn long_bone(&self, bone: LongBone) -> Found {
        let mut found = Found::default();
        let ends = [Landmark::BaseCentre(bone), Landmark::Tip(bone)];
        for end in ends {
            found.add(self.point(end));
        }
        let both = self.look.point(ends[0]).zip(self.look.point(ends[1]));
        let shaft = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
        let Some((base, tip)) = both else {
            let doubt = found.left.first().map_or(Doubt::Faint, |left| left.1);
            found.left.extend(shaft.map(|landmark| (landmark, doubt)));
            return found;
        };
        let Some(mask) = self.look.masks.get(&Part::Long(bone)) else {
            return found;
        };
        if self.look.view == View::Ap {
            found
                .points
                .extend(self.corners(bone, mask, [base.at, tip.at]));
        }
        let followed = Followed::along(mask, base.at, tip.at);
        let line = |side: &[[f64; 2]]| -> Vec<FilmPoint> {
            side.iter().map(|at| self.on_film(*at)).collect()
        };
        let seen = [line(&followed.one), line(&followed.two)];
        if let Some(doubt) = self.why_no_shaft(&followed, &seen) {
            found.left.extend(shaft.map(|landmark| (landmark, doubt)));
            return found;
        }
        if followed.share < CLEARLY_FOLLOWED || followed.steepness < FAINT_STEEPNESS {
            found
                .doubts
                .extend(shaft.map(|landmark| (landmark, Doubt::Faint)));
        }
        if bone == LongBone::M1 && self.look.has_metal {
            let metal = shaft.map(|landmark| (landmark, Doubt::Metal));
            found.doubts.extend(metal);
        }
        let edges = self.film_edges(seen);
        let [one, two] = edges.cortices;
        let length_mm = (tip.at[0] - base.at[0]).hypot(tip.at[1] - base.at[1]);
        // At the quarters of the bone, where its axis is taken.
        let disagreement_mm = edges.turned.sin().abs() * 0.25 * length_mm;
        let spread = self.cortex_spread(bone, followed.steepness);
        found.cortices = Some((
            bone,
            Cortices {
                one,
                two,
                // Two ways of looking that disagree turn the bone.
                sd_px: self.pixels(spread.whole_mm.hypot(disagreement_mm)),
                together_sd_px: self.pixels(spread.together_mm),
                proximal_sd_px: self.proximal_sd_px(bone, &spread),
                origin: self.origin,
            },
        ));
        found
    }

    /// The outermost places of a bone's base and head, those that the film reaches.
    fn corners(
        &self,
        bone: LongBone,
        mask: &Mask,
        [base, tip]: [[f64; 2]; 2],
    ) -> Vec<(Landmark, PlacedPoint)> {
        corners(bone, mask, base, tip)
            .into_iter()
            .filter(|corner| shows(self.film, self.on_film(corner.at)))
            .map(|corner| {
                let sd_mm =
                    self.look.unfamiliarity * corner_spread_mm(corner.landmark, corner.steepness);
                (corner.landmark, self.placed(corner.at, sd_mm))
            })
            .collect()
    }

    /// Why cortices that were followed on the picture are none on the film.
    fn why_no_shaft(&self, followed: &Followed, seen: &[Vec<FilmPoint>; 2]) -> Option<Doubt> {
        if followed.share < LEAST_FOLLOWED || followed.one.len() < LEAST_PLACES {
            return Some(Doubt::Faint);
        }
        let is_shown = seen.iter().flatten().all(|at| shows(self.film, *at));
        (!is_shown).then_some(Doubt::AtTheEdge)
    }

    /// Both cortices moved to the edges of the film next to them. On a film from above the film knows
    /// them better than a network that has seen other bones; but where that would turn the bone or move a
    /// place by much, something else was caught: a screw, or a neighbour. From the side, bones lie on one
    /// another.
    fn film_edges(&self, seen: [Vec<FilmPoint>; 2]) -> Edges {
        let refined = (self.look.view == View::Ap)
            .then(|| refine_cortices(self.film, [&seen[0], &seen[1]]))
            .flatten()
            .map(|refined| [refined.one, refined.two]);
        let turned = refined
            .as_ref()
            .and_then(|refined| Some(self.direction(refined)? - self.direction(&seen)?))
            .unwrap_or(0.0);
        let is_followed = turned.sin().abs() < MOST_TURNED.sin();
        let most_moved = self.pixels(MOST_MOVED_MM);
        let is_near = |refined: &[Vec<FilmPoint>; 2]| {
            refined.iter().zip(&seen).all(|(line, seen)| {
                line.iter()
                    .all(|at| seen.iter().any(|near| near.distance_px(*at) < most_moved))
            })
        };
        Edges {
            cortices: refined
                .filter(|refined| is_followed && is_near(refined))
                .unwrap_or(seen),
            turned,
        }
    }

    /// The direction of the middle between two cortices, from a quarter of the way to three quarters, in
    /// radians.
    fn direction(&self, cortices: &[Vec<FilmPoint>; 2]) -> Option<f64> {
        let middle = |share: f64| {
            let [one, two] = cortices.each_ref().map(|line| {
                let index = (share * line.len() as f64) as usize;
                line.get(index)
                    .map(|at| self.film.proportions.physical(*at))
            });
            Some(one?.midpoint(two?))
        };
        let way = middle(0.75)? - middle(0.25)?;
        Some(way.y.atan2(way.x))
    }

    /// The head of the first metatarsal: its centre, and a point of its edge.
    pub(crate) fn head(&self) -> Found {
        let mut found = self.point(Landmark::HeadCentre);
        if let Some(at) = self.head_centre() {
            for (_, placed) in &mut found.points {
                placed.at = self.on_film(at);
            }
        }
        let radius = self.head_radius();
        let is_placed = !found.points.is_empty();
        match radius.filter(|_| is_placed) {
            Some((edge, spread)) => {
                let sd_mm = self.point_spread_mm(Landmark::HeadEdge, spread);
                let placed = self.placed(edge, sd_mm);
                found.points.push((Landmark::HeadEdge, placed));
            }
            None => {
                let doubt = found.left.first().map_or(Doubt::Faint, |left| left.1);
                found.points.clear();
                found.doubts.clear();
                found.left = vec![(Landmark::HeadCentre, doubt), (Landmark::HeadEdge, doubt)];
            }
        }
        found
    }

    /// The centre of the head, with what both ends of its joint surface say of it.
    fn head_centre(&self) -> Option<[f64; 2]> {
        let place = |landmark| {
            let seen = self.look.point(landmark)?;
            Some(Place {
                at: seen.at,
                sd_mm: self.point_spread_mm(landmark, seen.spread_mm),
            })
        };
        let centre = place(Landmark::HeadCentre)?;
        let ends = [Landmark::ArticularMedial, Landmark::ArticularLateral].map(place);
        Some(match ends {
            [Some(medial), Some(lateral)] => balanced(centre, [medial, lateral]),
            _ => centre.at,
        })
    }

    /// The point of the head's circle toward the bone's tip, and how much the radius differs around.
    fn head_radius(&self) -> Option<([f64; 2], f64)> {
        let centre = self.head_centre()?;
        let tip = self.look.point(Landmark::Tip(LongBone::M1))?.at;
        let mask = self.look.masks.get(&Part::Long(LongBone::M1))?;
        let toward_tip = (tip[1] - centre[1]).atan2(tip[0] - centre[0]);
        let most = 2.0 * (tip[0] - centre[0]).hypot(tip[1] - centre[1]).max(4.0);
        let mut radii: Vec<f64> = (-8..=8)
            .filter_map(|step| {
                let angle = toward_tip + f64::from(step) * HEAD_SURFACE_REACH / 8.0;
                let (way, _) = mask.way_out(centre, [angle.cos(), angle.sin()], most)?;
                Some(way)
            })
            .collect();
        if radii.len() < 12 {
            return None;
        }
        radii.sort_unstable_by(f64::total_cmp);
        let radius = radii[radii.len() / 2];
        let spread = 0.37 * (radii[3 * radii.len() / 4] - radii[radii.len() / 4]);
        let edge = [
            centre[0] + radius * toward_tip.cos(),
            centre[1] + radius * toward_tip.sin(),
        ];
        Some((edge, spread))
    }

    /// A sesamoid's ellipse.
    pub(crate) fn sesamoid(&self, sesamoid: Sesamoid) -> Found {
        let landmarks = Landmark::of_sesamoid(sesamoid);
        let mut found = Found::default();
        let centre = landmarks[0];
        let Some(seen) = self.look.points.get(&centre) else {
            return found;
        };
        let ellipse = self
            .look
            .masks
            .get(&Part::Sesamoid(sesamoid))
            .and_then(|mask| mask.ellipse(seen.at));
        let lost = match (seen.doubt, &ellipse) {
            (Some(doubt @ (Doubt::AtTheEdge | Doubt::Ambiguous)), _) => Some(doubt),
            (_, None) => Some(Doubt::Faint),
            _ => None,
        };
        let Some(ellipse) = ellipse.filter(|_| lost.is_none()) else {
            let doubt = lost.unwrap_or(Doubt::Faint);
            found
                .left
                .extend(landmarks.map(|landmark| (landmark, doubt)));
            return found;
        };
        let apart = (ellipse.middle[0] - seen.at[0]).hypot(ellipse.middle[1] - seen.at[1]);
        let doubt = if apart > SESAMOID_APART_MM {
            Some(Doubt::Ambiguous)
        } else if !(SESAMOID_AREA_MM2.0..SESAMOID_AREA_MM2.1).contains(&ellipse.area_mm2) {
            Some(Doubt::Implausible)
        } else if ellipse.sureness < SESAMOID_SURE {
            Some(Doubt::Faint)
        } else {
            seen.doubt
        };
        found.doubts.extend(doubt.map(|doubt| (centre, doubt)));
        let [x, y] = ellipse.middle;
        let places = [
            ellipse.middle,
            [x + ellipse.long[0], y + ellipse.long[1]],
            [x + ellipse.short[0], y + ellipse.short[1]],
        ];
        for (landmark, at) in landmarks.into_iter().zip(places) {
            let sd_mm = self.point_spread_mm(landmark, seen.spread_mm.hypot(0.5 * apart));
            found.points.push((landmark, self.placed(at, sd_mm)));
        }
        found
    }
}

/// The edges of the film may turn a bone by 0.8° against what the network sees, in radians.
const MOST_TURNED: f64 = 0.014;
/// The edges of the film may lie so far from what the network sees, in millimetres of the usual foot.
const MOST_MOVED_MM: f64 = 1.1;
/// Cortices of fewer places than this are no shaft.
const LEAST_PLACES: usize = 12;
/// Two ways of finding a sesamoid that differ by more than this, in millimetres, are a doubt.
const SESAMOID_APART_MM: f64 = 1.8;
/// A sesamoid's usual area, about 60 to 120 square millimetres (from memory), with much room.
const SESAMOID_AREA_MM2: (f64, f64) = (25.0, 220.0);
/// Below this mean sureness a sesamoid is faint.
const SESAMOID_SURE: f64 = 0.8;

impl Found {
    pub(crate) fn add(&mut self, other: Self) {
        self.points.extend(other.points);
        self.doubts.extend(other.doubts);
        self.left.extend(other.left);
        if other.cortices.is_some() {
            self.cortices = other.cortices;
        }
    }
}

/// Both cortices on the film.
struct Edges {
    cortices: [Vec<FilmPoint>; 2],
    /// By how much the film's edges turn the bone against what the network sees, in radians: the two ways
    /// of looking disagree by so much, whichever is followed.
    turned: f64,
}

/// Both cortices of a bone, in millimetres from the middle of the picture.
struct Followed {
    one: Vec<[f64; 2]>,
    two: Vec<[f64; 2]>,
    /// The share of places along the bone at which both were found.
    share: f64,
    /// How steeply the inside ends, in scores to the millimetre: the median.
    steepness: f64,
}

impl Followed {
    fn along(mask: &Mask, base: [f64; 2], tip: [f64; 2]) -> Self {
        let length = (tip[0] - base[0]).hypot(tip[1] - base[1]).max(1e-6);
        let along = [(tip[0] - base[0]) / length, (tip[1] - base[1]) / length];
        let across = [-along[1], along[0]];
        let first = (FOLLOWED.0 * length / STEP_MM).ceil() as usize;
        let last = (FOLLOWED.1 * length / STEP_MM).floor() as usize;
        let (mut one, mut two, mut steepness) = (Vec::new(), Vec::new(), Vec::new());
        for index in first..=last {
            let way = index as f64 * STEP_MM;
            let middle = [base[0] + way * along[0], base[1] + way * along[1]];
            let reach = WIDEST_SHARE * length;
            let back = [-across[0], -across[1]];
            let sides = mask
                .way_out(middle, back, reach)
                .zip(mask.way_out(middle, across, reach));
            let Some(((before, steep), (after, steep_too))) = sides else {
                continue;
            };
            let place = |way: f64| [middle[0] + way * across[0], middle[1] + way * across[1]];
            one.push(place(-before));
            two.push(place(after));
            steepness.extend([steep, steep_too]);
        }
        steepness.sort_unstable_by(f64::total_cmp);
        Self {
            share: one.len() as f64 / (last.saturating_sub(first) + 1) as f64,
            steepness: steepness.get(steepness.len() / 2).copied().unwrap_or(0.0),
            one,
            two,
        }
    }
}
