//! What a surgeon intends, as it is kept in a study.

use plumbray_anatomy::LongBone;
use serde::{Deserialize, Serialize};

use crate::{
    error::PlanError,
    extent::Extent,
    foot_before::BonePlace,
    goal::Goal,
    length_steps::LengthSteps,
    limits::{ExtentLimits, NumberLimits},
};

/// The most screws and wires that one plan holds.
pub const MOST_SCREWS: usize = 6;

/// One plan of an osteotomy through the neck of the first metatarsal.
///
/// A field that is left out in a file has the default of [`Plan::usual`] on an uncalibrated film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Plan {
    /// What the surgeon calls it; may be empty.
    pub name: String,
    /// The cut through the bone.
    pub cut: Cut,
    /// How the head's fragment is moved.
    pub head: HeadMove,
    /// What becomes of the great toe.
    pub toe: Toe,
    /// Whether the corner of the shaft that stands out medially is taken off, at half a right angle to the
    /// cut (ours).
    pub step_trimmed: bool,
    /// Screws and wires, the first one first.
    pub screws: Vec<Screw>,
    /// Whether the screws among them are the pair that [`suggest_pair`](crate::suggest_pair) found, untouched since:
    /// then they may be looked for again when the plan changes.
    #[serde(skip_serializing_if = "is_not")]
    pub screws_suggested: bool,
    /// In which lengths screws are at hand.
    pub lengths: LengthSteps,
    /// How much of the correction may be lost while it heals, within [`NumberLimits::LOST`].
    pub lost_share: f64,
}

/// The cut through the first metatarsal, seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Cut {
    /// How far the middle of the cut lies proximal of the centre of the first metatarsophalangeal joint,
    /// along the shaft; as a share, of the first metatarsal's length from base centre to tip.
    pub level: Extent,
    /// Which way it runs.
    pub direction: CutDirection,
    /// Its form as seen from the side.
    pub form: CutForm,
    /// How much bone the burr takes, square to the cut; as a share, of the shaft's width. The faces then
    /// meet.
    pub kerf: Extent,
}

/// Which way a cut runs across the shaft.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CutDirection {
    /// By so many degrees from square to the shaft, positive where the lateral end lies more distal.
    TiltDegrees(f64),
    /// Toward a point of a lesser metatarsal.
    Toward(Aim),
}

/// A point of a lesser metatarsal at which a cut is aimed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Aim {
    /// The second, third or fourth metatarsal.
    pub bone: LongBone,
    /// Which part of it.
    pub at: AimAt,
}

/// A part of a lesser metatarsal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AimAt {
    /// The neck: at [`AimAt::share`] of the bone's length from its base.
    Neck,
    /// The centre of the head, likewise.
    Head,
}

/// The form of a cut as seen from the side.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CutForm {
    /// Straight through.
    Straight,
    /// A chevron, its tip toward distal.
    Chevron {
        /// By how many degrees its two limbs together depart from one straight line: 0 is straight.
        opens_degrees: f64,
    },
}

/// How the head's fragment is moved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct HeadMove {
    /// How far it comes to lie lateral, square to the shaft; as a share, of the shaft's width at the cut.
    /// What is lost or gained along the cut by its tilt and kerf follows from it.
    pub shift: Extent,
    /// What the shift is held at, so that it is found again whenever the plan changes; nothing where it was
    /// chosen as a number. [`held`](crate::held) gives the plan with its shift by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<Goal>,
    /// By how many degrees it is turned about its own centre as seen from above, positive toward medial.
    pub medial_turn_degrees: f64,
    /// By how many degrees it is supinated about the shaft. No flat film shows what that does.
    pub supination_degrees: f64,
    /// How far it is shifted dorsally; as a share, of the shaft's width at the cut. Negative is plantar.
    pub dorsal_shift: Extent,
    /// By how many degrees its tip is turned plantarward about its own centre.
    pub plantar_tilt_degrees: f64,
}

/// What becomes of the great toe.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Toe {
    /// How it goes with the head.
    pub rule: ToeRule,
    /// By how many degrees a wedge taken from the medial side of the proximal phalanx turns what lies
    /// distal of it medially; 0 takes none.
    pub wedge_degrees: f64,
}

/// How the great toe goes with the head of the first metatarsal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToeRule {
    /// It shifts and turns with the head.
    FollowsHead,
    /// It shifts with the head and keeps its direction.
    KeepsDirection,
    /// It shifts with the head and is brought to this hallux valgus angle, by releasing the joint.
    Realigned {
        /// The hallux valgus angle aimed at, in degrees.
        hallux_valgus_degrees: f64,
    },
}

/// A screw or a wire as one straight segment in space.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Screw {
    /// What it is.
    pub kind: ScrewKind,
    /// Its diameter; as a share, of the shaft's width at the cut.
    pub diameter: Extent,
    /// Its proximal end.
    pub entry: BonePlace,
    /// Its distal end.
    pub tip: BonePlace,
}

/// What holds a fragment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScrewKind {
    /// A screw.
    Screw,
    /// A wire.
    Wire,
}

impl Plan {
    /// The bone of which a plan without a calibration takes its shares, in millimetres: its length and the width of
    /// its shaft (ours).
    pub const USUAL_BONE_MM: [f64; 2] = [61.0, 14.0];

    /// The plan with which a surgeon begins: a straight cut square to the shaft, the head shifted by three
    /// quarters of the shaft's width, without screws.
    ///
    /// On a calibrated film the cut lies 23 mm from the joint and the kerf is 2 mm (both common practice, no
    /// source); otherwise they stand as the shares that these are of [`Plan::USUAL_BONE_MM`].
    #[must_use]
    pub fn usual(is_calibrated: bool) -> Self {
        let mut plan = Self::default();
        if is_calibrated {
            plan.cut.level = Extent::Millimetres(23.0);
            plan.cut.kerf = Extent::Millimetres(2.0);
        }
        plan
    }

