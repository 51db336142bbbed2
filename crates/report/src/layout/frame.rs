//! The head and the foot of every page: what the sheet is, which foot it shows, and what it is not.

use crate::{
    content::{Identity, Paper, SheetContent},
    layout::block::{Block, Style},
    mark::Ink,
    typeface::{Weight, at_most},
};

/// What stands at the top.
pub(crate) const TITLE: &str = "Foot radiograph worksheet";

const TITLE_STYLE: Style = Style::new(Weight::SemiBold, 15.0, Ink::Black);
const SIDE_STYLE: Style = Style::new(Weight::SemiBold, 19.0, Ink::Black);
const NOT_CONFIRMED: Style = Style::new(Weight::SemiBold, 9.0, Ink::Black);
const BELOW_TITLE: Style = Style::new(Weight::Regular, 8.5, Ink::Soft);
const IDENTITY: Style = Style::new(Weight::SemiBold, 8.5, Ink::Black);
const SMALL: Style = Style::new(Weight::Regular, 7.0, Ink::Soft);
const CAUTION: Style = Style::new(Weight::SemiBold, 7.0, Ink::Black);

/// Lines of the visit and the patient on the first page, and on every further one.
const LINES_AT_FIRST: usize = 8;
const LINES_LATER: usize = 2;

/// Room of the signature, and height above its line.
const SIGNATURE_WIDTH: f64 = 170.0;
const SIGNATURE_HEIGHT: f64 = 30.0;
const GAP: f64 = 16.0;
/// Height of a line that is written by hand.
const HAND_HEIGHT: f64 = 20.0;

/// What stands about the patient in the head of a page.
#[derive(Clone, Copy, Debug)]
pub(crate) enum PatientLine<'a> {
    /// Nothing.
    Absent,
    /// What the films' files say.
    Said(&'a Identity),
    /// Room to write it by hand.
    ByHand,
}

/// What head and foot of every page say.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame<'a> {
    pub paper: Paper,
    pub title: &'a str,
    /// The line below the title.
    pub below_title: &'a str,
    /// The side in large letters, and what is said beneath it.
    pub side: (&'a str, Option<&'a str>),
    pub patient: PatientLine<'a>,
    pub caution: &'a str,
    /// How the numbers are meant.
    pub remark: &'a str,
    pub origin: &'a str,
}

impl<'a> Frame<'a> {
    /// The frame of a worksheet's sheet.
    pub(crate) fn of_sheet(content: &'a SheetContent) -> Self {
        Self {
            paper: content.paper,
            title: TITLE,
            below_title: &content.visit,
            side: content.side.words(),
            patient: content
                .identity
                .as_ref()
                .map_or(PatientLine::Absent, PatientLine::Said),
            caution: &content.caution,
            remark: if content.holds_own_spread {
                REMARK_WITH_OWN_SPREAD
            } else {
                REMARK
            },
            origin: &content.origin,
        }
    }
}

/// How the numbers of a worksheet are meant.
const REMARK: &str = "± is half of the 95 % interval that follows from the spread of this tracing. “About”: the \
                      interval holds a limit of the usual range.";

/// The same where a row holds the reader's own spread; such a row says so.
const REMARK_WITH_OWN_SPREAD: &str = "± is half of the 95 % interval that follows from the spread of this tracing and, where a row says “own spread”, from that of \
                                      its reader. “About”: the interval holds a limit of the usual range.";

/// The head of a page.
pub(crate) fn head(content: &Frame<'_>, width: f64, is_first: bool) -> Block {
    let most = if is_first {
        LINES_AT_FIRST
    } else {
        LINES_LATER
    };
    let side = side(content);
    let room = width - side_width(content) - GAP;
    let mut head = Block::default();
    let title = TITLE_STYLE.fitting(content.title, room);
    head.add_line(content.title, title, 0.0);
    head.space(1.0);
    for line in at_most(BELOW_TITLE.wrapped(content.below_title, room), most) {
        head.add_line(&line, BELOW_TITLE, 0.0);
    }
    match content.patient {
        PatientLine::Absent => {}
        PatientLine::Said(identity) => {
            let facts = identity.facts.join(" · ");
            for line in at_most(IDENTITY.wrapped(&facts, room), most) {
                head.add_line(&line, IDENTITY, 0.0);
            }
        }
        PatientLine::ByHand => by_hand(&mut head, room),
    }
    head.put_block(side, width - side_width(content), 0.0);
    head.space(6.0);
    let at = head.height;
    head.rule(0.0, width, at, 1.2, Ink::Black);
    head.space(9.0);
    head
}

/// Room to write name and birthday of the patient.
fn by_hand(head: &mut Block, room: f64) {
    head.space(HAND_HEIGHT - IDENTITY.line_height());
    let top = head.height;
    let middle = room * 0.62;
    for (word, left, right) in [
        ("Patient", 0.0, middle - GAP),
        ("Date of birth", middle, room),
    ] {
        head.put(word, IDENTITY, left, top);
        let from = left + IDENTITY.width(word) + 4.0;
        let at = top + IDENTITY.size + 1.5;
        head.rule(from, right - from, at, 0.6, Ink::Black);
    }
    head.space(IDENTITY.line_height());
}

fn side_width(content: &Frame<'_>) -> f64 {
    let (large, below) = content.side;
    SIDE_STYLE
        .width(large)
        .max(below.map_or(0.0, |words| NOT_CONFIRMED.width(words)))
}

fn side(content: &Frame<'_>) -> Block {
    let (large, below) = content.side;
    let right = side_width(content);
    let mut side = Block::default();
    side.put_right(large, SIDE_STYLE, right, 0.0);
    side.space(SIDE_STYLE.line_height());
    if let Some(words) = below {
        side.put_right(words, NOT_CONFIRMED, right, side.height);
        side.space(NOT_CONFIRMED.line_height());
    }
    side
}

/// The foot of a page, with the room for a signature at its right.
pub(crate) fn foot(content: &Frame<'_>, width: f64, page: usize, of: usize) -> Block {
    let room = width - SIGNATURE_WIDTH - GAP;
    let mut foot = Block::default();
    foot.space(SIGNATURE_HEIGHT - 3.0 * SMALL.line_height());
    foot.space(8.0);
    foot.add_paragraph(content.caution, CAUTION, 0.0, room);
    foot.add_paragraph(content.remark, SMALL, 0.0, room);
    let left = width - SIGNATURE_WIDTH;
    let under_the_line = foot.height - SMALL.line_height();
    foot.put("name, signature, date", SMALL, left, under_the_line);
    foot.rule(left, SIGNATURE_WIDTH, under_the_line - 1.0, 0.6, Ink::Black);
    foot.space(5.0);
    let at = foot.height;
    foot.rule(0.0, width, at, 0.4, Ink::Rule);
    foot.space(2.0);
    let number = format!("page {page} of {of}");
    let room = width - SMALL.width(&number) - GAP;
    foot.put_right(&number, SMALL, width, foot.height);
    foot.add_paragraph(content.origin, SMALL, 0.0, room);
    foot
}
