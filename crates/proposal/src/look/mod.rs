//! The bones of one foot, as a network sees them on its own picture.

mod known;
mod mask;
mod metal;
mod points;

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, Landmark, LongBone, View};
use plumbray_film::GreyView;

use crate::{
    network::{Maps, Network, Networks},
    picture::{Picture, SmallFilm, place_on},
    picture_map::PictureMap,
    proposal::{Doubt, ProposalError},
    spread::unfamiliarity,
    whereabouts::Whereabouts,
};

pub(crate) use known::{Known, Part};
pub(crate) use mask::Mask;
pub(crate) use points::SeenPoint;

/// Size of a pixel of the fine pictures, in millimetres of the usual foot.
pub(crate) const PIXEL_MM: f64 = 0.5;

/// What a network sees of one foot.
#[derive(Debug)]
pub(crate) struct Look {
    pub(crate) view: View,
    /// From millimetres of the picture to the film.
    pub(crate) map: PictureMap,
    /// Single points.
    pub(crate) points: BTreeMap<Landmark, SeenPoint>,
    /// What is inside each bone.
    pub(crate) masks: BTreeMap<Part, Mask>,
    /// Whether metal lies on the first metatarsal; told on a film from above only.
    pub(crate) has_metal: bool,
    /// How much less sure the network is of this film than of those that it learned from, from 1.
    pub(crate) unfamiliarity: f64,
}

/// Turned by more than this (about 4°), scaled by more than a twelfth or moved by more than 8 mm against
/// the usual foot, a picture is taken once more where the foot now is seen to be.
const TURN: f64 = 0.07;
const SCALE: f64 = 0.08;
const MOVE_MM: f64 = 8.0;

impl Look {
    /// Looks at a foot, a second time where the first picture was laid badly.
    pub(crate) fn at(
        film: &SmallFilm,
        foot: &Whereabouts,
        networks: &Networks,
    ) -> Result<Self, ProposalError> {
        let known = Known::on(foot.view);
        let network = match foot.view {
            View::Ap => &networks.ap,
            View::Lateral => &networks.lateral,
        };
        let first = Self::once(film, foot.view, foot.map, &known, network)?;
        let Some(better) = first.better_map(&known) else {
            return Ok(first);
        };
        let (sine, cosine) = (better.turn() - first.map.turn()).sin_cos();
        let turned = sine.atan2(cosine);
        let scaled = (better.scale() / first.map.scale()).ln();
        let moved = (better.middle() - first.map.middle()).length() / first.map.scale();
        if turned.abs() < TURN && scaled.abs() < SCALE && moved < MOVE_MM {
            return Ok(first);
        }
        Self::once(film, foot.view, better, &known, network)
    }

    fn once(
        film: &SmallFilm,
        view: View,
        map: PictureMap,
        known: &Known,
        network: &Network,
    ) -> Result<Self, ProposalError> {
        let picture = film.picture(&map, known.size, PIXEL_MM);
        let maps = network.look(&picture)?;
        if maps.scores.len() != known.parts.len() + known.points.len() {
            return Err(ProposalError::BadWeights);
        }
        let points = seen_points(&maps, known);
        Ok(Self {
            view,
            map,
            unfamiliarity: unfamiliarity_of(&points),
            points,
            has_metal: view == View::Ap && has_metal(&picture, &maps, known),
            masks: known
                .parts
                .iter()
                .zip(&maps.scores)
                .map(|(part, scores)| (*part, Mask::new(maps.width, maps.height, scores)))
                .collect(),
        })
    }

    /// The map that lays the usual foot on what was seen.
    fn better_map(&self, known: &Known) -> Option<PictureMap> {
        let pairs: Vec<_> = known
            .points
            .iter()
            .filter_map(|(landmark, usual)| {
                let seen = self.points.get(landmark)?;
                seen.doubt
                    .is_none()
                    .then_some((*usual, self.map.film(seen.at), 1.0))
            })
            .collect();
        (pairs.len() >= 4)
            .then(|| PictureMap::fitted(&pairs, self.map.is_mirrored()))
            .flatten()
    }

    /// What would lie beyond the film is nowhere: a foot that is cut off leads one to expect its points
    /// there, but nobody sees them.
    pub(crate) fn leave_what_lies_off(&mut self, film: &GreyView<'_>) {
        for seen in self.points.values_mut() {
            if !shows(film, film.proportions.film(self.map.film(seen.at))) {
                seen.doubt = Some(Doubt::AtTheEdge);
            }
        }
    }

    /// A point that was seen without such a doubt that it is nowhere.
    pub(crate) fn point(&self, landmark: Landmark) -> Option<&SeenPoint> {
        self.points
            .get(&landmark)
            .filter(|seen| seen.doubt != Some(Doubt::AtTheEdge))
    }
}

/// Whether a film reaches as far as a place.
pub(crate) fn shows(film: &GreyView<'_>, at: FilmPoint) -> bool {
    let reaches = |place: f64, size: usize| (0.0..=size as f64).contains(&place);
    reaches(at.x_px, film.width) && reaches(at.y_px, film.height)
}

/// Of the points that are somewhere: one that is absent or has a rival says nothing of the film.
fn unfamiliarity_of(points: &BTreeMap<Landmark, SeenPoint>) -> f64 {
    let spreads: Vec<f64> = points
        .values()
        .filter(|seen| !matches!(seen.doubt, Some(Doubt::AtTheEdge | Doubt::Ambiguous)))
        .map(|seen| seen.spread_mm)
        .collect();
    unfamiliarity(spreads.into_iter())
}

fn has_metal(picture: &Picture, maps: &Maps, known: &Known) -> bool {
    let scores = |wanted: &dyn Fn(LongBone) -> bool| -> Vec<&[f32]> {
        known
            .parts
            .iter()
            .zip(&maps.scores)
            .filter(|(part, _)| matches!(part, Part::Long(bone) if wanted(*bone)))
            .map(|(_, scores)| scores.as_slice())
            .collect()
    };
    let first = scores(&|bone| bone == LongBone::M1);
    let neighbours = scores(&|bone| bone != LongBone::M1 && bone.metatarsal_number().is_some());
    first
        .first()
        .is_some_and(|bone| metal::lies_on(picture, bone, &neighbours))
}

fn seen_points(maps: &Maps, known: &Known) -> BTreeMap<Landmark, SeenPoint> {
    let scores = &maps.scores[known.parts.len()..];
    known
        .points
        .iter()
        .enumerate()
        .map(|(index, (landmark, _))| {
            let absent = maps.absent.get(index).copied().unwrap_or(f32::NEG_INFINITY);
            let shape = points::Shape::of(*landmark);
            let seen = points::seen(&scores[index], [maps.width, maps.height], absent, shape);
            (*landmark, seen)
        })
        .collect()
}

/// A place in pixels of a picture as millimetres from its middle.
fn millimetres(size: [usize; 2], at: [f64; 2]) -> [f64; 2] {
    place_on(size, PIXEL_MM, at)
}
