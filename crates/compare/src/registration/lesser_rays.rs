//! What two AP films of a foot share: the lesser rays, which surgery of the first one leaves alone.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, View};
use plumbray_measure::{TracedFilm, side_from_bones};

use super::{
    NotLaidOver, ReferenceLength,
    compared_places::Strip,
    shared::{Shared, SharedPoint, placed, shaft_middle},
};

/// The lesser metatarsals, the second first.
const LESSER: [LongBone; 4] = [LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5];

/// Points of the tarsus and of the lesser bases that serve too where somebody placed them.
const FURTHER: [Landmark; 6] = [
    Landmark::BaseLateral(LongBone::M4),
    Landmark::BaseLateral(LongBone::M5),
    Landmark::TalonavicularMedial,
    Landmark::CalcaneocuboidLateral,
    Landmark::IntermediateCuneiformProximal,
    Landmark::IntermediateCuneiformDistal,
];

/// Where along a lesser metatarsal the middle of its shaft serves.
const SHARES: [f64; 3] = [0.3, 0.5, 0.7];

/// Points that spread no more than this are not told from each other, in pixel widths.
const LEAST_SPREAD_PX: f64 = 2.0;

/// A map that greys move farther than this share of a metatarsal's length has found something else: about
/// 1.5 mm.
const FARTHEST: f64 = 0.02;

/// How far beside the line from base to tip of a metatarsal the films are compared, as a share of its length.
const BESIDE: f64 = 0.09;
/// How far beyond its base, into the tarsus, and how far beyond its tip.
const BEYOND: [f64; 2] = [0.2, 0.02];

/// What two AP films share, or why that is too little.
pub(super) fn shared(
    earlier: TracedFilm<'_>,
    later: TracedFilm<'_>,
) -> Result<Shared, NotLaidOver> {
    let bones: Vec<(LongBone, [PhysicalPoint; 2])> = ends(earlier)
        .filter(|(bone, _)| ends(later).any(|(other, _)| other == *bone))
        .collect();
    if bones.len() < 2 {
        let shared = bones.len();
        return Err(NotLaidOver::TooFewBones { shared });
    }
    let (first, [base, tip]) = bones[0];
    let [one, other] = [earlier, later].map(side_from_bones);
    Ok(Shared {
        points: points(earlier, later),
        mirrored: one.zip(other).is_some_and(|(one, other)| one != other),
        least_spread: LEAST_SPREAD_PX,
        reference: ReferenceLength::Metatarsal(first),
        length: (tip - base).length(),
        farthest: FARTHEST * (tip - base).length(),
        strips: bones
            .iter()
            .map(|(_, ends)| Strip {
                ends: *ends,
                beyond: BEYOND,
                beside: [BESIDE; 2],
            })
            .collect(),
    })
}

/// The points that both films share of the second to fifth metatarsal (base, tip, and the middle of the shaft
/// at three levels) and of the tarsus.
pub(super) fn points(earlier: TracedFilm<'_>, later: TracedFilm<'_>) -> Vec<SharedPoint> {
    let landmarks = LESSER.into_iter().flat_map(|bone| {
        [Landmark::BaseCentre(bone), Landmark::Tip(bone)].map(|landmark| (Some(bone), landmark))
    });
    let further = FURTHER.map(|landmark| (None, landmark));
    let landmarks = landmarks.chain(further).filter_map(|(bone, landmark)| {
        let [one, other] = [earlier, later].map(|film| placed(film, landmark));
        Some(SharedPoint::new(bone, one?, other?))
    });
    let middles = LESSER.into_iter().flat_map(|bone| {
        SHARES.into_iter().filter_map(move |share| {
            let [one, other] =
                [earlier, later].map(|film| shaft_middle(film, View::Ap, bone, share));
            Some(SharedPoint::new(Some(bone), one?, other?))
        })
    });
    landmarks.chain(middles).collect()
}

/// Base and tip of each lesser metatarsal that is traced from end to end, the second first.
pub(super) fn ends(film: TracedFilm<'_>) -> impl Iterator<Item = (LongBone, [PhysicalPoint; 2])> {
    LESSER.into_iter().filter_map(move |bone| {
        let place = |landmark| Some(placed(film, landmark)?.0);
        let ends = [
            place(Landmark::BaseCentre(bone))?,
            place(Landmark::Tip(bone))?,
        ];
        (ends[0] != ends[1]).then_some((bone, ends))
    })
}
