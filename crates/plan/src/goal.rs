//! What a shift is to reach, and the plan whose shift is held at it.

use plumbray_measure::Foot;
use serde::{Deserialize, Serialize};

use crate::{
    plan::Plan,
    solve::{NoSolution, solve_shift},
};

/// What a shift is to reach.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Goal {
    /// This 1–2 intermetatarsal angle in degrees, by head centre – base centre.
    IntermetatarsalAngle(f64),
    /// The first metatarsal's axis midway between the centres of the two sesamoids.
    SesamoidsUnderHead,
    /// The most that the bone allows: the shaft's lateral edge against the fragment's medial one.
    MostThisBoneAllows,
}

impl Goal {
    /// What it is, as it stands after "Held:": "IMA 6.0°".
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::IntermetatarsalAngle(degrees) => {
                format!("IMA {degrees:.1}°").replace('-', "\u{2212}")
            }
            Self::SesamoidsUnderHead => "sesamoids under the head".to_owned(),
            Self::MostThisBoneAllows => "edge to edge".to_owned(),
        }
    }
}

/// The plan with its shift by the goal that it holds; the plan itself where it holds none.
///
/// The rest of the plan stays, so that doing it twice is doing it once.
///
/// # Errors
/// [`NoSolution`] where no shift reaches the goal: the plan keeps the shift that it has.
pub fn held(foot: &Foot<'_>, plan: &Plan) -> Result<Plan, NoSolution> {
    let mut held = plan.clone();
    if let Some(goal) = plan.head.goal {
        held.head.shift = solve_shift(foot, plan, goal)?;
    }
    Ok(held)
}
