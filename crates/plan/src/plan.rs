//! What a surgeon intends, as it is kept in a study.

use plumbray_anatomy::LongBone;
use serde::{Deserialize, Serialize};

use crate::{error::PlanError, extent::Extent, foot_before::BonePlace};

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
    /// In which lengths screws are at hand.
    pub lengths: LengthSteps,
    /// How much of the correction may be lost while it heals, from 0 to [`Plan::MOST_LOST`]; up to about
    /// three tenths has been reported (common practice, no source).
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

/// The lengths in which screws are at hand, in millimetres. Every surgeon states their own.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LengthSteps {
    /// The shortest.
    pub shortest_mm: f64,
    /// From one to the next.
    pub step_mm: f64,
    /// The longest.
    pub longest_mm: f64,
}

impl Plan {
    /// The largest share of a correction whose loss is shown.
    pub const MOST_LOST: f64 = 0.3;

    /// The plan with which a surgeon begins: a straight cut square to the shaft, the head shifted by three
    /// quarters of the shaft's width, without screws.
    ///
    /// On a calibrated film the cut lies 23 mm from the joint and the kerf is 2 mm (both common practice, no
    /// source); otherwise they stand as the shares that these are of a bone of 61 mm and a shaft of 14 mm.
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
        let angles = [
            ("The turn of the head", self.head.medial_turn_degrees, 30.0),
            ("The supination", self.head.supination_degrees, 60.0),
            ("The plantar tilt", self.head.plantar_tilt_degrees, 30.0),
            ("The wedge of the phalanx", self.toe.wedge_degrees, 25.0),
        ];
        for (what, value, most) in angles {
            within(what, value, -most, most)?;
        }
        let extents = [
            (
                "The level of the cut",
                self.cut.level,
                [5.0, 50.0],
                [0.08, 0.8],
            ),
            ("The kerf", self.cut.kerf, [0.0, 6.0], [0.0, 0.5]),
            ("The shift", self.head.shift, [-5.0, 25.0], [-0.4, 1.5]),
            (
                "The dorsal shift",
                self.head.dorsal_shift,
                [-10.0, 10.0],
                [-0.8, 0.8],
            ),
        ];
        for (what, extent, mm, share) in extents {
            extent.within(what, mm, share)?;
        }
        match self.cut.direction {
            CutDirection::TiltDegrees(tilt) => within("The tilt of the cut", tilt, -45.0, 45.0)?,
            CutDirection::Toward(aim) if !Aim::BONES.contains(&aim.bone) => {
                return Err(PlanError::NoAim { bone: aim.bone });
            }
            CutDirection::Toward(_) => {}
        }
        if let CutForm::Chevron { opens_degrees } = self.cut.form {
            within("The angle of the chevron", opens_degrees, 0.0, 140.0)?;
        }
        if let ToeRule::Realigned {
            hallux_valgus_degrees,
        } = self.toe.rule
        {
            within(
                "The hallux valgus angle aimed at",
                hallux_valgus_degrees,
                -20.0,
                60.0,
            )?;
        }
        within(
            "The share that may be lost",
            self.lost_share,
            0.0,
            Self::MOST_LOST,
        )?;
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

impl Default for Plan {
    fn default() -> Self {
        Self {
            name: String::new(),
            cut: Cut::default(),
            head: HeadMove::default(),
            toe: Toe::default(),
            step_trimmed: false,
            screws: Vec::new(),
            lengths: LengthSteps::default(),
            lost_share: Self::MOST_LOST,
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

impl Default for LengthSteps {
    /// Every two millimetres from 20 to 60; ours, to be changed by whoever has others.
    fn default() -> Self {
        Self {
            shortest_mm: 20.0,
            step_mm: 2.0,
            longest_mm: 60.0,
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

    /// Every point at which a cut can be aimed: the necks, then the heads.
    #[must_use]
    pub fn all() -> Vec<Self> {
        [AimAt::Neck, AimAt::Head]
            .into_iter()
            .flat_map(|at| Self::BONES.map(|bone| Self { bone, at }))
            .collect()
    }
}

impl LengthSteps {
    /// The shortest length at hand that is not below `length_mm`; nothing where it exceeds the longest.
    #[must_use]
    pub fn at_least(&self, length_mm: f64) -> Option<f64> {
        let steps = ((length_mm - self.shortest_mm) / self.step_mm)
            .ceil()
            .max(0.0);
        let found = self.shortest_mm + steps * self.step_mm;
        (found <= self.longest_mm + 1e-9).then_some(found)
    }

    /// The longest length at hand that is not above `length_mm`; nothing where it is below the shortest.
    #[must_use]
    pub fn at_most(&self, length_mm: f64) -> Option<f64> {
        if length_mm < self.shortest_mm {
            return None;
        }
        let most = length_mm.min(self.longest_mm);
        let steps = ((most - self.shortest_mm) / self.step_mm + 1e-9).floor();
        Some(self.shortest_mm + steps * self.step_mm)
    }

    fn validate(&self) -> Result<(), PlanError> {
        within("The shortest screw in mm", self.shortest_mm, 5.0, 150.0)?;
        within("The step of screw lengths in mm", self.step_mm, 0.5, 20.0)?;
        within(
            "The longest screw in mm",
            self.longest_mm,
            self.shortest_mm,
            150.0,
        )
    }
}

impl Screw {
    fn validate(&self) -> Result<(), PlanError> {
        self.diameter
            .within("The diameter of a screw", [0.5, 8.0], [0.03, 0.7])?;
        for place in [self.entry, self.tip] {
            for value in [place.along, place.lateral, place.dorsal] {
                within("The place of a screw", value, -3.0, 3.0)?;
            }
        }
        Ok(())
    }
}

impl Extent {
    fn within(self, what: &'static str, mm: [f64; 2], share: [f64; 2]) -> Result<(), PlanError> {
        match self {
            Self::Millimetres(value) => within(what, value, mm[0], mm[1]),
            Self::Share(value) => within(what, value, share[0], share[1]),
        }
    }
}

fn within(what: &'static str, value: f64, lowest: f64, highest: f64) -> Result<(), PlanError> {
    if (lowest..=highest).contains(&value) {
        return Ok(());
    }
    Err(PlanError::OutOfRange {
        what,
        value,
        lowest,
        highest,
    })
}
