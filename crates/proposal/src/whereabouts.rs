//! Where on a film a foot stands: which view, how it is turned, how large it is, whether it is mirrored.

use plumbray_anatomy::{PhysicalPoint, View};
use plumbray_film::GreyView;

use crate::{
    network::{Maps, Networks},
    picture::{SmallFilm, place_on},
    picture_map::PictureMap,
    proposal::ProposalError,
};

/// A foot somewhere on a film.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Whereabouts {
    pub(crate) view: View,
    /// From millimetres of the usual foot (a right one from above, toes up; or from the side, toes to the
    /// right) to the film. The millimetres are those of a foot of usual size: they scale a search and
    /// reach no result.
    pub(crate) map: PictureMap,
    /// How well the film shows such a foot there, from 0 to 1.
    pub(crate) share: f64,
}

/// Sides of the picture in pixels.
const SIZE: usize = 224;
/// The share of the picture's side that the film's longer side takes.
const FILM_SHARE: f64 = 0.9;
/// Pixels of the picture that count as one millimetre while learning, on average.
const USUAL_PIXEL_MM: f64 = 1.2;

/// The places that the network looks for, in millimetres from the middle of the usual foot: the mean of
/// 48 AP and 24 lateral simulated films.
const AP: [[f64; 2]; 7] = [
    [-26.3, 55.0],
    [-31.7, -15.5],
    [-10.7, -67.8],
    [-8.2, 61.5],
    [-3.9, -14.1],
    [20.9, 67.7],
    [41.4, 5.5],
];
const LATERAL: [[f64; 2]; 4] = [[20.7, -9.7], [85.3, 15.8], [-27.9, -25.1], [-85.8, 22.8]];

/// A peak counts from this value on.
const LEAST_PEAK: f64 = 0.12;
/// Peaks that are tried for each place.
const MOST_PEAKS: usize = 4;
/// How far a place lies from where the usual foot has it, in millimetres.
const PLACE_SPREAD_MM: f64 = 11.0;
/// A foot of less than this share of its places is none.
const LEAST_SHARE: f64 = 0.45;
/// Millimetres to the picture's pixel that a film can have.
const PIXELS_MM: [f64; 2] = [0.35, 4.0];

/// The feet on a film, the best first: one, or two on an AP film of both.
pub(crate) fn whereabouts(
    film: &GreyView<'_>,
    is_turned_over: bool,
    networks: &Networks,
) -> Result<Vec<Whereabouts>, ProposalError> {
    let physical = film.proportions.physical(plumbray_anatomy::FilmPoint::new(
        film.width as f64,
        film.height as f64,
    ));
    let longer = physical.x.max(physical.y);
    let pixel_widths = longer / (FILM_SHARE * SIZE as f64);
    let small = SmallFilm::of(film, (pixel_widths / 2.0) as usize, is_turned_over);
    let middle = PhysicalPoint::new(0.5 * physical.x, 0.5 * physical.y);
    let map = PictureMap::new(middle, pixel_widths / USUAL_PIXEL_MM, 0.0, false);
    let picture = small.picture(&map, [SIZE, SIZE], USUAL_PIXEL_MM);
    let maps = networks.whereabouts.look(&picture)?;
    let peaks: Vec<Vec<Peak>> = (0..maps.scores.len())
        .map(|index| peaks(&maps, index, &map))
        .collect();
    let (ap, lateral) = peaks.split_at(AP.len().min(peaks.len()));
    let [finest, coarsest] = PIXELS_MM;
    let limits = [pixel_widths / coarsest, pixel_widths / finest];
    let best_ap = best(View::Ap, &AP, ap, limits);
    let best_lateral = best(View::Lateral, &LATERAL, lateral, limits);
    Ok(match (best_ap, best_lateral) {
        (Some(foot), lateral)
            if lateral
                .as_ref()
                .is_none_or(|other| other.share < foot.share) =>
        {
            let second = another(&foot, ap, limits);
            [Some(foot), second].into_iter().flatten().collect()
        }
        (_, Some(foot)) => vec![foot],
        _ => Vec::new(),
    })
}

/// A place where the network sees something.
#[derive(Clone, Copy, Debug)]
struct Peak {
    at: PhysicalPoint,
    value: f64,
}

