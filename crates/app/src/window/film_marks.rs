//! What is drawn over a film: the tracing, the selected construction, the stroke under the hand.

use egui::{Key, Ui, vec2};
use plumbray_anatomy::{FilmPoint, FilmTracing, View};
use plumbray_measure::{Construction, LineRole, Measurement, Outcome, Question, Reading};

use super::{
    landmark_handle::{HandleEvent, landmark_handle_ui},
    pen::{AXIS, Manner, OUTLINE, Pen, colour_of_bone, colour_of_landmark},
    row_text::value_texts,
    theme::{film, size},
};
use crate::{
    canvas::ScreenFromFilm,
    workbench::{Calibrating, Command, FittedScale, Selection, Workbench},
};

/// Draws everything over a film; gives the point that is being moved, for the magnifier.
pub(crate) fn marks_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    map: &ScreenFromFilm,
    stroke: Option<[FilmPoint; 2]>,
    commands: &mut Vec<Command>,
) -> Option<FilmPoint> {
    let painter = ui
        .painter()
        // Beside the film there is room, above and below it stand its captions.
        .with_clip_rect(map.viewport().expand2(vec2(8.0, 0.0)));
    let pen = Pen {
        painter: &painter,
        map,
        manner: Manner::Accepted,
    };
    let tracing = workbench.study().tracing.on(view);
    let offered = workbench.offered_tracing(view).unwrap_or_default();
    let selected = match workbench.view().selection {
        Selection::Measurement(measurement) => workbench
            .worksheet()
            .outcome(measurement)
            .and_then(Outcome::reading)
            .filter(|_| measurement.view() == view)
            .map(|reading| (measurement, reading)),
        _ => None,
    };
    if let Some((measurement, reading)) = selected {
        pen.construction(&reading.construction);
        pen.value_label(workbench, measurement, reading);
    } else {
        let proposing = Pen {
            manner: Manner::Proposed,
            ..pen
        };
        proposing.tracing(&offered);
        pen.tracing(tracing);
        for (landmark, point) in tracing.points.iter().chain(&offered.points) {
            if workbench.doubt_about(view, *landmark).is_some() {
                pen.doubt(point.at);
            }
        }
        if !workbench.hides_numbers() {
            pen.headline_angles(workbench, view);
        }
    }
    if let Some(calibrating) = workbench.view().calibrating
        && calibrating.view == view
    {
        pen.calibration(calibrating);
    }
    if let Some((first_view, at)) = workbench.view().first_click
        && first_view == view
    {
        pen.dot(at, film::INK);
    }
    if let Some([from, to]) = stroke {
        pen.dotted(from, to, film::INK);
    }
    let shown = Handles {
        all: workbench.view().adjusting && selected.is_none(),
        offered: &offered,
    };
    handles_ui(ui, workbench, view, map, &shown, commands)
}

/// Which points can be grabbed beside the selected one.
struct Handles<'a> {
    /// Every point, because points are being corrected.
    all: bool,
    /// What is proposed and not accepted: dragging one of its points accepts that one.
    offered: &'a FilmTracing,
}

fn handles_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    map: &ScreenFromFilm,
    shown: &Handles<'_>,
    commands: &mut Vec<Command>,
) -> Option<FilmPoint> {
    let mut moving = None;
    let placed = &workbench.study().tracing.on(view).points;
    let is_selected = |landmark| workbench.view().selection == Selection::Point(view, landmark);
    // Where handles lie over each other the last one answers: what is selected, then what is the reader's.
    let mut handles: Vec<_> = shown.offered.points.iter().chain(placed).collect();
    handles.retain(|(landmark, _)| shown.all || is_selected(**landmark));
    handles.sort_by_key(|(landmark, _)| is_selected(**landmark));
    for (landmark, placed) in handles {
        let selected = is_selected(*landmark);
        let colour = colour_of_landmark(*landmark);
        let Some(event) = landmark_handle_ui(ui, map, view, *landmark, placed.at, colour, selected)
        else {
            continue;
        };
        match event {
            HandleEvent::Moved { to, finished } => {
                moving = Some(to);
                commands.push(Command::MovePoint {
                    view,
                    landmark: *landmark,
                    to,
                    finished,
                });
            }
            HandleEvent::Deleted => commands.push(Command::DeletePoint(view, *landmark)),
            // Enter chooses a point that has the keyboard; where it is chosen already, Enter answers
            // what the prompt line offers.
            HandleEvent::Chosen
                if selected
                    && workbench.offer().is_some()
                    && ui.input(|input| input.key_pressed(Key::Enter)) =>
            {
                commands.push(Command::AcceptProposal);
            }
            HandleEvent::Chosen => commands.push(Command::SelectPoint(view, *landmark)),
        }
    }
    moving
}

