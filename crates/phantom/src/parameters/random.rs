//! Feet drawn at random, from healthy to severely deformed.

use plumbray_anatomy::Side;
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};

use super::{FootParameters, LENGTH_SHARES, LIMITS, USUAL_LENGTHS_MM, USUAL_METATARSUS_ADDUCTUS};
use crate::normal_distribution::normal_pair;

/// A kind of foot: how often it is drawn, and the two angles that define the deformity.
struct Group {
    /// Of all feet, which share is of this kind.
    share: f64,
    /// Hallux valgus angle: mean and standard deviation, in degrees.
    hallux_valgus_angle: [f64; 2],
    /// Intermetatarsal angle: mean and standard deviation, in degrees.
    intermetatarsal_angle: [f64; 2],
}

/// Healthy feet within the usual limits (hallux valgus angle below 15° and intermetatarsal angle below
/// 9°; spread from memory), early deformity between the two, and feet as they come to operation: 33.1
/// ± 10.2° and 15.4 ± 3.5° in 334 feet (Lewis et al., the same series as J Bone Joint Surg Am
/// 2021;103:1203–1211). The shares are chosen so that each grade of severity is met often enough to be
/// tested; they are no prevalences.
const GROUPS: [Group; 3] = [
    Group {
        share: 0.3,
        hallux_valgus_angle: [10.0, 3.0],
        intermetatarsal_angle: [7.5, 1.5],
    },
    Group {
        share: 0.2,
        hallux_valgus_angle: [18.0, 2.5],
        intermetatarsal_angle: [10.0, 1.5],
    },
    Group {
        share: 0.5,
        hallux_valgus_angle: [33.1, 10.2],
        intermetatarsal_angle: [15.4, 3.5],
    },
];

/// Correlation of the two angles within a group (from memory: 0.4 to 0.7 in most series).
const ANGLE_CORRELATION: f64 = 0.5;

/// What is drawn around a mean that follows the hallux valgus angle.
struct Follower {
    /// Its value in a foot with a hallux valgus angle of 10°.
    healthy: f64,
    /// How much it grows with each degree beyond.
    per_degree: f64,
    /// The standard deviation about that.
    spread: f64,
}

impl Follower {
    fn draw(&self, source: &mut Source, hallux_valgus_angle: f64) -> f64 {
        source.normal(
            self.healthy + self.per_degree * (hallux_valgus_angle - 10.0),
            self.spread,
        )
    }
}

/// Nearly all healthy feet have the tibial sesamoid in front of the axis or on it, nearly all that
/// come to operation beyond it (grade V and more: Okuda et al., J Bone Joint Surg Am
/// 2009;91:1637–1645).
const SESAMOID_DISPLACEMENT: Follower = Follower {
    healthy: 0.18,
    per_degree: 0.025,
    spread: 0.12,
};

/// Most feet with hallux valgus are pronated on standing computed tomography, up to 87 % of them
/// (Wagner and Wagner, JAAOS Glob Res Rev 2020;4(6):e20.00091); the amounts from memory.
const PRONATION: Follower = Follower {
    healthy: 1.0,
    per_degree: 0.4,
    spread: 4.0,
};

/// From memory: below 10° in healthy feet, more in deformed ones.
const ARTICULAR_ANGLE: Follower = Follower {
    healthy: 5.0,
    per_degree: 0.22,
    spread: 3.0,
};

/// From memory.
const EMINENCE_MM: Follower = Follower {
    healthy: 0.3,
    per_degree: 0.08,
    spread: 0.5,
};

/// Standard deviation of the length of a metatarsal as a share of its mean: of the whole foot's size
/// (J Foot Ankle Surg 2005;44:184–189: 65.4 ± 5.3 mm), and of one bone against the others (from
/// memory).
const LENGTH_SPREADS: [f64; 2] = [0.065, 0.02];

