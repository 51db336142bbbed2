//! Sets of class limits. There is no standard one, so that the reader chooses by name.

use crate::normal_distribution::probability_below;

/// A class of severity, the mildest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Below every limit of the scheme.
    Normal,
    /// Mild.
    Mild,
    /// Moderate.
    Moderate,
    /// Severe.
    Severe,
}

impl Class {
    /// Every class, the mildest first.
    pub const ALL: [Self; 4] = [Self::Normal, Self::Mild, Self::Moderate, Self::Severe];

    /// The plain identifier, which is also the word for it.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Mild => "mild",
            Self::Moderate => "moderate",
            Self::Severe => "severe",
        }
    }
}

/// Where one class ends and the next begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// The angle in degrees.
    pub degrees: f64,
    /// Whether an angle of exactly so many degrees still belongs to the milder class.
    pub belongs_to_milder: bool,
}

impl Limit {
    /// The milder class ends below this angle.
    const fn below(degrees: f64) -> Self {
        Self {
            degrees,
            belongs_to_milder: false,
        }
    }

    /// The milder class includes this angle.
    const fn up_to(degrees: f64) -> Self {
        Self {
            degrees,
            belongs_to_milder: true,
        }
    }

    fn is_passed_by(self, degrees: f64) -> bool {
        degrees > self.degrees || (degrees >= self.degrees && !self.belongs_to_milder)
    }

    pub(super) fn probability_below(self, degrees: f64, sd_degrees: f64) -> f64 {
        probability_below(self.degrees, self.belongs_to_milder, degrees, sd_degrees)
    }
}

/// The class that an angle falls into by three rising limits.
#[must_use]
pub fn class_of(degrees: f64, limits: [Limit; 3]) -> Class {
    let passed = limits
        .into_iter()
        .filter(|limit| limit.is_passed_by(degrees))
        .count();
    Class::ALL[passed]
}

/// A named set of limits for the hallux valgus and the 1–2 intermetatarsal angle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SeverityScheme {
    /// Coughlin and Mann, the most cited.
    #[default]
    CoughlinMann,
    /// A geometric analysis of 301 films, 2009.
    GeometricAnalysis2009,
    /// The overview of a British guideline on minimally invasive correction.
    NiceOverview,
    /// Limits as clinical pages give them.
    ClinicalPages,
}

impl SeverityScheme {
    /// Every scheme, the default first.
    pub const ALL: [Self; 4] = [
        Self::CoughlinMann,
        Self::GeometricAnalysis2009,
        Self::NiceOverview,
        Self::ClinicalPages,
    ];

    /// The plain identifier used in files and on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::CoughlinMann => "coughlin_mann",
            Self::GeometricAnalysis2009 => "geometric_analysis_2009",
            Self::NiceOverview => "nice_overview",
            Self::ClinicalPages => "clinical_pages",
        }
    }

    /// The scheme whose [`identifier`](Self::identifier) this is.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|scheme| scheme.identifier() == identifier)
    }

    /// The name as a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::CoughlinMann => "Coughlin & Mann",
            Self::GeometricAnalysis2009 => "Geometric analysis, 2009",
            Self::NiceOverview => "NICE overview",
            Self::ClinicalPages => "Clinical pages",
        }
    }

    /// Where the limits come from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::CoughlinMann => {
                "Coughlin and Mann (from memory; the edges vary by edition). Read half-open here."
            }
            Self::GeometricAnalysis2009 => {
                "J Foot Ankle Res 2009;2:15, table 1, 301 films. Read half-open here."
            }
            Self::NiceOverview => {
                "NICE, overview for IPG789. It names no normal class: normal means below mild. A \
                 shared limit is read as the worse class."
            }
            Self::ClinicalPages => "Limits on clinical web pages; a weak source.",
        }
    }

    /// The word for a class in this scheme.
    #[must_use]
    pub const fn class_name(self, class: Class) -> &'static str {
        match (self, class) {
            (Self::NiceOverview, Class::Normal) => "below mild",
            _ => class.identifier(),
        }
    }

    /// The limits of the hallux valgus angle: to mild, to moderate, to severe.
    #[must_use]
    pub const fn hallux_valgus_limits(self) -> [Limit; 3] {
        match self {
            Self::CoughlinMann | Self::ClinicalPages => {
                [Limit::below(15.0), Limit::below(20.0), Limit::up_to(40.0)]
            }
            Self::GeometricAnalysis2009 => {
                [Limit::below(15.0), Limit::up_to(20.0), Limit::below(40.0)]
            }
            Self::NiceOverview => [Limit::below(15.0), Limit::below(20.0), Limit::below(40.0)],
        }
    }

    /// The limits of the 1–2 intermetatarsal angle: to mild, to moderate, to severe.
    #[must_use]
    pub const fn intermetatarsal_limits(self) -> [Limit; 3] {
        match self {
            Self::CoughlinMann => [Limit::below(9.0), Limit::up_to(11.0), Limit::below(16.0)],
            Self::GeometricAnalysis2009 => {
                [Limit::below(9.0), Limit::up_to(11.0), Limit::below(18.0)]
            }
            Self::NiceOverview => [Limit::below(9.0), Limit::below(14.0), Limit::below(20.0)],
            Self::ClinicalPages => [Limit::below(9.0), Limit::below(12.0), Limit::up_to(15.0)],
        }
    }
}
