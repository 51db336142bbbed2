//! The films of a plan to one scale, each with its bar, and beside them what is found with a finger.

use crate::{
    layout::{
        block::{Block, Style},
        styles::{ABSENT, CAPTION},
        theatre::{Letters, places},
    },
    mark::{Area, Ink, LineMark, Mark, Spot},
    number::plain,
    overlay::overlay,
    theatre::{PlanContent, PlanFilm},
    typeface::Weight,
};

const SCALE: Style = Style::new(Weight::SemiBold, 7.5, Ink::Black);

const GAP: f64 = 12.0;

/// Points of a millimetre on paper.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// The height of a film without a calibration at a scale of 1 : 1, in points: as high as a first ray of 120 mm.
const HEIGHT_WITHOUT_SCALE: f64 = 120.0 * POINTS_PER_MM;

/// The place of a film that is not there.
const ABSENT_WIDTH: f64 = 150.0;

/// What is found with a finger needs so much width for each of its columns.
const NARROWEST_PLACES: f64 = 150.0;

/// The length of the bar in millimetres of what the film shows, and of the ticks at its ends in points.
const BAR_MM: f64 = 10.0;
const TICK: f64 = 5.0;

/// A film under its caption and over its bar.
struct Placed {
    block: Block,
    width: f64,
}

/// Both films, and the places in so many columns in the corner that they leave free; nothing where they are too wide
/// at this scale.
pub(super) fn films(
    content: &PlanContent,
    letters: Letters,
    scale: f64,
    columns: usize,
) -> Option<Block> {
    let width = content.paper.inner_width();
    let mut block = Block::default();
    let [first, rest @ ..] = content.films.as_slice() else {
        return Some(places(content, letters, width, columns));
    };
    let first = placed(first, letters, scale);
    let left = first.width + GAP;
    if width - left < NARROWEST_PLACES * columns as f64 {
        return None;
    }
    block.put_block(first.block, 0.0, 0.0);
    let mut top = 0.0;
    for film in rest {
        let film = placed(film, letters, scale);
        if film.width > width - left {
            return None;
        }
        let height = film.block.height;
        block.put_block(film.block, left, top);
        top += height + 0.7 * GAP;
    }
    block.put_block(places(content, letters, width - left, columns), left, top);
    Some(block)
}

fn placed(film: &PlanFilm, letters: Letters, scale: f64) -> Placed {
    let Ok(picture) = &film.picture else {
        return absent(film, letters);
    };
    let shape = picture.shape();
    let picture_width = film.scale.as_ref().map_or_else(
        || {
            // As long a ray lies along the longer side of either film.
            let longer = HEIGHT_WITHOUT_SCALE / scale;
            if shape > 1.0 { longer } else { longer * shape }
        },
        |of| picture.film_width_px() * of.mm_per_pixel_width * POINTS_PER_MM / scale,
    );
    let width = picture_width.max(0.8 * ABSENT_WIDTH);
    let mut block = Block::default();
    block.add_paragraph(&film.caption, letters.of(CAPTION), 0.0, width);
    block.space(2.0);
    let area = Area {
        left: 0.0,
        top: block.height,
        width: picture_width,
        height: picture_width / shape,
    };
    block.marks.push(Mark::Film(area, picture.clone()));
    let drawn = overlay(&film.drawing, picture, area, 1.0);
    block.marks.extend(drawn);
    block.space(area.height + 3.0);
    let below = scale_words(film, letters, scale, width);
    let at = block.height;
    block.put_block(below, 0.0, at);
    Placed { block, width }
}

/// The bar of ten millimetres with the scale and the calibration's name; or that there is none.
fn scale_words(film: &PlanFilm, letters: Letters, scale: f64, width: f64) -> Block {
    let style = letters.of(SCALE);
    let mut block = Block::default();
    let Some(of) = &film.scale else {
        block.add_paragraph("not calibrated, not to scale", style, 0.0, width);
        return block;
    };
    let long = BAR_MM * POINTS_PER_MM / scale;
    let at = 0.6 * style.line_height();
    let spot = |x, y| Spot { x, y };
    for along in [
        vec![spot(0.5, at), spot(0.5 + long, at)],
        vec![spot(0.5, at - TICK / 2.0), spot(0.5, at + TICK / 2.0)],
        vec![
            spot(0.5 + long, at - TICK / 2.0),
            spot(0.5 + long, at + TICK / 2.0),
        ],
    ] {
        block.marks.push(Mark::Line(LineMark {
            along,
            width: 1.0,
            ink: Ink::Black,
            dash: None,
        }));
    }
    let words = format!(
        "{}\u{2009}mm, 1 : {} on paper, {}",
        plain(BAR_MM, 0),
        plain(scale, 1),
        of.calibration
    );
    let left = long + 7.0;
    block.add_paragraph(&words, style, left, width - left);
    block
}

fn absent(film: &PlanFilm, letters: Letters) -> Placed {
    let mut block = Block::default();
    block.add_paragraph(&film.caption, letters.of(CAPTION), 0.0, ABSENT_WIDTH);
    if let Err(why) = &film.picture {
        block.add_paragraph(why, letters.of(ABSENT), 0.0, ABSENT_WIDTH);
    }
    Placed {
        block,
        width: ABSENT_WIDTH,
    }
}