impl FootParameters {
    /// The foot of a seed: the same seed always gives the same foot, and every foot can be built.
    ///
    /// About three in ten feet are healthy, two in ten have an early deformity, and five in ten are
    /// drawn as they come to operation: hallux valgus angle 33.1 ± 10.2°, intermetatarsal angle 15.4
    /// ± 3.5°. With the hallux valgus angle grow, on average, sesamoid displacement, pronation,
    /// articular angle and medial eminence. Every value beyond the range that can be built is set to
    /// the nearest one within it. No foot has been operated on.
    #[must_use]
    pub fn random(seed: u64) -> Self {
        let mut source = Source(ChaCha8Rng::seed_from_u64(seed));
        let [valgus, intermetatarsal] = deformity(&mut source);
        let size = source.normal(1.0, LENGTH_SPREADS[0]);
        let side = if source.uniform() < 0.5 {
            Side::Left
        } else {
            Side::Right
        };
        Self {
            side,
            hallux_valgus_angle: valgus,
            intermetatarsal_angle_1_2: intermetatarsal,
            first_ray_pronation: within("first_ray_pronation", PRONATION.draw(&mut source, valgus)),
            distal_metatarsal_articular_angle: within(
                "distal_metatarsal_articular_angle",
                ARTICULAR_ANGLE.draw(&mut source, valgus),
            ),
            // Spread of the angles of the toe and of the arch from memory, but for the first
            // metatarsal's inclination of 21.1° in healthy feet (Lee et al., Arch Orthop Trauma
            // Surg 2023).
            hallux_interphalangeal_angle: source
                .normal_within("hallux_interphalangeal_angle", [8.0, 4.0]),
            metatarsus_adductus_angle: source.normal_within(
                "metatarsus_adductus_angle",
                [USUAL_METATARSUS_ADDUCTUS, 4.0],
            ),
            sesamoid_displacement: within(
                "sesamoid_displacement",
                SESAMOID_DISPLACEMENT.draw(&mut source, valgus),
            ),
            medial_eminence_mm: within("medial_eminence_mm", EMINENCE_MM.draw(&mut source, valgus)),
            joint_narrowing: source.normal_within("joint_narrowing", [0.08, 0.15]),
            metatarsal_lengths_mm: USUAL_LENGTHS_MM.map(|usual| {
                let share = size * source.normal(1.0, LENGTH_SPREADS[1]);
                usual * share.clamp(LENGTH_SHARES[0], LENGTH_SHARES[1])
            }),
            first_metatarsal_inclination: source
                .normal_within("first_metatarsal_inclination", [21.1, 2.0]),
            first_ray_elevation_mm: source.normal_within("first_ray_elevation_mm", [0.0, 1.0]),
            talo_first_metatarsal_angle: source
                .normal_within("talo_first_metatarsal_angle", [0.0, 4.0]),
            calcaneal_inclination: source.normal_within("calcaneal_inclination", [22.0, 3.5]),
            bone_density: source.normal_within("bone_density", [0.98, 0.08]),
            individual: u64::from(source.0.next_u32()),
            operation: None,
        }
    }
}

/// The hallux valgus angle and the intermetatarsal angle of a foot.
fn deformity(source: &mut Source) -> [f64; 2] {
    let mut place = source.uniform();
    let group = GROUPS
        .iter()
        .find(|group| {
            place -= group.share;
            place < 0.0
        })
        .unwrap_or(&GROUPS[0]);
    let own = source.normal(0.0, 1.0);
    let other = source.normal(0.0, 1.0);
    let shared = ANGLE_CORRELATION * own + (1.0 - ANGLE_CORRELATION.powi(2)).sqrt() * other;
    let at = |[mean, spread]: [f64; 2], deviate: f64| mean + spread * deviate;
    [
        within("hallux_valgus_angle", at(group.hallux_valgus_angle, own)),
        within(
            "intermetatarsal_angle_1_2",
            at(group.intermetatarsal_angle, shared),
        ),
    ]
}

/// The value nearest to `value` that the parameter can have.
fn within(parameter: &str, value: f64) -> f64 {
    LIMITS
        .iter()
        .find(|limit| limit.0 == parameter)
        .map_or(value, |&(_, lowest, highest, _)| {
            value.clamp(lowest, highest)
        })
}

/// Where the random numbers come from.
struct Source(ChaCha8Rng);

