//! The tilt of the cut that keeps the length of the first ray.

use plumbray_measure::Foot;

use crate::{
    cut::PlannedCut,
    error::PlanError,
    goal::held,
    ground::Ground,
    limits::NumberLimits,
    plan::{CutDirection, Plan},
    solve::NoSolution,
};

/// Why no tilt keeps the length.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoTilt {
    /// The plan itself cannot be carried out, or not with the tilt that would be needed.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The shift is held at a goal that it does not reach with the tilt that would be needed.
    #[error(transparent)]
    Goal(#[from] NoSolution),
    /// The length along the second ray needs a second metatarsal.
    #[error("the length along M2 needs the second metatarsal; trace it in Measure")]
    NeedsSecond,
    /// The burr takes more than any tilt gives back.
    #[error(
        "no tilt makes up for the kerf: closing it takes {:.0} % of the shaft’s width and the head is shifted by \
         {:.0} %; shift farther, or burr less", closing_share * 100.0, shift_share * 100.0
    )]
    KerfTooWide {
        /// By how much closing the kerf brings the fragment nearer, as a share of the shaft's width.
        closing_share: f64,
        /// The lateral shift likewise.
        shift_share: f64,
    },
    /// The tilt that is needed is more than a cut can have.
    #[error(
        "this would need a tilt of {needed_degrees:.1}°, and a cut can be tilted by at most {most_degrees:.0}°"
    )]
    TooTilted {
        /// The tilt that is needed, positive where the lateral end lies more distal.
        needed_degrees: f64,
        /// The most that a cut can be tilted.
        most_degrees: f64,
    },
}

/// How often tilt and shift are fitted to each other where the shift is held at a goal: each round brings them
/// at least ten times nearer, and this many leave less than a millionth of a degree.
const ROUNDS: u32 = 12;

/// The plan with the tilt of its cut such that the length of the first ray does not change along the second, kerf and
/// shift included: with the lateral shift T, the closing kerf k and the divergence φ of M1 from M2
///
/// ```text
/// s·sin(θ + φ) − k·cos(θ + φ) = 0,   T = s·cos θ + k·sin θ   ⟹   sin(θ + φ) = k·cos φ / T
/// ```
///
/// Along the second ray, since that is what the forefoot feels. Where the shift is held at a goal it is found again
/// with the new tilt, until both hold. Without kerf the cut then runs square to the second metatarsal, whatever the
/// shift.
///
/// # Errors
/// [`NoTilt`].
pub fn keep_length(foot: &Foot<'_>, plan: &Plan) -> Result<Plan, NoTilt> {
    plan.validate()?;
    let ground = Ground::of(foot)?;
    let divergence = ground.before.divergence.ok_or(NoTilt::NeedsSecond)?;
    let rounds = if plan.head.goal.is_some() { ROUNDS } else { 1 };
    let mut kept = plan.clone();
    for _ in 0..rounds {
        let cut = ground.cut(&kept.cut)?;
        let shift = cut.of_width(kept.head.shift, "The shift")?;
        let tilt = keeping_tilt(&cut, shift, divergence)?;
        kept.cut.direction = CutDirection::TiltDegrees(tilt);
        // The cut itself has to meet the bone as it is tilted now.
        ground.cut(&kept.cut)?;
        kept = held(foot, &kept)?;
    }
    Ok(kept)
}

/// The tilt in degrees at which a lateral shift in pixel widths changes no length along the second ray.
fn keeping_tilt(cut: &PlannedCut, shift: f64, divergence: f64) -> Result<f64, NoTilt> {
    let needed = cut.closing * divergence.cos();
    let sine = if needed > 0.0 { needed / shift } else { 0.0 };
    if !(-1.0..=1.0).contains(&sine) {
        return Err(NoTilt::KerfTooWide {
            closing_share: cut.closing / cut.width,
            shift_share: shift / cut.width,
        });
    }
    let needed_degrees = (sine.asin() - divergence).to_degrees();
    let [least, most_degrees] = NumberLimits::TILT.range;
    if (least..=most_degrees).contains(&needed_degrees) {
        Ok(needed_degrees)
    } else {
        Err(NoTilt::TooTilted {
            needed_degrees,
            most_degrees,
        })
    }
}
