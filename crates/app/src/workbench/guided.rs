//! Tracing one bone by what was seen on the whole film: the reader's gesture says where about, and the
//! film's bones, already recognised, say what lies there.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, Origin};
use plumbray_film::GreyView;
use plumbray_proposal::{Hints, Proposal, Sight};
use plumbray_trace::Stroke;

use super::{
    command::Gesture, orientation::oriented_stroke, step::TraceStep, tracing_edit::TracingEdit,
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
    edit_from(&traced, step, &hints)
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
        (
            TraceStep::JointSurface | TraceStep::Talus | TraceStep::Calcaneus | TraceStep::Floor,
            Gesture::Sweep { from, to },
        ) => step.landmarks().into_iter().zip([from, to]).collect(),
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
