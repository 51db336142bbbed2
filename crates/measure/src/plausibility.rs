//! What looks wrong about a tracing as a whole, before any of its numbers is believed.
//!
//! The limits are ours: wide enough that no usual foot meets them, so that a warning is worth reading.

use plumbray_anatomy::{FilmPoint, Landmark, LongBone, PhysicalPoint, Sesamoid, Side, View};

use crate::{
    foot::{Foot, TracedFilm},
    lateral_side::side_from_bones,
    outcome::short_name,
};

/// Something that no usual foot shows, or that contradicts what was said of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Implausible {
    /// A metatarsal is shorter than half of another or longer than twice that.
    Length {
        /// The shorter one.
        short: LongBone,
        /// The longer one.
        long: LongBone,
    },
    /// The metatarsals do not lie in the order of their numbers.
    Order,
    /// A sesamoid lies far from the head of the first metatarsal.
    SesamoidFromHead(Sesamoid),
    /// The tibial sesamoid lies lateral of the fibular one.
    SesamoidsExchanged,
    /// An axis was drawn or traced along a small part of its bone.
    ShortShaft(View, LongBone),
    /// An end of a bone lies far beside the shaft that was traced.
    EndBesideShaft(View, Landmark),
    /// The bones show the other foot than was said.
    OtherSide(Side),
    /// A landmark was placed on a film of a view on which it is not read.
    OtherView(View, Landmark),
    /// The metatarsals lie over each other as on an oblique film.
    Oblique,
    /// The bones of the lateral film stand to the floor as in no standing foot.
    NotStanding,
}

/// A metatarsal shorter than this share of another is no metatarsal, or its ends are wrong.
const SHORTEST_SHARE: f64 = 0.5;
/// A sesamoid farther from the head's centre than this share of the first metatarsal's length is none.
const FARTHEST_SESAMOID: f64 = 0.4;
/// An axis along less than this share of its bone leans on too little.
const LEAST_SHAFT: f64 = 0.35;
/// An end farther beside the line of its shaft than this share of the shaft's length belongs to another bone.
const FARTHEST_BESIDE: f64 = 0.2;
/// The middles of the first and the fifth metatarsal lie about 0.7 of the second's length apart on an AP
/// film of a foot; nearer than this share the film is an oblique one.
const LEAST_BREADTH: f64 = 0.4;
/// The first metatarsal falls toward its head, in a standing foot by 5° to 40°.
const STANDING_FALL_DEGREES: [f64; 2] = [2.0, 45.0];
/// The plantar line of the calcaneus rises in a standing foot by less than this.
const STANDING_RISE_DEGREES: [f64; 2] = [-5.0, 45.0];

impl Implausible {
    /// What is wrong and what to do, in one sentence.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Length { short, long } => format!(
                "{} comes out shorter than half of {}: look at the ends of both.",
                short_name(*short),
                short_name(*long)
            ),
            Self::Order => {
                "The metatarsals do not lie in the order of their numbers: one of them is \
                            another bone."
                    .to_owned()
            }
            Self::SesamoidFromHead(sesamoid) => format!(
                "The {} lies far from the head of M1: look at both.",
                sesamoid.name()
            ),
            Self::SesamoidsExchanged => {
                "The tibial sesamoid lies lateral of the fibular one: they \
                                         may be exchanged."
                    .to_owned()
            }
            Self::ShortShaft(view, bone) => format!(
                "The axis of {} on the {} film leans on a short part of the bone: trace more of \
                 its shaft.",
                short_name(*bone),
                view.name()
            ),
            Self::EndBesideShaft(view, landmark) => format!(
                "{} lies far beside its shaft on the {} film: put it back on its bone.",
                landmark.name(),
                view.name()
            ),
            Self::OtherSide(bones) => format!(
                "The order of the bones is that of a {} foot, seen from the dorsum: confirm the \
                 side.",
                bones.identifier()
            ),
            Self::OtherView(view, landmark) => format!(
                "{} was placed on the {} film, where it is not read.",
                landmark.name(),
                view.name()
            ),
            Self::Oblique => {
                "The metatarsals lie closer together than on an AP film: it may be an \
                              oblique one."
                    .to_owned()
            }
            Self::NotStanding => {
                "The bones stand to the floor as in no standing foot: the film may \
                                  not be a standing one."
                    .to_owned()
            }
        }
    }
}

