//! Marks as pixels.

use std::io::Cursor;

use image::{GrayImage, ImageFormat};
use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use tiny_skia::{
    FillRule, FilterQuality, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, PixmapPaint,
    PremultipliedColorU8, Rect, Stroke, StrokeDash, Transform,
};

use crate::{
    film_picture::FilmPicture,
    mark::{Area, Ink, LineMark, Mark, TextMark, narrow},
    typeface,
};

/// A grey picture on which marks are drawn, in pixels from its upper left corner.
pub(crate) struct Canvas(Pixmap);

impl Canvas {
    /// A white picture; nothing where it would be too large or has no area.
    pub(crate) fn white(width: usize, height: usize) -> Option<Self> {
        let mut pixels = Pixmap::new(u32::try_from(width).ok()?, u32::try_from(height).ok()?)?;
        pixels.fill(tiny_skia::Color::WHITE);
        Some(Self(pixels))
    }

    /// Lays a film of the same width at the top.
    pub(crate) fn lay(&mut self, film: &FilmPicture) {
        for (pixel, grey) in self.0.pixels_mut().iter_mut().zip(film.greys()) {
            if let Some(opaque) = PremultipliedColorU8::from_rgba(*grey, *grey, *grey, u8::MAX) {
                *pixel = opaque;
            }
        }
    }

    /// Draws a mark.
    pub(crate) fn draw(&mut self, mark: &Mark) {
        match mark {
            Mark::Text(text) => self.text(text),
            Mark::Line(line) => self.line(line),
            Mark::Fill(area, ink) => self.fill(*area, *ink),
            Mark::Film(area, film) => self.film(*area, film),
        }
    }

    /// The picture as PNG of 8 bits of grey; nothing where memory does not suffice.
    pub(crate) fn into_png(self) -> Option<Vec<u8>> {
        let pixels = self.0.pixels().iter();
        let greys = pixels.map(|pixel| pixel.red()).collect();
        let picture = GrayImage::from_raw(self.0.width(), self.0.height(), greys)?;
        let mut bytes = Cursor::new(Vec::new());
        picture.write_to(&mut bytes, ImageFormat::Png).ok()?;
        Some(bytes.into_inner())
    }

    /// A film, stretched to an area; left out where it has none.
    fn film(&mut self, area: Area, film: &FilmPicture) {
        let size = |pixels: usize| u32::try_from(pixels).ok();
        let pixels = size(film.width())
            .zip(size(film.height()))
            .and_then(|(width, height)| Pixmap::new(width, height));
        let Some(mut pixels) = pixels else {
            return;
        };
        for (pixel, grey) in pixels.pixels_mut().iter_mut().zip(film.greys()) {
            if let Some(opaque) = PremultipliedColorU8::from_rgba(*grey, *grey, *grey, u8::MAX) {
                *pixel = opaque;
            }
        }
        let place = Transform::from_row(
            narrow(area.width / film.width() as f64),
            0.0,
            0.0,
            narrow(area.height / film.height() as f64),
            narrow(area.left),
            narrow(area.top),
        );
        let paint = PixmapPaint {
            quality: FilterQuality::Bilinear,
            ..PixmapPaint::default()
        };
        self.0
            .draw_pixmap(0, 0, pixels.as_ref(), &paint, place, None);
    }

    fn line(&mut self, line: &LineMark) {
        let mut builder = PathBuilder::new();
        for (index, spot) in line.along.iter().enumerate() {
            let (x, y) = (narrow(spot.x), narrow(spot.y));
            if index == 0 {
                builder.move_to(x, y);
            } else {
                builder.line_to(x, y);
            }
        }
        let Some(path) = builder.finish() else {
            return;
        };
        let stroke = Stroke {
            width: narrow(line.width),
            line_cap: LineCap::Butt,
            line_join: LineJoin::Round,
            dash: line
                .dash
                .and_then(|lengths| StrokeDash::new(lengths.map(narrow).to_vec(), 0.0)),
            ..Stroke::default()
        };
        let paint = paint(line.ink);
        let place = Transform::identity();
        self.0.stroke_path(&path, &paint, &stroke, place, None);
    }

    fn fill(&mut self, area: Area, ink: Ink) {
        let rectangle = Rect::from_xywh(
            narrow(area.left),
            narrow(area.top),
            narrow(area.width),
            narrow(area.height),
        );
        if let Some(rectangle) = rectangle {
            let place = Transform::identity();
            self.0.fill_rect(rectangle, &paint(ink), place, None);
        }
    }

    fn text(&mut self, mark: &TextMark) {
        let face = mark.weight.face();
        let scale = mark.size / f64::from(face.units_per_em());
        let mut x = mark.at.x;
        for glyph in typeface::shaped(&mark.text, mark.weight) {
            let mut outline = Outline(PathBuilder::new());
            face.outline_glyph(GlyphId(glyph.id), &mut outline);
            if let Some(path) = outline.0.finish() {
                let (right, up) = (glyph.right * mark.size, glyph.up * mark.size);
                self.glyph(&path, scale, x + right, mark.at.y - up, mark.ink);
            }
            x += glyph.advance * mark.size;
        }
    }

    fn glyph(&mut self, path: &Path, scale: f64, x: f64, y: f64, ink: Ink) {
        let place = Transform::from_row(
            narrow(scale),
            0.0,
            0.0,
            narrow(-scale),
            narrow(x),
            narrow(y),
        );
        let rule = FillRule::Winding;
        self.0.fill_path(path, &paint(ink), rule, place, None);
    }
}

/// The whole pixels that hold so many.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the height of some lines of text and plots in pixels, and the conversion saturates"
)]
pub(crate) fn whole_pixels(height: f64) -> usize {
    height.ceil().max(0.0) as usize
}

fn paint(ink: Ink) -> Paint<'static> {
    let lightness = ink.lightness();
    let mut paint = Paint::default();
    paint.set_color_rgba8(lightness, lightness, lightness, u8::MAX);
    paint.anti_alias = true;
    paint
}

/// A glyph's outline on its way from the font to the picture.
struct Outline(PathBuilder);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.0.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.0.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.0.close();
    }
}
