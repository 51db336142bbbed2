//! The one page of a plan that goes to theatre: both films to scale, where to cut, which screws, what is open.

use crate::{
    layout::{
        Page,
        block::{Block, Style},
        finished,
        frame::{Frame, PatientLine},
        room,
        styles::{HEADING, STRONG, TEXT},
        theatre_films::films,
    },
    mark::Ink,
    theatre::{ExpectedRow, PLAN_TITLE, PlanContent, SCREW_COLUMNS},
    typeface::Weight,
};

const SMALL: Style = Style::new(Weight::Regular, 7.2, Ink::Soft);

const GAP: f64 = 12.0;

/// Scales that are tried, the largest picture first: 1 : 1 to 1 : 3.
const SCALES: [f64; 14] = [
    1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
];

/// Scales from here on make films that are hard to read: smaller letters are tried first.
const READABLE_SCALES: usize = 9;

/// Sizes of the letters that are tried, as shares of the usual ones.
const SIZES: [f64; 6] = [1.0, 0.94, 0.88, 0.82, 0.76, SMALLEST];
const SMALLEST: f64 = 0.7;

/// Share of the width for what is expected; the rest is for what is open.
const EXPECTED_SHARE: f64 = 0.55;

/// Shares of the width of the screws' columns.
const SCREW_SHARES: [f64; SCREW_COLUMNS.len()] = [0.1, 0.09, 0.13, 0.16, 0.22, 0.17, 0.13];

/// How the numbers are meant.
const REMARK: &str = "Angles are by head centre – base centre, before and planned. ± is half of the 95 % interval that follows from the spread of this tracing, not how exactly a plan is \
                      carried out. Distances lie along the shaft of the first metatarsal.";

/// The letters of a page, all smaller by one share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Letters(pub f64);

impl Letters {
    /// A style as it is on this page.
    pub(super) fn of(self, style: Style) -> Style {
        Style {
            size: style.size * self.0,
            ..style
        }
    }
}

/// The page of a plan: with the largest films and letters with which all of it fits on it.
pub(crate) fn plan_page(content: &PlanContent, side: (&str, &str)) -> Page {
    let frame = Frame {
        paper: content.paper,
        title: PLAN_TITLE,
        below_title: &content.plan,
        side: (side.0, Some(side.1)),
        patient: content
            .identity
            .as_ref()
            .map_or(PatientLine::ByHand, PatientLine::Said),
        caution: &content.caution,
        remark: REMARK,
        origin: &content.origin,
    };
    let most = room(&frame, true);
    let (readable, small) = SCALES.split_at(READABLE_SCALES);
    let found = [readable, small]
        .into_iter()
        .flat_map(|scales| SIZES.map(|size| (scales, Letters(size))))
        .find_map(|(scales, letters)| body(content, letters, scales, most));
    // Words without end do not fit on any page: they run below its foot, which a test of the longest plan excludes.
    let smallest = || {
        body(
            content,
            Letters(SMALLEST),
            &SCALES[READABLE_SCALES..],
            f64::INFINITY,
        )
    };
    let body = found.or_else(smallest).unwrap_or_default();
    finished(&frame, body, 0, 1)
}

/// All that stands between head and foot, in letters of this size, with the largest films with which it is at most so
/// high; nothing where it is higher with all of these scales.
fn body(content: &PlanContent, letters: Letters, scales: &[f64], most: f64) -> Option<Block> {
    let rest = below_films(content, letters);
    let room = most - rest.height;
    let mut all = scales
        .iter()
        .flat_map(|scale| [1, 2].map(|columns| (*scale, columns)));
    let mut body = all.find_map(|(scale, columns)| {
        films(content, letters, scale, columns).filter(|films| films.height <= room)
    })?;
    append(&mut body, rest, 0.0);
    Some(body)
}

/// Screws, what is expected, what is open, and what is taken for granted.
fn below_films(content: &PlanContent, letters: Letters) -> Block {
    let width = content.paper.inner_width();
    let mut rest = Block::default();
    if !content.screws.is_empty() {
        append(&mut rest, screws(content, letters, width), GAP * 0.7);
    }
    let left = EXPECTED_SHARE * width - GAP;
    let mut both = expected(content, letters, left);
    let right = open(content, letters, width - left - GAP);
    both.put_block(right, left + GAP, 0.0);
    append(&mut rest, both, GAP * 0.7);
    append(&mut rest, fine_print(content, letters, width), GAP * 0.5);
    rest
}

fn append(body: &mut Block, block: Block, space: f64) {
    let at = body.height + space;
    body.put_block(block, 0.0, at);
}

