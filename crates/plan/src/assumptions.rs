//! What the model takes for granted, to be shown wherever its numbers are.

use plumbray_anatomy::capitalised;

use crate::plan::{Plan, ScrewKind, ToeRule};

/// Something that the model takes for granted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// What, as a sentence.
    pub text: String,
    /// Where it comes from.
    pub source: &'static str,
}

/// What the model takes for granted for a plan, the most telling first.
#[must_use]
pub fn assumptions(plan: &Plan) -> Vec<Assumption> {
    let mut assumptions = vec![
        Assumption {
            text: "The sesamoids stay with the second ray while the head moves over them."
                .to_owned(),
            source: "Lamo-Espinosa et al., J Foot Ankle Surg 2015: 25.7 mm from the second metatarsal before, \
                     25.9 mm after (25 feet); Geng et al., J Foot Ankle Surg 2015",
        },
        Assumption {
            text: capitalised(&format!("{}.", toe_words(plan.toe.rule))),
            source: "ours: no source tells what a toe does",
        },
        Assumption {
            text: "The rest of the foot stands as it stood.".to_owned(),
            source: "ours",
        },
        Assumption {
            text: "The plan is flat: shift and length are those that the AP film shows.".to_owned(),
            source: "ours",
        },
    ];
    if plan
        .screws
        .iter()
        .any(|screw| screw.kind == ScrewKind::Screw)
    {
        assumptions.push(Assumption {
            text: "A screw’s true length takes the foot to stand along its second metatarsal and the tube to be tilted by \
                   15°; measure again before it is chosen."
                .to_owned(),
            source: "ours: within 1 mm in 94 of 102 on simulated feet, 1.7 mm at the most",
        });
    }
    if plan.head.supination_degrees.abs() > 0.0 {
        assumptions.push(Assumption {
            text: "Supination is planned and not predicted: no flat film shows the joint surface after it."
                .to_owned(),
            source: "ours",
        });
    }
    assumptions
}

/// What a rule says of the toe, without a full stop.
#[must_use]
pub(crate) fn toe_words(rule: ToeRule) -> String {
    match rule {
        ToeRule::FollowsHead => "the toe shifts and turns with the head".to_owned(),
        ToeRule::KeepsDirection => {
            "the toe shifts with the head and keeps its direction".to_owned()
        }
        ToeRule::Realigned {
            hallux_valgus_degrees,
        } => format!(
            "the toe shifts with the head and is brought to a hallux valgus angle of {hallux_valgus_degrees:.0}°"
        ),
    }
}
