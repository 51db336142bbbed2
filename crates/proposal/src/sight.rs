//! What the program sees on a film before anybody points at it.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Origin, Sesamoid, Side, View};
use plumbray_film::GreyView;
use plumbray_trace::Stroke;

use crate::{
    bones::{Bones, Found},
    hints::Hints,
    look::{Look, PIXEL_MM},
    network::Networks,
    picture::SmallFilm,
    proposal::{Doubt, Proposal, ProposalError},
    whereabouts::{Whereabouts, whereabouts},
};

/// What was seen on one film: made once per film, then asked as often as is needed.
#[derive(Debug)]
pub struct Sight {
    /// One for each foot, from left to right on the film.
    looks: Vec<Look>,
}

/// A film smaller than this to a side shows no foot well enough.
const SMALLEST_SIDE_PX: usize = 64;
/// A foot that is recognised as well as this is not looked for on the film's negative.
const CLEAR_SHARE: f64 = 0.7;

impl Sight {
    /// Looks at a film. Takes up to two seconds; belongs on a worker's thread.
    ///
    /// # Errors
    /// When no foot is recognised, or the film cannot be looked at; the message says what to do.
    pub fn of(film: &GreyView<'_>) -> Result<Self, ProposalError> {
        let is_whole = film.samples.len() >= film.width.saturating_mul(film.height);
        if film.width < SMALLEST_SIDE_PX || film.height < SMALLEST_SIDE_PX || !is_whole {
            return Err(ProposalError::FilmTooSmall);
        }
        let networks = Networks::of_this_program()?;
        let (is_turned_over, feet) = feet_on(film, networks)?;
        let Some(first) = feet.first() else {
            return Err(ProposalError::NoFoot);
        };
        let step = (0.7 * PIXEL_MM * first.map.scale()) as usize;
        let small = SmallFilm::of(film, step, is_turned_over);
        let mut looks = feet
            .iter()
            .map(|foot| Look::at(&small, foot, networks))
            .collect::<Result<Vec<Look>, _>>()?;
        for look in &mut looks {
            look.leave_what_lies_off(film);
        }
        looks.sort_by(|one, two| one.map.middle().x.total_cmp(&two.map.middle().x));
        Ok(Self { looks })
    }

    /// The view of the foot or feet on the film: two are seen from above only.
    #[must_use]
    pub fn view(&self) -> Option<View> {
        self.looks.first().map(|look| look.view)
    }

    /// What is proposed without any click: one for each foot, from left to right on the film.
    #[must_use]
    pub fn proposals(&self, film: &GreyView<'_>) -> Vec<Proposal> {
        self.looks
            .iter()
            .map(|look| {
                let bones = bones(look, film, Origin::Proposed);
                let mut proposal = empty(look);
                for found in everything(&bones) {
                    proposal.add(found);
                }
                proposal
            })
            .collect()
    }

    /// Traces what the hints point at, and nothing else. Takes milliseconds.
    ///
    /// A hint far from where its landmark is seen is not followed: the landmark is left to the reader with
    /// [`Doubt::FarFromHint`].
    #[must_use]
    pub fn traced(&self, film: &GreyView<'_>, view: View, hints: &Hints) -> Proposal {
        let nearest = self
            .looks
            .iter()
            .filter(|look| look.view == view)
            .map(|look| bones(look, film, Origin::Snapped))
            .min_by(|one, two| mismatch_mm(one, hints).total_cmp(&mismatch_mm(two, hints)));
        let Some(bones) = nearest else {
            return Proposal {
                view,
                side: None,
                tracing: FilmTracing::default(),
                doubts: BTreeMap::new(),
                left_to_reader: hints
                    .points
                    .keys()
                    .map(|hint| (*hint, Doubt::Faint))
                    .collect(),
            };
        };
        let mut proposal = empty(bones.look);
        for (landmark, at) in &hints.points {
            if let Some(found) = asked_for(&bones, hints, *landmark, *at) {
                proposal.add(found);
            }
        }
        proposal
    }
}

/// The feet on a film, taken as it is or as its negative, whichever shows a foot more clearly.
fn feet_on(
    film: &GreyView<'_>,
    networks: &Networks,
) -> Result<(bool, Vec<Whereabouts>), ProposalError> {
    let as_it_is = whereabouts(film, false, networks)?;
    let share = |feet: &[Whereabouts]| feet.first().map_or(0.0, |foot| foot.share);
    if share(&as_it_is) >= CLEAR_SHARE {
        return Ok((false, as_it_is));
    }
    let negative = whereabouts(film, true, networks)?;
    Ok(if share(&negative) > share(&as_it_is) {
        (true, negative)
    } else {
        (false, as_it_is)
    })
}

fn bones<'a>(look: &'a Look, film: &'a GreyView<'a>, origin: Origin) -> Bones<'a> {
    Bones { look, film, origin }
}

fn empty(look: &Look) -> Proposal {
    let side = match (look.view, look.map.is_mirrored()) {
        (View::Lateral, _) => None,
        (View::Ap, false) => Some(Side::Right),
        (View::Ap, true) => Some(Side::Left),
    };
    Proposal {
        view: look.view,
        side,
        tracing: FilmTracing::default(),
        doubts: BTreeMap::new(),
        left_to_reader: BTreeMap::new(),
    }
}

