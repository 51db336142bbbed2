//! A percutaneous osteotomy through the neck of the first metatarsal, and what holds it.

pub(crate) mod callus;
pub(crate) mod fixation;
pub(crate) mod follow_up;
pub(crate) mod metal;
pub(crate) mod osteotomy;

use serde::{Deserialize, Serialize};

use crate::parameters::{ParameterError, check};

/// An osteotomy through the neck of the first metatarsal: the capital fragment is shifted laterally,
/// turned, and held by two screws. The great toe follows the fragment; the sesamoids stay with the
/// second metatarsal.
///
/// Directions are those of the uncut first metatarsal: along its axis, square to it and level
/// (medial, lateral), and square to both (dorsal, plantar), whatever its pronation. The defaults are
/// those of a usual operation on a moderate deformity. Written as RON or JSON, a field that is left out
/// has its default.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Operation {
    /// From the tip of the metatarsal back to the middle of the cut, along the metatarsal's axis, in
    /// mm.
    pub level_mm: f64,
    /// Tilt of the cut in degrees from square to the metatarsal's axis, positive when its lateral end
    /// lies more distal. A shift along such a cut lengthens the bone.
    pub cut_tilt_degrees: f64,
    /// How much bone the burr takes away, square to the cut, in mm. The faces then meet.
    pub kerf_mm: f64,
    /// How far the fragment travels along the cut toward lateral, in mm.
    pub shift_mm: f64,
    /// How far it travels toward plantar, in mm, negative toward dorsal.
    pub plantar_shift_mm: f64,
    /// By how many degrees it is turned about the centre of its joint surface, seen from above,
    /// positive when the surface turns medially: the articular angle falls by as much.
    pub medial_turn_degrees: f64,
    /// By how many degrees its tip is turned downward about the centre of its joint surface.
    pub plantar_tilt_degrees: f64,
    /// By how many degrees it is supinated about the metatarsal's axis: pronation falls by as much.
    pub supination_degrees: f64,
    /// By how many degrees the great toe is turned medially on the fragment, beyond what the fragment
    /// brings along: by the release of its lateral soft tissue and by an osteotomy of its phalanx.
    pub toe_turn_degrees: f64,
    /// Whether the corner of the shaft that stands out medially of the fragment is trimmed.
    pub is_step_trimmed: bool,
    /// The two screws.
    pub screws: Screws,
    /// A wire, if one is left in.
    pub wire: Option<Wire>,
    /// New bone about the cut, if the film is late enough to show it.
    pub callus: Option<Callus>,
}

/// The screws that hold a fragment.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
pub enum Screws {
    /// None.
    Absent,
    /// Two by the usual rules: the first enters the medial cortex of the base, leaves the lateral
    /// cortex of the shaft short of the cut where the shift is large enough, and ends under the joint
    /// surface in the lateral part of the head; the second runs parallel to it, nearer to the cut.
    #[default]
    Usual,
    /// Two at these places.
    Placed([Screw; 2]),
}

/// A headless screw, threaded along its whole length, of titanium.
///
/// Places are in mm toward lateral, dorsal and distal of the centre of the first metatarsal's base,
/// in the directions of [`Operation`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Screw {
    /// Its proximal end.
    pub entry_mm: [f64; 3],
    /// Its distal end.
    pub tip_mm: [f64; 3],
    /// Its thread.
    pub thread: Thread,
}

/// The thread of a screw, in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Thread {
    /// Diameter over the crests.
    pub outer_diameter_mm: f64,
    /// Diameter of the core.
    pub core_diameter_mm: f64,
    /// From one crest to the next.
    pub pitch_mm: f64,
    /// Diameter of the hole for the guide wire along its axis; zero for a solid screw.
    pub hole_diameter_mm: f64,
}

/// A smooth wire of steel. Places are as those of a [`Screw`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wire {
    /// Its proximal end.
    pub entry_mm: [f64; 3],
    /// Its distal end.
    pub tip_mm: [f64; 3],
    /// Its diameter in mm.
    pub diameter_mm: f64,
}

/// New woven bone about the cut.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Callus {
    /// Weeks since the operation: it is first seen at about four and dense as spongy bone at about
    /// six months (from memory).
    pub weeks: f64,
}

impl Default for Operation {
    /// The cut 22 to 25 mm behind the joint, two millimetres of kerf and a shift of about three
    /// quarters of the neck are common practice; without callus.
    fn default() -> Self {
        Self {
            level_mm: 22.0,
            cut_tilt_degrees: 6.0,
            kerf_mm: 2.0,
            shift_mm: 10.0,
            plantar_shift_mm: 1.0,
            medial_turn_degrees: 2.0,
            plantar_tilt_degrees: 0.0,
            supination_degrees: 6.0,
            toe_turn_degrees: 10.0,
            is_step_trimmed: true,
            screws: Screws::Usual,
            wire: None,
            callus: None,
        }
    }
}

impl Default for Thread {
    /// A screw of 4 mm; the other sizes from memory.
    fn default() -> Self {
        Self {
            outer_diameter_mm: 4.0,
            core_diameter_mm: 2.9,
            pitch_mm: 1.5,
            hole_diameter_mm: 1.3,
        }
    }
}

/// How far from the centre of the first metatarsal's base a piece of metal can reach, in mm.
const METAL_REACH_MM: f64 = 110.0;

