//! From a gesture on a film to a change of the tracing.

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, Sesamoid, View,
};
use plumbray_film::GreyView;
use plumbray_trace::{
    BoneTrace, Hand, Stroke, TraceDoubt, TraceError, fit_head_circle, fit_sesamoid,
    snap_articular_end, trace_long_bone,
};

use super::{
    command::{Gesture, Snapping},
    orientation::oriented_stroke,
    step::TraceStep,
};

/// A metatarsal whose middle lies farther beside the stroke than this share of its length is not the
/// one that was swept: a hand that misses by 5 mm is off by a twelfth.
const FARTHEST_BESIDE_SHARE: f64 = 0.1;

/// A change of the tracing of one film, ready to be applied.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct TracingEdit {
    /// Points to place.
    pub points: Vec<(Landmark, PlacedPoint)>,
    /// Points to take away first.
    pub removed: Vec<Landmark>,
    /// Shafts to set; nothing takes a shaft's cortices away.
    pub cortices: Vec<(LongBone, Option<Cortices>)>,
    /// What the reader should look at again.
    pub remarks: Vec<String>,
}

impl TracingEdit {
    /// Makes the change.
    pub fn apply(&self, tracing: &mut FilmTracing) {
        for landmark in &self.removed {
            tracing.points.remove(landmark);
        }
        for (bone, cortices) in &self.cortices {
            match cortices {
                Some(cortices) => tracing.cortices.insert(*bone, cortices.clone()),
                None => tracing.cortices.remove(bone),
            };
        }
        tracing.points.extend(self.points.iter().copied());
    }
}

/// What a gesture means for a step: finds the bone on the film, or takes the points as they were
/// put when snapping is off.
///
/// # Errors
/// When the film shows nothing of the kind there; the message says what to do.
pub(crate) fn edit_for(
    step: TraceStep,
    gesture: Gesture,
    snapping: Snapping,
    film: &GreyView<'_>,
    existing: &FilmTracing,
    hand: Hand,
) -> Result<TracingEdit, TraceError> {
    match (step, gesture) {
        (TraceStep::Shaft(view, bone), Gesture::Sweep { from, to }) => {
            let stroke = oriented_stroke(bone, Stroke::new(from, to), existing);
            match snapping {
                Snapping::On => shaft_found(film, view, bone, &stroke, hand),
                Snapping::Off => Ok(shaft_by_hand(bone, &stroke, hand)),
            }
        }
        (TraceStep::Head(_), Gesture::Click(at)) => head(film, at, snapping, existing, hand),
        (TraceStep::Sesamoid(sesamoid), Gesture::Click(at)) => {
            sesamoid_outline(film, sesamoid, at, snapping, existing, hand)
        }
        (TraceStep::JointSurface, Gesture::Sweep { from, to }) => {
            Ok(joint_surface(film, [from, to], snapping, existing, hand))
        }
        (
            TraceStep::Calcaneus
            | TraceStep::BaseCorners(_)
            | TraceStep::PhalanxHead
            | TraceStep::ForefootBorders
            | TraceStep::TarsalJoints
            | TraceStep::DorsalCortex(_)
            | TraceStep::ShaftCut
            | TraceStep::FragmentCut,
            Gesture::Sweep { from, to },
        ) => Ok(pair(step, [from, to], film, snapping, hand)),
        (
            TraceStep::Talus | TraceStep::Floor | TraceStep::IntermediateCuneiform,
            Gesture::Sweep { from, to },
        ) => Ok(pair(step, [from, to], film, Snapping::Off, hand)),
        (TraceStep::LateralBaseCorner(_) | TraceStep::MedialCuneiform, Gesture::Click(at)) => {
            Ok(single(step, snapped(hand, film, at, snapping)))
        }
        (TraceStep::OsteotomyLevel | TraceStep::FourthHead, Gesture::Click(at)) => {
            Ok(single(step, hand.placed(at)))
        }
        // The window sends the gesture that the step asks for; another one changes nothing.
        (_, Gesture::Click(_) | Gesture::Sweep { .. }) => Ok(TracingEdit::default()),
    }
}

fn snapped(hand: Hand, film: &GreyView<'_>, at: FilmPoint, snapping: Snapping) -> PlacedPoint {
    match snapping {
        Snapping::On => hand.snapped(film, at),
        Snapping::Off => hand.placed(at),
    }
}