    /// Whether every number can be that of an operation.
    ///
    /// # Errors
    /// [`PlanError::OutOfRange`] with the field's name; [`PlanError::TooManyScrews`].
    pub fn validate(&self) -> Result<(), PlanError> {
        NumberLimits::TURN.check(self.head.medial_turn_degrees)?;
        NumberLimits::SUPINATION.check(self.head.supination_degrees)?;
        NumberLimits::PLANTAR_TILT.check(self.head.plantar_tilt_degrees)?;
        NumberLimits::WEDGE.check(self.toe.wedge_degrees)?;
        ExtentLimits::LEVEL.check(self.cut.level)?;
        ExtentLimits::KERF.check(self.cut.kerf)?;
        ExtentLimits::SHIFT.check(self.head.shift)?;
        if let Some(Goal::IntermetatarsalAngle(degrees)) = self.head.goal {
            NumberLimits::INTERMETATARSAL.check(degrees)?;
        }
        ExtentLimits::DORSAL_SHIFT.check(self.head.dorsal_shift)?;
        match self.cut.direction {
            CutDirection::TiltDegrees(tilt) => NumberLimits::TILT.check(tilt)?,
            CutDirection::Toward(aim) if !Aim::BONES.contains(&aim.bone) => {
                return Err(PlanError::NoAim { bone: aim.bone });
            }
            CutDirection::Toward(_) => {}
        }
        if let CutForm::Chevron { opens_degrees } = self.cut.form {
            NumberLimits::CHEVRON.check(opens_degrees)?;
        }
        if let ToeRule::Realigned {
            hallux_valgus_degrees,
        } = self.toe.rule
        {
            NumberLimits::HALLUX_VALGUS.check(hallux_valgus_degrees)?;
        }
        NumberLimits::LOST.check(self.lost_share)?;
        self.lengths.validate()?;
        if self.screws.len() > MOST_SCREWS {
            return Err(PlanError::TooManyScrews {
                count: self.screws.len(),
                most: MOST_SCREWS,
            });
        }
        self.screws.iter().try_for_each(Screw::validate)
    }
}

/// What is false is left out of a file.
#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands a field over by reference"
)]
const fn is_not(value: &bool) -> bool {
    !*value
}

impl Default for Plan {
    fn default() -> Self {
        Self {
            name: String::new(),
            cut: Cut::default(),
            head: HeadMove::default(),
            toe: Toe::default(),
            step_trimmed: false,
            screws: Vec::new(),
            screws_suggested: false,
            lengths: LengthSteps::default(),
            lost_share: NumberLimits::LOST.range[1],
        }
    }
}

impl Default for Cut {
    fn default() -> Self {
        Self {
            level: Extent::Share(0.38),
            direction: CutDirection::TiltDegrees(0.0),
            form: CutForm::Straight,
            kerf: Extent::Share(0.14),
        }
    }
}

impl Default for HeadMove {
    fn default() -> Self {
        Self {
            shift: Extent::Share(0.75),
            goal: None,
            medial_turn_degrees: 0.0,
            supination_degrees: 0.0,
            dorsal_shift: Extent::Share(0.0),
            plantar_tilt_degrees: 0.0,
        }
    }
}

impl Default for Toe {
    fn default() -> Self {
        Self {
            rule: ToeRule::FollowsHead,
            wedge_degrees: 0.0,
        }
    }
}

impl AimAt {
    /// Where along a lesser metatarsal it lies, from 0 at the base to 1 at the tip (ours: by the metatarsals
    /// of simulated feet, whose heads are some 10 mm long).
    #[must_use]
    pub const fn share(self) -> f64 {
        match self {
            Self::Neck => 0.82,
            Self::Head => 0.93,
        }
    }
}

impl Aim {
    /// The lesser metatarsals at which a cut can be aimed.
    pub const BONES: [LongBone; 3] = [LongBone::M2, LongBone::M3, LongBone::M4];

    /// What it is within a sentence: "the neck of M3".
    #[must_use]
    pub fn name(self) -> String {
        let part = match self.at {
            AimAt::Neck => "neck",
            AimAt::Head => "head",
        };
        let number = self.bone.metatarsal_number().unwrap_or_default();
        format!("the {part} of M{number}")
    }

    /// Every point at which a cut can be aimed: the necks, then the heads.
    #[must_use]
    pub fn all() -> Vec<Self> {
        [AimAt::Neck, AimAt::Head]
            .into_iter()
            .flat_map(|at| Self::BONES.map(|bone| Self { bone, at }))
            .collect()
    }
}

impl Screw {
    fn validate(&self) -> Result<(), PlanError> {
        ExtentLimits::DIAMETER.check(self.diameter)?;
        for place in [self.entry, self.tip] {
            for value in [place.along, place.lateral, place.dorsal] {
                NumberLimits::PLACE.check(value)?;
            }
        }
        Ok(())
    }

    /// The diameter with which a screw or wire begins: 4 mm or 2 mm (common practice, no source), or the share that
    /// this is of a shaft of [`Plan::USUAL_BONE_MM`].
    #[must_use]
    pub const fn usual_diameter(kind: ScrewKind, is_calibrated: bool) -> Extent {
        let mm = match kind {
            ScrewKind::Screw => 4.0,
            ScrewKind::Wire => 2.0,
        };
        if is_calibrated {
            Extent::Millimetres(mm)
        } else {
            Extent::Share(mm / Plan::USUAL_BONE_MM[1])
        }
    }
}
