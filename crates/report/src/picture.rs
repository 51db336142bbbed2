//! One film as a grey picture with its tracing burnt in, and what it is beneath.

use plumbray_anatomy::View;
use plumbray_film::Pyramid;
use plumbray_measure::Worksheet;
use plumbray_study::Study;

use crate::{
    content::{SheetSide, proportions_of},
    drawing::Drawing,
    error::SheetError,
    film_picture::FilmPicture,
    layout::TextStyle,
    mark::{Area, Ink, Mark, Spot, TextMark},
    overlay::overlay,
    raster::{Canvas, whole_pixels},
    typeface::Weight,
    wording::{film_caption, quality},
};

/// The longer side of a picture, in pixels, at most.
const LONGEST_SIDE_PX: u32 = 4096;

/// Units in a picture's longer side: a line of one unit is as thick as one point on paper.
const UNITS: f64 = 450.0;

/// White space around the words in the strip, in units.
const PADDING: f64 = 5.0;

/// What an annotated picture is made from.
#[derive(Clone, Copy, Debug)]
pub struct PictureRequest<'a> {
    /// The study.
    pub study: &'a Study,
    /// The worksheet that the engine made of it.
    pub worksheet: &'a Worksheet,
    /// Which film.
    pub view: View,
    /// That film.
    pub film: &'a Pyramid,
    /// The program's caution. A picture without one is refused.
    pub caution: &'a str,
}

/// One film as PNG: 8 bits of grey through the film's own window, with the tracing burnt in as on the sheet,
/// and below it a strip with the view, the side, the calibration and the caution. It names no patient, except
/// where letters are part of the film itself.
///
/// # Errors
/// When there is no caution, or the picture cannot be made.
pub fn annotated_picture(request: &PictureRequest<'_>) -> Result<Vec<u8>, SheetError> {
    let caution = request.caution.trim();
    if caution.is_empty() {
        return Err(SheetError::NoCaution);
    }
    let study = request.study;
    let record = study.film(request.view);
    let proportions = record.map_or_else(|| request.film.film().proportions(), proportions_of);
    let film = FilmPicture::of(request.film, proportions, LONGEST_SIDE_PX);
    let (width, height) = (film.width(), film.height());
    let unit = width.max(height) as f64 / UNITS;
    let strip = strip(&[caption(request), caution.to_owned()], width as f64, unit);
    let full_height = height + strip.height;
    let out_of_reach = || SheetError::Picture {
        width,
        height: full_height,
    };
    let mut canvas = Canvas::white(width, full_height).ok_or_else(out_of_reach)?;
    canvas.lay(&film);
    let area = Area {
        left: 0.0,
        top: 0.0,
        width: width as f64,
        height: height as f64,
    };
    let drawing = Drawing::of(
        request.view,
        study.tracing.on(request.view),
        proportions,
        request.worksheet,
    );
    for mark in overlay(&drawing, &film, area, unit) {
        canvas.draw(&mark);
    }
    for mark in strip.marks {
        canvas.draw(&mark.moved(0.0, height as f64));
    }
    canvas.into_png().ok_or_else(out_of_reach)
}

fn caption(request: &PictureRequest<'_>) -> String {
    let films = View::ALL.map(|view| (view == request.view).then_some(request.film));
    let (large, below) = SheetSide::beside_films(request.study, films).words();
    let record = request.study.film(request.view);
    let calibration = record.and_then(|record| record.calibration.as_ref());
    let mut parts = vec![large.to_owned()];
    parts.extend(below.map(str::to_owned));
    parts.push(film_caption(request.study, request.view));
    parts.push(calibration.map_or_else(|| "not calibrated".to_owned(), quality));
    parts.join(" · ")
}

/// The words under a picture.
struct Strip {
    marks: Vec<Mark>,
    /// In whole pixels.
    height: usize,
}

fn strip(paragraphs: &[String], width: f64, unit: f64) -> Strip {
    let padding = PADDING * unit;
    let room = (width - 2.0 * padding).max(1.0);
    let mut top = padding;
    let mut marks = Vec::new();
    for (index, paragraph) in paragraphs.iter().enumerate() {
        let weight = if index == 0 {
            Weight::SemiBold
        } else {
            Weight::Regular
        };
        let style = TextStyle::new(weight, 8.0 * unit, Ink::Black);
        for line in style.wrapped(paragraph, room) {
            marks.push(Mark::Text(TextMark {
                at: Spot {
                    x: padding,
                    y: top + style.size,
                },
                size: style.size,
                weight,
                ink: style.ink,
                text: line,
            }));
            top += style.line_height();
        }
    }
    Strip {
        marks,
        height: whole_pixels(top + padding),
    }
}
