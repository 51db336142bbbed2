//! What became of a correction: how much of it was lost since the first standing film after surgery, and
//! whether the deformity is back.

use plumbray_measure::{Measurement, Outcome};

use crate::{
    change::{WITHIN_ERROR, on_one_film},
    estimate::Estimate,
};

/// A correction by one angle, and what became of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// Which angle.
    pub measurement: Measurement,
    /// What the operation corrected: before less first standing film after it, in degrees.
    pub corrected: Estimate,
    /// Whether that is more than the error of measuring.
    pub is_real: bool,
}

/// How much of a correction was lost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CorrectionLost {
    /// Which angle.
    pub measurement: Measurement,
    /// In degrees: the later film less the first standing one after surgery; negative where more was gained.
    pub degrees: Estimate,
    /// As a share of the correction; nothing where the correction itself is within the error of measuring.
    pub share: Option<Estimate>,
    /// Whether the loss is more than the error of measuring.
    pub is_real: bool,
}

impl CorrectionLost {
    /// Whether it is real, in a few words.
    #[must_use]
    pub const fn verdict(&self) -> &'static str {
        if self.is_real { "real" } else { WITHIN_ERROR }
    }
}

impl Correction {
    /// The correction from a visit before surgery to the first standing one after it; nothing where a number is
    /// missing or they go by different axes.
    #[must_use]
    pub fn of(measurement: Measurement, before: &Outcome, first: &Outcome) -> Option<Self> {
        let (one, other) = comparable(before, first)?;
        let [before, first] = [one, other].map(|reading| on_one_film(measurement, reading));
        let corrected = before.minus(&first);
        Some(Self {
            measurement,
            corrected,
            is_real: corrected.value.abs() > corrected.half_interval(),
        })
    }

    /// What was lost of it until a later visit.
    ///
    /// ```text
    /// share = (x₃ − x₂) / (x₁ − x₂)
    /// ∂/∂x₁ = −share / (x₁ − x₂),   ∂/∂x₂ = (share − 1) / (x₁ − x₂),   ∂/∂x₃ = 1 / (x₁ − x₂)
    /// ```
    ///
    /// with x₁ before, x₂ on the first standing film after surgery and x₃ later; the spread is to the first
    /// order, of three independent films.
    #[must_use]
    pub fn lost(
        measurement: Measurement,
        before: &Outcome,
        first: &Outcome,
        later: &Outcome,
    ) -> Option<CorrectionLost> {
        let correction = Self::of(measurement, before, first)?;
        comparable(first, later)?;
        let [one, two, three] = [before.reading()?, first.reading()?, later.reading()?]
            .map(|reading| on_one_film(measurement, reading));
        let degrees = three.minus(&two);
        let whole = correction.corrected.value;
        let share = degrees.value / whole;
        let variance =
            (share * one.sd).powi(2) + ((share - 1.0) * two.sd).powi(2) + three.sd.powi(2);
        Some(CorrectionLost {
            measurement,
            degrees,
            share: correction.is_real.then(|| Estimate {
                value: share,
                sd: variance.sqrt() / whole.abs(),
            }),
            is_real: degrees.value.abs() > degrees.half_interval(),
        })
    }
}

fn comparable<'o>(
    one: &'o Outcome,
    other: &'o Outcome,
) -> Option<(&'o plumbray_measure::Reading, &'o plumbray_measure::Reading)> {
    let (one, other) = (one.reading()?, other.reading()?);
    (one.convention == other.convention).then_some((one, other))
}

/// By which limit a deformity counts as being back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Recurrence {
    /// A hallux valgus angle above 20°.
    #[default]
    ValgusAbove20,
    /// A hallux valgus angle of 15° or more.
    ValgusFrom15,
    /// The tibial sesamoid in position V or beyond.
    SesamoidFromPositionV,
}

impl Recurrence {
    /// Every limit.
    pub const ALL: [Self; 3] = [
        Self::ValgusAbove20,
        Self::ValgusFrom15,
        Self::SesamoidFromPositionV,
    ];