/// Everything that looks wrong about a foot; `said` is which foot somebody said it is.
#[must_use]
pub fn implausible(foot: &Foot<'_>, said: Option<Side>) -> Vec<Implausible> {
    let mut found = Vec::new();
    for view in View::ALL {
        if let Some(film) = foot.film(view) {
            found.extend(of_any_film(view, film));
        }
    }
    if let Some(ap) = foot.ap {
        found.extend(of_ap(ap));
        let by_bones = side_from_bones(ap);
        found.extend(
            by_bones
                .filter(|bones| said.is_some_and(|said| said != *bones))
                .map(Implausible::OtherSide),
        );
    }
    if let Some(lateral) = foot.lateral {
        found.extend(of_lateral(lateral));
    }
    found
}

fn of_any_film(view: View, film: TracedFilm<'_>) -> Vec<Implausible> {
    let misplaced = film.tracing.points.keys();
    let mut found: Vec<Implausible> = misplaced
        .filter(|landmark| !landmark.is_on(view))
        .map(|landmark| Implausible::OtherView(view, *landmark))
        .collect();
    let short = LongBone::ALL
        .into_iter()
        .filter(|bone| leans_on_little(film, *bone))
        .map(|bone| Implausible::ShortShaft(view, bone));
    found.extend(short);
    let beside = LongBone::ALL
        .into_iter()
        .flat_map(|bone| ends_beside_shaft(film, bone))
        .map(|landmark| Implausible::EndBesideShaft(view, landmark));
    found.extend(beside);
    found
}

/// Base and tip of a traced shaft, where they lie far beside the line between its two open ends.
fn ends_beside_shaft(film: TracedFilm<'_>, bone: LongBone) -> Vec<Landmark> {
    let middle_of = |vertices: Option<(&FilmPoint, &FilmPoint)>| {
        let (one, two) = vertices?;
        let [one, two] = [one, two].map(|at| film.proportions.physical(*at));
        Some(one.midpoint(two))
    };
    let open_ends = film.tracing.cortices.get(&bone).and_then(|cortices| {
        let (one, two) = (&cortices.one, &cortices.two);
        let proximal = middle_of(one.first().zip(two.first()))?;
        let distal = middle_of(one.last().zip(two.last()))?;
        ((distal - proximal).length() > 0.0).then_some([proximal, distal])
    });
    let Some(shaft) = open_ends else {
        return Vec::new();
    };
    let most = FARTHEST_BESIDE * (shaft[1] - shaft[0]).length();
    [Landmark::BaseCentre(bone), Landmark::Tip(bone)]
        .into_iter()
        .filter(|end| place(film, *end).is_some_and(|at| signed_height(shaft, at).abs() > most))
        .collect()
}

/// Whether a shaft that was traced or drawn covers only a small part of its bone.
fn leans_on_little(film: TracedFilm<'_>, bone: LongBone) -> bool {
    let Some([base, tip]) = ends(film, bone) else {
        return false;
    };
    let whole = tip - base;
    let share = |at: PhysicalPoint| (at - base).dot(whole) / whole.dot(whole);
    let covered = match film.tracing.cortices.get(&bone) {
        Some(cortices) => [&cortices.one, &cortices.two]
            .into_iter()
            .map(|line| {
                let shares = line.iter().map(|at| share(film.proportions.physical(*at)));
                let (low, high) = shares.fold((f64::MAX, f64::MIN), |(low, high), share| {
                    (low.min(share), high.max(share))
                });
                high - low
            })
            .fold(f64::MAX, f64::min),
        None => {
            let drawn = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
            let Some([start, end]) = both_of(film, drawn) else {
                return false;
            };
            (share(end) - share(start)).abs()
        }
    };
    covered < LEAST_SHAFT
}

fn of_ap(film: TracedFilm<'_>) -> Vec<Implausible> {
    let mut found = Vec::new();
    let lengths: Vec<(LongBone, f64)> = LongBone::METATARSALS
        .into_iter()
        .filter_map(|bone| {
            let [base, tip] = ends(film, bone)?;
            Some((bone, (tip - base).length()))
        })
        .collect();
    let shortest = lengths.iter().min_by(|one, two| one.1.total_cmp(&two.1));
    let longest = lengths.iter().max_by(|one, two| one.1.total_cmp(&two.1));
    if let (Some((short, least)), Some((long, most))) = (shortest, longest)
        && *least < SHORTEST_SHARE * most
    {
        found.push(Implausible::Length {
            short: *short,
            long: *long,
        });
    }
    if is_out_of_order(film) {
        found.push(Implausible::Order);
    }
    found.extend(of_sesamoids(film));
    if is_oblique(film) {
        found.push(Implausible::Oblique);
    }
    found
}

