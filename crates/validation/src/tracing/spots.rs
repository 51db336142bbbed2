//! Single places of a tracing beside their truth.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, PlacedPoint, Sesamoid, View};
use plumbray_proposal::Doubt;

use super::{frame::Frame, truth::Truth};
use crate::statistics::{CIRCLE_95, TWO_SIDED_95};

/// A place that is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// A landmark. One that only lies somewhere along a line is judged across that line.
    Point(Landmark),
    /// The middle between the cortices of a bone at a level, in per cent of its true length. Judged
    /// across the bone only.
    Middle(LongBone, u8),
    /// One of the two cortices of a bone at a level. Judged across the bone only.
    Cortex(LongBone, u8, Margin),
}

/// Which of two cortices, by its place across the bone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Margin {
    /// The one toward the fifth metatarsal.
    Lateral,
    /// The other.
    Medial,
}

/// Levels at which cortices are judged, in per cent of the bone's length. The first and the last are
/// those of the axis by the quarters.
const LEVELS: [u8; 5] = [25, 38, 50, 62, 75];

/// Why a place is one that the reader is asked to look at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flag {
    /// It was found, with a doubt.
    Doubted(Doubt),
    /// It was left to the reader.
    Left(Doubt),
    /// The plain search found nothing near where the reader pointed, and says so.
    NotFound,
}

/// One place of a tracing beside its truth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotError {
    /// Which place.
    pub spot: Spot,
    /// How far off it is, found less true; nothing where it is missing.
    pub found: Option<Offset>,
    /// Whether and why the reader is asked to look.
    pub flag: Option<Flag>,
}

/// Found less true, in mm at the detector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// The distance.
    pub distance_mm: f64,
    /// Along the bone, positive toward distal; nothing where no bone gives a direction, and for what is
    /// judged across only.
    pub along_mm: Option<f64>,
    /// Across the bone, positive toward lateral on an AP film and toward dorsal on a lateral one.
    pub across_mm: Option<f64>,
    /// The stated standard deviation in each direction, in mm.
    pub sd_mm: f64,
}

impl Spot {
    /// The name as a table of errors has it, such as `m1_tip` or `m1_cortex_lateral_25`.
    #[must_use]
    pub fn identifier(self) -> String {
        match self {
            Self::Point(landmark) => landmark.identifier(),
            Self::Middle(bone, level) => format!("{}_axis_{level}", bone.identifier()),
            Self::Cortex(bone, level, margin) => {
                let margin = match margin {
                    Margin::Lateral => "lateral",
                    Margin::Medial => "medial",
                };
                format!("{}_cortex_{margin}_{level}", bone.identifier())
            }
        }
    }

    /// Whether it belongs to the first ray: the first metatarsal, the proximal phalanx, the sesamoids. A
    /// shaft counts by the two points of its axis.
    #[must_use]
    pub const fn is_of_first_ray(self) -> bool {
        match self {
            Self::Point(landmark) => is_of_first_ray(landmark),
            Self::Middle(bone, _) => {
                matches!(bone, LongBone::M1 | LongBone::ProximalPhalanx)
            }
            Self::Cortex(..) => false,
        }
    }

    /// Whether the stated 95 % interval holds the truth: a circle of 2.45 standard deviations for a point,
    /// ± 1.96 for what is judged across only.
    #[must_use]
    pub fn holds(self, offset: &Offset) -> bool {
        let reach = match self {
            Self::Point(landmark) if line_of(landmark).is_none() => CIRCLE_95,
            Self::Point(_) | Self::Middle(..) | Self::Cortex(..) => TWO_SIDED_95,
        };
        offset.distance_mm <= reach * offset.sd_mm
    }
}

/// Whether a landmark belongs to the first ray.
#[must_use]
pub const fn is_of_first_ray(landmark: Landmark) -> bool {
    match landmark {
        Landmark::ShaftStart(bone)
        | Landmark::ShaftEnd(bone)
        | Landmark::BaseCentre(bone)
        | Landmark::Tip(bone) => matches!(bone, LongBone::M1 | LongBone::ProximalPhalanx),
        Landmark::HeadCentre
        | Landmark::HeadEdge
        | Landmark::ArticularMedial
        | Landmark::ArticularLateral
        | Landmark::SesamoidCentre(_)
        | Landmark::SesamoidLongEnd(_)
        | Landmark::SesamoidShortEnd(_) => true,
        _ => false,
    }
}

/// The line across which a landmark is judged that lies somewhere along it.
const fn line_of(landmark: Landmark) -> Option<[Landmark; 2]> {
    match landmark {
        Landmark::CalcaneusPosterior | Landmark::CalcaneusAnterior => {
            Some([Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior])
        }
        _ => None,
    }
}

/// How far a point lies off a true line, in pixels.
fn off_line_px(truth: &Truth, [from, to]: [Landmark; 2], at: FilmPoint) -> Option<f64> {
    let (from, to) = truth.tracing.point(from).zip(truth.tracing.point(to))?;
    let cross = (to.x_px - from.x_px) * (at.y_px - from.y_px)
        - (to.y_px - from.y_px) * (at.x_px - from.x_px);
    Some(cross.abs() / from.distance_px(to))
}

