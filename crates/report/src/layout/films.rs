//! The films at the top of the first page, and the verdict beside or below them.

use crate::{
    content::{SheetContent, SheetFilm},
    layout::{
        block::{Block, Style},
        styles::{ABSENT, CAPTION},
    },
    mark::{Area, Ink, LineMark, Mark},
    overlay::overlay,
    typeface::Weight,
    verdict::Verdict,
};

const HEADLINE: Style = Style::new(Weight::SemiBold, 11.0, Ink::Black);
const REMARKS: Style = Style::new(Weight::Regular, 8.0, Ink::Black);

const GAP: f64 = 10.0;
const PADDING: f64 = 7.0;

/// The first of two films takes no more than this share of the width.
const LARGEST_SHARE: f64 = 0.55;

/// The second film gives way to the verdict, but not further than to this share of the height.
const SMALLEST_SECOND: f64 = 0.6;

/// A verdict narrower than this is not put beside a film.
const NARROWEST_VERDICT: f64 = 150.0;

/// The narrowest place of a film with its caption.
const NARROWEST_FRAME: f64 = 110.0;

/// The shape of the place of a film that is not there, width over height.
const SHAPE_OF_ABSENT: f64 = 1.6;

/// The films, and whether the verdict found its place beside them.
#[derive(Debug)]
pub(crate) struct Films {
    pub block: Block,
    pub holds_verdict: bool,
}

/// The films, each at most so high without its caption: the second beside the first, and the verdict in the
/// corner that they leave free, if it is large enough.
pub(crate) fn films(content: &SheetContent, width: f64, height: f64) -> Films {
    let mut block = Block::default();
    let mut corner = None;
    match content.films.as_slice() {
        [] => {}
        [only] => {
            let frame = framed(only, width, height);
            corner = Some((frame.width + GAP, 0.0));
            block.put_block(frame.block, 0.0, 0.0);
        }
        [first, second, ..] => {
            let first = framed(first, LARGEST_SHARE * width, height);
            let left = first.width + GAP;
            let verdict_height = verdict(&content.verdict, width - left).height;
            let beside = (height - verdict_height - GAP).max(SMALLEST_SECOND * height);
            let second = framed(second, width - left, beside);
            corner = Some((left, second.block.height + GAP));
            block.put_block(first.block, 0.0, 0.0);
            block.put_block(second.block, left, 0.0);
        }
    }
    let mut holds_verdict = false;
    if let Some((left, top)) = corner
        && width - left >= NARROWEST_VERDICT
    {
        let verdict = verdict(&content.verdict, width - left);
        holds_verdict = verdict.height <= block.height - top;
        if holds_verdict {
            block.put_block(verdict, left, top);
        }
    }
    if !content.films.is_empty() {
        block.space(GAP);
    }
    Films {
        block,
        holds_verdict,
    }
}

/// A film under its caption.
struct Frame {
    block: Block,
    width: f64,
}

/// Two films beside each other, each at most so high without its caption.
pub(super) fn two_films(films: [&SheetFilm; 2], width: f64, height: f64) -> Block {
    let room = 0.5 * (width - GAP);
    let mut block = Block::default();
    for (film, left) in films.into_iter().zip([0.0, room + GAP]) {
        block.put_block(framed(film, room, height).block, left, 0.0);
    }
    block.space(GAP);
    block
}

fn framed(film: &SheetFilm, room: f64, height: f64) -> Frame {
    let shape = film
        .picture
        .as_ref()
        .map_or(SHAPE_OF_ABSENT, |picture| picture.shape());
    let picture_width = (height * shape).min(room);
    let width = picture_width.max(NARROWEST_FRAME).min(room);
    let mut block = Block::default();
    block.add_paragraph(&film.caption, CAPTION, 0.0, width);
    block.space(2.0);
    let area = Area {
        left: 0.0,
        top: block.height,
        width: picture_width,
        height: picture_width / shape,
    };
    match &film.picture {
        Ok(picture) => {
            block.marks.push(Mark::Film(area, picture.clone()));
            let drawn = overlay(&film.drawing, picture, area, 1.0);
            block.marks.extend(drawn);
            block.space(area.height);
        }
        Err(why) => block.put_block(absent(why, area), 0.0, area.top),
    }
    Frame { block, width }
}

/// The place of a film that is not there, as high as its words need.
fn absent(why: &str, area: Area) -> Block {
    let mut block = Block::default();
    block.space(PADDING);
    block.add_paragraph(why, ABSENT, PADDING, area.width - 2.0 * PADDING);
    block.space(PADDING);
    boxed(block, area.width, 0.5)
}

/// The verdict in a box.
pub(crate) fn verdict(verdict: &Verdict, width: f64) -> Block {
    let room = width - 2.0 * PADDING;
    let mut block = Block::default();
    block.space(PADDING - 1.0);
    block.add_paragraph(&verdict.headline, HEADLINE, PADDING, room);
    block.space(1.0);
    block.add_paragraph(&verdict.remarks, REMARKS, PADDING, room);
    block.space(PADDING);
    boxed(block, width, 0.9)
}

fn boxed(mut block: Block, width: f64, thickness: f64) -> Block {
    let area = Area {
        left: thickness / 2.0,
        top: 0.0,
        width: width - thickness,
        height: block.height,
    };
    block.marks.push(Mark::Line(LineMark {
        along: area.outline(),
        width: thickness,
        ink: Ink::Black,
        dash: None,
    }));
    block
}