impl Pen<'_> {
    /// The two angles that a reader looks for first, where they are known.
    fn headline_angles(&self, workbench: &Workbench, view: View) {
        let headline: &[Measurement] = match view {
            View::Ap => &[
                Measurement::HalluxValgusAngle,
                Measurement::IntermetatarsalAngle12,
            ],
            View::Lateral => &[Measurement::TaloFirstMetatarsalAngle],
        };
        for measurement in headline {
            if let Some(reading) = workbench
                .worksheet()
                .outcome(*measurement)
                .and_then(Outcome::reading)
            {
                self.value_label(workbench, *measurement, reading);
            }
        }
    }

    fn construction(&self, construction: &Construction) {
        for line in &construction.lines {
            let ends = [line.from, line.to];
            match line.role {
                LineRole::Axis(bone) | LineRole::Length(bone) => {
                    self.axis(line.from, line.to, colour_of_bone(bone));
                }
                LineRole::Extension => self.dashed(&ends, film::INK, 8.0, 5.0),
                LineRole::Level => self.path(&ends, OUTLINE, film::SOFT),
                LineRole::JointSurface
                | LineRole::Floor
                | LineRole::Distance
                | LineRole::CutFace => {
                    self.axis(line.from, line.to, film::JOINT_LINES);
                }
                LineRole::JointNormal | LineRole::Perpendicular => {
                    self.dashed(&ends, film::JOINT_LINES, 8.0, 5.0);
                }
                LineRole::Talus | LineRole::Calcaneus | LineRole::LesserTarsus => {
                    self.axis(line.from, line.to, film::HINDFOOT);
                }
                LineRole::Cortex(bone) => {
                    self.dashed(&ends, colour_of_bone(bone), 8.0, 5.0);
                }
            }
        }
        if let Some(arc) = &construction.arc {
            self.path(&arc.along, AXIS, film::FIRST_RAY);
        }
        if let Some(ellipse) = &construction.ellipse {
            self.ellipse(ellipse, film::SESAMOIDS);
        }
        for point in &construction.points {
            self.dot(*point, film::INK);
        }
    }

    /// The value beside its arc; a value without an arc stands beside its lines.
    fn value_label(&self, workbench: &Workbench, measurement: Measurement, reading: &Reading) {
        let construction = &reading.construction;
        let arc = construction.arc.as_ref().and_then(|arc| {
            let middle = arc.along.get(arc.along.len() / 2)?;
            let (from, to) = (self.map.screen(arc.vertex), self.map.screen(*middle));
            let outward = (to - from).normalized();
            Some(to + outward * 26.0)
        });
        let line = || {
            let line = construction.lines.first()?;
            Some(self.map.screen(line.from.toward(line.to, 0.5)) + vec2(44.0, 0.0))
        };
        let Some(place) = arc.or_else(line) else {
            return;
        };
        let colour = match (measurement, measurement.question()) {
            (Measurement::IntermetatarsalAngle12, _) => film::LESSER_RAYS,
            (_, Question::Sesamoids) => film::SESAMOIDS,
            (_, Question::Arch | Question::Fragment) => film::HINDFOOT,
            _ => film::FIRST_RAY,
        };
        let (value, _) = value_texts(workbench, measurement, reading);
        self.label(place, &value, colour, size::BODY);
    }

    fn calibration(&self, calibrating: Calibrating) {
        match calibrating.fitted {
            Some(FittedScale::Circle(circle)) => {
                self.circle(circle.centre.at, circle.edge.at, film::ACCENT);
            }
            Some(FittedScale::Distance { from, to, .. }) => self.axis(from, to, film::ACCENT),
            None => {}
        }
    }
}
