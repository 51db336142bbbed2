//! The way of a screw through the bone after the cut.

use nalgebra::Vector3;
use plumbray_anatomy::{FilmPoint, PhysicalPoint, View};

use super::{length::ScrewLength, segment::distance_between};
use crate::{
    error::PlanError,
    extent::Length,
    foot_before::BonePlace,
    outline::{Edge, Outline},
    plan::{Plan, Screw},
    undertaking::Undertaking,
};

/// The part of the shaft that counts as its base, as a share of the way from the base's to the head's centre
/// (ours).
const BASE_SHARE: f64 = 0.3;

/// A cortex that a screw crosses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Which one.
    pub cortex: Cortex,
    /// Where, on the AP film.
    pub at: FilmPoint,
    /// How far along the screw, from 0 at its entry to 1 at its tip; a little below 0 where it begins just inside
    /// the cortex, and 1 where its tip only touches it.
    pub share: f64,
}

/// A cortex of the cut bone as the AP film shows it. The faces of the cut are none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cortex {
    /// The medial cortex of the base.
    MedialBase,
    /// The medial cortex of the shaft.
    MedialShaft,
    /// The lateral cortex of the base.
    LateralBase,
    /// The lateral cortex of the shaft.
    LateralShaft,
    /// The joint surface of the base.
    BaseSurface,
    /// The medial cortex of the fragment.
    MedialHead,
    /// The lateral cortex of the fragment.
    LateralHead,
    /// The joint surface of the head.
    HeadSurface,
}

impl Cortex {
    /// The name as a person reads it within a list: "lateral shaft".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::MedialBase => "medial base",
            Self::MedialShaft => "medial shaft",
            Self::LateralBase => "lateral base",
            Self::LateralShaft => "lateral shaft",
            Self::BaseSurface => "joint surface of the base",
            Self::MedialHead => "medial head",
            Self::LateralHead => "lateral head",
            Self::HeadSurface => "joint surface of the head",
        }
    }
}

/// The way of a screw through the bone. Lengths are along the AP film unless they say otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewCourse {
    /// Its ends on each film; nothing on a lateral film that does not serve.
    pub on_film: [Option<[FilmPoint; 2]>; 2],
    /// The cortices that it crosses, in order. One that lies up to its diameter before its entry counts, since a
    /// head may be sunk, and so does one of the fragment that its body touches at its tip.
    pub crossings: Vec<Crossing>,
    /// How much of it lies in the shaft. Its millimetres are along the screw in space where its true length can be
    /// told, so that the parts never exceed the whole.
    pub in_shaft: Length,
    /// How much of it lies in the head's fragment, likewise: its purchase there.
    pub in_fragment: Length,
    /// How long it is.
    pub length: ScrewLength,
    /// Its angle to the shaft in degrees, in space where the lateral film serves.
    pub angle_to_shaft_degrees: f64,
    /// How far from the cut it leaves the shaft's lateral cortex, along that cortex; nothing where it does not.
    pub exit_to_cut: Option<Length>,
    /// How far its entry lies proximal of the shaft's medial corner at the cut.
    pub entry_to_step: Length,
    /// How far its tip lies from the head's joint surface; negative where it lies beyond.
    pub tip_to_joint: Length,
    /// How far its tip lies from the lateral cortex of the head; negative where it lies beyond.
    pub tip_to_lateral_head: Length,
    /// Whether its tip lies within the head's fragment.
    pub tip_is_in_fragment: bool,
    /// The least distance from its axis to that of another screw or wire, in space; nothing where it is the only
    /// one.
    pub to_nearest_other: Option<Length>,
    /// The angle to the plan's first screw in degrees; nothing for that one itself.
    pub angle_to_first_degrees: Option<f64>,
    /// Its diameter.
    pub diameter: Length,
}

/// The ways of all screws of a plan.
pub(crate) fn courses(
    undertaking: &Undertaking,
    plan: &Plan,
) -> Result<Vec<ScrewCourse>, PlanError> {
    let mut courses = plan
        .screws
        .iter()
        .map(|screw| course_of(undertaking, screw))
        .collect::<Result<Vec<_>, _>>()?;
    relate(undertaking, &plan.screws, &mut courses);
    Ok(courses)
}