    /// The plain identifier used in files and on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::ValgusAbove20 => "valgus_above_20",
            Self::ValgusFrom15 => "valgus_from_15",
            Self::SesamoidFromPositionV => "sesamoid_from_v",
        }
    }

    /// The limit of an identifier.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|limit| limit.identifier() == identifier)
    }

    /// As a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ValgusAbove20 => "hallux valgus angle above 20°",
            Self::ValgusFrom15 => "hallux valgus angle of 15° or more",
            Self::SesamoidFromPositionV => "tibial sesamoid in position V or beyond",
        }
    }

    /// Who counts so.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::ValgusAbove20 => "729 feet, Orthop Proc 2025, doi 10.1302/1358-992X.2025.1.007",
            Self::ValgusFrom15 => {
                "Park, Lee 2017 (from memory): 15° or more on the first film after surgery as a risk"
            }
            Self::SesamoidFromPositionV => {
                "Okuda et al., J Bone Joint Surg Am 2009;91:1637–1645: a risk on early films"
            }
        }
    }

    /// The number that it is about.
    #[must_use]
    pub const fn measurement(self) -> Measurement {
        match self {
            Self::ValgusAbove20 | Self::ValgusFrom15 => Measurement::HalluxValgusAngle,
            Self::SesamoidFromPositionV => Measurement::TibialSesamoidPosition,
        }
    }

    /// Where a visit stands by it; nothing where the number is missing.
    #[must_use]
    pub fn standing(self, outcome: &Outcome) -> Option<Standing> {
        let reading = outcome.reading()?;
        if self == Self::SesamoidFromPositionV {
            let beyond: f64 = reading
                .classes
                .iter()
                .skip(4)
                .map(|(_, probability)| probability)
                .sum();
            return Some(match (reading.value >= 5.0, beyond) {
                (true, beyond) if beyond >= SURE => Standing::Beyond,
                (false, beyond) if beyond <= 1.0 - SURE => Standing::Within,
                _ => Standing::TooCloseToSay,
            });
        }
        let limit = if self == Self::ValgusAbove20 {
            20.0
        } else {
            15.0
        };
        let (low, high) = on_one_film(self.measurement(), reading).interval();
        Some(if low > limit {
            Standing::Beyond
        } else if high < limit {
            Standing::Within
        } else {
            Standing::TooCloseToSay
        })
    }
}

/// From this probability on a class is told as sure: the same as a one-sided 95 % interval and more.
const SURE: f64 = 0.975;

/// On which side of a limit a number lies, with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Its whole interval lies within the limit.
    Within,
    /// Its interval holds the limit.
    TooCloseToSay,
    /// Its whole interval lies beyond the limit.
    Beyond,
}

impl Standing {
    /// The plain identifier used in files.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::TooCloseToSay => "too_close_to_say",
            Self::Beyond => "beyond",
        }
    }

    /// Whether the deformity is back, as a person reads it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Within => "no",
            Self::TooCloseToSay => "too close to the limit to say",
            Self::Beyond => "yes",
        }
    }
}

/// How far numbers drift in feet that keep their correction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypicalDrift {
    /// Which number.
    pub measurement: Measurement,
    /// Its mean on the first and on the last film, in its unit.
    pub from_to: (f64, f64),
}

impl TypicalDrift {
    /// Months from the first to the last film, on average.
    pub const MONTHS: f64 = 33.85;

    /// Whose feet they are.
    pub const SOURCE: &'static str = "99 of 269 feet after a chevron osteotomy, those without recurrence though the sesamoid stayed displaced, PubMed 36576025";
}

/// The published drift of feet without recurrence. The mean grade of the source is by the seven positions.
pub const TYPICAL_DRIFT: [TypicalDrift; 3] = [
    TypicalDrift {
        measurement: Measurement::HalluxValgusAngle,
        from_to: (2.7, 7.9),
    },
    TypicalDrift {
        measurement: Measurement::IntermetatarsalAngle12,
        from_to: (4.6, 6.2),
    },
    TypicalDrift {
        measurement: Measurement::TibialSesamoidPosition,
        from_to: (2.1, 3.5),
    },
];