/// What is found with a finger or under an image intensifier, in so many columns.
pub(super) fn places(content: &PlanContent, letters: Letters, width: f64, columns: usize) -> Block {
    let room = (width - GAP * (columns - 1) as f64) / columns as f64;
    let parts: Vec<Block> = content
        .places
        .iter()
        .map(|(name, lines)| part(name, lines, letters, room))
        .collect();
    let each = parts.iter().map(|part| part.height).sum::<f64>() / columns as f64;
    let mut block = Block::default();
    let (mut column, mut top) = (0, 0.0);
    for part in parts {
        // A part whose middle lies beyond the end of its column stands at the top of the next one.
        if top + part.height / 2.0 > each && top > 0.0 && column + 1 < columns {
            column += 1;
            top = 0.0;
        }
        let height = part.height;
        block.put_block(part, (room + GAP) * column as f64, top);
        top += height;
    }
    block
}

fn part(name: &str, lines: &[String], letters: Letters, width: f64) -> Block {
    let mut block = Block::default();
    block.add_paragraph(name, letters.of(HEADING), 0.0, width);
    for line in lines {
        block.add_paragraph(line, letters.of(TEXT), 0.0, width);
    }
    block.space(3.0 * letters.0);
    block
}

fn heading_with_rule(name: &str, letters: Letters, width: f64) -> Block {
    let mut block = Block::default();
    block.add_paragraph(name, letters.of(HEADING), 0.0, width);
    block.space(1.5);
    let at = block.height;
    block.rule(0.0, width, at, 0.6, Ink::Black);
    block.space(2.5);
    block
}

/// The screws and wires, a row each. What is long wraps in its column.
fn screws(content: &PlanContent, letters: Letters, width: f64) -> Block {
    let mut block = heading_with_rule("Screws and wires", letters, width);
    let row = |cells: &[String], styles: [Style; SCREW_COLUMNS.len()]| {
        let mut row = Block::default();
        let mut left = 0.0;
        for ((cell, share), style) in cells.iter().zip(SCREW_SHARES).zip(styles) {
            let mut column = Block::default();
            column.add_paragraph(cell, style, 0.0, share * width - 0.5 * GAP);
            row.put_block(column, left, 0.0);
            left += share * width;
        }
        row.space(1.5);
        row
    };
    let small = letters.of(SMALL);
    let names = SCREW_COLUMNS.map(str::to_owned);
    append(&mut block, row(&names, [small; SCREW_COLUMNS.len()]), 0.0);
    let (text, strong) = (letters.of(TEXT), letters.of(STRONG));
    let styles = [strong, strong, strong, text, text, text, text];
    for screw in &content.screws {
        append(&mut block, row(screw, styles), 0.0);
    }
    block
}

fn expected(content: &PlanContent, letters: Letters, width: f64) -> Block {
    let mut block = heading_with_rule("Expected", letters, width);
    let (text, strong) = (letters.of(TEXT), letters.of(STRONG));
    let small = letters.of(SMALL);
    let lefts = [0.0, 0.36, 0.59, 0.85].map(|share| share * width);
    let row = |cells: [&str; 4], styles: [Style; 4]| {
        let mut row = Block::default();
        for (index, (cell, style)) in cells.into_iter().zip(styles).enumerate() {
            let end = lefts.get(index + 1).copied().unwrap_or(width + 4.0);
            let mut column = Block::default();
            column.add_paragraph(cell, style, 0.0, end - lefts[index] - 4.0);
            row.put_block(column, lefts[index], 0.0);
        }
        row.space(1.5);
        row
    };
    let head = row(["", "before", "planned", &content.lost], [small; 4]);
    append(&mut block, head, 0.0);
    for ExpectedRow {
        name,
        before,
        planned,
        is_chosen,
        with_loss,
    } in &content.expected
    {
        let of_planned = if *is_chosen { text } else { strong };
        let line = row(
            [name, before, planned, with_loss],
            [text, text, of_planned, text],
        );
        append(&mut block, line, 0.0);
    }
    block
}

fn open(content: &PlanContent, letters: Letters, width: f64) -> Block {
    let mut block = heading_with_rule("Look again before use", letters, width);
    let text = letters.of(TEXT);
    if content.open.is_empty() {
        block.add_paragraph("Nothing that is checked is open.", text, 0.0, width);
    }
    for line in &content.open {
        block.add_paragraph(line, text, 0.0, width);
    }
    block
}

/// What is taken for granted, and whose millimetres they are.
fn fine_print(content: &PlanContent, letters: Letters, width: f64) -> Block {
    let small = letters.of(SMALL);
    let mut block = Block::default();
    let granted = format!("Taken for granted: {}", content.granted.join(" "));
    block.add_paragraph(&granted, small, 0.0, width);
    for note in &content.notes {
        block.add_paragraph(note, small, 0.0, width);
    }
    block
}