/// The bones whose shafts are judged on a view.
const fn shafts(view: View) -> &'static [LongBone] {
    match view {
        View::Ap => &LongBone::ALL,
        View::Lateral => &[LongBone::M1],
    }
}

/// The landmarks that are judged as points, in anatomical order: each has one true place.
fn points(view: View) -> Vec<Landmark> {
    let mut points: Vec<Landmark> = shafts(view)
        .iter()
        .flat_map(|bone| [Landmark::BaseCentre(*bone), Landmark::Tip(*bone)])
        .collect();
    points.push(Landmark::HeadCentre);
    match view {
        View::Ap => {
            points.extend([Landmark::ArticularMedial, Landmark::ArticularLateral]);
            points.extend(Sesamoid::ALL.map(Landmark::SesamoidCentre));
        }
        View::Lateral => points.extend([
            Landmark::TalusPosterior,
            Landmark::TalusAnterior,
            Landmark::CalcaneusPosterior,
            Landmark::CalcaneusAnterior,
        ]),
    }
    points
}

/// Every place of a tracing beside the truth, where the truth has it.
#[must_use]
pub(super) fn spot_errors(
    truth: &Truth,
    tracing: &FilmTracing,
    flags: &BTreeMap<Landmark, Flag>,
) -> Vec<SpotError> {
    let mut errors = Vec::new();
    for landmark in points(truth.view) {
        let Some(at) = truth.tracing.point(landmark) else {
            continue;
        };
        let frame = Frame::of(truth, bone_of(landmark));
        let off_line = |placed: &PlacedPoint| off_line_px(truth, line_of(landmark)?, placed.at);
        let found = tracing.points.get(&landmark).map(|placed| {
            let mm = truth.pixel_mm;
            if let Some(off_px) = off_line(placed) {
                return Offset {
                    distance_mm: off_px * mm,
                    along_mm: None,
                    across_mm: Some(off_px * mm),
                    sd_mm: placed.sd_px * mm,
                };
            }
            let along_across = frame.map(|frame| frame.offset_mm(at, placed.at, mm));
            Offset {
                distance_mm: at.distance_px(placed.at) * mm,
                along_mm: along_across.map(|both| both[0]),
                across_mm: along_across.map(|both| both[1]),
                sd_mm: placed.sd_px * mm,
            }
        });
        errors.push(SpotError {
            spot: Spot::Point(landmark),
            found,
            flag: flags.get(&landmark).copied(),
        });
    }
    for bone in shafts(truth.view) {
        errors.extend(shaft_errors(truth, tracing, flags, *bone));
    }
    errors
}

/// The middles and cortices of one shaft at each level.
fn shaft_errors(
    truth: &Truth,
    tracing: &FilmTracing,
    flags: &BTreeMap<Landmark, Flag>,
    bone: LongBone,
) -> Vec<SpotError> {
    let truly = truth.tracing.cortices.get(&bone);
    let (Some(frame), Some(truly)) = (Frame::of(truth, bone), truly) else {
        return Vec::new();
    };
    let flag = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)]
        .iter()
        .find_map(|end| flags.get(end).copied());
    let mut errors = Vec::new();
    for level in LEVELS {
        let Some(places) = frame.margins_px(truly, level) else {
            continue;
        };
        let found = tracing.cortices.get(&bone);
        let found = found.and_then(|found| Some((frame.margins_px(found, level)?, found.sd_px)));
        let mut push = |spot, across_and_sd_px: Option<(f64, f64)>| {
            let found = across_and_sd_px.map(|(across_px, sd_px)| Offset {
                distance_mm: across_px.abs() * truth.pixel_mm,
                along_mm: None,
                across_mm: Some(across_px * truth.pixel_mm),
                sd_mm: sd_px * truth.pixel_mm,
            });
            errors.push(SpotError { spot, found, flag });
        };
        for (side, margin) in [Margin::Medial, Margin::Lateral].into_iter().enumerate() {
            let off = found.map(|(margins, sd_px)| (margins[side] - places[side], sd_px));
            push(Spot::Cortex(bone, level, margin), off);
        }
        if level == LEVELS[0] || level == LEVELS[LEVELS.len() - 1] {
            let middle = |margins: [f64; 2]| f64::midpoint(margins[0], margins[1]);
            // The mean of two independent margins.
            let off = found.map(|(margins, sd_px)| {
                (
                    middle(margins) - middle(places),
                    sd_px * std::f64::consts::FRAC_1_SQRT_2,
                )
            });
            push(Spot::Middle(bone, level), off);
        }
    }
    errors
}

