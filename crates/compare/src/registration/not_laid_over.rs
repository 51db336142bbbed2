//! Why a film is not laid over another one.

use plumbray_anatomy::{Landmark, View};

use super::ReferenceLength;

/// Why a film is not laid over another one.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotLaidOver {
    /// Too few bones beside the first ray are traced on both AP films.
    #[error(
        "the AP films are not laid over each other: only {shared} of the lesser metatarsals {} traced on both; two are needed, from base to tip",
        if *.shared == 1 { "is" } else { "are" }
    )]
    TooFewBones {
        /// How many are.
        shared: usize,
    },
    /// The hindfoot is not traced on both lateral films.
    #[error(
        "the lateral films are not laid over each other: talus and calcaneus are needed on both; trace {}",
        names(missing)
    )]
    NoHindfoot {
        /// What lacks on one of them at least, in anatomical order.
        missing: Vec<Landmark>,
    },
    /// What is traced on one of the films lies in one place.
    #[error(
        "the {} films are not laid over each other: what they share lies in one place on one of them; check the tracing",
        view.name_in_sentence()
    )]
    InOnePlace {
        /// The view of the films.
        view: View,
    },
    /// The film is missing at one of the visits.
    #[error("the {name} films are not laid over each other: one of the visits has no {name} film", name = view.name_in_sentence())]
    NoFilm {
        /// The view of the film.
        view: View,
    },
    /// The bones that should be unchanged are not of the same shape on both films.
    #[error(
        "the {} films are not laid over each other: {} differ by {residual_per_cent:.1} % of {}, \
         as if they were of another foot or seen from another direction; check the tracing, or compare films taken alike",
        of.view().name_in_sentence(), of.bones(), of.name()
    )]
    TooDifferent {
        /// The residual in per cent of the length.
        residual_per_cent: f64,
        /// Of which length.
        of: ReferenceLength,
    },
    /// The AP films were taken from too different directions.
    #[error(
        "the AP films are not laid over each other: along the foot one is stretched by {stretch_per_cent:.0} % against the other; \
         the tube was tilted or the foot stood otherwise, and no number of the two should be subtracted"
    )]
    OtherDirection {
        /// The stretch in per cent.
        stretch_per_cent: f64,
    },
}

fn names(landmarks: &[Landmark]) -> String {
    let names: Vec<String> = landmarks
        .iter()
        .map(|landmark| format!("“{}”", landmark.name()))
        .collect();
    names.join(" and ")
}
