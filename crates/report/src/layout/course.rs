//! A number over the visits of a foot as a plot in black and white.

use crate::{
    course::{Course, CoursePoint, CourseScale},
    layout::{
        block::Block,
        styles::{PLOT_HEADING, PLOT_NAME, PLOT_NUMBER},
    },
    mark::{Area, Ink, LineMark, Mark, Spot},
    number::plain,
};

/// Height of the plotted area.
const HEIGHT: f64 = 92.0;
/// Room for the numbers of the scale.
const LEFT: f64 = 22.0;
/// Room at both sides of the points.
const BESIDE: f64 = 24.0;
/// Half the side of the square that stands for a number.
const DOT: f64 = 2.0;
/// Between the names of two visits.
const GAP: f64 = 6.0;

/// Where numbers and visits lie in the block.
struct Frame {
    area: Area,
    scale: CourseScale,
    from: f64,
    to: f64,
}

impl Frame {
    fn of(course: &Course, width: f64, top: f64) -> Self {
        let (from, to) = course.span();
        Self {
            area: Area {
                left: LEFT,
                top,
                width: width - LEFT,
                height: HEIGHT,
            },
            scale: course.scale(),
            from,
            to,
        }
    }

    fn spot(&self, at: f64, value: f64) -> Spot {
        let span = self.to - self.from;
        let along = if span > 0.0 {
            (at - self.from) / span
        } else {
            0.5
        };
        let up = (value - self.scale.low) / (self.scale.high - self.scale.low);
        Spot {
            x: self.area.left + BESIDE + along * (self.area.width - 2.0 * BESIDE),
            y: self.area.bottom() - up * self.area.height,
        }
    }
}

/// The plot with its heading above it and the visits' names below.
pub(crate) fn course_block(course: &Course, width: f64) -> Block {
    let mut block = Block::default();
    let heading = format!("{}; across: {}", course.heading(), course.horizontal);
    block.add_line(&heading, PLOT_HEADING, 0.0);
    block.space(8.0);
    let frame = Frame::of(course, width, block.height);
    block.height += HEIGHT;
    scale(&mut block, &frame, course.usual);
    points(&mut block, &frame, &course.points);
    block.space(3.0);
    names(&mut block, &frame, &course.points);
    block
}

fn scale(block: &mut Block, frame: &Frame, usual: Option<(f64, f64)>) {
    let area = frame.area;
    if let Some((low, high)) = usual {
        let top = frame.spot(0.0, high).y;
        let band = Area {
            top,
            height: frame.spot(0.0, low).y - top,
            ..area
        };
        block.marks.push(Mark::Fill(band, Ink::Shade));
    }
    for value in frame.scale.lines() {
        let at = frame.spot(0.0, value).y;
        block.rule(area.left, area.width, at, 0.5, Ink::Rule);
        let top = at - 0.62 * PLOT_NUMBER.line_height();
        block.put_right(&plain(value, 0), PLOT_NUMBER, area.left - 5.0, top);
    }
}

fn points(block: &mut Block, frame: &Frame, points: &[CoursePoint]) {
    let line = |along, width| {
        Mark::Line(LineMark {
            along,
            width,
            ink: Ink::Black,
            dash: None,
        })
    };
    let spots: Vec<Spot> = points
        .iter()
        .map(|point| frame.spot(point.at, point.value))
        .collect();
    if spots.len() > 1 {
        block.marks.push(line(spots.clone(), 1.0));
    }
    for (point, spot) in points.iter().zip(spots) {
        let ends = [-point.half_interval, point.half_interval]
            .map(|half| frame.spot(point.at, point.value + half));
        block.marks.push(line(ends.to_vec(), 1.0));
        let dot = Area {
            left: spot.x - DOT,
            top: spot.y - DOT,
            width: 2.0 * DOT,
            height: 2.0 * DOT,
        };
        block.marks.push(Mark::Fill(dot, Ink::Black));
    }
}

/// The visits' names below their points; one that would run into the one before it stands a line lower.
fn names(block: &mut Block, frame: &Frame, points: &[CoursePoint]) {
    let mut ends = [f64::NEG_INFINITY; 3];
    for point in points {
        let width = PLOT_NAME.width(&point.visit);
        let middle = frame.spot(point.at, frame.scale.low).x;
        let right = (frame.area.right() - width).max(0.0);
        let left = (middle - 0.5 * width).clamp(0.0, right);
        // Where every line is taken, the name is left out: the table has them all.
        if let Some(line) = ends.iter().position(|end| *end + GAP <= left) {
            ends[line] = left + width;
            #[expect(clippy::cast_precision_loss, reason = "one of three lines")]
            let top = block.height + line as f64 * PLOT_NAME.line_height();
            block.put(&point.visit, PLOT_NAME, left, top);
        }
    }
    let lines = ends.iter().filter(|end| end.is_finite()).count();
    #[expect(clippy::cast_precision_loss, reason = "at most three lines")]
    block.space(lines as f64 * PLOT_NAME.line_height());
}
