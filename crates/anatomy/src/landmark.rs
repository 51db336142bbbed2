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
    /// The medial corner of a bone's base: the point of its outline that lies farthest between proximal
    /// and medial. Of the first metatarsal and the proximal phalanx of the great toe.
    BaseMedial(LongBone),
    /// The lateral corner of a bone's base. Of the first, fourth and fifth metatarsal and the proximal
    /// phalanx of the great toe.
    BaseLateral(LongBone),
    /// The medial corner of a bone's head: the point of its outline that lies farthest between distal and
    /// medial. Of the proximal phalanx of the great toe.
    DistalMedial(LongBone),
    /// The lateral corner of a bone's head. Of the proximal phalanx of the great toe.
    DistalLateral(LongBone),
    /// The most medial point of the first metatarsal's head, the medial eminence included.
    HeadMedialEdge,
    /// The centre of the fourth metatarsal's head.
    FourthHeadCentre,
    /// The most lateral point of the fifth metatarsal's head.
    FifthHeadLateralEdge,
    /// The medial end of the joint between talus and navicular.
    TalonavicularMedial,
    /// The lateral end of the joint between calcaneus and cuboid.
    CalcaneocuboidLateral,
    /// The middle of the proximal joint surface of the intermediate cuneiform.
    IntermediateCuneiformProximal,
    /// The middle of its distal joint surface.
    IntermediateCuneiformDistal,
    /// The proximal of two points on the dorsal cortex of a metatarsal, on the lateral film. Of the first
    /// and the second.
    DorsalProximal(LongBone),
    /// The distal of those two points, just proximal to the head.
    DorsalDistal(LongBone),
    /// The lowest point of the medial cuneiform.
    MedialCuneiformPlantar,
    /// The dorsal end of the cut on the shaft of an operated first metatarsal.
    ShaftCutDorsal,
    /// The plantar end of that cut on the shaft.
    ShaftCutPlantar,
    /// The dorsal end of the cut on the head's fragment.
    FragmentCutDorsal,
    /// The plantar end of the cut on the head's fragment.
    FragmentCutPlantar,
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
            Self::HeadMedialEdge,
            Self::FourthHeadCentre,
            Self::FifthHeadLateralEdge,
            Self::TalonavicularMedial,
            Self::CalcaneocuboidLateral,
            Self::IntermediateCuneiformProximal,
            Self::IntermediateCuneiformDistal,
            Self::MedialCuneiformPlantar,
            Self::ShaftCutDorsal,
            Self::ShaftCutPlantar,
            Self::FragmentCutDorsal,
            Self::FragmentCutPlantar,
        ]);
        all.extend([LongBone::M1, LongBone::ProximalPhalanx].map(Self::BaseMedial));
        all.extend(
            [
                LongBone::M1,
                LongBone::M4,
                LongBone::M5,
                LongBone::ProximalPhalanx,
            ]
            .map(Self::BaseLateral),
        );
        let toe = LongBone::ProximalPhalanx;
        all.extend([Self::DistalMedial(toe), Self::DistalLateral(toe)]);
        for bone in [LongBone::M1, LongBone::M2] {
            all.extend([Self::DorsalProximal(bone), Self::DorsalDistal(bone)]);
        }
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
            Self::BaseMedial(bone) => (bone.identifier(), "base_medial"),
            Self::BaseLateral(bone) => (bone.identifier(), "base_lateral"),
            Self::DistalMedial(bone) => (bone.identifier(), "distal_medial"),
            Self::DistalLateral(bone) => (bone.identifier(), "distal_lateral"),
            Self::HeadMedialEdge => ("m1", "head_medial"),
            Self::FourthHeadCentre => ("m4", "head_centre"),
            Self::FifthHeadLateralEdge => ("m5", "head_lateral"),
            Self::TalonavicularMedial => ("talonavicular", "medial"),
            Self::CalcaneocuboidLateral => ("calcaneocuboid", "lateral"),
            Self::IntermediateCuneiformProximal => ("intermediate_cuneiform", "proximal"),
            Self::IntermediateCuneiformDistal => ("intermediate_cuneiform", "distal"),
            Self::DorsalProximal(bone) => (bone.identifier(), "dorsal_proximal"),
            Self::DorsalDistal(bone) => (bone.identifier(), "dorsal_distal"),
            Self::MedialCuneiformPlantar => ("medial_cuneiform", "plantar"),
            Self::ShaftCutDorsal => ("m1", "shaft_cut_dorsal"),
            Self::ShaftCutPlantar => ("m1", "shaft_cut_plantar"),
            Self::FragmentCutDorsal => ("m1", "fragment_cut_dorsal"),
            Self::FragmentCutPlantar => ("m1", "fragment_cut_plantar"),
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
            Self::BaseMedial(bone) => of_bone(bone, "medial corner of the base"),
            Self::BaseLateral(bone) => of_bone(bone, "lateral corner of the base"),
            Self::DistalMedial(bone) => of_bone(bone, "medial corner of the head"),
            Self::DistalLateral(bone) => of_bone(bone, "lateral corner of the head"),
            Self::HeadMedialEdge => of_bone(LongBone::M1, "medial edge of the head"),
            Self::FourthHeadCentre => of_bone(LongBone::M4, "centre of the head"),
            Self::FifthHeadLateralEdge => of_bone(LongBone::M5, "lateral edge of the head"),
            Self::TalonavicularMedial => "Talonavicular joint, medial end".to_owned(),
            Self::CalcaneocuboidLateral => "Calcaneocuboid joint, lateral end".to_owned(),
            Self::IntermediateCuneiformProximal => {
                "Intermediate cuneiform, middle of its proximal surface".to_owned()
            }
            Self::IntermediateCuneiformDistal => {
                "Intermediate cuneiform, middle of its distal surface".to_owned()
            }
            Self::DorsalProximal(bone) => of_bone(bone, "proximal point of the dorsal cortex"),
            Self::DorsalDistal(bone) => of_bone(bone, "distal point of the dorsal cortex"),
            Self::MedialCuneiformPlantar => "Medial cuneiform, lowest point".to_owned(),
            Self::ShaftCutDorsal => of_bone(LongBone::M1, "dorsal end of the cut on the shaft"),
            Self::ShaftCutPlantar => of_bone(LongBone::M1, "plantar end of the cut on the shaft"),
            Self::FragmentCutDorsal => {
                of_bone(LongBone::M1, "dorsal end of the cut on the fragment")
            }
            Self::FragmentCutPlantar => {
                of_bone(LongBone::M1, "plantar end of the cut on the fragment")
            }
        }
    }

    /// Whether it serves only numbers that few ask for, so that nobody is asked for it unless one of them is
    /// wanted. No line of the tracing runs through such a point.
    #[must_use]
    pub const fn is_seldom_asked_for(self) -> bool {
        matches!(
            self,
            Self::BaseMedial(_)
                | Self::BaseLateral(_)
                | Self::DistalMedial(_)
                | Self::DistalLateral(_)
                | Self::HeadMedialEdge
                | Self::FourthHeadCentre
                | Self::FifthHeadLateralEdge
                | Self::TalonavicularMedial
                | Self::CalcaneocuboidLateral
                | Self::IntermediateCuneiformProximal
                | Self::IntermediateCuneiformDistal
                | Self::DorsalProximal(_)
                | Self::DorsalDistal(_)
                | Self::MedialCuneiformPlantar
                | Self::ShaftCutDorsal
                | Self::ShaftCutPlantar
                | Self::FragmentCutDorsal
                | Self::FragmentCutPlantar
        )
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
            | Self::SesamoidShortEnd(_)
            | Self::BaseMedial(_)
            | Self::BaseLateral(_)
            | Self::DistalMedial(_)
            | Self::DistalLateral(_)
            | Self::HeadMedialEdge
            | Self::FourthHeadCentre
            | Self::FifthHeadLateralEdge
            | Self::TalonavicularMedial
            | Self::CalcaneocuboidLateral
            | Self::IntermediateCuneiformProximal
            | Self::IntermediateCuneiformDistal => matches!(view, View::Ap),
            Self::TalusPosterior
            | Self::TalusAnterior
            | Self::CalcaneusPosterior
            | Self::CalcaneusAnterior
            | Self::FloorPosterior
            | Self::FloorAnterior
            | Self::DorsalProximal(_)
            | Self::DorsalDistal(_)
            | Self::MedialCuneiformPlantar
            | Self::ShaftCutDorsal
            | Self::ShaftCutPlantar
            | Self::FragmentCutDorsal
            | Self::FragmentCutPlantar => matches!(view, View::Lateral),
        }
    }
}

/// A sentence with its first letter in upper case.
#[must_use]
pub fn capitalised(sentence: &str) -> String {
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
