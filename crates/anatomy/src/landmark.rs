//! The names of the points that a reader places.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Serialize};

use crate::bone::{LongBone, Sesamoid, View};

/// A named point on a film. The order of the variants is the anatomical order in which points are
/// walked from the keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Landmark {
    /// The proximal end of the rough stroke that was drawn along a bone's shaft.
    ShaftStart(LongBone),
    /// The distal end of that stroke.
    ShaftEnd(LongBone),
    /// The middle of a bone's proximal articular surface.
    BaseCentre(LongBone),
    /// The most distal point of a bone along its own length.
    Tip(LongBone),
    /// The centre of the circle fitted to the articular contour of the first metatarsal head.
    HeadCentre,
    /// Any point of that circle: gives its radius.
    HeadEdge,
    /// The medial end of the distal articular surface of the first metatarsal.
    ArticularMedial,
    /// The lateral end of the distal articular surface of the first metatarsal.
    ArticularLateral,
    /// Where an earlier osteotomy crosses the first metatarsal (operated feet only).
    OsteotomyLevel,
    /// The centre of the ellipse that outlines a sesamoid.
    SesamoidCentre(Sesamoid),
    /// An end of that ellipse's long axis.
    SesamoidLongEnd(Sesamoid),
    /// An end of that ellipse's short axis. Long and short end need not be square to each other:
    /// any two conjugate half-diameters describe the same ellipse.
    SesamoidShortEnd(Sesamoid),
    /// The posterior of two points on the long axis of the talus, midway between its dorsal and
    /// plantar margins.
    TalusPosterior,
    /// The anterior of those two points, at the neck or head.
    TalusAnterior,
    /// The posterior of two points on the plantar margin of the calcaneus.
    CalcaneusPosterior,
    /// The anterior of those two points.
    CalcaneusAnterior,
    /// A point on the floor line under the heel.
    FloorPosterior,
    /// A point on the floor line under the forefoot.
    FloorAnterior,
}

/// A name that belongs to no landmark.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("“{name}” is not the name of a landmark; docs/landmarks.md lists them all")]
pub struct UnknownLandmark {
    /// The name that was given.
    pub name: String,
}

