//! What two lateral films of a foot share: the hindfoot, and what surgery at the neck of the first metatarsal
//! leaves alone in front of it.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, PhysicalVector, View};
use plumbray_measure::TracedFilm;

use super::{
    NotLaidOver, ReferenceLength,
    compared_places::Strip,
    shared::{Shared, SharedPoint, placed, shaft_middle},
};

/// The posterior and the anterior point of the axis of the talus.
const TALUS: [Landmark; 2] = [Landmark::TalusPosterior, Landmark::TalusAnterior];
/// The posterior and the anterior point of the plantar line of the calcaneus.
const CALCANEUS: [Landmark; 2] = [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior];
/// The base of the first metatarsal, distal of both.
const FIRST_BASE: Landmark = Landmark::BaseCentre(LongBone::M1);

/// Where along the first metatarsal the middle of its shaft serves: well behind a cut through the neck.
const SHARES: [f64; 2] = [0.25, 0.35];

/// How much the middles of the first metatarsal's shaft count, which moves in its joint: as if their spread
/// were twice as large. Ours.
const SHAFT_COUNTS: f64 = 0.25;

/// Points that spread no more than this share of the length from heel to talus, about 1.5 mm, are not told
/// from each other: of these few, half would else be cast out to make the rest fit. Ours.
const LEAST_SPREAD: f64 = 0.02;

/// A map that greys move farther than this share of the length from heel to talus, about 3 mm, has found
/// something else. So few points are in nineteen of twenty feet no farther off, each missed by a millimetre.
/// Ours.
const FARTHEST: f64 = 0.04;

/// What two lateral films share, or why that is too little.
pub(super) fn shared(
    earlier: TracedFilm<'_>,
    later: TracedFilm<'_>,
) -> Result<Shared, NotLaidOver> {
    let [one, other] = [earlier, later].map(Hindfoot::of);
    let (one, other) = one.zip(other).ok_or_else(|| NotLaidOver::NoHindfoot {
        missing: CALCANEUS
            .into_iter()
            .chain(TALUS)
            .filter(|landmark| {
                [earlier, later]
                    .iter()
                    .any(|film| placed(*film, *landmark).is_none())
            })
            .collect(),
    })?;
    Ok(Shared {
        points: points(earlier, later),
        mirrored: one.has_toes_to_the_right() != other.has_toes_to_the_right(),
        least_spread: LEAST_SPREAD * one.length(),
        reference: ReferenceLength::HeelToTalus,
        length: one.length(),
        farthest: FARTHEST * one.length(),
        strips: one.strips(placed(earlier, FIRST_BASE).map(|(base, _)| base)),
    })
}

/// The points that both films share of talus, calcaneus, medial cuneiform and the proximal part of the first
/// metatarsal.
pub(super) fn points(earlier: TracedFilm<'_>, later: TracedFilm<'_>) -> Vec<SharedPoint> {
    let first = Some(LongBone::M1);
    let lines = [CALCANEUS, TALUS].into_iter().flat_map(|pair| {
        let [one, other] = [earlier, later].map(|film| ordered(film, pair));
        let both = one.zip(other).map(|(one, other)| {
            let along = (one[1].0 - one[0].0).unit();
            [0, 1].map(|end| SharedPoint {
                along,
                ..SharedPoint::new(None, one[end], other[end])
            })
        });
        both.into_iter().flatten()
    });
    let further = [
        (None, Landmark::MedialCuneiformPlantar),
        (first, FIRST_BASE),
    ];
    let further = further.into_iter().filter_map(|(bone, landmark)| {
        let [one, other] = [earlier, later].map(|film| placed(film, landmark));
        Some(SharedPoint::new(bone, one?, other?))
    });
    lines
        .chain(further)
        .chain(shaft_middles(earlier, later))
        .collect()
}