fn shaft_found(
    film: &GreyView<'_>,
    view: View,
    bone: LongBone,
    stroke: &Stroke,
    hand: Hand,
) -> Result<TracingEdit, TraceError> {
    let trace = trace_long_bone(film, bone, stroke)?;
    // On a lateral film the other metatarsals lie over the first and lend it their outline. On an AP
    // film a stroke along the middle half alone is a good one, so that far ends mean nothing there.
    if view == View::Lateral && trace.ends_far_from(stroke) {
        let mut edit = shaft_by_hand(bone, stroke, hand);
        edit.remarks.push(
            "other bones hide its outline, so that it stays as you drew it; correct its points."
                .to_owned(),
        );
        return Ok(edit);
    }
    let beside = lies_beside(bone, &trace, stroke);
    let mut edit = TracingEdit {
        removed: Landmark::of_shaft(bone).to_vec(),
        cortices: vec![(bone, Some(trace.cortices))],
        remarks: trace
            .doubts
            .iter()
            .map(|doubt| doubt_text(*doubt).to_owned())
            .collect(),
        ..TracingEdit::default()
    };
    if beside {
        edit.remarks.push(
            "what was found lies beside your stroke; if it is another bone, undo and sweep again."
                .to_owned(),
        );
    }
    let ends = [
        (Landmark::BaseCentre(bone), trace.base_centre),
        (Landmark::Tip(bone), trace.tip),
    ];
    for (landmark, end) in ends {
        match end {
            Some(placed) => edit.points.push((landmark, placed)),
            None => edit.remarks.push(format!(
                "{} was not found on the {} film: place it by hand.",
                landmark.name(),
                view.name()
            )),
        }
    }
    Ok(edit)
}

/// Whether the middle of a traced metatarsal lies so far beside the stroke that the outline of
/// neighbours was followed: what comes of sweeping one metatarsal under the name of another.
fn lies_beside(bone: LongBone, trace: &BoneTrace, stroke: &Stroke) -> bool {
    let (Some(base), Some(tip), Some(_)) = (trace.base_centre, trace.tip, bone.metatarsal_number())
    else {
        return false;
    };
    let middle = base.at.toward(tip.at, 0.5);
    let along = (
        stroke.to.x_px - stroke.from.x_px,
        stroke.to.y_px - stroke.from.y_px,
    );
    let away = (
        middle.x_px - stroke.from.x_px,
        middle.y_px - stroke.from.y_px,
    );
    let beside_px = (along.0 * away.1 - along.1 * away.0).abs() / along.0.hypot(along.1);
    // What followed the neighbours' outline often runs past the bone's end as well.
    let length_px = base.at.distance_px(tip.at).min(along.0.hypot(along.1));
    beside_px > FARTHEST_BESIDE_SHARE * length_px
}

const fn doubt_text(doubt: TraceDoubt) -> &'static str {
    match doubt {
        TraceDoubt::FaintCortices => "its cortices are faint; look at them, or sweep again.",
        TraceDoubt::BaseUnclear => "its base is hidden; look at that point.",
        TraceDoubt::TipUnclear => "its tip is hidden; look at that point.",
    }
}

fn shaft_by_hand(bone: LongBone, stroke: &Stroke, hand: Hand) -> TracingEdit {
    TracingEdit {
        points: vec![
            (Landmark::ShaftStart(bone), hand.placed(stroke.from)),
            (Landmark::ShaftEnd(bone), hand.placed(stroke.to)),
            (Landmark::BaseCentre(bone), hand.placed(stroke.from)),
            (Landmark::Tip(bone), hand.placed(stroke.to)),
        ],
        cortices: vec![(bone, None)],
        ..TracingEdit::default()
    }
}

