//! The worksheet as a table: rows under the questions that a clinician asks.

use plumbray_measure::Question;

use crate::{
    layout::{
        block::{Block, Style},
        styles::{STRONG, TEXT},
    },
    mark::Ink,
    row::{SheetRow, Standing},
    typeface::Weight,
};

const HEAD: Style = Style::new(Weight::Regular, 7.2, Ink::Soft);
const SPREAD: Style = Style::new(Weight::Regular, 7.0, Ink::Black);
const SOFT: Style = Style::new(Weight::Regular, 7.2, Ink::Soft);
const OUTSIDE: Style = Style::new(Weight::SemiBold, 7.8, Ink::Black);
const INSIDE: Style = Style::new(Weight::Regular, 7.8, Ink::Soft);

/// Space under a row.
const BELOW_ROW: f64 = 2.0;

/// Where the columns lie on a page of a given width.
#[derive(Clone, Copy, Debug)]
struct Columns {
    /// Room of the name, from the left edge.
    name_room: f64,
    /// Room of the value, which ends at `value_right`.
    value_room: f64,
    value_right: f64,
    /// Room of the half-width, which starts beside the value.
    spread_room: f64,
    /// Room of the usual range, which ends at `usual_right`.
    usual_room: f64,
    usual_right: f64,
    convention_left: f64,
    convention_room: f64,
    /// Room of the last word, which ends at the right edge.
    standing_room: f64,
    width: f64,
}

impl Columns {
    fn of(width: f64) -> Self {
        const GAP: f64 = 8.0;
        const VALUE_ROOM: f64 = 46.0;
        const SPREAD_ROOM: f64 = 30.0;
        const USUAL_ROOM: f64 = 50.0;
        const STANDING_ROOM: f64 = 28.0;
        let name_room = 0.29 * width;
        let value_right = name_room + GAP + VALUE_ROOM;
        let usual_right = value_right + 3.0 + SPREAD_ROOM + GAP + USUAL_ROOM;
        let convention_left = usual_right + GAP;
        Self {
            name_room,
            value_room: VALUE_ROOM,
            value_right,
            spread_room: SPREAD_ROOM,
            usual_room: USUAL_ROOM,
            usual_right,
            convention_left,
            convention_room: width - STANDING_ROOM - GAP - convention_left,
            standing_room: STANDING_ROOM,
            width,
        }
    }
}

/// The names of the columns.
pub(crate) fn head(width: f64) -> Block {
    let columns = Columns::of(width);
    let mut head = Block::default();
    head.put("Measurement", HEAD, 0.0, 0.0);
    head.put_right("value", HEAD, columns.value_right, 0.0);
    head.put("95 %", HEAD, columns.value_right + 3.0, 0.0);
    head.put_right("usual", HEAD, columns.usual_right, 0.0);
    head.put("convention", HEAD, columns.convention_left, 0.0);
    head.put_right("against usual", HEAD, width, 0.0);
    head.space(HEAD.line_height() + 2.0);
    let at = head.height;
    head.rule(0.0, width, at, 0.8, Ink::Black);
    head.space(2.0);
    head
}

/// A question, with a thin rule under it.
pub(crate) fn question(question: Question, width: f64) -> Block {
    let mut block = Block::default();
    block.space(4.0);
    block.add_paragraph(question.heading(), STRONG, 0.0, width);
    block.space(1.0);
    let at = block.height;
    block.rule(0.0, width, at, 0.4, Ink::Rule);
    block.space(2.0);
    block
}

/// One measurement. Its name and its convention wrap, its numbers shrink: nothing leaves its column.
pub(crate) fn row(row: &SheetRow, width: f64) -> Block {
    let columns = Columns::of(width);
    let mut names = Block::default();
    names.add_paragraph(row.name, TEXT, 0.0, columns.name_room);
    let mut conventions = Block::default();
    // The smaller text stands on the baseline of the name.
    conventions.space(TEXT.size - SOFT.size);
    conventions.add_paragraph(&row.convention, SOFT, 0.0, columns.convention_room);

    let mut block = Block::default();
    let on_baseline = |style: Style| TEXT.size - style.size;
    let value = STRONG.fitting(&row.value, columns.value_room);
    block.put_right(&row.value, value, columns.value_right, on_baseline(value));
    let spread = SPREAD.fitting(&row.spread, columns.spread_room);
    let beside_value = columns.value_right + 3.0;
    block.put(&row.spread, spread, beside_value, on_baseline(spread));
    let usual = SOFT.fitting(&row.usual, columns.usual_room);
    block.put_right(&row.usual, usual, columns.usual_right, on_baseline(usual));
    if let Some(standing) = row.standing {
        let style = match standing {
            Standing::Above | Standing::Below => OUTSIDE,
            Standing::Within | Standing::About => INSIDE,
        };
        let style = style.fitting(standing.word(), columns.standing_room);
        block.put_right(standing.word(), style, columns.width, on_baseline(style));
    }
    block.put_block(names, 0.0, 0.0);
    block.put_block(conventions, columns.convention_left, 0.0);
    block.space(BELOW_ROW);
    block
}
