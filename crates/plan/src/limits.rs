//! What the numbers of a plan can be: the same for who types, drags or reads one from a file.

use crate::{error::PlanError, extent::Extent};

/// What a length of a plan can be, in either unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExtentLimits {
    /// Which length, as a sentence begins: "The shift".
    pub what: &'static str,
    /// The least and the most in millimetres.
    pub mm: [f64; 2],
    /// The least and the most as a share.
    pub share: [f64; 2],
}

impl ExtentLimits {
    /// Of the level of the cut.
    pub const LEVEL: Self = Self {
        what: "The level of the cut",
        mm: [5.0, 50.0],
        share: [0.08, 0.8],
    };
    /// Of the kerf.
    pub const KERF: Self = Self {
        what: "The kerf",
        mm: [0.0, 6.0],
        share: [0.0, 0.5],
    };
    /// Of the lateral shift of the head.
    pub const SHIFT: Self = Self {
        what: "The shift",
        mm: [-5.0, 25.0],
        share: [-0.4, 1.5],
    };
    /// Of its dorsal shift.
    pub const DORSAL_SHIFT: Self = Self {
        what: "The dorsal shift",
        mm: [-10.0, 10.0],
        share: [-0.8, 0.8],
    };
    /// Of the diameter of a screw or wire.
    pub const DIAMETER: Self = Self {
        what: "The diameter of a screw",
        mm: [0.5, 8.0],
        share: [0.03, 0.7],
    };

    /// The nearest length that can be.
    #[must_use]
    pub fn nearest(&self, extent: Extent) -> Extent {
        match extent {
            Extent::Millimetres(mm) => Extent::Millimetres(mm.clamp(self.mm[0], self.mm[1])),
            Extent::Share(share) => Extent::Share(share.clamp(self.share[0], self.share[1])),
        }
    }

    pub(crate) fn check(&self, extent: Extent) -> Result<(), PlanError> {
        match extent {
            Extent::Millimetres(mm) => within(self.what, mm, self.mm),
            Extent::Share(share) => within(self.what, share, self.share),
        }
    }
}

/// What a number that is no length can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NumberLimits {
    /// Which number, as a sentence begins.
    pub what: &'static str,
    /// The least and the most.
    pub range: [f64; 2],
}

impl NumberLimits {
    /// Of the tilt of the cut, in degrees.
    pub const TILT: Self = Self::new("The tilt of the cut", -45.0, 45.0);
    /// Of how far a chevron opens, in degrees.
    pub const CHEVRON: Self = Self::new("The angle of the chevron", 0.0, 140.0);
    /// Of the turn of the head, in degrees.
    pub const TURN: Self = Self::new("The turn of the head", -30.0, 30.0);
    /// Of its supination, in degrees.
    pub const SUPINATION: Self = Self::new("The supination", -60.0, 60.0);
    /// Of its plantar tilt, in degrees.
    pub const PLANTAR_TILT: Self = Self::new("The plantar tilt", -30.0, 30.0);
    /// Of the wedge of the phalanx, in degrees.
    pub const WEDGE: Self = Self::new("The wedge of the phalanx", -25.0, 25.0);
    /// Of the hallux valgus angle to which a toe is brought, in degrees.
    pub const HALLUX_VALGUS: Self = Self::new("The hallux valgus angle aimed at", -20.0, 60.0);
    /// Of the intermetatarsal angle at which a shift is held, in degrees.
    pub const INTERMETATARSAL: Self = Self::new("The intermetatarsal angle aimed for", -20.0, 40.0);
    /// Of the share of the correction that may be lost; up to about three tenths has been reported (common
    /// practice, no source).
    pub const LOST: Self = Self::new("The share that may be lost", 0.0, 0.3);
    /// Of a coordinate of an end of a screw, as a share of the bone.
    pub const PLACE: Self = Self::new("The place of a screw", -3.0, 3.0);
    /// Of the lengths in which screws are at hand, in millimetres.
    pub const SCREW_LENGTH: Self = Self::new("The length of a screw in mm", 5.0, 150.0);
    /// From one such length to the next, in millimetres.
    pub const LENGTH_STEP: Self = Self::new("The step of screw lengths in mm", 0.5, 20.0);

    const fn new(what: &'static str, least: f64, most: f64) -> Self {
        Self {
            what,
            range: [least, most],
        }
    }

    /// The nearest number that can be.
    #[must_use]
    pub const fn nearest(&self, value: f64) -> f64 {
        value.clamp(self.range[0], self.range[1])
    }

    pub(crate) fn check(&self, value: f64) -> Result<(), PlanError> {
        within(self.what, value, self.range)
    }
}

/// Whether a number lies between the least and the most; one that is no number does not.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    [lowest, highest]: [f64; 2],
) -> Result<(), PlanError> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_much_comes_to_the_nearest_that_can_be() {
        let shift = ExtentLimits::SHIFT;
        for (asked, nearest) in [
            (Extent::Millimetres(80.0), Extent::Millimetres(25.0)),
            (Extent::Share(-3.0), Extent::Share(-0.4)),
            (Extent::Share(0.9), Extent::Share(0.9)),
        ] {
            assert_eq!(shift.nearest(asked), nearest, "{asked:?}");
            assert_eq!(shift.check(nearest), Ok(()), "{nearest:?} can be");
        }
        assert!(shift.check(Extent::Share(f64::NAN)).is_err(), "no number");
    }
}
