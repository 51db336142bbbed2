//! What is put on a page or on a picture: texts, lines, areas and films, placed and nothing else.
//!
//! The layout makes a list of marks; writing it as PDF or as pixels is another matter. So everything that
//! can go wrong with a layout is seen in this list.

use std::sync::Arc;

use crate::{
    film_picture::FilmPicture,
    typeface::{self, Weight},
};

/// A place, x to the right and y down, in points on paper or in pixels of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub x: f64,
    pub y: f64,
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
}

/// How dark a mark is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Text that matters.
    Black,
    /// Text beside it.
    Soft,
    /// Thin rules between rows.
    Rule,
    /// An area that only sets something apart.
    Shade,
    /// Lines and words over a film.
    White,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TextMark {
    /// The left end of its baseline.
    pub at: Spot,
    pub size: f64,
    pub weight: Weight,
    pub ink: Ink,
    pub text: String,
}

/// A line through several places.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LineMark {
    pub along: Vec<Spot>,
    pub width: f64,
    pub ink: Ink,
    /// Length of a dash and of the gap after it; nothing for an unbroken line.
    pub dash: Option<[f64; 2]>,
}

/// Anything on a page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Mark {
    Text(TextMark),
    Line(LineMark),
    /// A filled area.
    Fill(Area, Ink),
    /// A film, stretched to the area.
    Film(Area, Arc<FilmPicture>),
}

/// How far letters reach above their baseline, as a share of the font size.
const ASCENT: f64 = 0.80;

/// How far letters reach below it.
const DESCENT: f64 = 0.21;

impl Ink {
    /// From 0, black, to 255, white.
    pub(crate) const fn lightness(self) -> u8 {
        match self {
            Self::Black => 0x14,
            Self::Soft => 0x4c,
            Self::Rule => 0xb4,
            Self::Shade => 0xe8,
            Self::White => 0xff,
        }
    }
}

impl Area {
    pub(crate) fn right(self) -> f64 {
        self.left + self.width
    }

    pub(crate) fn bottom(self) -> f64 {
        self.top + self.height
    }

    /// Whether two areas share more than an edge.
    pub(crate) fn overlaps(self, other: Self) -> bool {
        self.left < other.right()
            && other.left < self.right()
            && self.top < other.bottom()
            && other.top < self.bottom()
    }

    /// The area that is larger by `x` at the left and right and by `y` above and below.
    pub(crate) fn grown(self, x: f64, y: f64) -> Self {
        Self {
            left: self.left - x,
            top: self.top - y,
            width: self.width + 2.0 * x,
            height: self.height + 2.0 * y,
        }
    }

    /// The outline, for a box around something.
    pub(crate) fn outline(self) -> Vec<Spot> {
        let spot = |x, y| Spot { x, y };
        vec![
            spot(self.left, self.top),
            spot(self.right(), self.top),
            spot(self.right(), self.bottom()),
            spot(self.left, self.bottom()),
            spot(self.left, self.top),
        ]
    }
}

impl TextMark {
    /// The area that the text takes.
    pub(crate) fn area(&self) -> Area {
        Area {
            left: self.at.x,
            top: self.at.y - ASCENT * self.size,
            width: typeface::width(&self.text, self.weight, self.size),
            height: (ASCENT + DESCENT) * self.size,
        }
    }
}

impl Mark {
    /// The same mark elsewhere.
    pub(crate) fn moved(self, right: f64, down: f64) -> Self {
        self.mapped(1.0, right, down)
    }

    /// The same mark, so many times as large and as far from the origin.
    pub(crate) fn enlarged(self, times: f64) -> Self {
        self.mapped(times, 0.0, 0.0)
    }

    fn mapped(self, times: f64, right: f64, down: f64) -> Self {
        let spot = |at: Spot| Spot {
            x: times * at.x + right,
            y: times * at.y + down,
        };
        let area = |area: Area| Area {
            left: times * area.left + right,
            top: times * area.top + down,
            width: times * area.width,
            height: times * area.height,
        };
        match self {
            Self::Text(text) => Self::Text(TextMark {
                at: spot(text.at),
                size: times * text.size,
                ..text
            }),
            Self::Line(line) => Self::Line(LineMark {
                along: line.along.into_iter().map(spot).collect(),
                width: times * line.width,
                dash: line.dash.map(|dash| dash.map(|length| times * length)),
                ..line
            }),
            Self::Fill(filled, ink) => Self::Fill(area(filled), ink),
            Self::Film(place, film) => Self::Film(area(place), film),
        }
    }
}

/// A length as drawing libraries take it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "lengths on paper and on a picture are far below the reach of an f32"
)]
pub(crate) const fn narrow(length: f64) -> f32 {
    length as f32
}