impl Landmark {
    /// Every landmark, in anatomical order.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let mut all = Vec::new();
        for bone in LongBone::ALL {
            all.extend(Self::of_shaft(bone));
        }
        all.extend([
            Self::HeadCentre,
            Self::HeadEdge,
            Self::ArticularMedial,
            Self::ArticularLateral,
            Self::OsteotomyLevel,
        ]);
        for sesamoid in Sesamoid::ALL {
            all.extend(Self::of_sesamoid(sesamoid));
        }
        all.extend([
            Self::TalusPosterior,
            Self::TalusAnterior,
            Self::CalcaneusPosterior,
            Self::CalcaneusAnterior,
            Self::FloorPosterior,
            Self::FloorAnterior,
        ]);
        all.sort_unstable();
        all
    }

    /// The four points that describe a long bone beside its cortices.
    #[must_use]
    pub const fn of_shaft(bone: LongBone) -> [Self; 4] {
        [
            Self::ShaftStart(bone),
            Self::ShaftEnd(bone),
            Self::BaseCentre(bone),
            Self::Tip(bone),
        ]
    }

    /// The three points that describe a sesamoid's ellipse.
    #[must_use]
    pub const fn of_sesamoid(sesamoid: Sesamoid) -> [Self; 3] {
        [
            Self::SesamoidCentre(sesamoid),
            Self::SesamoidLongEnd(sesamoid),
            Self::SesamoidShortEnd(sesamoid),
        ]
    }

    /// The plain identifier used in files and on the command line, such as `m1_head_centre`.
    #[must_use]
    pub fn identifier(self) -> String {
        let (owner, part) = match self {
            Self::ShaftStart(bone) => (bone.identifier(), "shaft_start"),
            Self::ShaftEnd(bone) => (bone.identifier(), "shaft_end"),
            Self::BaseCentre(bone) => (bone.identifier(), "base_centre"),
            Self::Tip(bone) => (bone.identifier(), "tip"),
            Self::HeadCentre => ("m1", "head_centre"),
            Self::HeadEdge => ("m1", "head_edge"),
            Self::ArticularMedial => ("m1", "articular_medial"),
            Self::ArticularLateral => ("m1", "articular_lateral"),
            Self::OsteotomyLevel => ("m1", "osteotomy_level"),
            Self::SesamoidCentre(sesamoid) => (sesamoid.identifier(), "centre"),
            Self::SesamoidLongEnd(sesamoid) => (sesamoid.identifier(), "long_end"),
            Self::SesamoidShortEnd(sesamoid) => (sesamoid.identifier(), "short_end"),
            Self::TalusPosterior => ("talus", "posterior"),
            Self::TalusAnterior => ("talus", "anterior"),
            Self::CalcaneusPosterior => ("calcaneus", "plantar_posterior"),
            Self::CalcaneusAnterior => ("calcaneus", "plantar_anterior"),
            Self::FloorPosterior => ("floor", "posterior"),
            Self::FloorAnterior => ("floor", "anterior"),
        };
        format!("{owner}_{part}")
    }

    /// The name as a person reads it: "First metatarsal head centre".
    #[must_use]
    pub fn name(self) -> String {
        let of_bone = |bone: LongBone, part: &str| capitalised(&format!("{}, {part}", bone.name()));
        let of_sesamoid =
            |bone: Sesamoid, part: &str| capitalised(&format!("{}, {part}", bone.name()));
        match self {
            Self::ShaftStart(bone) => of_bone(bone, "proximal end of the stroke"),
            Self::ShaftEnd(bone) => of_bone(bone, "distal end of the stroke"),
            Self::BaseCentre(bone) => of_bone(bone, "centre of the base"),
            Self::Tip(bone) => of_bone(bone, "tip"),
            Self::HeadCentre => of_bone(LongBone::M1, "centre of the head"),
            Self::HeadEdge => of_bone(LongBone::M1, "edge of the head"),
            Self::ArticularMedial => of_bone(LongBone::M1, "medial end of the joint surface"),
            Self::ArticularLateral => of_bone(LongBone::M1, "lateral end of the joint surface"),
            Self::OsteotomyLevel => of_bone(LongBone::M1, "level of the earlier osteotomy"),
            Self::SesamoidCentre(bone) => of_sesamoid(bone, "centre"),
            Self::SesamoidLongEnd(bone) => of_sesamoid(bone, "end of the long axis"),
            Self::SesamoidShortEnd(bone) => of_sesamoid(bone, "end of the short axis"),
            Self::TalusPosterior => "Talus, posterior point of the axis".to_owned(),
            Self::TalusAnterior => "Talus, anterior point of the axis".to_owned(),
            Self::CalcaneusPosterior => "Calcaneus, posterior plantar point".to_owned(),
            Self::CalcaneusAnterior => "Calcaneus, anterior plantar point".to_owned(),
            Self::FloorPosterior => "Floor under the heel".to_owned(),
            Self::FloorAnterior => "Floor under the forefoot".to_owned(),
        }
    }

    /// Whether the landmark is read on this view. The first metatarsal's shaft, ends and head are
    /// read on both.
    #[must_use]
    pub const fn is_on(self, view: View) -> bool {
        match self {
            Self::ShaftStart(bone)
            | Self::ShaftEnd(bone)
            | Self::BaseCentre(bone)
            | Self::Tip(bone) => matches!(view, View::Ap) || matches!(bone, LongBone::M1),
            Self::HeadCentre | Self::HeadEdge | Self::OsteotomyLevel => true,
            Self::ArticularMedial
            | Self::ArticularLateral
            | Self::SesamoidCentre(_)
            | Self::SesamoidLongEnd(_)
            | Self::SesamoidShortEnd(_) => matches!(view, View::Ap),
            Self::TalusPosterior
            | Self::TalusAnterior
            | Self::CalcaneusPosterior
            | Self::CalcaneusAnterior
            | Self::FloorPosterior
            | Self::FloorAnterior => matches!(view, View::Lateral),
        }
    }
}

fn capitalised(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

impl fmt::Display for Landmark {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.identifier())
    }
}

impl FromStr for Landmark {
    type Err = UnknownLandmark;

    fn from_str(name: &str) -> Result<Self, UnknownLandmark> {
        Self::all()
            .into_iter()
            .find(|landmark| landmark.identifier() == name)
            .ok_or_else(|| UnknownLandmark {
                name: name.to_owned(),
            })
    }
}

impl Serialize for Landmark {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.identifier())
    }
}

impl<'de> Deserialize<'de> for Landmark {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_landmark_is_found_again_by_its_identifier() {
        for landmark in Landmark::all() {
            assert_eq!(landmark.identifier().parse(), Ok(landmark), "{landmark}");
        }
    }

    #[test]
    fn no_two_landmarks_share_an_identifier_or_a_name() {
        let all = Landmark::all();
        let identifiers: BTreeSet<String> =
            all.iter().map(|landmark| landmark.identifier()).collect();
        let names: BTreeSet<String> = all.iter().map(|landmark| landmark.name()).collect();
        assert_eq!(identifiers.len(), all.len(), "identifiers");
        assert_eq!(names.len(), all.len(), "names");
    }

    #[test]
    fn every_landmark_is_read_on_some_view() {
        for landmark in Landmark::all() {
            assert!(
                View::ALL.iter().any(|view| landmark.is_on(*view)),
                "{landmark}"
            );
        }
    }

    #[test]
    fn an_unknown_name_is_named_in_the_error() {
        let error = "m9_tip"
            .parse::<Landmark>()
            .expect_err("no ninth metatarsal");
        assert!(error.to_string().contains("m9_tip"), "{error}");
    }
}
