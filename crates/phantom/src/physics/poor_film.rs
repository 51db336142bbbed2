//! Films that went wrong in ways that a clinic knows.

use super::{
    collimation::Collimation,
    exposure::{Exposure, Positioning},
};

/// A way in which a film goes wrong. A lossy copy in 8 bits is made when a film is written
/// ([`crate::SimulatedFilm::write_jpeg`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PoorFilm {
    /// A twelfth of the dose: grainy, most of all where much is in the way.
    UnderExposed,
    /// So much dose that the detector saturates behind thin soft tissue: the skin and the tips of the
    /// toes are burnt out to black.
    OverExposed,
    /// The foot moved by about a millimetre while the film was taken.
    Moved,
    /// The AP tube tilted by 15° more than asked for, which foreshortens the metatarsals.
    TiltedTube,
    /// The blades cut off the ends of the toes.
    CroppedToes,
    /// The foot turned outward by 12°.
    TurnedFoot,
    /// The foot rolled by 15°, its lateral edge off the floor, so that the bases overlap otherwise.
    ObliqueFoot,
}

impl PoorFilm {
    /// Every way.
    pub const ALL: [Self; 7] = [
        Self::UnderExposed,
        Self::OverExposed,
        Self::Moved,
        Self::TiltedTube,
        Self::CroppedToes,
        Self::TurnedFoot,
        Self::ObliqueFoot,
    ];

    /// Its name on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::UnderExposed => "under-exposed",
            Self::OverExposed => "over-exposed",
            Self::Moved => "moved",
            Self::TiltedTube => "tilted-tube",
            Self::CroppedToes => "cropped-toes",
            Self::TurnedFoot => "turned-foot",
            Self::ObliqueFoot => "oblique-foot",
        }
    }

    /// The way with this name.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|way| way.identifier() == identifier)
    }

    /// The exposure that goes wrong in this way and is in all else like a good one.
    #[must_use]
    pub fn exposure(self, good: Exposure) -> Exposure {
        match self {
            Self::UnderExposed => Exposure {
                photons_per_pixel: good.photons_per_pixel / 12.0,
                ..good
            },
            Self::OverExposed => Exposure {
                photons_per_pixel: good.photons_per_pixel * 12.0,
                saturation_share: 0.65,
                ..good
            },
            Self::Moved => Exposure {
                motion_mm: [0.9, 0.6],
                ..good
            },
            Self::TiltedTube => Exposure {
                tube_tilt_degrees: good.tube_tilt_degrees + 15.0,
                ..good
            },
            Self::CroppedToes => Exposure {
                collimation: Collimation {
                    top_mm: 34.0,
                    ..good.collimation
                },
                ..good
            },
            Self::TurnedFoot => Exposure {
                positioning: Positioning {
                    turn_degrees: 12.0,
                    ..good.positioning
                },
                ..good
            },
            Self::ObliqueFoot => Exposure {
                positioning: Positioning {
                    obliquity_degrees: 15.0,
                    ..good.positioning
                },
                ..good
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_leads_back_to_its_way() {
        for way in PoorFilm::ALL {
            let found = PoorFilm::from_identifier(way.identifier());
            assert_eq!(found, Some(way), "{}", way.identifier());
        }
    }

    #[test]
    fn every_poor_film_can_be_taken_and_differs_from_a_good_one() {
        let good = Exposure::default();
        for way in PoorFilm::ALL {
            let poor = way.exposure(good);
            assert_eq!(poor.validate(), Ok(()), "{way:?}");
            assert_ne!(poor, good, "{way:?}");
        }
    }
}