/// Fills in what depends on the other screws, given all of them with their ways in the same order.
pub(crate) fn relate(undertaking: &Undertaking, screws: &[Screw], courses: &mut [ScrewCourse]) {
    let bone = undertaking.before.ap.length;
    let segments: Vec<[Vector3<f64>; 2]> = screws
        .iter()
        .map(|screw| [screw.entry, screw.tip].map(|place| in_space(place) * bone))
        .collect();
    for (index, course) in courses.iter_mut().enumerate() {
        course.to_nearest_other = segments
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != index)
            .map(|(_, other)| distance_between(segments[index], *other))
            .min_by(f64::total_cmp)
            .map(|distance| undertaking.cut.length(distance));
        course.angle_to_first_degrees = (index > 0).then(|| {
            let direction = |segment: [Vector3<f64>; 2]| segment[1] - segment[0];
            let (first, this) = (direction(segments[0]), direction(segments[index]));
            first
                .cross(&this)
                .norm()
                .atan2(first.dot(&this))
                .to_degrees()
        });
    }
}

/// Lateral, dorsal and along as a vector.
fn in_space(place: BonePlace) -> Vector3<f64> {
    Vector3::new(place.lateral, place.dorsal, place.along)
}

/// A place of the bone on the AP film, across and along in pixel widths.
pub(crate) fn on_ap(undertaking: &Undertaking, place: BonePlace) -> PhysicalPoint {
    let bone = undertaking.before.ap.length;
    PhysicalPoint::new(place.lateral * bone, place.along * bone)
}

/// The way of one screw, without what depends on the others.
pub(crate) fn course_of(
    undertaking: &Undertaking,
    screw: &Screw,
) -> Result<ScrewCourse, PlanError> {
    let cut = &undertaking.cut;
    let diameter = cut.of_width(screw.diameter, "The diameter of a screw")?;
    let [entry, tip] = [screw.entry, screw.tip].map(|place| on_ap(undertaking, place));
    let along = tip - entry;
    let (shaft, fragment) = (&undertaking.shaft, &undertaking.fragment);
    let length = ScrewLength::of(&undertaking.before, screw);
    let held = |outline: &Outline| {
        let shares = outline.within(entry, tip);
        let share = shares.iter().map(|[from, to]| to - from).sum::<f64>();
        let on_film = cut.length(share * along.length());
        Length {
            mm: length
                .true_mm
                .map_or(on_film.mm, |true_mm| Some(share * true_mm)),
            ..on_film
        }
    };
    let crossings = crossings(undertaking, entry, tip, diameter);
    let exit = crossings
        .iter()
        .find(|crossing| matches!(crossing.cortex, Cortex::LateralShaft | Cortex::LateralBase));
    let lateral_corner = corner_at_face(undertaking, Edge::Far);
    let medial_corner = corner_at_face(undertaking, Edge::Near);
    let signed = |edges: &[Edge]| {
        let distance = fragment.distance(tip, edges).unwrap_or_default();
        if fragment.contains(tip) {
            distance
        } else {
            -distance
        }
    };
    let axial = screw.tip.along - screw.entry.along;
    let dorsal = if undertaking.before.lateral.is_some() {
        screw.tip.dorsal - screw.entry.dorsal
    } else {
        0.0
    };
    let across = (screw.tip.lateral - screw.entry.lateral).hypot(dorsal);
    Ok(ScrewCourse {
        on_film: View::ALL.map(|view| {
            let from = undertaking.before.on_film(view, screw.entry)?;
            Some([from, undertaking.before.on_film(view, screw.tip)?])
        }),
        in_shaft: held(shaft),
        in_fragment: held(fragment),
        length,
        angle_to_shaft_degrees: across.atan2(axial).to_degrees(),
        exit_to_cut: exit.zip(lateral_corner).map(|(exit, corner)| {
            let at = entry + along * exit.share;
            cut.length(corner.y - at.y)
        }),
        entry_to_step: cut.length(medial_corner.map_or(cut.middle.y, |corner| corner.y) - entry.y),
        tip_to_joint: cut.length(signed(&[Edge::HeadSurface])),
        tip_to_lateral_head: cut.length(signed(&[Edge::Far])),
        tip_is_in_fragment: fragment.contains(tip),
        to_nearest_other: None,
        angle_to_first_degrees: None,
        diameter: cut.length(diameter),
        crossings,
    })
}

