//! The pages of a comparison: two films or two pairs of them, every visit's numbers, the answers.

use crate::{
    comparison::{COMPARISON_TITLE, ComparisonContent, ComparisonRow, PlanResultTable},
    layout::{
        Kind, Page, Piece,
        block::{Block, Style},
        course_block, distributed, films,
        frame::{Frame, PatientLine},
        numbered, room,
        styles::{HEADING, NOTE, STRONG, TEXT},
    },
    mark::Ink,
    typeface::Weight,
};

const HEAD: Style = Style::new(Weight::SemiBold, 7.8, Ink::Black);

/// The height of the AP films.
const FILM_HEIGHT: f64 = 205.0;
/// The height of the lateral films, which are wide.
const LATERAL_HEIGHT: f64 = 140.0;
/// Shares of the width: of the names, and of the change with its verdict.
const NAME_SHARE: f64 = 0.3;
const CHANGE_SHARE: f64 = 0.34;
const GAP: f64 = 6.0;
const BELOW_ROW: f64 = 2.0;

/// Verdicts on what is more than measuring errs.
const BEYOND: [&str; 2] = ["real change", "beyond measurement error"];

/// How the numbers are meant.
const REMARK: &str = "± beside a change is the smallest detectable change: 1.96 standard deviations of both tracings and of two \
                      films of an unchanged foot. Intervals hold 95 %.";

/// The pages of a comparison; at least one.
pub(crate) fn comparison_pages(content: &ComparisonContent) -> Vec<Page> {
    let frame = Frame {
        paper: content.paper,
        title: COMPARISON_TITLE,
        below_title: &content.visits,
        side: content.side.words(),
        patient: PatientLine::Absent,
        caution: &content.caution,
        remark: REMARK,
        origin: &content.origin,
    };
    let width = content.paper.inner_width();
    let rooms = [true, false].map(|is_first| room(&frame, is_first));
    let head = head(content, width);
    let bodies = distributed(pieces(content, &head, width), rooms, &head);
    numbered(&frame, bodies)
}

fn pieces(content: &ComparisonContent, head: &Block, width: f64) -> Vec<Piece> {
    let piece = |block, kind| Piece { block, kind };
    let mut pieces = Vec::new();
    for (films, height) in [
        (&content.films, FILM_HEIGHT),
        (&content.lateral_films, LATERAL_HEIGHT),
    ] {
        if let [earlier, later] = films.as_slice() {
            let films = films::two_films([earlier, later], width, height);
            pieces.push(piece(films, Kind::Other));
        }
    }
    pieces.extend(content.warnings.iter().map(|warning| {
        let mut block = Block::default();
        block.add_paragraph(warning, STRONG, 0.0, width);
        block.space(2.0);
        piece(block, Kind::Other)
    }));
    pieces.push(piece(head.clone(), Kind::Heading));
    let rows = content.rows.iter().map(|one| row(one, width));
    pieces.extend(rows.map(|row| piece(row, Kind::Row)));
    if let Some(plan) = &content.plan {
        pieces.extend(plan_pieces(plan, width));
    }
    for (heading, answers) in &content.answers {
        let mut block = Block::default();
        block.space(7.0);
        block.add_paragraph(heading, HEADING, 0.0, width);
        block.space(1.0);
        pieces.push(piece(block, Kind::Heading));
        pieces.extend(answers.iter().map(|answer| {
            let mut block = Block::default();
            block.add_paragraph(answer, TEXT, 0.0, width);
            piece(block, Kind::Other)
        }));
    }
    for course in &content.courses {
        let mut block = Block::default();
        block.put_block(course_block(course, width), 0.0, 8.0);
        pieces.push(piece(block, Kind::Other));
    }
    let mut space = Block::default();
    space.space(6.0);
    pieces.push(piece(space, Kind::Other));
    pieces.extend(content.notes.iter().map(|note| {
        let mut block = Block::default();
        block.add_paragraph(note, NOTE, 0.0, width);
        piece(block, Kind::Other)
    }));
    pieces
}

/// The right end of each visit's column.
fn column_ends(visits: usize, width: f64) -> impl Iterator<Item = f64> {
    let room = (1.0 - NAME_SHARE - CHANGE_SHARE) * width;
    let each = room / visits.max(1) as f64;
    (1..=visits).map(move |column| NAME_SHARE * width + each * column as f64)
}

fn column_room(visits: usize, width: f64) -> f64 {
    (1.0 - NAME_SHARE - CHANGE_SHARE) * width / visits.max(1) as f64 - GAP
}

/// What was planned beside what was achieved, under the numbers of the visits.
fn plan_pieces(plan: &PlanResultTable, width: f64) -> Vec<Piece> {
    let piece = |block, kind| Piece { block, kind };
    let mut heading = Block::default();
    heading.space(9.0);
    heading.add_paragraph(&plan.heading, HEADING, 0.0, width);
    heading.space(3.0);
    let columns = ["before", "intended", "achieved"].map(str::to_owned);
    let head = columns_head(&columns, "achieved − intended", width);
    let top = heading.height;
    heading.put_block(head, 0.0, top);
    let mut pieces = vec![piece(heading, Kind::Heading)];
    pieces.extend(plan.rows.iter().map(|one| {
        let row = row(
            &ComparisonRow {
                name: one.name.clone(),
                values: one.values.to_vec(),
                change: one.difference.clone(),
                verdict: one.verdict.clone(),
            },
            width,
        );
        piece(row, Kind::Other)
    }));
    pieces.extend(plan.notes.iter().map(|note| {
        let mut block = Block::default();
        block.add_paragraph(note, NOTE, 0.0, width);
        piece(block, Kind::Other)
    }));
    pieces
}

fn head(content: &ComparisonContent, width: f64) -> Block {
    columns_head(&content.columns, "change", width)
}

/// The heads of a table's columns; the last one is that of the differences.
fn columns_head(columns: &[String], last: &str, width: f64) -> Block {
    let mut head = Block::default();
    head.put("Measurement", HEAD, 0.0, 0.0);
    let visits = columns.len();
    let room = column_room(visits, width);
    for (name, right) in columns.iter().zip(column_ends(visits, width)) {
        head.put_right(name, HEAD.fitting(name, room), right, 0.0);
    }
    head.put(last, HEAD, (1.0 - CHANGE_SHARE) * width + 2.0 * GAP, 0.0);
    head.space(HEAD.line_height() + 2.0);
    let at = head.height;
    head.rule(0.0, width, at, 0.8, Ink::Black);
    head.space(3.0);
    head
}

/// One measurement. Names wrap, numbers shrink: nothing leaves its column.
fn row(row: &ComparisonRow, width: f64) -> Block {
    let mut names = Block::default();
    names.add_paragraph(&row.name, TEXT, 0.0, NAME_SHARE * width - GAP);
    let mut changes = Block::default();
    let text = match row.verdict.as_str() {
        "" => row.change.clone(),
        verdict => format!("{}: {verdict}", row.change),
    };
    let style = if BEYOND.contains(&row.verdict.as_str()) {
        STRONG
    } else {
        TEXT
    };
    let left = (1.0 - CHANGE_SHARE) * width + 2.0 * GAP;
    changes.add_paragraph(&text, style, 0.0, width - left);
    let mut block = Block::default();
    let visits = row.values.len();
    let room = column_room(visits, width);
    for (value, right) in row.values.iter().zip(column_ends(visits, width)) {
        block.put_right(value, TEXT.fitting(value, room), right, 0.0);
    }
    block.put_block(names, 0.0, 0.0);
    block.put_block(changes, left, 0.0);
    block.space(BELOW_ROW);
    block
}
