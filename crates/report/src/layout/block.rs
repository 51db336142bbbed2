//! Pieces of a page: marks with the height that they take.

use crate::{
    mark::{Ink, LineMark, Mark, Spot, TextMark},
    typeface::{self, Weight},
};

/// Line height over font size.
const LEADING: f64 = 1.25;

/// How a text looks.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Style {
    pub weight: Weight,
    pub size: f64,
    pub ink: Ink,
}

impl Style {
    pub(crate) const fn new(weight: Weight, size: f64, ink: Ink) -> Self {
        Self { weight, size, ink }
    }

    pub(crate) fn line_height(self) -> f64 {
        LEADING * self.size
    }

    pub(crate) fn width(self, text: &str) -> f64 {
        typeface::width(text, self.weight, self.size)
    }

    pub(crate) fn wrapped(self, text: &str, room: f64) -> Vec<String> {
        typeface::wrapped(text, self.weight, self.size, room)
    }

    /// The same style, smaller where the text would be wider than its room.
    pub(crate) fn fitting(self, text: &str, room: f64) -> Self {
        let width = self.width(text);
        if width <= room {
            return self;
        }
        Self {
            size: self.size * room / width,
            ..self
        }
    }
}

/// Marks from the upper left corner of a piece of a page, and how high the piece is.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Block {
    pub marks: Vec<Mark>,
    pub height: f64,
}

impl Block {
    /// Adds a line of text below what is there.
    pub(crate) fn add_line(&mut self, text: &str, style: Style, left: f64) {
        self.put(text, style, left, self.height);
        self.height += style.line_height();
    }

    /// Adds lines of text below what is there, wrapped to their room.
    pub(crate) fn add_paragraph(&mut self, text: &str, style: Style, left: f64, room: f64) {
        for line in style.wrapped(text, room) {
            self.add_line(&line, style, left);
        }
    }

    /// Puts a line of text at a height, and leaves the height of the block as it is.
    pub(crate) fn put(&mut self, text: &str, style: Style, left: f64, top: f64) {
        if text.is_empty() {
            return;
        }
        self.marks.push(Mark::Text(TextMark {
            at: Spot {
                x: left,
                y: top + style.size,
            },
            size: style.size,
            weight: style.weight,
            ink: style.ink,
            text: text.to_owned(),
        }));
    }

    /// The same, from the right end of the line.
    pub(crate) fn put_right(&mut self, text: &str, style: Style, right: f64, top: f64) {
        self.put(text, style, right - style.width(text), top);
    }

    /// A thin line across, from `left` on.
    pub(crate) fn rule(&mut self, left: f64, width: f64, at: f64, thickness: f64, ink: Ink) {
        let spot = |x| Spot { x, y: at };
        self.marks.push(Mark::Line(LineMark {
            along: vec![spot(left), spot(left + width)],
            width: thickness,
            ink,
            dash: None,
        }));
    }

    /// Empty space below what is there.
    pub(crate) fn space(&mut self, height: f64) {
        self.height += height;
    }

    /// Puts another block at a place in this one, which becomes as high as both need.
    pub(crate) fn put_block(&mut self, block: Self, right: f64, down: f64) {
        self.height = self.height.max(down + block.height);
        let moved = block.marks.into_iter().map(|mark| mark.moved(right, down));
        self.marks.extend(moved);
    }
}
