//! Which way is lateral on an AP film, from the bones alone.

use plumbray_anatomy::{Cortices, Landmark, LongBone, PhysicalPoint, PhysicalVector, Side};

use crate::{
    derivative::Tape,
    foot::{Foot, TracedFilm},
    outcome::Need,
    placed::{Gap, PlacedFilm},
};

/// The sine of the smallest angle between the metatarsals' direction and the line across them that
/// still tells medial from lateral, about 6°.
const SMALLEST_SINE: f64 = 0.1;

/// Which way lateral lies of distal as seen on the film.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turn {
    /// A clockwise quarter turn from distal is lateral.
    Clockwise,
    /// A counter-clockwise quarter turn from distal is lateral.
    CounterClockwise,
}

impl Turn {
    /// 1 where clockwise, −1 where counter-clockwise: the factor that makes a clockwise turn count
    /// as a lateral one.
    pub(crate) const fn sign(self) -> f64 {
        match self {
            Self::Clockwise => 1.0,
            Self::CounterClockwise => -1.0,
        }
    }
}

/// Which foot an AP film shows, given that it is seen from the dorsum: the right one where the
/// lesser metatarsals lie clockwise of distal.
///
/// Nothing where fewer than two metatarsals were placed, or where they lie in one line.
#[must_use]
pub fn side_from_bones(ap: TracedFilm<'_>) -> Option<Side> {
    let foot = Foot {
        ap: Some(ap),
        ..Foot::default()
    };
    let tape = Tape::default();
    let film = PlacedFilm::of(&foot, plumbray_anatomy::View::Ap, &tape).ok()?;
    lateral_turn(&film).ok().map(|turn| match turn {
        Turn::Clockwise => Side::Right,
        Turn::CounterClockwise => Side::Left,
    })
}

/// Which way lateral lies of distal, from the lowest- and the highest-numbered metatarsal that were
/// placed.
pub(crate) fn lateral_turn(film: &PlacedFilm<'_, '_>) -> Result<Turn, Gap> {
    let placed = LongBone::METATARSALS
        .into_iter()
        .filter_map(|bone| placement(film, bone).transpose())
        .collect::<Result<Vec<_>, Gap>>()?;
    let (Some(first), Some(last)) = (placed.first(), placed.last()) else {
        return Err(Gap::Needs(vec![Need::AnotherMetatarsal]));
    };
    if placed.len() < 2 {
        return Err(Gap::Needs(vec![Need::AnotherMetatarsal]));
    }
    let in_line = || Gap::Degenerate {
        landmarks: vec![first.bone_name(), last.bone_name()],
        reason:
            "they lie in one line, so that lateral cannot be told from medial; check their ends"
                .to_owned(),
    };
    let distal = (first.distal + last.distal).unit().ok_or_else(in_line)?;
    let lateral = (last.middle - first.middle).unit().ok_or_else(in_line)?;
    let sine = distal.cross(lateral);
    if sine > SMALLEST_SINE {
        Ok(Turn::Clockwise)
    } else if sine < -SMALLEST_SINE {
        Ok(Turn::CounterClockwise)
    } else {
        Err(in_line())
    }
}

/// Where a metatarsal lies and which way it points.
#[derive(Clone, Copy, Debug)]
struct Placement {
    bone: LongBone,
    middle: PhysicalPoint,
    distal: PhysicalVector,
}

impl Placement {
    fn bone_name(&self) -> String {
        format!("The {}", self.bone.name())
    }
}

/// The placement of a metatarsal from the first of these that is complete: base and tip; base and
/// head centre (first metatarsal); the ends of the stroke; the cortices. Nothing where none is.
fn placement(film: &PlacedFilm<'_, '_>, bone: LongBone) -> Result<Option<Placement>, Gap> {
    let mut pairs = vec![[Landmark::BaseCentre(bone), Landmark::Tip(bone)]];
    if bone == LongBone::M1 {
        pairs.push([Landmark::BaseCentre(bone), Landmark::HeadCentre]);
    }
    pairs.push([Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)]);
    let complete = pairs
        .into_iter()
        .find(|pair| pair.iter().all(|landmark| film.has(*landmark)));
    if let Some([proximal, distal]) = complete {
        let ends = [film.place(proximal)?, film.place(distal)?];
        film.far_enough_apart((proximal, ends[0]), (distal, ends[1]))?;
        return Ok(between(bone, ends[0], ends[1]));
    }
    if film.film.tracing.cortices.contains_key(&bone) {
        let cortices = film.cortices(bone)?;
        return Ok(within(film, bone, cortices));
    }
    Ok(None)
}

fn between(bone: LongBone, proximal: PhysicalPoint, distal: PhysicalPoint) -> Option<Placement> {
    (distal - proximal).unit().map(|direction| Placement {
        bone,
        middle: proximal.midpoint(distal),
        distal: direction,
    })
}

/// From halfway between the first vertices of the two cortices to halfway between the last.
fn within(film: &PlacedFilm<'_, '_>, bone: LongBone, cortices: &Cortices) -> Option<Placement> {
    let physical = |vertex: &plumbray_anatomy::FilmPoint| film.film.proportions.physical(*vertex);
    let proximal = physical(cortices.one.first()?).midpoint(physical(cortices.two.first()?));
    let distal = physical(cortices.one.last()?).midpoint(physical(cortices.two.last()?));
    between(bone, proximal, distal)
}
