//! Which feet a simulated set has: parameters and exposure for a wanted difficulty, by a seed.

use plumbray_anatomy::Side;
use plumbray_phantom::{Exposure, FootParameters, PoorFilm};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore as _, SeedableRng as _},
};

use crate::set::{Difficulty, DifficultyGrade, DifficultyReason};

/// A deformity is a reason of its own from these angles on: severe by Mann and Coughlin (hallux valgus angle above
/// 40°, intermetatarsal angle 16° and more; from memory).
pub(super) const SEVERE_DEGREES: [f64; 2] = [40.0, 16.0];

/// How many random feet are looked at for one of the wanted deformity. One in six is severe.
const DRAWS: u32 = 500;

const POOR_EXPOSURES: [PoorFilm; 3] = [
    PoorFilm::UnderExposed,
    PoorFilm::OverExposed,
    PoorFilm::Moved,
];

const POOR_PROJECTIONS: [PoorFilm; 3] = [
    PoorFilm::TiltedTube,
    PoorFilm::TurnedFoot,
    PoorFilm::ObliqueFoot,
];

/// A foot to be simulated.
#[derive(Clone, Debug)]
pub(super) struct Draft {
    pub(super) parameters: FootParameters,
    pub(super) exposure: Exposure,
    pub(super) difficulty: Difficulty,
    pub(super) poor: Vec<PoorFilm>,
}

/// The foot of this place in a set, of the wanted grade, by the set's seed and the number of the trial. The same
/// ones give the same foot.
pub(super) fn draft(
    [seed, trial]: [u64; 2],
    place: u32,
    grade: DifficultyGrade,
    pixel_mm: f64,
) -> Draft {
    let mut source = ChaCha8Rng::seed_from_u64(seed);
    source.set_stream((trial << 32) | u64::from(place));
    let reasons = reasons(&mut source, grade);
    let wants = |reason| reasons.contains(&reason);
    let parameters = FootParameters {
        // Left and right by turns, so that a set has both.
        side: if place.is_multiple_of(2) {
            Side::Right
        } else {
            Side::Left
        },
        ..foot(&mut source, wants(DifficultyReason::Deformity))
    };
    let mut exposure = Exposure {
        pixel_mm,
        seed: source.next_u64(),
        ..Exposure::default()
    };
    let mut poor = Vec::new();
    for (reason, ways) in [
        (DifficultyReason::Exposure, POOR_EXPOSURES),
        (DifficultyReason::Projection, POOR_PROJECTIONS),
    ] {
        if wants(reason) {
            let way = ways[below(&mut source, ways.len())];
            exposure = way.exposure(exposure);
            poor.push(way);
        }
    }
    Draft {
        parameters,
        exposure,
        difficulty: Difficulty { grade, reasons },
        poor,
    }
}

/// As many reasons as the grade has, chosen by chance.
fn reasons(source: &mut ChaCha8Rng, grade: DifficultyGrade) -> Vec<DifficultyReason> {
    let mut left = vec![
        DifficultyReason::Deformity,
        DifficultyReason::Exposure,
        DifficultyReason::Projection,
    ];
    let count = match grade {
        DifficultyGrade::Easy => 0,
        DifficultyGrade::Medium => 1,
        DifficultyGrade::Hard => 2 + below(source, 2),
    };
    while left.len() > count {
        left.remove(below(source, left.len()));
    }
    left
}

/// A random foot that is severely deformed, or one that is not.
fn foot(source: &mut ChaCha8Rng, severe: bool) -> FootParameters {
    let mut foot = FootParameters::random(source.next_u64());
    for _ in 1..DRAWS {
        let angles = [foot.hallux_valgus_angle, foot.intermetatarsal_angle_1_2];
        let is_severe = angles[0] > SEVERE_DEGREES[0] || angles[1] >= SEVERE_DEGREES[1];
        if is_severe == severe {
            break;
        }
        foot = FootParameters::random(source.next_u64());
    }
    foot
}

/// A whole number below `count`, which is small and not 0.
fn below(source: &mut ChaCha8Rng, count: usize) -> usize {
    usize::try_from(source.next_u32()).unwrap_or(0) % count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_feet_and_each_grade_has_its_number_of_reasons() {
        for place in 0..60 {
            for grade in DifficultyGrade::ALL {
                let one = draft([7, 0], place, grade, 0.2);
                let again = draft([7, 0], place, grade, 0.2);
                assert_eq!(one.parameters, again.parameters, "parameters");
                assert_eq!(one.exposure, again.exposure, "exposure");
                let by_reasons = Difficulty::by_reasons(one.difficulty.reasons.clone());
                assert_eq!(by_reasons, one.difficulty, "the grade follows the reasons");
                let angles = [
                    one.parameters.hallux_valgus_angle,
                    one.parameters.intermetatarsal_angle_1_2,
                ];
                let severe = angles[0] > 40.0 || angles[1] >= 16.0;
                let said = one
                    .difficulty
                    .reasons
                    .contains(&DifficultyReason::Deformity);
                assert_eq!(
                    severe, said,
                    "severe is what is called a deformity: {angles:?}"
                );
            }
        }
    }
}
