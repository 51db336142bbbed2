//! Published series of operated feet, and what a plan predicts for feet as deformed as theirs.

use anyhow::{Context, Result};
use plumbray_anatomy::Proportions;
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm, measure};
use plumbray_phantom::{Exposure, Foot as PhantomFoot, FootParameters, truth_of_ap};
use plumbray_plan::{Extent, Plan, carry_out};
use rayon::prelude::*;

use super::drawn::deformed_feet;

/// Means of a published series, before the operation and at its last film, in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Series {
    /// What was done, in words.
    pub name: &'static str,
    /// How many feet (of the last one, patients).
    pub feet: u32,
    /// Hallux valgus angle.
    pub hallux_valgus: [f64; 2],
    /// 1–2 intermetatarsal angle.
    pub intermetatarsal: [f64; 2],
    /// Where it was published.
    pub source: &'static str,
}

/// The series that predictions are set beside.
pub const SERIES: [Series; 4] = [
    Series {
        name: "transverse cut with screws, one surgeon, mean 2.6 years",
        feet: 729,
        hallux_valgus: [29.5, 7.3],
        intermetatarsal: [12.9, 4.6],
        source: "Orthop Proc 2025, doi 10.1302/1358-992X.2025.1.007",
    },
    Series {
        name: "chevron cut with screws, 2 years",
        feet: 292,
        hallux_valgus: [32.9, 8.7],
        intermetatarsal: [15.3, 5.7],
        source: "Lewis et al., J Bone Joint Surg Am 2021;103:1203, doi 10.2106/JBJS.20.01178",
    },
    Series {
        name: "linear cut with a wire and a wedge of the phalanx",
        feet: 10,
        hallux_valgus: [31.5, 7.7],
        intermetatarsal: [11.7, 5.5],
        source: "Kanazawa et al., Open Orthop J 2019;13:34",
    },
    Series {
        name: "chevron cut with screws and a wedge of the phalanx, 3 years",
        feet: 33,
        hallux_valgus: [34.6, 16.0],
        intermetatarsal: [13.1, 6.1],
        source: "a series of 33 patients, seen as an abstract at discovery.researcher.life only",
    },
];

/// The shifts that are tried, as shares of the width of the shaft.
pub const SHIFTS: [f64; 3] = [0.5, 0.75, 0.9];

/// How many simulated feet stand for a series.
pub const FEET_PER_SERIES: usize = 5;

/// The mean angles, hallux valgus then intermetatarsal, in degrees, of feet as deformed as a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Before.
    pub before: [f64; 2],
    /// For each of [`SHIFTS`].
    pub after: [[f64; 2]; 3],
}

const ANGLES: [Measurement; 2] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
];

/// What a usual plan predicts for feet of a seed that show the means of a series before.
///
/// # Errors
/// When a foot or a film cannot be simulated, or a plan not be carried out.
pub fn predicted(seed: u64, series: &Series) -> Result<Predicted> {
    let asked = [series.hallux_valgus[0], series.intermetatarsal[0]];
    let feet: Vec<FootParameters> = deformed_feet(seed)
        .map(|(_, foot)| foot)
        .take(FEET_PER_SERIES)
        .collect();
    let angles: Vec<[[f64; 2]; 4]> = feet
        .into_par_iter()
        .map(|foot| of_foot(foot, asked))
        .collect::<Result<_>>()?;
    let mean = |time: usize| {
        [0, 1].map(|angle| {
            let sum: f64 = angles.iter().map(|foot| foot[time][angle]).sum();
            sum / angles.len().max(1) as f64
        })
    };
    Ok(Predicted {
        before: mean(0),
        after: [mean(1), mean(2), mean(3)],
    })
}

/// The angles of one foot before and after each shift, when its film shows the angles asked for.
fn of_foot(foot: FootParameters, asked: [f64; 2]) -> Result<[[f64; 2]; 4]> {
    let with = |[valgus, intermetatarsal]: [f64; 2]| FootParameters {
        hallux_valgus_angle: valgus,
        intermetatarsal_angle_1_2: intermetatarsal,
        ..foot
    };
    // A tilted tube shows other angles than a foot is built with.
    let shown = angles_of(with(asked), &[])?[0];
    let built = [0, 1].map(|angle| 2.0 * asked[angle] - shown[angle]);
    let found = angles_of(with(built), &SHIFTS)?;
    <[[f64; 2]; 4]>::try_from(found)
        .ok()
        .context("a film before and one for each shift")
}

/// The angles that the AP film of a foot shows, and then those predicted for each shift.
fn angles_of(parameters: FootParameters, shifts: &[f64]) -> Result<Vec<[f64; 2]>> {
    let foot = PhantomFoot::new(parameters)?;
    let truth = truth_of_ap(&foot, &Exposure::default())?;
    let traced = truth.feet.first().context("a film without a foot")?;
    let calibration = truth.calibration(traced)?;
    let foot = Foot {
        ap: Some(TracedFilm {
            tracing: &traced.tracing,
            proportions: Proportions::SQUARE,
            calibration: Some(&calibration),
        }),
        ..Foot::default()
    };
    let choices = Choices {
        convention: Some(AxisConvention::HeadBase),
        ..Choices::default()
    };
    let mut all = vec![both(|angle| {
        let outcome = measure(&foot, &choices, angle);
        outcome.reading().map(|reading| reading.value)
    })?];
    for shift in shifts {
        let mut plan = Plan::usual(true);
        plan.head.shift = Extent::Share(*shift);
        let undertaking = carry_out(&foot, &plan)?;
        all.push(both(|angle| undertaking.row(angle)?.planned.value())?);
    }
    Ok(all)
}

fn both(value: impl Fn(Measurement) -> Option<f64>) -> Result<[f64; 2]> {
    let [valgus, intermetatarsal] = ANGLES.map(value);
    Ok([
        valgus.context("a film without a hallux valgus angle")?,
        intermetatarsal.context("a film without an intermetatarsal angle")?,
    ])
}