/// The bone whose direction a landmark is judged by.
const fn bone_of(landmark: Landmark) -> LongBone {
    match landmark {
        Landmark::BaseCentre(bone) | Landmark::Tip(bone) => bone,
        _ => LongBone::M1,
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Cortices, Origin, Side, testing::assert_close};

    use super::*;

    fn placed(x: f64, y: f64) -> PlacedPoint {
        PlacedPoint {
            at: FilmPoint::new(x, y),
            sd_px: 2.0,
            origin: Origin::Snapped,
        }
    }

    fn cortices(left: f64, right: f64) -> Cortices {
        let line = |x: f64| vec![FilmPoint::new(x, 600.0), FilmPoint::new(x, 100.0)];
        // Which one comes first says nothing.
        Cortices {
            one: line(right),
            two: line(left),
            sd_px: 1.0,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        }
    }

    /// A first metatarsal that points up the film, with lateral to the right.
    fn truth() -> Truth {
        let mut tracing = FilmTracing::default();
        tracing.points.extend([
            (Landmark::BaseCentre(LongBone::M1), placed(200.0, 600.0)),
            (Landmark::Tip(LongBone::M1), placed(200.0, 100.0)),
            (Landmark::BaseCentre(LongBone::M4), placed(500.0, 620.0)),
        ]);
        tracing
            .cortices
            .insert(LongBone::M1, cortices(170.0, 230.0));
        Truth::of_tracing(View::Ap, Side::Left, 0.5, tracing)
    }

    fn error_of(tracing: &FilmTracing, flags: &BTreeMap<Landmark, Flag>, spot: Spot) -> SpotError {
        let errors = spot_errors(&truth(), tracing, flags);
        *errors
            .iter()
            .find(|error| error.spot == spot)
            .expect("judged")
    }

    #[test]
    fn a_point_is_off_along_and_across_its_bone() {
        let mut tracing = truth().tracing;
        let tip = Landmark::Tip(LongBone::M1);
        tracing.points.insert(tip, placed(206.0, 92.0));
        let error = error_of(&tracing, &BTreeMap::new(), Spot::Point(tip));
        let offset = error.found.expect("found");
        assert_close(offset.distance_mm, 5.0, 1e-12, "10 pixels");
        assert_close(offset.along_mm.expect("along"), 4.0, 1e-12, "toward distal");
        assert_close(
            offset.across_mm.expect("across"),
            3.0,
            1e-12,
            "toward lateral",
        );
        assert_close(offset.sd_mm, 1.0, 1e-12, "stated");
        assert!(!error.spot.holds(&offset), "5 mm are beyond 2.45 of 1 mm");
    }

    #[test]
    fn cortices_and_middles_are_judged_across_whichever_comes_first() {
        let mut tracing = truth().tracing;
        tracing
            .cortices
            .insert(LongBone::M1, cortices(172.0, 231.0));
        let off = |spot| {
            let offset = error_of(&tracing, &BTreeMap::new(), spot)
                .found
                .expect("found");
            offset.across_mm.expect("across")
        };
        let bone = LongBone::M1;
        for (spot, expected) in [
            (Spot::Cortex(bone, 25, Margin::Medial), 1.0),
            (Spot::Cortex(bone, 50, Margin::Lateral), 0.5),
            (Spot::Middle(bone, 75), 0.75),
        ] {
            assert_close(off(spot), expected, 1e-12, &spot.identifier());
        }
    }

    #[test]
    fn a_point_of_the_plantar_line_is_judged_across_it() {
        let mut tracing = FilmTracing::default();
        tracing.points.extend([
            (Landmark::CalcaneusPosterior, placed(100.0, 500.0)),
            (Landmark::CalcaneusAnterior, placed(400.0, 500.0)),
        ]);
        let truth = Truth::of_tracing(View::Lateral, Side::Left, 0.5, tracing.clone());
        tracing
            .points
            .insert(Landmark::CalcaneusPosterior, placed(80.0, 503.0));
        let errors = spot_errors(&truth, &tracing, &BTreeMap::new());
        let spot = Spot::Point(Landmark::CalcaneusPosterior);
        let error = errors.iter().find(|error| error.spot == spot);
        let offset = error.and_then(|error| error.found).expect("judged");
        assert_close(offset.distance_mm, 1.5, 1e-12, "3 pixels across");
        assert!(spot.holds(&offset), "1.5 mm are within 1.96 of 1 mm");
    }

    #[test]
    fn what_is_missing_keeps_its_flag_and_a_shaft_is_flagged_by_its_stroke() {
        let flags = BTreeMap::from([
            (Landmark::Tip(LongBone::M1), Flag::Left(Doubt::Faint)),
            (
                Landmark::ShaftEnd(LongBone::M1),
                Flag::Doubted(Doubt::Ambiguous),
            ),
        ]);
        let nothing = FilmTracing::default();
        let tip = error_of(&nothing, &flags, Spot::Point(Landmark::Tip(LongBone::M1)));
        assert_eq!(tip.found, None, "missing");
        assert_eq!(tip.flag, Some(Flag::Left(Doubt::Faint)), "and left");
        let base = error_of(
            &nothing,
            &flags,
            Spot::Point(Landmark::BaseCentre(LongBone::M1)),
        );
        assert_eq!(base.flag, None, "missing without a word");
        let middle = error_of(&nothing, &flags, Spot::Middle(LongBone::M1, 25));
        assert_eq!(
            middle.flag,
            Some(Flag::Doubted(Doubt::Ambiguous)),
            "the shaft's"
        );
    }
}
