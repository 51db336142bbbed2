//! The pages of how far readers agree: the statistics of each measurement, and its plots of differences.

use crate::{
    agreement::{
        AGREEMENT_TITLE, AgreementContent, AgreementPart, AgreementRow, LimitsPlot, PlotLine,
        step_of,
    },
    layout::{
        Kind, Page, Piece,
        block::Block,
        distributed,
        frame::{Frame, PatientLine},
        numbered, room,
        styles::{HEADING, NOTE, PLOT_HEADING, PLOT_NAME, PLOT_NUMBER, TEXT},
    },
    mark::{Area, Ink, LineMark, Mark, Spot},
    number::plain,
};

/// Shares of the width: of the names, and of the values.
const NAME_SHARE: f64 = 0.3;
const VALUE_SHARE: f64 = 0.24;
const GAP: f64 = 6.0;
const BELOW_ROW: f64 = 1.5;

/// Height of a plot's area.
const HEIGHT: f64 = 110.0;
/// Room for the numbers of the scale, and for the names of the three lines.
const LEFT: f64 = 28.0;
const RIGHT: f64 = 92.0;
/// Room at both sides of the points.
const BESIDE: f64 = 10.0;
/// Half the side of the square that stands for a film.
const DOT: f64 = 1.6;

const REMARK: &str = "Intervals hold 95 %. Limits of agreement hold 95 % of the differences of two readers, if these are about normal; shaded \
                      are their intervals. A difference between two visits below the smallest detectable change is no change.";

/// The pages of the sheet; at least one.
pub(crate) fn agreement_pages(content: &AgreementContent) -> Vec<Page> {
    let frame = Frame {
        paper: content.paper,
        title: AGREEMENT_TITLE,
        below_title: &content.summary,
        side: ("", None),
        patient: PatientLine::Absent,
        caution: &content.caution,
        remark: REMARK,
        origin: &content.origin,
    };
    let width = content.paper.inner_width();
    let rooms = [true, false].map(|is_first| room(&frame, is_first));
    let mut pieces: Vec<Piece> = content
        .parts
        .iter()
        .flat_map(|part| part_pieces(part, width))
        .collect();
    pieces.extend(content.notes.iter().map(|note| noted(note, width)));
    numbered(&frame, distributed(pieces, rooms, &Block::default()))
}

fn part_pieces(part: &AgreementPart, width: f64) -> Vec<Piece> {
    let mut heading = Block::default();
    heading.space(5.0);
    heading.add_paragraph(&part.heading, HEADING, 0.0, width);
    let at = heading.height + 1.0;
    heading.rule(0.0, width, at, 0.6, Ink::Black);
    heading.space(4.0);
    let mut pieces = vec![Piece {
        block: heading,
        kind: Kind::Heading,
    }];
    let other = |block| Piece {
        block,
        kind: Kind::Other,
    };
    pieces.extend(part.rows.iter().map(|one| other(row(one, width))));
    pieces.extend(part.plots.iter().map(|one| other(plot_block(one, width))));
    pieces.extend(part.remarks.iter().map(|remark| noted(remark, width)));
    pieces
}

fn noted(note: &str, width: f64) -> Piece {
    let mut block = Block::default();
    block.add_paragraph(note, NOTE, 0.0, width);
    Piece {
        block,
        kind: Kind::Other,
    }
}

/// One statistic. Names and words wrap, values shrink: nothing leaves its column.
fn row(row: &AgreementRow, width: f64) -> Block {
    let (name_room, value_room) = (NAME_SHARE * width - GAP, VALUE_SHARE * width - GAP);
    let mut names = Block::default();
    names.add_paragraph(&row.name, TEXT, 0.0, name_room);
    let left = (NAME_SHARE + VALUE_SHARE) * width;
    let mut beside = Block::default();
    beside.add_paragraph(&row.beside, TEXT, 0.0, width - left);
    let mut block = Block::default();
    let value = TEXT.fitting(&row.value, value_room);
    block.put(&row.value, value, NAME_SHARE * width, 0.0);
    block.put_block(names, 0.0, 0.0);
    block.put_block(beside, left, 0.0);
    block.space(BELOW_ROW);
    block
}

/// Where differences and means lie in the block.
struct Scale {
    area: Area,
    across: (f64, f64),
    low: f64,
    high: f64,
    step: f64,
}

impl Scale {
    fn of(plot: &LimitsPlot, width: f64, top: f64) -> Self {
        let (low, high) = plot.height_range();
        let step = step_of(high - low);
        let low = (low / step).floor() * step;
        Self {
            area: Area {
                left: LEFT,
                top,
                width: width - LEFT - RIGHT,
                height: HEIGHT,
            },
            across: plot.width_range(),
            low,
            // A plot of nothing but zeros has a height too.
            high: ((high / step).ceil() * step).max(low + step),
            step,
        }
    }

