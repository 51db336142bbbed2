//! Tracing one bone by what was seen on the whole film: the reader's gesture says where about, and the
//! film's bones, already recognised, say what lies there.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, Origin, PlacedPoint};
use plumbray_film::GreyView;
use plumbray_proposal::{Hints, Proposal, Sight};
use plumbray_trace::Stroke;

use super::{
    command::Gesture,
    orientation::oriented_stroke,
    step::{GestureKind, TraceStep},
    tracing_edit::TracingEdit,
};

/// The change that a gesture means, by what was seen on the film; nothing where that does not give all
/// that the step needs.
#[must_use]
pub(crate) fn guided_edit(
    sight: &Sight,
    film: &GreyView<'_>,
    step: TraceStep,
    gesture: Gesture,
    existing: &FilmTracing,
) -> Option<TracingEdit> {
    let hints = hints_of(step, gesture, existing)?;
    let traced = sight.traced(film, step.view(), &hints);
    let mut edit = edit_from(&traced, step, &hints)?;
    edit.add_found_beside(&traced, existing);
    Some(edit)
}

impl TracingEdit {
    /// Adds the points that come with a bone, as the corners of its base do; those that a reader has placed
    /// stay where they are.
    fn add_found_beside(&mut self, traced: &Proposal, existing: &FilmTracing) {
        for (landmark, point) in &traced.tracing.points {
            let placed = existing.points.get(landmark);
            let is_free = placed.is_none_or(|placed| placed.origin == Origin::Derived);
            if landmark.is_seldom_asked_for() && is_free {
                let origin = Origin::Derived;
                self.points
                    .push((*landmark, PlacedPoint { origin, ..*point }));
            }
        }
    }
}

/// What a gesture points at, as hints; nothing for a gesture that the step does not ask for.
#[must_use]
pub(crate) fn hints_of(step: TraceStep, gesture: Gesture, existing: &FilmTracing) -> Option<Hints> {
    let points: Vec<(Landmark, FilmPoint)> = match (step, gesture) {
        (TraceStep::Shaft(_, bone), Gesture::Sweep { from, to }) => {
            let stroke = oriented_stroke(bone, Stroke::new(from, to), existing);
            vec![
                (Landmark::ShaftStart(bone), stroke.from),
                (Landmark::ShaftEnd(bone), stroke.to),
            ]
        }
        (TraceStep::Head(_), Gesture::Click(at)) => vec![(Landmark::HeadCentre, at)],
        (TraceStep::Sesamoid(sesamoid), Gesture::Click(at)) => {
            vec![(Landmark::SesamoidCentre(sesamoid), at)]
        }
        (_, Gesture::Sweep { from, to }) if step.gesture() == GestureKind::Sweep => {
            step.landmarks().into_iter().zip([from, to]).collect()
        }
        (_, Gesture::Click(at)) if step.gesture() == GestureKind::Click => {
            step.landmarks().into_iter().zip([at]).collect()
        }
        _ => return None,
    };
    Some(Hints {
        points: points.into_iter().collect(),
    })
}

/// The change of one step that was traced from hints. A shaft needs its cortices, everything else all of
/// its points.
#[must_use]
pub(crate) fn edit_from(traced: &Proposal, step: TraceStep, hints: &Hints) -> Option<TracingEdit> {
    let mut wanted = step.landmarks();
    let mut edit = TracingEdit::default();
    if let TraceStep::Shaft(_, bone) = step {
        let mut cortices = traced.tracing.cortices.get(&bone)?.clone();
        cortices.origin = Origin::Snapped;
        edit.removed = wanted;
        edit.cortices.push((bone, Some(cortices)));
        wanted = vec![Landmark::BaseCentre(bone), Landmark::Tip(bone)];
    } else if wanted
        .iter()
        .any(|landmark| !traced.tracing.points.contains_key(landmark))
    {
        return None;
    }
    for landmark in wanted {
        let Some(point) = traced.tracing.points.get(&landmark) else {
            let reason = traced.left_to_reader.get(&landmark);
            let reason = reason.map_or("not found", |doubt| doubt.reason());
            edit.remarks
                .push(format!("{}: {reason}. Place it by hand.", landmark.name()));
            continue;
        };
        let mut point = *point;
        point.origin = if hints.points.contains_key(&landmark) {
            Origin::Snapped
        } else {
            Origin::Derived
        };
        edit.points.push((landmark, point));
        if let Some(doubt) = traced.doubts.get(&landmark) {
            edit.remarks.push(format!(
                "{}: {}. Look at it again.",
                landmark.name(),
                doubt.reason()
            ));
        }
    }
    Some(edit)
}