/// The middles of the first metatarsal's shaft. Its levels are shares of a length that surgery changes, so that
/// they too may lie anywhere along it.
fn shaft_middles(earlier: TracedFilm<'_>, later: TracedFilm<'_>) -> Vec<SharedPoint> {
    let middles = |film| {
        let [one, other] =
            SHARES.map(|share| shaft_middle(film, View::Lateral, LongBone::M1, share));
        one.zip(other)
    };
    let Some((one, other)) = middles(earlier).zip(middles(later)) else {
        return Vec::new();
    };
    let along = (one.1.0 - one.0.0).unit();
    [(one.0, other.0), (one.1, other.1)]
        .map(|(one, other)| {
            let mut point = SharedPoint::new(Some(LongBone::M1), one, other);
            point.weight *= SHAFT_COUNTS;
            SharedPoint { along, ..point }
        })
        .to_vec()
}

type Placed = (PhysicalPoint, f64);

/// The posterior and the anterior point of a bone. Named in the wrong order they are exchanged, as the engine
/// does, where the base of the first metatarsal tells which way is anterior.
fn ordered(film: TracedFilm<'_>, pair: [Landmark; 2]) -> Option<[Placed; 2]> {
    let [posterior, anterior] = pair.map(|landmark| placed(film, landmark));
    let (posterior, anterior) = (posterior?, anterior?);
    let is_reversed = placed(film, FIRST_BASE).is_some_and(|(base, _)| {
        let toward = base - posterior.0.midpoint(anterior.0);
        (anterior.0 - posterior.0).dot(toward) < 0.0
    });
    Some(if is_reversed {
        [anterior, posterior]
    } else {
        [posterior, anterior]
    })
}

/// Talus and calcaneus on one film, each from posterior to anterior.
struct Hindfoot {
    talus: [PhysicalPoint; 2],
    calcaneus: [PhysicalPoint; 2],
}

impl Hindfoot {
    fn of(film: TracedFilm<'_>) -> Option<Self> {
        let ends = |pair| Some(ordered(film, pair)?.map(|(at, _)| at));
        Some(Self {
            talus: ends(TALUS)?,
            calcaneus: ends(CALCANEUS)?,
        })
    }

    /// From the heel to the head of the talus, in pixel widths.
    fn length(&self) -> f64 {
        (self.talus[1] - self.calcaneus[0]).length()
    }

    fn along_calcaneus(&self) -> PhysicalVector {
        self.calcaneus[1] - self.calcaneus[0]
    }

    /// Whether a foot that stands on the film's lower edge has its toes to the right: where the talus, which
    /// lies above the calcaneus, lies counter-clockwise of the way from its heel to its front.
    fn has_toes_to_the_right(&self) -> bool {
        let [talus, calcaneus] =
            [self.talus, self.calcaneus].map(|[posterior, anterior]| posterior.midpoint(anterior));
        self.along_calcaneus().cross(talus - calcaneus) < 0.0
    }

    /// The calcaneus above its plantar line, the talus about its axis, and what lies between its head and the
    /// first metatarsal.
    fn strips(&self, first_base: Option<PhysicalPoint>) -> Vec<Strip> {
        let [below, above] = CALCANEUS_BESIDE;
        let calcaneus = Strip {
            ends: self.calcaneus,
            beyond: CALCANEUS_BEYOND,
            beside: if self.has_toes_to_the_right() {
                [below, above]
            } else {
                [above, below]
            },
        };
        let talus = Strip {
            ends: self.talus,
            beyond: TALUS_BEYOND,
            beside: TALUS_BESIDE,
        };
        let midfoot = first_base.map(|base| Strip {
            ends: [self.talus[1], base],
            beyond: [0.0; 2],
            beside: MIDFOOT_BESIDE,
        });
        [calcaneus, talus].into_iter().chain(midfoot).collect()
    }
}

/// Below and above the plantar line, as shares of its length: the tuberosity's cortex, and the body.
const CALCANEUS_BESIDE: [f64; 2] = [0.08, 0.45];
/// Behind its posterior and before its anterior point.
const CALCANEUS_BEYOND: [f64; 2] = [0.15, 0.1];
/// To either side of the axis of the talus, short of the ankle, which bends otherwise on every film.
const TALUS_BESIDE: [f64; 2] = [0.3; 2];
/// Behind the posterior and before the anterior of its two points.
const TALUS_BEYOND: [f64; 2] = [0.2, 0.3];
/// To either side of the way from the head of the talus to the base of the first metatarsal.
const MIDFOOT_BESIDE: [f64; 2] = [0.2; 2];
