//! Prints the tables of `docs/simulated-feet.md`: one foot's angles in space, and what films show of
//! them as the tube tilts and the first ray pronates.

use std::{
    error::Error,
    io::{self, Write as _},
};

use plumbray_measure::{AxisConvention, Measurement};
use plumbray_phantom::{Exposure, FilmTruth, Foot, FootParameters, truth_of_ap, truth_of_lateral};

const ANGLES: [(&str, Measurement); 4] = [
    ("hallux valgus", Measurement::HalluxValgusAngle),
    ("1–2 intermetatarsal", Measurement::IntermetatarsalAngle12),
    (
        "distal metatarsal articular",
        Measurement::DistalMetatarsalArticularAngle,
    ),
    (
        "hallux interphalangeal",
        Measurement::HalluxInterphalangealAngle,
    ),
];

const LATERAL_ANGLES: [(&str, Measurement); 3] = [
    (
        "talo–first metatarsal",
        Measurement::TaloFirstMetatarsalAngle,
    ),
    (
        "calcaneal inclination",
        Measurement::CalcanealInclinationAngle,
    ),
    (
        "first metatarsal inclination",
        Measurement::FirstMetatarsalInclinationAngle,
    ),
];

/// The tilts of the tube and the pronations of the first ray that the columns show, in degrees.
const SETTINGS: [(f64, f64); 4] = [(0.0, 0.0), (15.0, 0.0), (25.0, 0.0), (15.0, 20.0)];

fn main() -> Result<(), Box<dyn Error>> {
    let mut output = io::stdout().lock();
    let mut films = Vec::new();
    for (tube_tilt_degrees, first_ray_pronation) in SETTINGS {
        let foot = Foot::new(FootParameters {
            hallux_valgus_angle: 30.0,
            intermetatarsal_angle_1_2: 14.0,
            distal_metatarsal_articular_angle: 10.0,
            first_ray_pronation,
            ..FootParameters::default()
        })?;
        let exposure = Exposure {
            tube_tilt_degrees,
            ..Exposure::default()
        };
        films.push((
            truth_of_ap(&foot, &exposure)?,
            truth_of_lateral(&foot, &exposure)?,
        ));
    }
    writeln!(
        output,
        "| angle in degrees, axis | in space | upright | 15° | 25° | 15°, pronated 20° |"
    )?;
    writeln!(output, "| --- | --- | --- | --- | --- | --- |")?;
    for (name, measurement) in ANGLES {
        for convention in [
            AxisConvention::MidDiaphysealQuarters,
            AxisConvention::HeadBase,
        ] {
            let shown: Vec<String> = films
                .iter()
                .filter_map(|(ap, _)| on_film(ap, measurement, convention))
                .collect();
            if !shown.is_empty() {
                let in_space = in_space(&films[0].0, measurement);
                writeln!(
                    output,
                    "| {name}, {} | {in_space} | {} |",
                    convention.name(),
                    shown.join(" | ")
                )?;
            }
        }
    }
    writeln!(output)?;
    writeln!(
        output,
        "| angle in degrees | in space | on the lateral film |"
    )?;
    writeln!(output, "| --- | --- | --- |")?;
    for (name, measurement) in LATERAL_ANGLES {
        let lateral = &films[0].1;
        let shown = lateral.feet[0].values[&measurement].projected.map(shown);
        let in_space = in_space(lateral, measurement);
        writeln!(
            output,
            "| {name} | {in_space} | {} |",
            shown.unwrap_or_default()
        )?;
    }
    Ok(())
}

fn in_space(truth: &FilmTruth, measurement: Measurement) -> String {
    let value = truth.feet[0].values[&measurement].in_space;
    value.map(shown).unwrap_or_default()
}

fn on_film(
    truth: &FilmTruth,
    measurement: Measurement,
    convention: AxisConvention,
) -> Option<String> {
    let value = &truth.feet[0].values[&measurement];
    value.by_convention.get(&convention).copied().map(shown)
}

fn shown(degrees: f64) -> String {
    format!("{degrees:.1}").replace('-', "−")
}
