//! Sides, views and the bones that a reader traces.

use serde::{Deserialize, Serialize};

/// Which foot a film shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The left foot.
    Left,
    /// The right foot.
    Right,
}

impl Side {
    /// The plain identifier used in files and file names: `left` or `right`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// The other side.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// The direction from which a film was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum View {
    /// Standing dorsoplantar film, called AP by the trade; seen from the dorsum.
    Ap,
    /// Standing lateral film.
    Lateral,
}

impl View {
    /// Both views, AP first.
    pub const ALL: [Self; 2] = [Self::Ap, Self::Lateral];

    /// The other view.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Ap => Self::Lateral,
            Self::Lateral => Self::Ap,
        }
    }

    /// The plain identifier used in files: `ap` or `lateral`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Ap => "ap",
            Self::Lateral => "lateral",
        }
    }

    /// The name as a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ap => "AP",
            Self::Lateral => "Lateral",
        }
    }

    /// The name within a sentence: "AP" or "lateral".
    #[must_use]
    pub const fn name_in_sentence(self) -> &'static str {
        match self {
            Self::Ap => "AP",
            Self::Lateral => "lateral",
        }
    }
}

/// A bone that is traced by its shaft, in the order in which a reader works through the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LongBone {
    /// The first metatarsal.
    M1,
    /// The proximal phalanx of the great toe.
    ProximalPhalanx,
    /// The distal phalanx of the great toe.
    DistalPhalanx,
    /// The second metatarsal.
    M2,
    /// The third metatarsal.
    M3,
    /// The fourth metatarsal.
    M4,
    /// The fifth metatarsal.
    M5,
}

impl LongBone {
    /// Every long bone, in reading order.
    pub const ALL: [Self; 7] = [
        Self::M1,
        Self::ProximalPhalanx,
        Self::DistalPhalanx,
        Self::M2,
        Self::M3,
        Self::M4,
        Self::M5,
    ];

    /// The five metatarsals, from the first to the fifth.
    pub const METATARSALS: [Self; 5] = [Self::M1, Self::M2, Self::M3, Self::M4, Self::M5];

    /// The start of the identifier of each of the bone's landmarks: `m1`, `proximal_phalanx`, …
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::M1 => "m1",
            Self::ProximalPhalanx => "proximal_phalanx",
            Self::DistalPhalanx => "distal_phalanx",
            Self::M2 => "m2",
            Self::M3 => "m3",
            Self::M4 => "m4",
            Self::M5 => "m5",
        }
    }

    /// The bone whose [`identifier`](Self::identifier) this is.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|bone| bone.identifier() == identifier)
    }

    /// The name within a sentence: "first metatarsal".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::M1 => "first metatarsal",
            Self::ProximalPhalanx => "proximal phalanx of the great toe",
            Self::DistalPhalanx => "distal phalanx of the great toe",
            Self::M2 => "second metatarsal",
            Self::M3 => "third metatarsal",
            Self::M4 => "fourth metatarsal",
            Self::M5 => "fifth metatarsal",
        }
    }

    /// The number of a metatarsal counted from medial, 1 to 5; nothing for a phalanx.
    #[must_use]
    pub const fn metatarsal_number(self) -> Option<u8> {
        match self {
            Self::M1 => Some(1),
            Self::M2 => Some(2),
            Self::M3 => Some(3),
            Self::M4 => Some(4),
            Self::M5 => Some(5),
            Self::ProximalPhalanx | Self::DistalPhalanx => None,
        }
    }
}

/// One of the two sesamoids under the first metatarsal head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sesamoid {
    /// The tibial (medial) sesamoid.
    Tibial,
    /// The fibular (lateral) sesamoid.
    Fibular,
}

impl Sesamoid {
    /// Both sesamoids, the tibial one first.
    pub const ALL: [Self; 2] = [Self::Tibial, Self::Fibular];

    /// The start of the identifier of each of its landmarks.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Tibial => "tibial_sesamoid",
            Self::Fibular => "fibular_sesamoid",
        }
    }

    /// The name within a sentence: "tibial sesamoid".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tibial => "tibial sesamoid",
            Self::Fibular => "fibular sesamoid",
        }
    }
}

impl Serialize for LongBone {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.identifier())
    }
}

impl<'de> Deserialize<'de> for LongBone {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let identifier = String::deserialize(deserializer)?;
        Self::from_identifier(&identifier).ok_or_else(|| {
            serde::de::Error::custom(format!("“{identifier}” is not the name of a long bone"))
        })
    }
}