/// The highest places of one map that are higher than all around, on the film.
fn peaks(maps: &Maps, index: usize, map: &PictureMap) -> Vec<Peak> {
    let scores = &maps.scores[index];
    let (width, height) = (maps.width, maps.height);
    let mut found = Vec::new();
    for row in 1..height - 1 {
        for column in 1..width - 1 {
            let here = scores[row * width + column];
            let value = 1.0 / (1.0 + (-f64::from(here)).exp());
            let is_highest = (row - 1..=row + 1)
                .all(|y| (column - 1..=column + 1).all(|x| scores[y * width + x] <= here));
            if value >= LEAST_PEAK && is_highest {
                let place = place_on(
                    [width, height],
                    USUAL_PIXEL_MM,
                    [column as f64 + 0.5, row as f64 + 0.5],
                );
                found.push(Peak {
                    at: map.film(place),
                    value,
                });
            }
        }
    }
    found.sort_by(|one, two| two.value.total_cmp(&one.value));
    found.truncate(MOST_PEAKS);
    found
}

/// The foot that explains the peaks best: every two peaks and both mirrorings are tried.
fn best(
    view: View,
    usual: &[[f64; 2]],
    peaks: &[Vec<Peak>],
    limits: [f64; 2],
) -> Option<Whereabouts> {
    let mut best: Option<Whereabouts> = None;
    for first in 0..usual.len() {
        for second in first + 1..usual.len() {
            for one in &peaks[first] {
                for two in &peaks[second] {
                    for mirrored in [false, true] {
                        let pairs = [(usual[first], one.at, 1.0), (usual[second], two.at, 1.0)];
                        let Some(map) = PictureMap::fitted(&pairs, mirrored) else {
                            continue;
                        };
                        if map.scale() < limits[0] || map.scale() > limits[1] {
                            continue;
                        }
                        let share = share(&map, usual, peaks);
                        if best.as_ref().is_none_or(|best| share > best.share) {
                            best = Some(Whereabouts { view, map, share });
                        }
                    }
                }
            }
        }
    }
    let rough = best.filter(|foot| foot.share >= LEAST_SHARE)?;
    Some(refined(rough, usual, peaks))
}

/// The share of a foot's places at which the network sees what belongs there.
fn share(map: &PictureMap, usual: &[[f64; 2]], peaks: &[Vec<Peak>]) -> f64 {
    let total: f64 = usual
        .iter()
        .zip(peaks)
        .map(|(place, peaks)| {
            nearest(map, *place, peaks).map_or(0.0, |(peak, nearness)| peak.value * nearness)
        })
        .sum();
    total / usual.len() as f64
}

/// The peak that fits a place best, and how near it lies, from 0 to 1.
fn nearest(map: &PictureMap, place: [f64; 2], peaks: &[Peak]) -> Option<(Peak, f64)> {
    let expected = map.film(place);
    let spread = PLACE_SPREAD_MM * map.scale();
    peaks
        .iter()
        .map(|peak| {
            let away = (peak.at - expected).length() / spread;
            (*peak, (-0.5 * away * away).exp())
        })
        .max_by(|one, two| (one.0.value * one.1).total_cmp(&(two.0.value * two.1)))
}

/// The map fitted to all places that were found.
fn refined(rough: Whereabouts, usual: &[[f64; 2]], peaks: &[Vec<Peak>]) -> Whereabouts {
    let pairs: Vec<_> = usual
        .iter()
        .zip(peaks)
        .filter_map(|(place, peaks)| {
            let (peak, nearness) = nearest(&rough.map, *place, peaks)?;
            (nearness > 0.05).then_some((*place, peak.at, peak.value * nearness))
        })
        .collect();
    let map = PictureMap::fitted(&pairs, rough.map.is_mirrored()).unwrap_or(rough.map);
    Whereabouts { map, ..rough }
}

/// The other foot of an AP film of both: its mirror image, elsewhere.
fn another(foot: &Whereabouts, peaks: &[Vec<Peak>], limits: [f64; 2]) -> Option<Whereabouts> {
    let spread = 2.0 * PLACE_SPREAD_MM * foot.map.scale();
    let rest: Vec<Vec<Peak>> = AP
        .iter()
        .zip(peaks)
        .map(|(place, peaks)| {
            let taken = foot.map.film(*place);
            peaks
                .iter()
                .filter(|peak| (peak.at - taken).length() > spread)
                .copied()
                .collect()
        })
        .collect();
    let other = best(View::Ap, &AP, &rest, limits)?;
    let same_size = (0.75..1.33).contains(&(other.map.scale() / foot.map.scale()));
    (same_size && other.map.is_mirrored() != foot.map.is_mirrored()).then_some(other)
}
