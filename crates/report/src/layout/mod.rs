//! Where everything stands on the paper: pages of marks, in points.
//!
//! Pure functions of the content. Nothing is clipped: what does not fit on a page goes on to the next one.

mod agreement;
mod block;
mod comparison;
mod course;
mod films;
mod frame;
mod styles;
mod table;
mod theatre;
mod theatre_films;

use crate::{
    content::{Paper, SheetContent},
    layout::{frame::Frame, styles::NOTE},
    mark::Mark,
};

pub(crate) use self::{
    agreement::agreement_pages,
    block::{Block, Style as TextStyle},
    comparison::comparison_pages,
    course::course_block,
    frame::TITLE,
    theatre::plan_page,
};

/// White space at the left and right, at the top and at the bottom, in points.
const SIDE_MARGIN: f64 = 40.0;
const TOP_MARGIN: f64 = 32.0;
const BOTTOM_MARGIN: f64 = 29.0;

/// Heights of the films that are tried, in points: the first with which all fits on one page.
const FILM_HEIGHTS: [f64; 10] = [
    285.0, 270.0, 255.0, 240.0, 225.0, 210.0, 195.0, 180.0, 165.0, 150.0,
];

/// The height of the films where one page is not enough in any case.
const FILM_HEIGHT_OF_SEVERAL_PAGES: f64 = 260.0;

/// Space between the table and what follows.
const BELOW_TABLE: f64 = 7.0;

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Page {
    pub marks: Vec<Mark>,
}

impl Paper {
    /// Width and height in points, 72 to the inch.
    pub(crate) const fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (595.28, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }

    fn inner_width(self) -> f64 {
        self.size().0 - 2.0 * SIDE_MARGIN
    }
}

/// The pages of a sheet; at least one.
pub(crate) fn pages(content: &SheetContent) -> Vec<Page> {
    let rest = Rest::of(content);
    let frame = Frame::of_sheet(content);
    let rooms = [true, false].map(|is_first| room(&frame, is_first));
    let of_height =
        |height| distributed(rest.below_films(content, height), rooms, &rest.table_head);
    let on_one_page = FILM_HEIGHTS
        .into_iter()
        .map(of_height)
        .find(|pages| pages.len() == 1);
    let bodies = on_one_page.unwrap_or_else(|| of_height(FILM_HEIGHT_OF_SEVERAL_PAGES));
    numbered(&frame, bodies)
}

/// Bodies in their frames, each with its number and how many there are.
fn numbered(frame: &Frame<'_>, bodies: Vec<Block>) -> Vec<Page> {
    let count = bodies.len();
    bodies
        .into_iter()
        .enumerate()
        .map(|(index, body)| finished(frame, body, index, count))
        .collect()
}

/// A part of the body that stays in one piece.
#[derive(Clone, Debug)]
struct Piece {
    block: Block,
    kind: Kind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// A heading that must not stand alone at the foot of a page.
    Heading,
    /// A row: on a new page the names of the columns stand above it.
    Row,
    Other,
}

/// What stands below the films, whatever their height.
struct Rest {
    table_head: Block,
    table: Vec<Piece>,
    verdict: Piece,
    notes: Vec<Piece>,
}

impl Rest {
    fn of(content: &SheetContent) -> Self {
        let width = content.paper.inner_width();
        let piece = |block, kind| Piece { block, kind };
        let table_head = table::head(width);
        let mut table = Vec::new();
        if !content.questions.is_empty() {
            table.push(piece(table_head.clone(), Kind::Heading));
        }
        for (question, rows) in &content.questions {
            table.push(piece(table::question(*question, width), Kind::Heading));
            let rows = rows.iter().map(|row| table::row(row, width));
            table.extend(rows.map(|row| piece(row, Kind::Row)));
        }
        let mut space = Block::default();
        space.space(BELOW_TABLE);
        table.push(piece(space, Kind::Other));
        let mut verdict = films::verdict(&content.verdict, width);
        verdict.space(BELOW_TABLE);
        let note = |note: &String| {
            let mut block = Block::default();
            block.add_paragraph(note, NOTE, 0.0, width);
            piece(block, Kind::Other)
        };
        Self {
            table_head,
            table,
            verdict: piece(verdict, Kind::Other),
            notes: content.notes.iter().map(note).collect(),
        }
    }

    /// The whole body with films of this height.
    fn below_films(&self, content: &SheetContent, height: f64) -> Vec<Piece> {
        let films = films::films(content, content.paper.inner_width(), height);
        let mut pieces = vec![Piece {
            block: films.block,
            kind: Kind::Other,
        }];
        pieces.extend(self.table.iter().cloned());
        if !films.holds_verdict {
            pieces.push(self.verdict.clone());
        }
        pieces.extend(self.notes.iter().cloned());
        pieces
    }
}

/// The pieces on their pages, in the rooms between head and foot of the first page and of every other.
fn distributed(pieces: Vec<Piece>, rooms: [f64; 2], table_head: &Block) -> Vec<Block> {
    let mut pages = vec![Block::default()];
    let mut waiting: Vec<Block> = Vec::new();
    for piece in pieces {
        if piece.kind == Kind::Heading {
            waiting.push(piece.block);
            continue;
        }
        let needed = piece.block.height + waiting.iter().map(|block| block.height).sum::<f64>();
        let room = if pages.len() == 1 { rooms[0] } else { rooms[1] };
        let page = pages.last_mut().expect("there is at least one page");
        let starts_anew = page.height > 0.0 && page.height + needed > room;
        if starts_anew {
            let mut page = Block::default();
            if piece.kind == Kind::Row {
                append(&mut page, table_head.clone());
            }
            pages.push(page);
        }
        let page = pages.last_mut().expect("there is at least one page");
        for block in waiting.drain(..).chain([piece.block]) {
            append(page, block);
        }
    }
    pages
}

fn append(page: &mut Block, block: Block) {
    let at = page.height;
    page.put_block(block, 0.0, at);
}

/// The height that head and foot leave.
fn room(frame: &Frame<'_>, is_first: bool) -> f64 {
    let width = frame.paper.inner_width();
    let head = frame::head(frame, width, is_first).height;
    // As wide as any page number.
    let foot = frame::foot(frame, width, 88, 88).height;
    frame.paper.size().1 - TOP_MARGIN - BOTTOM_MARGIN - head - foot
}

fn finished(frame: &Frame<'_>, body: Block, index: usize, count: usize) -> Page {
    let (_, height) = frame.paper.size();
    let width = frame.paper.inner_width();
    let mut page = frame::head(frame, width, index == 0);
    append(&mut page, body);
    let foot = frame::foot(frame, width, index + 1, count);
    let foot_at = height - BOTTOM_MARGIN - TOP_MARGIN - foot.height;
    page.put_block(foot, 0.0, foot_at);
    Page {
        marks: page
            .marks
            .into_iter()
            .map(|mark| mark.moved(SIDE_MARGIN, TOP_MARGIN))
            .collect(),
    }
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod theatre_tests;