    fn x(&self, mean: f64) -> f64 {
        let (from, to) = self.across;
        let along = if to > from {
            (mean - from) / (to - from)
        } else {
            0.5
        };
        self.area.left + BESIDE + along * (self.area.width - 2.0 * BESIDE)
    }

    fn y(&self, difference: f64) -> f64 {
        let up = (difference - self.low) / (self.high - self.low);
        self.area.bottom() - up * self.area.height
    }

    /// Enough digits that two lines of the scale differ.
    fn decimals(&self) -> usize {
        [1.0, 0.1, 0.01]
            .into_iter()
            .position(|smallest| self.step >= smallest)
            .unwrap_or(3)
    }
}

/// The plot with its heading above it and the means below.
fn plot_block(plot: &LimitsPlot, width: f64) -> Block {
    let mut block = Block::default();
    block.space(5.0);
    block.add_paragraph(&plot.heading, PLOT_HEADING, 0.0, width);
    block.space(6.0);
    let scale = Scale::of(plot, width, block.height);
    block.height += HEIGHT;
    shades(&mut block, &scale, plot);
    let lines = std::iter::successors(Some(scale.low), |line| Some(line + scale.step));
    for value in lines.take_while(|line| *line <= scale.high + 0.5 * scale.step) {
        let at = scale.y(value);
        block.rule(scale.area.left, scale.area.width, at, 0.5, Ink::Rule);
        let top = at - 0.62 * PLOT_NUMBER.line_height();
        let number = plain(value, scale.decimals());
        block.put_right(&number, PLOT_NUMBER, scale.area.left - 5.0, top);
    }
    level(&mut block, &scale, 0.0, 0.8, Some([1.0, 2.0]));
    for (line, dash) in [
        (plot.upper, Some([5.0, 3.0])),
        (plot.bias, None),
        (plot.lower, Some([5.0, 3.0])),
    ] {
        level(&mut block, &scale, line.at, 1.0, dash);
    }
    line_names(&mut block, &scale, plot);
    block
        .marks
        .extend(plot.points.iter().map(|(mean, difference)| {
            let dot = Area {
                left: scale.x(*mean) - DOT,
                top: scale.y(*difference) - DOT,
                width: 2.0 * DOT,
                height: 2.0 * DOT,
            };
            Mark::Fill(dot, Ink::Black)
        }));
    means(&mut block, &scale);
    block
}

/// The intervals of the limits and of the bias.
fn shades(block: &mut Block, scale: &Scale, plot: &LimitsPlot) {
    for line in [plot.lower, plot.bias, plot.upper] {
        let PlotLine { low, high, .. } = line;
        let top = scale.y(high);
        let band = Area {
            top,
            height: scale.y(low) - top,
            ..scale.area
        };
        block.marks.push(Mark::Fill(band, Ink::Shade));
    }
}

fn level(block: &mut Block, scale: &Scale, at: f64, width: f64, dash: Option<[f64; 2]>) {
    let spot = |x| Spot { x, y: scale.y(at) };
    block.marks.push(Mark::Line(LineMark {
        along: vec![spot(scale.area.left), spot(scale.area.right())],
        width,
        ink: Ink::Black,
        dash,
    }));
}

/// The three lines' names with their numbers at the right, from top to bottom, each clear of the one above.
fn line_names(block: &mut Block, scale: &Scale, plot: &LimitsPlot) {
    let mut free_from = f64::NEG_INFINITY;
    for (name, line) in [
        ("upper limit", plot.upper),
        ("bias", plot.bias),
        ("lower limit", plot.lower),
    ] {
        let text = format!("{name} {}", plain(line.at, 2));
        let top = (scale.y(line.at) - 0.62 * PLOT_NAME.line_height()).max(free_from);
        block.put(&text, PLOT_NAME, scale.area.right() + 5.0, top);
        free_from = top + PLOT_NAME.line_height();
        block.height = block.height.max(free_from);
    }
}

/// The smallest and the largest mean, and what lies across.
fn means(block: &mut Block, scale: &Scale) {
    let (from, to) = scale.across;
    let top = scale.area.bottom() + 3.0;
    let first = plain(from, 1);
    block.put(
        &first,
        PLOT_NUMBER,
        scale.x(from) - 0.5 * PLOT_NUMBER.width(&first),
        top,
    );
    if to > from {
        let last = plain(to, 1);
        block.put(
            &last,
            PLOT_NUMBER,
            scale.x(to) - 0.5 * PLOT_NUMBER.width(&last),
            top,
        );
        let across = "mean of both";
        let middle = scale.area.left + 0.5 * (scale.area.width - PLOT_NUMBER.width(across));
        block.put(across, PLOT_NUMBER, middle, top);
    }
    block.height = block.height.max(top + PLOT_NUMBER.line_height());
    block.space(3.0);
}
