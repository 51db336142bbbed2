//! What the networks know, in the order in which they learned it.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid, View};

/// A bone whose inside a network sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Part {
    Long(LongBone),
    Sesamoid(Sesamoid),
    Talus,
    Calcaneus,
}

/// What the network of one view knows.
#[derive(Clone, Debug)]
pub(crate) struct Known {
    /// Width and height of its picture.
    pub(crate) size: [usize; 2],
    pub(crate) parts: Vec<Part>,
    /// Each point with its usual place, in millimetres from the middle of the picture: the mean of 48 AP
    /// and 24 lateral simulated films.
    pub(crate) points: Vec<(Landmark, [f64; 2])>,
}

impl Known {
    pub(crate) fn on(view: View) -> Self {
        match view {
            View::Ap => Self::ap(),
            View::Lateral => Self::lateral(),
        }
    }

    fn ap() -> Self {
        let long = [
            (LongBone::M1, [-26.3, 55.0], [-31.7, -15.5]),
            (LongBone::M2, [-8.2, 61.5], [-3.9, -14.1]),
            (LongBone::M3, [3.3, 61.4], [11.9, -10.7]),
            (LongBone::M4, [12.8, 64.1], [26.4, -4.1]),
            (LongBone::M5, [20.9, 67.7], [41.4, 5.5]),
            (LongBone::ProximalPhalanx, [-28.2, -16.5], [-21.1, -45.6]),
            (LongBone::DistalPhalanx, [-19.4, -46.4], [-10.7, -67.8]),
        ];
        let sesamoids = [Sesamoid::Tibial, Sesamoid::Fibular];
        let ends = long.into_iter().flat_map(|(bone, base, tip)| {
            [
                (Landmark::BaseCentre(bone), base),
                (Landmark::Tip(bone), tip),
            ]
        });
        let others = [
            (Landmark::HeadCentre, [-30.7, 1.3]),
            (Landmark::ArticularMedial, [-41.0, -11.7]),
            (Landmark::ArticularLateral, [-20.4, -11.7]),
            (Landmark::SesamoidCentre(Sesamoid::Tibial), [-31.9, -2.6]),
            (Landmark::SesamoidCentre(Sesamoid::Fibular), [-22.0, -4.6]),
        ];
        Self {
            size: [256, 384],
            parts: long
                .into_iter()
                .map(|(bone, ..)| Part::Long(bone))
                .chain(sesamoids.map(Part::Sesamoid))
                .collect(),
            points: ends.chain(others).collect(),
        }
    }

    fn lateral() -> Self {
        Self {
            size: [480, 208],
            parts: vec![Part::Long(LongBone::M1), Part::Talus, Part::Calcaneus],
            points: vec![
                (Landmark::BaseCentre(LongBone::M1), [20.7, -9.7]),
                (Landmark::Tip(LongBone::M1), [85.3, 15.8]),
                (Landmark::HeadCentre, [75.6, 12.0]),
                (Landmark::TalusPosterior, [-59.3, -37.0]),
                (Landmark::TalusAnterior, [-27.9, -25.1]),
                (Landmark::CalcaneusPosterior, [-85.8, 22.8]),
                (Landmark::CalcaneusAnterior, [-31.8, 0.1]),
                (Landmark::FloorPosterior, [-87.9, 37.0]),
                (Landmark::FloorAnterior, [87.7, 37.0]),
            ],
        }
    }
}