/// The cortices that a screw crosses, in order.
fn crossings(
    undertaking: &Undertaking,
    entry: PhysicalPoint,
    tip: PhysicalPoint,
    diameter: f64,
) -> Vec<Crossing> {
    let along = tip - entry;
    let length = along.length();
    if length <= 0.0 {
        return Vec::new();
    }
    let back = diameter / length;
    let (from, to) = (entry + along * -back, tip);
    let base = BASE_SHARE * undertaking.before.ap.length;
    let of = |outline: &Outline, is_shaft: bool| {
        let found = outline.crossings(from, to);
        found
            .into_iter()
            .filter_map(|crossing| {
                let at = from + (to - from) * crossing.share;
                let is_base = at.y < base;
                let cortex = match (is_shaft, crossing.edge) {
                    (_, Edge::CutFace) => return None,
                    (true, Edge::Near) if is_base => Cortex::MedialBase,
                    (true, Edge::Near) => Cortex::MedialShaft,
                    (true, Edge::Far) if is_base => Cortex::LateralBase,
                    (true, Edge::Far) => Cortex::LateralShaft,
                    (true, Edge::Base | Edge::HeadSurface) => Cortex::BaseSurface,
                    (false, Edge::Near) => Cortex::MedialHead,
                    (false, Edge::Far) => Cortex::LateralHead,
                    (false, Edge::HeadSurface | Edge::Base) => Cortex::HeadSurface,
                };
                Some(Crossing {
                    cortex,
                    at: undertaking.before.ap.film_point(at),
                    share: crossing.share * (1.0 + back) - back,
                })
            })
            .collect::<Vec<_>>()
    };
    let mut crossings = of(&undertaking.shaft, true);
    crossings.extend(of(&undertaking.fragment, false));
    crossings.sort_by(|one, other| one.share.total_cmp(&other.share));
    crossings.extend(touched(undertaking, tip, diameter, &crossings));
    crossings
}

/// The cortices of the fragment that the body of a screw touches at its tip without its axis having crossed them.
fn touched(
    undertaking: &Undertaking,
    tip: PhysicalPoint,
    diameter: f64,
    crossed: &[Crossing],
) -> Vec<Crossing> {
    let fragment = &undertaking.fragment;
    [
        (Edge::Far, Cortex::LateralHead),
        (Edge::Near, Cortex::MedialHead),
    ]
    .into_iter()
    .filter(|(edge, cortex)| {
        let distance = fragment.distance(tip, &[*edge]);
        let is_near = distance.is_some_and(|distance| distance <= diameter / 2.0);
        let is_new = crossed.iter().all(|crossing| crossing.cortex != *cortex);
        is_new && is_near && fragment.contains(tip)
    })
    .map(|(_, cortex)| Crossing {
        cortex,
        at: undertaking.before.ap.film_point(tip),
        share: 1.0,
    })
    .collect()
}

/// Where the face of the shaft meets its medial or lateral cortex, what was trimmed gone: the most distal vertex of
/// that cortex.
fn corner_at_face(undertaking: &Undertaking, edge: Edge) -> Option<PhysicalPoint> {
    let vertices = &undertaking.shaft.vertices;
    let next = vertices.iter().skip(1).chain(vertices.first());
    vertices
        .iter()
        .zip(next)
        .filter(|((_, kind), _)| *kind == edge)
        .flat_map(|((from, _), (to, _))| [*from, *to])
        .max_by(|one, other| one.y.total_cmp(&other.y))
}
