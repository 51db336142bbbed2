//! Plans carried out twice: on the tracing of flat films, and on the simulated foot itself.

mod drawn;
mod films;
mod operation;
mod series;

use anyhow::Result;
use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, View};
use plumbray_measure::{AxisConvention, Measurement, bone_frame};
use plumbray_phantom::{Exposure, Foot, FootParameters};
use plumbray_plan::{Extent, Plan, Undertaking, carry_out, suggest_pair};
use rayon::prelude::*;

use crate::chance::Chance;
use drawn::{SCREW_MM, deformed_feet, random_plan, random_screws};
use films::Films;
use operation::operation;

pub use series::{FEET_PER_SERIES, Predicted, SERIES, SHIFTS, Series, predicted};

/// How much is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlansRun {
    /// Seed of feet, plans and stances.
    pub seed: u64,
    /// How many plans, each on a foot of its own.
    pub plans: usize,
}

/// By how much the tilt of the AP tube differs from foot to foot: standard deviation. Ours, as for visits.
pub const TILT_SD_DEGREES: f64 = 2.0;

/// The stream of the plans among the streams of a seed.
const PLANS: u64 = 9 << 32;

/// How far a prediction lies from what the operated foot shows: prediction less film.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// The number of the foot.
    pub foot: u64,
    /// The plan.
    pub plan: Plan,
    /// Of the hallux valgus angle, in degrees.
    pub hallux_valgus: Option<f64>,
    /// Of the intermetatarsal angle, in degrees.
    pub intermetatarsal: Option<f64>,
    /// Of how far the first metatarsal's tip reaches beyond the second's, in mm.
    pub reach_mm: Option<f64>,
    /// Of the change of length along the second metatarsal as the plan states it, against the way of the head's
    /// centre, in mm.
    pub length_mm: Option<f64>,
    /// Of the length of each screw, in mm.
    pub screws_mm: Vec<Option<f64>>,
}

/// Every plan of a run.
///
/// # Errors
/// When a foot or a film cannot be simulated.
pub fn carried(run: &PlansRun) -> Result<Vec<Carried>> {
    let chosen: Vec<(u64, FootParameters)> = deformed_feet(run.seed).take(run.plans).collect();
    let all: Vec<Option<Carried>> = chosen
        .into_par_iter()
        .map(|(number, foot)| of_foot(run.seed, number, foot))
        .collect::<Result<_>>()?;
    Ok(all.into_iter().flatten().collect())
}

fn of_foot(seed: u64, number: u64, parameters: FootParameters) -> Result<Option<Carried>> {
    let mut chance = Chance::new(seed, PLANS + number);
    let usual = Exposure::default();
    let exposure = Exposure {
        tube_tilt_degrees: usual.tube_tilt_degrees + chance.normal(TILT_SD_DEGREES),
        ..usual
    };
    let foot = Foot::new(parameters)?;
    let Some(before) = Films::of(&foot, &exposure)? else {
        return Ok(None);
    };
    let mut plan = random_plan(&mut chance);
    let traced = before.foot(false);
    let bare = carry_out(&traced, &plan)?;
    plan = if chance.between(0.0, 1.0) < 0.5 {
        suggest_pair(&traced, &plan, Extent::Millimetres(SCREW_MM))?
    } else {
        let shift = bare.shift.pixel_widths / bare.before.ap.length;
        plan.screws = random_screws(&bare.before, shift, &mut chance);
        plan
    };
    let undertaking = carry_out(&traced, &plan)?;
    let operation = operation(&undertaking, &plan, &before, &foot, &exposure)?;
    let operated = Foot::new(FootParameters {
        operation: Some(operation),
        ..parameters
    })?;
    let Some(after) = Films::of(&operated, &exposure)? else {
        return Ok(None);
    };
    let difference = |measurement| {
        let predicted = undertaking.row(measurement)?.planned.value()?;
        Some(predicted - after.value(true, measurement)?)
    };
    let reach = Measurement::RelativeFirstMetatarsalLength;
    Ok(Some(Carried {
        foot: number,
        hallux_valgus: difference(Measurement::HalluxValgusAngle),
        intermetatarsal: difference(Measurement::IntermetatarsalAngle12),
        reach_mm: difference(reach),
        length_mm: undertaking
            .length
            .along_second
            .and_then(|parts| Some(parts.whole.mm? - head_travel_mm(&before, &after)?)),
        screws_mm: screw_differences(&undertaking, &before),
        plan,
    }))
}

/// How far the centre of the head has come to lie farther along the second metatarsal, in mm.
fn head_travel_mm(before: &Films, after: &Films) -> Option<f64> {
    let foot = before.foot(false);
    let second = bone_frame(
        &foot,
        View::Ap,
        LongBone::M2,
        AxisConvention::MidDiaphysealQuarters,
    )
    .ok()?;
    let [from, to] = [before, after].map(|films| films.ap_place(Landmark::HeadCentre));
    Some((to? - from?).dot(second.along) * before.mm_per_pixel_width())
}

/// How far the length of each screw lies from that in space.
fn screw_differences(undertaking: &Undertaking, films: &Films) -> Vec<Option<f64>> {
    let [ap, lateral] = View::ALL.map(|view| films.truth(view).projection());
    let Some(view) = undertaking.before.lateral.as_ref() else {
        return Vec::new();
    };
    undertaking
        .screws
        .iter()
        .map(|course| {
            let [on_ap, on_lateral] = course.on_film;
            let (on_ap, on_lateral) = (on_ap?, on_lateral?);
            let [entry, tip] = [0, 1].map(|end| {
                let at = view.on_bone(view.proportions.physical(on_lateral[end]));
                let line = [0.0, view.length]
                    .map(|along| view.film_point(PhysicalPoint::new(at.x, along)));
                ap.seen_on_line(on_ap[end], &lateral, line)
            });
            let squared: f64 = entry
                .iter()
                .zip(tip)
                .map(|(entry, tip)| (tip - entry).powi(2))
                .sum();
            Some(course.length.true_mm? - squared.sqrt())
        })
        .collect()
}