/// Everything that a look of its view can tell.
fn everything(bones: &Bones<'_>) -> Vec<Found> {
    match bones.look.view {
        View::Ap => LongBone::ALL
            .into_iter()
            .map(|bone| bones.long_bone(bone))
            .chain([
                bones.head(),
                bones.point(Landmark::ArticularMedial),
                bones.point(Landmark::ArticularLateral),
            ])
            .chain(Sesamoid::ALL.map(|sesamoid| bones.sesamoid(sesamoid)))
            .collect(),
        View::Lateral => [bones.long_bone(LongBone::M1), bones.head()]
            .into_iter()
            .chain(LATERAL_POINTS.map(|landmark| bones.point(landmark)))
            .collect(),
    }
}

const LATERAL_POINTS: [Landmark; 6] = [
    Landmark::TalusPosterior,
    Landmark::TalusAnterior,
    Landmark::CalcaneusPosterior,
    Landmark::CalcaneusAnterior,
    Landmark::FloorPosterior,
    Landmark::FloorAnterior,
];

/// A click farther from what is seen than this, in millimetres of the usual foot, meant something else: a
/// hand that misses by 3 mm in each direction is off by as much once in three thousand times.
const FARTHEST_CLICK_MM: f64 = 12.0;
/// A stroke's end may lie so far beside the bone's line.
const FARTHEST_BESIDE_MM: f64 = 12.0;

/// What a hint asks for, or why it is not followed. Nothing for a hint that belongs to another one.
fn asked_for(bones: &Bones<'_>, hints: &Hints, landmark: Landmark, at: FilmPoint) -> Option<Found> {
    let is_near = match landmark {
        Landmark::ShaftStart(bone) => lies_along(bones, bone, &hints.stroke(bone)?),
        Landmark::ShaftEnd(_)
        | Landmark::HeadEdge
        | Landmark::OsteotomyLevel
        | Landmark::SesamoidLongEnd(_)
        | Landmark::SesamoidShortEnd(_) => return None,
        _ => distance_mm(bones, landmark, at).is_some_and(|away| away <= farthest_mm(landmark)),
    };
    if !is_near {
        return Some(Found {
            left: vec![(landmark, Doubt::FarFromHint)],
            ..Found::default()
        });
    }
    Some(match landmark {
        Landmark::ShaftStart(bone) => bones.long_bone(bone),
        Landmark::HeadCentre => bones.head(),
        Landmark::SesamoidCentre(sesamoid) => bones.sesamoid(sesamoid),
        other => bones.point(other),
    })
}

/// Points on a line may lie anywhere along it.
const fn farthest_mm(landmark: Landmark) -> f64 {
    match landmark {
        Landmark::FloorPosterior | Landmark::FloorAnterior => 40.0,
        Landmark::TalusPosterior | Landmark::TalusAnterior => 15.0,
        _ => FARTHEST_CLICK_MM,
    }
}

/// How far from where a landmark is seen a place on the film lies, in millimetres of the usual foot.
fn distance_mm(bones: &Bones<'_>, landmark: Landmark, at: FilmPoint) -> Option<f64> {
    let seen = bones.look.points.get(&landmark)?;
    let [x, y] = bones.on_picture(at);
    Some((x - seen.at[0]).hypot(y - seen.at[1]))
}

/// Whether a stroke lies along a bone, in either direction.
fn lies_along(bones: &Bones<'_>, bone: LongBone, stroke: &Stroke) -> bool {
    let look = bones.look;
    let seen = look
        .point(Landmark::BaseCentre(bone))
        .zip(look.point(Landmark::Tip(bone)));
    let Some((base, tip)) = seen else {
        return false;
    };
    let way = [tip.at[0] - base.at[0], tip.at[1] - base.at[1]];
    let length = way[0].hypot(way[1]).max(1e-6);
    [stroke.from, stroke.to].into_iter().all(|end| {
        let [x, y] = bones.on_picture(end);
        let (x, y) = (x - base.at[0], y - base.at[1]);
        let along = (x * way[0] + y * way[1]) / length;
        let beside = (x * way[1] - y * way[0]).abs() / length;
        beside <= FARTHEST_BESIDE_MM
            && along > -FARTHEST_CLICK_MM
            && along < length + FARTHEST_CLICK_MM
    })
}

/// How far the hints lie from what a look shows, on average: tells two feet apart.
fn mismatch_mm(bones: &Bones<'_>, hints: &Hints) -> f64 {
    let distances: Vec<f64> = hints
        .points
        .iter()
        .filter_map(|(landmark, at)| {
            let nearby = match landmark {
                Landmark::ShaftStart(bone) => Landmark::BaseCentre(*bone),
                Landmark::ShaftEnd(bone) => Landmark::Tip(*bone),
                other => *other,
            };
            distance_mm(bones, nearby, *at)
        })
        .collect();
    distances.iter().sum::<f64>() / distances.len().max(1) as f64
}

impl Proposal {
    fn add(&mut self, found: Found) {
        self.tracing.points.extend(found.points);
        self.tracing.cortices.extend(found.cortices);
        self.doubts.extend(found.doubts);
        self.left_to_reader.extend(found.left);
    }
}
