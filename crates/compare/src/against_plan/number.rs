//! Which numbers of a plan are held against the result.

use plumbray_measure::{Measurement, Unit};

/// A number of a plan that is held against the result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlannedNumber {
    /// A measurement of the engine.
    Measured(Measurement),
    /// How far the head was shifted toward lateral, in per cent of the width of the shaft
    /// ([`crate::HeadShift::share_of_width`]).
    HeadShift,
    /// The same in millimetres of the film before.
    HeadShiftMillimetres,
    /// How far the head was shifted dorsally on the lateral film, in per cent of the height of the shaft; negative where
    /// plantar. Told in place of the millimetres where the lateral film before is not calibrated.
    HeadDorsalShift,
    /// The same in millimetres of the lateral film before.
    HeadDorsalShiftMillimetres,
    /// The angle of the head's joint surface against the proximal shaft on the AP film
    /// ([`plumbray_measure::head_tilt`]), positive where it faces laterally.
    HeadTurn,
    /// The tilt of the fragment against the shaft on the lateral film, positive where its head is turned
    /// plantarward.
    HeadTilt,
}

impl PlannedNumber {
    /// Every one, in the order in which they are told.
    pub const ALL: [Self; 12] = [
        Self::Measured(Measurement::HalluxValgusAngle),
        Self::Measured(Measurement::IntermetatarsalAngle12),
        Self::Measured(Measurement::DistalMetatarsalArticularAngle),
        Self::Measured(Measurement::TibialSesamoidShare),
        Self::HeadShift,
        Self::HeadShiftMillimetres,
        Self::HeadDorsalShift,
        Self::HeadDorsalShiftMillimetres,
        Self::HeadTurn,
        Self::HeadTilt,
        Self::Measured(Measurement::RelativeFirstMetatarsalLengthRatio),
        Self::Measured(Measurement::RelativeFirstMetatarsalLength),
    ];

    /// The name as a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Measured(measurement) => measurement.name(),
            Self::HeadShift => "Shift of the head, of the shaft’s width",
            Self::HeadShiftMillimetres => "Shift of the head",
            Self::HeadDorsalShift => "Dorsal shift of the head, of the shaft’s height",
            Self::HeadDorsalShiftMillimetres => "Dorsal shift of the head",
            Self::HeadTurn => "Joint surface of the head against the shaft",
            Self::HeadTilt => Measurement::FragmentTilt.name(),
        }
    }

    /// The name in files.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Measured(measurement) => measurement.identifier(),
            Self::HeadShift => "head_shift_per_cent_of_width",
            Self::HeadShiftMillimetres => "head_shift_mm",
            Self::HeadDorsalShift => "head_dorsal_shift_per_cent_of_height",
            Self::HeadDorsalShiftMillimetres => "head_dorsal_shift_mm",
            Self::HeadTurn => "head_turn",
            Self::HeadTilt => Measurement::FragmentTilt.identifier(),
        }
    }

    /// Its unit.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::Measured(measurement) => measurement.unit(),
            Self::HeadShift | Self::HeadDorsalShift => Unit::PerCent,
            Self::HeadShiftMillimetres | Self::HeadDorsalShiftMillimetres => Unit::Millimetres,
            Self::HeadTurn | Self::HeadTilt => Unit::Degrees,
        }
    }
}