/// Whether the middles of the metatarsals ever turn back on the way from the first to the last.
fn is_out_of_order(film: TracedFilm<'_>) -> bool {
    let middles: Vec<PhysicalPoint> = LongBone::METATARSALS
        .into_iter()
        .filter_map(|bone| middle(film, bone))
        .collect();
    let (Some(first), Some(last)) = (middles.first(), middles.last()) else {
        return false;
    };
    let across = *last - *first;
    middles
        .windows(2)
        .any(|two| (two[1] - two[0]).dot(across) < 0.0)
}

fn of_sesamoids(film: TracedFilm<'_>) -> Vec<Implausible> {
    let mut found = Vec::new();
    let head = place(film, Landmark::HeadCentre);
    let Some(([base, tip], head)) = ends(film, LongBone::M1).zip(head) else {
        return found;
    };
    let length = (tip - base).length();
    let centre = |sesamoid| place(film, Landmark::SesamoidCentre(sesamoid));
    for sesamoid in Sesamoid::ALL {
        if centre(sesamoid).is_some_and(|at| (at - head).length() > FARTHEST_SESAMOID * length) {
            found.push(Implausible::SesamoidFromHead(sesamoid));
        }
    }
    let between = centre(Sesamoid::Tibial).zip(centre(Sesamoid::Fibular));
    let across = middle(film, LongBone::M1).zip(middle(film, LongBone::M2));
    if let (Some((tibial, fibular)), Some((first, second))) = (between, across)
        && (fibular - tibial).dot(second - first) < 0.0
    {
        found.push(Implausible::SesamoidsExchanged);
    }
    found
}

fn is_oblique(film: TracedFilm<'_>) -> bool {
    let breadth = middle(film, LongBone::M1).zip(middle(film, LongBone::M5));
    breadth
        .zip(ends(film, LongBone::M2))
        .is_some_and(|((first, fifth), [base, tip])| {
            (fifth - first).length() < LEAST_BREADTH * (tip - base).length()
        })
}

/// The first metatarsal and the calcaneus against the floor, by their landmarks alone.
fn of_lateral(film: TracedFilm<'_>) -> Vec<Implausible> {
    let floor = both_of(film, [Landmark::FloorPosterior, Landmark::FloorAnterior]);
    let (Some(floor), Some(metatarsal)) = (floor, ends(film, LongBone::M1)) else {
        return Vec::new();
    };
    let Some(along) = (floor[1] - floor[0]).unit() else {
        return Vec::new();
    };
    let along = along * along.dot(metatarsal[1] - metatarsal[0]).signum();
    let heights = metatarsal.map(|end| signed_height(floor, end));
    // Above the floor counts as up, whichever way the film lies.
    let up = (heights[0] + heights[1]).signum();
    let fall = (up * (heights[0] - heights[1]))
        .atan2((metatarsal[1] - metatarsal[0]).dot(along))
        .to_degrees();
    let is_usual = |degrees: f64, [low, high]: [f64; 2]| (low..=high).contains(&degrees);
    let calcaneus = both_of(
        film,
        [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
    );
    let rise = calcaneus.map(|ends| {
        let heights = ends.map(|end| signed_height(floor, end));
        let way = (ends[1] - ends[0]).dot(along);
        (up * (heights[1] - heights[0]) * way.signum())
            .atan2(way.abs())
            .to_degrees()
    });
    let is_standing = is_usual(fall, STANDING_FALL_DEGREES)
        && rise.is_none_or(|rise| is_usual(rise, STANDING_RISE_DEGREES));
    if is_standing {
        Vec::new()
    } else {
        vec![Implausible::NotStanding]
    }
}

/// How far a point lies from a line, positive clockwise of its direction.
fn signed_height(line: [PhysicalPoint; 2], at: PhysicalPoint) -> f64 {
    let along = line[1] - line[0];
    along.cross(at - line[0]) / along.length()
}

fn place(film: TracedFilm<'_>, landmark: Landmark) -> Option<PhysicalPoint> {
    let at = film.proportions.physical(film.tracing.point(landmark)?);
    (at.x.is_finite() && at.y.is_finite()).then_some(at)
}

/// Both places, where they lie apart.
fn both_of(film: TracedFilm<'_>, landmarks: [Landmark; 2]) -> Option<[PhysicalPoint; 2]> {
    let [one, other] = landmarks.map(|landmark| place(film, landmark));
    let (one, other) = one.zip(other)?;
    ((other - one).length() > 0.0).then_some([one, other])
}

fn ends(film: TracedFilm<'_>, bone: LongBone) -> Option<[PhysicalPoint; 2]> {
    both_of(film, [Landmark::BaseCentre(bone), Landmark::Tip(bone)])
}

fn middle(film: TracedFilm<'_>, bone: LongBone) -> Option<PhysicalPoint> {
    ends(film, bone).map(|[base, tip]| base.midpoint(tip))
}
