//! What is drawn over a film: the tracing and the constructions of the main angles, legible in black and white.
//!
//! Kinds differ by form and not by colour: outlines thin, axes solid and thicker, the second ray's axis in
//! long dashes, what is drawn on in short ones, the head's joint surface dashed. Every line is white with a dark
//! rim, so that it shows both on bone and beside it.

use std::f64::consts::TAU;

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Proportions, Sesamoid, View};
use plumbray_measure::{
    Construction, Ellipse, Line, LineRole, Measurement, Outcome, Reading, Worksheet,
};

use crate::number;

/// The measurements whose lines are drawn; the window shows the others one by one.
const DRAWN: [Measurement; 6] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::HalluxInterphalangealAngle,
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
    Measurement::FirstMetatarsalInclinationAngle,
];

/// Those among them whose value stands beside their lines.
const LABELLED: [Measurement; 3] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::TaloFirstMetatarsalAngle,
];

/// Stretches of the polyline that draws a round outline.
const STRETCHES: u32 = 64;

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// The outline of a bone: thin.
    Outline,
    /// The axis of a bone, or another line of a main angle: solid.
    Axis,
    /// The axis of a lesser metatarsal: long dashes.
    LesserAxis,
    /// A line that only leads from one to another: short dashes.
    Helper,
    /// Bone where a plan leaves it or puts it: solid.
    Planned,
    /// Bone where it was before a plan: dots.
    Former,
    /// A cut: thick and solid.
    Cut,
    /// The outline of a screw or a wire: solid.
    Screw,
}

/// A line over a film, in its pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Its points; at least two.
    pub along: Vec<FilmPoint>,
    /// How it is drawn.
    pub manner: Manner,
}

/// A value beside its lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What it stands beside.
    pub at: FilmPoint,
    /// From here it is moved away, so that it covers none of the lines.
    pub away_from: FilmPoint,
    /// The value: "32.1°".
    pub text: String,
}

/// Everything that is drawn over one film.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Lines, the finer first.
    pub strokes: Vec<Stroke>,
    /// Values.
    pub labels: Vec<Label>,
}

impl Drawing {
    /// The drawing over the film of this view.
    #[must_use]
    pub fn of(
        view: View,
        tracing: &FilmTracing,
        proportions: Proportions,
        sheet: &Worksheet,
    ) -> Self {
        let mut drawing = Self::default();
        drawing.add_outlines(tracing, proportions);
        for measurement in DRAWN.into_iter().filter(|drawn| drawn.view() == view) {
            let Some(reading) = sheet.outcome(measurement).and_then(Outcome::reading) else {
                continue;
            };
            drawing.add_construction(&reading.construction);
            if LABELLED.contains(&measurement) {
                drawing.add_label(measurement, reading);
            }
        }
        drawing
    }

    fn add(&mut self, along: Vec<FilmPoint>, manner: Manner) {
        let stroke = Stroke { along, manner };
        let is_drawable =
            stroke.along.len() > 1 && stroke.along.iter().all(|point| point.is_finite());
        // Two angles share an axis: it is drawn once.
        if is_drawable && !self.strokes.contains(&stroke) {
            self.strokes.push(stroke);
        }
    }

    fn add_outlines(&mut self, tracing: &FilmTracing, proportions: Proportions) {
        for cortices in tracing.cortices.values() {
            for cortex in [&cortices.one, &cortices.two] {
                self.add(cortex.clone(), Manner::Outline);
            }
        }
        let pair = |one, other| tracing.point(one).zip(tracing.point(other));
        if let Some((centre, edge)) = pair(Landmark::HeadCentre, Landmark::HeadEdge) {
            let surface = proportions.head_surface(centre, edge, STRETCHES);
            self.add(surface, Manner::Helper);
        }
        for (one, other) in [
            (Landmark::ArticularMedial, Landmark::ArticularLateral),
            (Landmark::FloorPosterior, Landmark::FloorAnterior),
        ] {
            if let Some((from, to)) = pair(one, other) {
                self.add(vec![from, to], Manner::Outline);
            }
        }
        for sesamoid in Sesamoid::ALL {
            let points = Landmark::of_sesamoid(sesamoid).map(|landmark| tracing.point(landmark));
            if let [Some(centre), Some(long_end), Some(short_end)] = points {
                let outline = Ellipse {
                    centre,
                    long_end,
                    short_end,
                };
                self.add(
                    turns().map(|turn| outline.at(turn)).collect(),
                    Manner::Outline,
                );
            }
        }
    }

    fn add_construction(&mut self, construction: &Construction) {
        for line in &construction.lines {
            if let Some(manner) = manner_of(line) {
                self.add(vec![line.from, line.to], manner);
            }
        }
        if let Some(arc) = &construction.arc {
            self.add(arc.along.clone(), Manner::Outline);
        }
    }

    fn add_label(&mut self, measurement: Measurement, reading: &Reading) {
        let (text, _) = number::value_and_spread(measurement.unit(), reading);
        let construction = &reading.construction;
        let beside_arc = construction.arc.as_ref().and_then(|arc| {
            let middle = arc.along.get(arc.along.len() / 2)?;
            Some((*middle, arc.vertex))
        });
        let beside_line = || {
            let line = construction.lines.first()?;
            Some((line.from.toward(line.to, 0.5), line.from))
        };
        if let Some((at, away_from)) = beside_arc.or_else(beside_line)
            && at.is_finite()
            && away_from.is_finite()
        {
            self.labels.push(Label {
                at,
                away_from,
                text,
            });
        }
    }
}

/// How a line of a construction is drawn; nothing for levels, which would only crowd the paper.
fn manner_of(line: &Line) -> Option<Manner> {
    match line.role {
        LineRole::Level => None,
        LineRole::Axis(LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5) => {
            Some(Manner::LesserAxis)
        }
        LineRole::Extension | LineRole::JointNormal | LineRole::Perpendicular => {
            Some(Manner::Helper)
        }
        _ => Some(Manner::Axis),
    }
}

/// Turns of a round outline, from 0 to a whole one, in radians.
fn turns() -> impl Iterator<Item = f64> {
    (0..=STRETCHES).map(|step| TAU * f64::from(step) / f64::from(STRETCHES))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_with_a_point_that_is_no_number_is_left_out_and_none_is_drawn_twice() {
        let mut drawing = Drawing::default();
        let (one, other) = (FilmPoint::new(1.0, 2.0), FilmPoint::new(3.0, 4.0));
        drawing.add(vec![one, FilmPoint::new(f64::NAN, 0.0)], Manner::Axis);
        drawing.add(vec![one], Manner::Axis);
        assert_eq!(drawing.strokes, [], "nothing to draw");
        drawing.add(vec![one, other], Manner::Axis);
        drawing.add(vec![one, other], Manner::Axis);
        assert_eq!(drawing.strokes.len(), 1, "once");
    }

    #[test]
    fn every_labelled_angle_is_drawn() {
        for labelled in LABELLED {
            assert!(DRAWN.contains(&labelled), "{labelled:?}");
        }
    }
}