impl Source {
    /// A number above 0 and up to 1, all equally likely.
    fn uniform(&mut self) -> f64 {
        #[expect(
            clippy::cast_precision_loss,
            reason = "53 random bits are what a number holds"
        )]
        let bits = (self.0.next_u64() >> 11) as f64;
        (bits + 1.0) / 9_007_199_254_740_992.0
    }

    /// A number from the normal distribution.
    fn normal(&mut self, mean: f64, spread: f64) -> f64 {
        let [off, _] = normal_pair(spread, [self.uniform(), self.uniform()]);
        mean + off
    }

    /// The same, with the mean and the spread of a parameter and within its range.
    fn normal_within(&mut self, parameter: &str, [mean, spread]: [f64; 2]) -> f64 {
        within(parameter, self.normal(mean, spread))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feet() -> impl Iterator<Item = FootParameters> {
        (0..2000).map(FootParameters::random)
    }

    fn mean(values: &[f64]) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "some thousand feet")]
        let count = values.len() as f64;
        values.iter().sum::<f64>() / count
    }

    fn correlation(one: &[f64], other: &[f64]) -> f64 {
        let centred = |values: &[f64]| {
            let middle = mean(values);
            values
                .iter()
                .map(|value| value - middle)
                .collect::<Vec<f64>>()
        };
        let (one, other) = (centred(one), centred(other));
        let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        product(&one, &other) / (product(&one, &one) * product(&other, &other)).sqrt()
    }

    #[test]
    fn every_random_foot_is_possible() {
        for (seed, foot) in feet().enumerate() {
            assert_eq!(foot.validate(), Ok(()), "seed {seed}");
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_foot_and_another_seed_another() {
        assert_eq!(
            FootParameters::random(5),
            FootParameters::random(5),
            "the same"
        );
        assert_ne!(
            FootParameters::random(5),
            FootParameters::random(6),
            "another"
        );
    }

    #[test]
    fn every_parameter_is_within_its_limits_by_name() {
        // A misspelt name would leave its parameter unlimited.
        for (parameter, lowest, highest, _) in LIMITS {
            let ends = [f64::MIN, f64::MAX].map(|value| within(parameter, value));
            assert!(
                ends[0] >= lowest && ends[1] <= highest,
                "{parameter}: {ends:?}"
            );
        }
    }

    #[test]
    fn every_grade_of_severity_is_met_often() {
        let angles: Vec<f64> = feet().map(|foot| foot.hallux_valgus_angle).collect();
        for (grade, from, to) in [
            ("none", f64::NEG_INFINITY, 15.0),
            ("mild", 15.0, 20.0),
            ("moderate", 20.0, 40.0),
            ("severe", 40.0, f64::INFINITY),
        ] {
            let count = angles
                .iter()
                .filter(|angle| (from..to).contains(*angle))
                .count();
            assert!(count > 200, "{grade}: {count} of {}", angles.len());
        }
    }

    #[test]
    fn what_belongs_to_the_deformity_grows_with_it() {
        let feet: Vec<FootParameters> = feet().collect();
        let of = |value: fn(&FootParameters) -> f64| feet.iter().map(value).collect::<Vec<f64>>();
        let valgus = of(|foot| foot.hallux_valgus_angle);
        for (name, value) in [
            ("IMA", of(|foot| foot.intermetatarsal_angle_1_2)),
            ("sesamoids", of(|foot| foot.sesamoid_displacement)),
            ("pronation", of(|foot| foot.first_ray_pronation)),
            ("eminence", of(|foot| foot.medial_eminence_mm)),
            ("DMAA", of(|foot| foot.distal_metatarsal_articular_angle)),
        ] {
            let found = correlation(&valgus, &value);
            assert!(found > 0.5, "{name}: {found}");
        }
        let found = correlation(&valgus, &of(|foot| foot.calcaneal_inclination));
        assert!(found.abs() < 0.1, "calcaneus: {found}");
    }

    #[test]
    fn a_third_of_the_deviates_lie_beyond_one_standard_deviation() {
        let mut source = Source(ChaCha8Rng::seed_from_u64(1));
        let draws: Vec<f64> = (0..20_000).map(|_| source.normal(5.0, 2.0)).collect();
        assert!((mean(&draws) - 5.0).abs() < 0.05, "{}", mean(&draws));
        let beyond = draws
            .iter()
            .filter(|draw| (*draw - 5.0).abs() > 2.0)
            .count();
        assert!((6100..6600).contains(&beyond), "{beyond}");
    }
}
