//! The feet of `sample-images/`. No one's: but for the first pair they are named after trees.

use plumbray_anatomy::Side;
use plumbray_phantom::{Exposure, FollowUp, FootParameters, Operation, ParameterError, PoorFilm};

/// The name of the foot that the program opens first.
pub(crate) const SAMPLE_FOOT: &str = "sample-foot";

/// A foot with a name of its own, and how its films are taken.
pub(crate) struct Sample {
    pub(crate) name: &'static str,
    pub(crate) parameters: FootParameters,
    /// A film without the object of known size is written without any size.
    pub(crate) exposure: Exposure,
}

/// A left foot with a moderate deformity.
pub(crate) fn sample_foot() -> FootParameters {
    FootParameters {
        side: Side::Left,
        hallux_valgus_angle: 33.5,
        intermetatarsal_angle_1_2: 15.5,
        first_ray_pronation: 8.0,
        distal_metatarsal_articular_angle: 9.0,
        hallux_interphalangeal_angle: 6.0,
        sesamoid_displacement: 0.62,
        medial_eminence_mm: 2.0,
        first_metatarsal_inclination: 20.0,
        talo_first_metatarsal_angle: -5.0,
        individual: 11,
        ..FootParameters::default()
    }
}

/// The same person's right foot, with a mild deformity.
pub(crate) fn mild_mate() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 18.0,
        intermetatarsal_angle_1_2: 10.0,
        distal_metatarsal_articular_angle: 6.0,
        hallux_interphalangeal_angle: 9.0,
        sesamoid_displacement: 0.4,
        medial_eminence_mm: 1.0,
        first_metatarsal_inclination: 20.0,
        talo_first_metatarsal_angle: -4.0,
        individual: 11,
        ..FootParameters::default()
    }
}

/// The feet that are named after trees.
///
/// # Errors
/// [`ParameterError`] when one of them cannot be built.
pub(crate) fn named_feet() -> Result<Vec<Sample>, ParameterError> {
    let usual = Exposure::default();
    let mut feet = vec![
        sample("alder", normal(), usual),
        sample("birch", mild(), usual),
        sample("cedar", severe(), usual),
        sample("elm", adducted(), usual),
        sample("hazel", pronated(), usual),
        sample(
            "larch",
            under_exposed(),
            PoorFilm::UnderExposed.exposure(usual),
        ),
        sample(
            "maple",
            uncalibrated(),
            Exposure {
                calibration_object: false,
                ..usual
            },
        ),
    ];
    let visits = operated_at_three_visits()?;
    feet.extend(visits.map(|(name, parameters)| sample(name, parameters, usual)));
    Ok(feet)
}

const fn sample(name: &'static str, parameters: FootParameters, exposure: Exposure) -> Sample {
    Sample {
        name,
        parameters,
        exposure,
    }
}

fn normal() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 9.0,
        intermetatarsal_angle_1_2: 7.5,
        individual: 21,
        ..FootParameters::default()
    }
}

fn mild() -> FootParameters {
    FootParameters {
        side: Side::Left,
        hallux_valgus_angle: 20.0,
        intermetatarsal_angle_1_2: 11.0,
        first_ray_pronation: 4.0,
        distal_metatarsal_articular_angle: 7.0,
        hallux_interphalangeal_angle: 11.0,
        sesamoid_displacement: 0.42,
        medial_eminence_mm: 1.0,
        metatarsal_lengths_mm: [61.0, 66.5, 63.5, 61.0, 58.0],
        calcaneal_inclination: 18.0,
        individual: 22,
        ..FootParameters::default()
    }
}

fn severe() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 44.0,
        intermetatarsal_angle_1_2: 18.5,
        first_ray_pronation: 14.0,
        distal_metatarsal_articular_angle: 14.0,
        hallux_interphalangeal_angle: 3.0,
        sesamoid_displacement: 1.1,
        medial_eminence_mm: 4.0,
        joint_narrowing: 0.3,
        first_metatarsal_inclination: 18.0,
        talo_first_metatarsal_angle: -9.0,
        calcaneal_inclination: 16.0,
        bone_density: 0.85,
        individual: 23,
        ..FootParameters::default()
    }
}

/// Metatarsus adductus: the intermetatarsal angle looks small, because the second metatarsal leans as
/// well.
fn adducted() -> FootParameters {
    FootParameters {
        side: Side::Left,
        hallux_valgus_angle: 29.0,
        intermetatarsal_angle_1_2: 9.5,
        metatarsus_adductus_angle: 27.0,
        distal_metatarsal_articular_angle: 8.0,
        sesamoid_displacement: 0.6,
        medial_eminence_mm: 1.5,
        individual: 24,
        ..FootParameters::default()
    }
}

fn pronated() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 31.0,
        intermetatarsal_angle_1_2: 14.0,
        first_ray_pronation: 25.0,
        distal_metatarsal_articular_angle: 9.0,
        sesamoid_displacement: 0.75,
        medial_eminence_mm: 2.0,
        individual: 25,
        ..FootParameters::default()
    }
}

fn under_exposed() -> FootParameters {
    FootParameters {
        side: Side::Left,
        hallux_valgus_angle: 27.0,
        intermetatarsal_angle_1_2: 13.0,
        first_ray_pronation: 6.0,
        distal_metatarsal_articular_angle: 10.0,
        sesamoid_displacement: 0.55,
        medial_eminence_mm: 2.0,
        individual: 26,
        ..FootParameters::default()
    }
}

fn uncalibrated() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 24.0,
        intermetatarsal_angle_1_2: 12.0,
        first_ray_pronation: 5.0,
        sesamoid_displacement: 0.5,
        medial_eminence_mm: 1.5,
        metatarsal_lengths_mm: [70.0, 74.0, 71.0, 68.0, 64.5],
        individual: 27,
        ..FootParameters::default()
    }
}

/// The share of the correction that the operated foot loses, and the weeks after which that is seen.
const LOSS: (f64, f64) = (0.25, 26.0);

/// One foot before its operation, some days after it and half a year later, with a quarter of the
/// correction lost.
fn operated_at_three_visits() -> Result<[(&'static str, FootParameters); 3], ParameterError> {
    let foot = FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 34.0,
        intermetatarsal_angle_1_2: 16.0,
        first_ray_pronation: 10.0,
        distal_metatarsal_articular_angle: 11.0,
        sesamoid_displacement: 0.8,
        medial_eminence_mm: 2.0,
        individual: 28,
        ..FootParameters::default()
    };
    let visits = FollowUp::new(foot, Operation::default(), LOSS.0, LOSS.1)?;
    Ok([
        ("oak-before", visits.before),
        ("oak-first-days", visits.early),
        ("oak-half-a-year", visits.late),
    ])
}