fn head(
    film: &GreyView<'_>,
    at: FilmPoint,
    snapping: Snapping,
    existing: &FilmTracing,
    hand: Hand,
) -> Result<TracingEdit, TraceError> {
    let points = match snapping {
        Snapping::On => {
            let fit = fit_head_circle(film, at, None, first_metatarsal(existing))?;
            [
                (Landmark::HeadCentre, fit.centre),
                (Landmark::HeadEdge, fit.edge),
            ]
        }
        Snapping::Off => {
            let edge = existing
                .point(Landmark::Tip(LongBone::M1))
                .unwrap_or_else(|| FilmPoint::new(at.x_px + 4.0 * hand.reach_px, at.y_px));
            [
                (Landmark::HeadCentre, hand.placed(at)),
                // Nobody pointed at it.
                (
                    Landmark::HeadEdge,
                    PlacedPoint {
                        origin: Origin::Derived,
                        ..hand.placed(edge)
                    },
                ),
            ]
        }
    };
    Ok(TracingEdit {
        points: points.to_vec(),
        ..TracingEdit::default()
    })
}

/// The ends of the joint surface: where the bone's outline leaves the head's circle, or the nearest
/// edge while the head is not traced or its outline does not show them.
fn joint_surface(
    film: &GreyView<'_>,
    ends: [FilmPoint; 2],
    snapping: Snapping,
    existing: &FilmTracing,
    hand: Hand,
) -> TracingEdit {
    let landmarks = [Landmark::ArticularMedial, Landmark::ArticularLateral];
    let head = existing
        .point(Landmark::HeadCentre)
        .zip(existing.point(Landmark::HeadEdge));
    let traced = match snapping {
        Snapping::On => head.zip(first_metatarsal(existing)),
        Snapping::Off => None,
    };
    let mut edit = TracingEdit::default();
    for (landmark, at) in landmarks.into_iter().zip(ends) {
        let found = traced.and_then(|(head, axis)| snap_articular_end(film, at, head, axis).ok());
        if snapping == Snapping::On && found.is_none() {
            edit.remarks.push(format!(
                "{} was put to the nearest edge; check it, or trace the head first.",
                landmark.name()
            ));
        }
        let placed = found.unwrap_or_else(|| snapped(hand, film, at, snapping));
        edit.points.push((landmark, placed));
    }
    edit
}

/// The first metatarsal from base to tip, which tells where its head and the sesamoids lie.
fn first_metatarsal(existing: &FilmTracing) -> Option<Stroke> {
    let base = existing.point(Landmark::BaseCentre(LongBone::M1))?;
    let tip = existing.point(Landmark::Tip(LongBone::M1))?;
    Some(Stroke::new(base, tip))
}

fn sesamoid_outline(
    film: &GreyView<'_>,
    sesamoid: Sesamoid,
    at: FilmPoint,
    snapping: Snapping,
    existing: &FilmTracing,
    hand: Hand,
) -> Result<TracingEdit, TraceError> {
    let [centre, long_end, short_end] = Landmark::of_sesamoid(sesamoid);
    let points = match snapping {
        Snapping::On => {
            let fit = fit_sesamoid(film, at, None, first_metatarsal(existing))?;
            vec![
                (centre, fit.centre),
                (long_end, fit.long_end),
                (short_end, fit.short_end),
            ]
        }
        Snapping::Off => {
            let (long_px, short_px) = (2.0 * hand.reach_px, 1.5 * hand.reach_px);
            vec![
                (centre, hand.placed(at)),
                (
                    long_end,
                    hand.placed(FilmPoint::new(at.x_px, at.y_px - long_px)),
                ),
                (
                    short_end,
                    hand.placed(FilmPoint::new(at.x_px + short_px, at.y_px)),
                ),
            ]
        }
    };
    Ok(TracingEdit {
        points,
        ..TracingEdit::default()
    })
}

/// Both points of a step that asks for two.
fn pair(
    step: TraceStep,
    ends: [FilmPoint; 2],
    film: &GreyView<'_>,
    snapping: Snapping,
    hand: Hand,
) -> TracingEdit {
    let points = step.landmarks().into_iter().zip(ends);
    TracingEdit {
        points: points
            .map(|(landmark, at)| (landmark, snapped(hand, film, at, snapping)))
            .collect(),
        ..TracingEdit::default()
    }
}

/// The one point of a step that asks for one.
fn single(step: TraceStep, placed: PlacedPoint) -> TracingEdit {
    TracingEdit {
        points: step
            .landmarks()
            .into_iter()
            .map(|landmark| (landmark, placed))
            .collect(),
        ..TracingEdit::default()
    }
}
