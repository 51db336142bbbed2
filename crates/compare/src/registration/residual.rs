//! How far the shared points of two films lie apart once laid over each other.

use plumbray_anatomy::{LongBone, View};

/// How far the shared points of two films lie apart once laid over each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// As a share of a known length on the earlier film.
    pub share: f64,
    /// Of which length.
    pub of: ReferenceLength,
    /// In millimetres, with the name of the earlier film's calibration; nothing where it has none.
    pub millimetres: Option<(f64, String)>,
}

/// A length on the earlier film that a residual is a share of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReferenceLength {
    /// From base to tip of a metatarsal on the AP film: the second, or the first of the other lesser ones that is
    /// traced on both films.
    Metatarsal(LongBone),
    /// From the posterior plantar point of the calcaneus to the anterior point of the talus on the lateral film.
    HeelToTalus,
}

impl ReferenceLength {
    /// As a person reads it: "the second metatarsal’s length".
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Metatarsal(bone) => format!("the {}’s length", bone.name()),
            Self::HeelToTalus => "the length from the heel to the talar head".to_owned(),
        }
    }

    /// The view on which it is taken.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::Metatarsal(_) => View::Ap,
            Self::HeelToTalus => View::Lateral,
        }
    }

    /// The bones by which the films of that view are laid over each other.
    #[must_use]
    pub const fn bones(self) -> &'static str {
        match self.view() {
            View::Ap => "the lesser metatarsals",
            View::Lateral => "the bones of the hindfoot",
        }
    }
}
