//! What a plan meets and what it leaves open, in plain words.

mod bound;
mod finding;
mod screws;
mod whole_plan;

use crate::{extent::Length, plan::Plan, undertaking::Undertaking};

pub use bound::Bound;
pub use finding::Finding;
pub(crate) use screws::of_screws;
pub use whole_plan::{USUAL_LEVEL_MM, USUAL_LEVEL_SHARE};

/// One thing that a plan is checked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What is checked.
    pub finding: Finding,
    /// Which screw or wire it is about, counted from 0; nothing where it is about the plan.
    pub screw: Option<usize>,
    /// Whether it is met.
    pub verdict: Verdict,
    /// The number behind it, where there is one.
    pub figure: Option<Figure>,
    /// What that number has to be, where there is one; with this alone a check may still be open, where the rule of its
    /// finding asks for more.
    pub wanted: Option<Bound>,
}

/// Whether something that a plan is checked for is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is.
    Met,
    /// It is not: look again.
    Open,
    /// These films cannot tell.
    CannotTell,
}

/// The number behind a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// So many.
    Count(usize),
    /// A length on the bone.
    Length(Length),
    /// An angle in degrees.
    Degrees(f64),
    /// A share, 1 being the whole.
    Share(f64),
}

/// What a plan meets and leaves open: first the plan itself, then each screw.
pub(crate) fn checks(undertaking: &Undertaking, plan: &Plan) -> Vec<Check> {
    let mut checks = whole_plan::of_plan(undertaking, plan);
    checks.extend(of_screws(
        undertaking,
        plan,
        &plan.screws,
        &undertaking.screws,
    ));
    checks
}

/// A check that is met where its number lies within what is wanted.
fn measured(finding: Finding, figure: Figure, wanted: Bound) -> Check {
    Check {
        figure: Some(figure),
        wanted: Some(wanted),
        ..plain(finding, wanted.admits(figure))
    }
}

const fn plain(finding: Finding, is_met: bool) -> Check {
    Check {
        finding,
        screw: None,
        verdict: if is_met { Verdict::Met } else { Verdict::Open },
        figure: None,
        wanted: None,
    }
}

const fn cannot_tell(finding: Finding) -> Check {
    Check {
        verdict: Verdict::CannotTell,
        ..plain(finding, false)
    }
}

impl Check {
    /// The same, open where something else that its rule asks for is missing.
    fn provided(self, is_so: bool) -> Self {
        if is_so {
            self
        } else {
            Self {
                verdict: Verdict::Open,
                ..self
            }
        }
    }
}