impl Operation {
    /// Whether such an operation can be simulated.
    pub(crate) fn validate(&self) -> Result<(), ParameterError> {
        let limits = [
            ("operation.level_mm", self.level_mm, 16.0, 32.0),
            (
                "operation.cut_tilt_degrees",
                self.cut_tilt_degrees,
                -25.0,
                25.0,
            ),
            ("operation.kerf_mm", self.kerf_mm, 0.0, 4.0),
            ("operation.shift_mm", self.shift_mm, -2.0, 18.0),
            (
                "operation.plantar_shift_mm",
                self.plantar_shift_mm,
                -4.0,
                4.0,
            ),
            (
                "operation.medial_turn_degrees",
                self.medial_turn_degrees,
                -15.0,
                15.0,
            ),
            (
                "operation.plantar_tilt_degrees",
                self.plantar_tilt_degrees,
                -15.0,
                15.0,
            ),
            (
                "operation.supination_degrees",
                self.supination_degrees,
                -10.0,
                35.0,
            ),
            (
                "operation.toe_turn_degrees",
                self.toe_turn_degrees,
                -10.0,
                35.0,
            ),
        ];
        for (parameter, value, lowest, highest) in limits {
            check(parameter, value, &(lowest..=highest))?;
        }
        if let Screws::Placed(screws) = &self.screws {
            screws.iter().try_for_each(Screw::validate)?;
        }
        self.wire.as_ref().map_or(Ok(()), Wire::validate)?;
        self.callus.map_or(Ok(()), |callus| {
            check("operation.callus.weeks", callus.weeks, &(0.0..=520.0))
        })
    }
}

impl Screw {
    fn validate(&self) -> Result<(), ParameterError> {
        check_places("operation.screws", self.entry_mm, self.tip_mm)?;
        let thread = &self.thread;
        check(
            "operation.screws.thread.outer_diameter_mm",
            thread.outer_diameter_mm,
            &(1.5..=7.0),
        )?;
        check(
            "operation.screws.thread.core_diameter_mm",
            thread.core_diameter_mm,
            &(1.0..=thread.outer_diameter_mm),
        )?;
        check(
            "operation.screws.thread.pitch_mm",
            thread.pitch_mm,
            &(0.4..=4.0),
        )?;
        check(
            "operation.screws.thread.hole_diameter_mm",
            thread.hole_diameter_mm,
            &(0.0..=0.8 * thread.core_diameter_mm),
        )
    }
}

impl Wire {
    fn validate(&self) -> Result<(), ParameterError> {
        check_places("operation.wire", self.entry_mm, self.tip_mm)?;
        check("operation.wire.diameter_mm", self.diameter_mm, &(0.6..=3.0))
    }
}

/// Whether a piece of metal lies near the bone and has a length.
fn check_places(
    parameter: &'static str,
    entry_mm: [f64; 3],
    tip_mm: [f64; 3],
) -> Result<(), ParameterError> {
    for value in entry_mm.into_iter().chain(tip_mm) {
        check(parameter, value, &(-METAL_REACH_MM..=METAL_REACH_MM))?;
    }
    let squared: f64 = entry_mm
        .iter()
        .zip(tip_mm)
        .map(|(entry, tip)| (tip - entry).powi(2))
        .sum();
    check(parameter, squared.sqrt(), &(5.0..=2.0 * METAL_REACH_MM))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCREW: Screw = Screw {
        entry_mm: [-9.0, 0.0, 10.0],
        tip_mm: [12.0, 0.0, 55.0],
        thread: Thread {
            outer_diameter_mm: 4.0,
            core_diameter_mm: 2.9,
            pitch_mm: 1.5,
            hole_diameter_mm: 1.3,
        },
    };

    #[test]
    fn the_usual_operation_can_be_simulated() {
        assert_eq!(Operation::default().validate(), Ok(()), "default");
    }

    #[test]
    fn what_no_operation_can_have_is_named() {
        let usual = Operation::default();
        let placed = |screw| Operation {
            screws: Screws::Placed([SCREW, screw]),
            ..usual
        };
        for (operation, name) in [
            (
                Operation {
                    shift_mm: 20.0,
                    ..usual
                },
                "operation.shift_mm",
            ),
            (
                Operation {
                    kerf_mm: f64::NAN,
                    ..usual
                },
                "operation.kerf_mm",
            ),
            (
                Operation {
                    callus: Some(Callus { weeks: -1.0 }),
                    ..usual
                },
                "operation.callus.weeks",
            ),
            (
                placed(Screw {
                    tip_mm: SCREW.entry_mm,
                    ..SCREW
                }),
                "operation.screws",
            ),
            (
                placed(Screw {
                    thread: Thread {
                        pitch_mm: 0.0,
                        ..SCREW.thread
                    },
                    ..SCREW
                }),
                "operation.screws.thread.pitch_mm",
            ),
            (
                Operation {
                    wire: Some(Wire {
                        entry_mm: [0.0; 3],
                        tip_mm: [f64::NAN, 0.0, 20.0],
                        diameter_mm: 1.6,
                    }),
                    ..usual
                },
                "operation.wire",
            ),
        ] {
            let error = operation.validate().expect_err(name);
            assert_eq!(error.parameter, name, "{error}");
        }
        assert_eq!(placed(SCREW).validate(), Ok(()), "two screws");
    }
}