/// The gesture that hints stand for, for films on which no foot was recognised: the inverse of
/// [`hints_of`]. A shaft may be pointed at by its stroke or by its two ends.
#[must_use]
pub(crate) fn gesture_of(step: TraceStep, hints: &Hints) -> Option<Gesture> {
    let at = |landmark: &Landmark| hints.points.get(landmark).copied();
    let sweep = |from: Landmark, to: Landmark| {
        Some(Gesture::Sweep {
            from: at(&from)?,
            to: at(&to)?,
        })
    };
    match step {
        TraceStep::Shaft(_, bone) => sweep(Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone))
            .or_else(|| sweep(Landmark::BaseCentre(bone), Landmark::Tip(bone))),
        _ => match (step.gesture(), step.landmarks().as_slice()) {
            (GestureKind::Sweep, [from, to]) => sweep(*from, *to),
            (GestureKind::Click, [first, ..]) => at(first).map(Gesture::Click),
            _ => None,
        },
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Cortices, LongBone, Sesamoid, View};
    use plumbray_proposal::Doubt;

    use super::*;

    const SHAFT: TraceStep = TraceStep::Shaft(View::Ap, LongBone::M2);
    const TIP: Landmark = Landmark::Tip(LongBone::M2);

    fn traced(landmarks: &[Landmark]) -> Proposal {
        let point = PlacedPoint {
            at: FilmPoint::new(10.0, 20.0),
            sd_px: 1.5,
            origin: Origin::Proposed,
        };
        let cortices = Cortices {
            one: vec![point.at; 2],
            two: vec![point.at; 2],
            sd_px: 1.0,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Proposed,
        };
        Proposal {
            view: View::Ap,
            side: None,
            tracing: FilmTracing {
                points: landmarks.iter().map(|name| (*name, point)).collect(),
                cortices: [(LongBone::M2, cortices)].into(),
            },
            doubts: [(TIP, Doubt::Faint)].into(),
            left_to_reader: [(Landmark::BaseCentre(LongBone::M2), Doubt::AtTheEdge)].into(),
        }
    }

    fn stroke() -> Gesture {
        Gesture::Sweep {
            from: FilmPoint::new(1.0, 2.0),
            to: FilmPoint::new(3.0, 400.0),
        }
    }

    #[test]
    fn every_step_and_its_gesture_come_back_from_their_hints() {
        let click = Gesture::Click(FilmPoint::new(5.0, 6.0));
        for view in View::ALL {
            for step in TraceStep::all_of(view) {
                let gesture = match step.gesture() {
                    super::super::GestureKind::Sweep => stroke(),
                    super::super::GestureKind::Click => click,
                };
                let hints = hints_of(step, gesture, &FilmTracing::default());
                let hints = hints.unwrap_or_else(|| panic!("{step:?} has hints"));
                assert_eq!(gesture_of(step, &hints), Some(gesture), "{step:?}");
            }
        }
    }

    #[test]
    fn a_shaft_is_replaced_whole_and_what_was_not_found_is_told() {
        let hints = hints_of(SHAFT, stroke(), &FilmTracing::default()).expect("hints");
        let edit = edit_from(&traced(&[TIP]), SHAFT, &hints).expect("an edit");
        assert_eq!(
            edit.removed,
            Landmark::of_shaft(LongBone::M2),
            "the shaft that was there"
        );
        let [(landmark, point)] = edit.points.as_slice() else {
            panic!("the tip alone: {:?}", edit.points);
        };
        assert_eq!((*landmark, point.origin), (TIP, Origin::Derived), "the tip");
        assert_eq!(edit.remarks.len(), 2, "{:?}", edit.remarks);
        assert!(
            edit.remarks[0].contains("at the edge of the film"),
            "the base: {:?}",
            edit.remarks
        );
    }

    #[test]
    fn a_sesamoid_without_all_its_points_is_left_to_the_plain_search() {
        let step = TraceStep::Sesamoid(Sesamoid::Tibial);
        let gesture = Gesture::Click(FilmPoint::new(5.0, 6.0));
        let hints = hints_of(step, gesture, &FilmTracing::default()).expect("hints");
        let [centre, long_end, short_end] = Landmark::of_sesamoid(Sesamoid::Tibial);
        let part = edit_from(&traced(&[centre, long_end]), step, &hints);
        assert_eq!(part, None, "no ellipse from two points");
        let whole = edit_from(&traced(&[centre, long_end, short_end]), step, &hints);
        let whole = whole.expect("all of it");
        let origin_of = |name| {
            let mut points = whole.points.iter();
            points
                .find(|(landmark, _)| *landmark == name)
                .map(|(_, point)| point.origin)
        };
        assert_eq!(origin_of(centre), Some(Origin::Snapped), "pointed at");
        assert_eq!(origin_of(long_end), Some(Origin::Derived), "found");
    }
}
