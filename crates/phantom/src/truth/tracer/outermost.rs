//! The corners of bases and heads, and the borders of the heads: the outermost points of the bones' outlines.

use std::f64::consts::FRAC_1_SQRT_2;

use nalgebra::Vector3;
use plumbray_anatomy::{FilmPoint, Landmark, LongBone};

use super::{Tracer, direction};
use crate::{
    bones::bone::{Bone, BoneName},
    radiograph::SimulationError,
    truth::parts::{axis, parts},
    truth::silhouette::Silhouette,
};

/// From where the corner of a base is looked for, as a share of the bone's length.
const WITHIN_BASE: f64 = 0.1;

/// From where the border or a corner of a head is looked for.
const WITHIN_HEAD: f64 = 0.88;

/// What of a bone an outermost point is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    BaseCorner,
    HeadCorner,
    HeadBorder,
}

/// The point of a bone's outline that lies farthest along a direction.
struct Outermost {
    landmark: Landmark,
    bone: LongBone,
    place: Place,
    /// 1 toward lateral, −1 toward medial.
    side: f64,
}

fn all_outermost() -> [Outermost; 10] {
    use LongBone::{M1, M4, M5, ProximalPhalanx};
    let at = |landmark, bone, place, side| Outermost {
        landmark,
        bone,
        place,
        side,
    };
    let medial = |bone| at(Landmark::BaseMedial(bone), bone, Place::BaseCorner, -1.0);
    let lateral = |bone| at(Landmark::BaseLateral(bone), bone, Place::BaseCorner, 1.0);
    let phalanx_head = |landmark, side| at(landmark, ProximalPhalanx, Place::HeadCorner, side);
    [
        medial(M1),
        lateral(M1),
        medial(ProximalPhalanx),
        lateral(ProximalPhalanx),
        phalanx_head(Landmark::DistalMedial(ProximalPhalanx), -1.0),
        phalanx_head(Landmark::DistalLateral(ProximalPhalanx), 1.0),
        lateral(M4),
        lateral(M5),
        at(Landmark::HeadMedialEdge, M1, Place::HeadBorder, -1.0),
        at(Landmark::FifthHeadLateralEdge, M5, Place::HeadBorder, 1.0),
    ]
}

impl Tracer<'_> {
    /// Traces the corners of bases and heads, and the borders of the heads.
    pub(super) fn trace_outermost(&mut self) -> Result<(), SimulationError> {
        let across = self.toward_lateral();
        for outermost in all_outermost() {
            let at = self
                .outermost(&outermost, across)
                .ok_or_else(|| self.lost(BoneName::Long(outermost.bone)))?;
            self.put(outermost.landmark, at);
        }
        Ok(())
    }

    /// Where on the film such a point lies; `across` points toward lateral.
    fn outermost(&self, wanted: &Outermost, across: [f64; 2]) -> Option<FilmPoint> {
        let [base, tip] = axis(&self.standing.foot, wanted.bone).map(|place| self.project(place));
        let distal = direction(base, tip);
        let square = [-distal[1], distal[0]];
        let sign = (square[0] * across[0] + square[1] * across[1]).signum();
        let sideways = square.map(|part| wanted.side * sign * part);
        let all = parts(&self.standing.foot, BoneName::Long(wanted.bone));
        let halfway =
            |along: f64| [0, 1].map(|xy| FRAC_1_SQRT_2 * (sideways[xy] + along * distal[xy]));
        let (first, last) = (*all.first()?, *all.last()?);
        let (part, from, toward) = match wanted.place {
            Place::BaseCorner => (first, base.toward(tip, WITHIN_BASE), halfway(-1.0)),
            Place::HeadCorner => (last, self.within_head(last), halfway(1.0)),
            Place::HeadBorder => (last, self.within_head(last), sideways),
        };
        Silhouette::new(vec![part], self.standing, self.projection).farthest(from, toward)
    }

    /// A place within a head: on the axis of the part that carries it.
    fn within_head(&self, part: &Bone) -> FilmPoint {
        let along = Vector3::new(0.0, 0.0, WITHIN_HEAD * part.length_mm);
        self.project(part.frame.foot_from_bone(along))
    }

    /// From the base of the first metatarsal to that of the fifth.
    fn toward_lateral(&self) -> [f64; 2] {
        let [first, fifth] = [LongBone::M1, LongBone::M5]
            .map(|bone| self.project(axis(&self.standing.foot, bone)[0]));
        direction(first, fifth)
    }
}
