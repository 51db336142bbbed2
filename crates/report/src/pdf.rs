//! Pages of marks as a PDF: vector text with its font, lines, and the films as grey pictures.

use std::{fmt::Display, sync::Arc};

use krilla::{
    Data, Document,
    color::luma,
    geom::{Path, PathBuilder, Point, Rect, Size, Transform},
    image::{BitsPerComponent, CustomImage, Image, ImageColorspace},
    metadata::Metadata,
    page::PageSettings,
    paint::{Fill, LineCap, LineJoin, Stroke, StrokeDash},
    surface::Surface,
    text::{Font, GlyphId, KrillaGlyph},
};

use crate::{
    agreement::{AGREEMENT_TITLE, AgreementContent},
    comparison::{COMPARISON_TITLE, ComparisonContent},
    content::{Paper, SheetContent},
    error::SheetError,
    film_picture::FilmPicture,
    layout::{self, Page, TITLE},
    mark::{Area, Ink, LineMark, Mark, Spot, TextMark, narrow},
    raster::{Canvas, whole_pixels},
    theatre::{PLAN_TITLE, PlanContent},
    typeface::{self, Weight},
};

/// The sheet as a PDF. The same content gives the same bytes.
///
/// Takes some tenths of a second, most of it for packing the films: call it on a worker thread.
///
/// # Errors
/// When there is no caution, or the PDF cannot be written.
pub fn sheet(content: &SheetContent) -> Result<Vec<u8>, SheetError> {
    if content.caution.is_empty() {
        return Err(SheetError::NoCaution);
    }
    written(&Written {
        pages: &layout::pages(content),
        paper: content.paper,
        title: TITLE,
        caution: &content.caution,
        program: &content.program,
    })
}

/// A comparison as a PDF. The same content gives the same bytes.
///
/// # Errors
/// When there is no caution, or the PDF cannot be written.
pub fn comparison_sheet(content: &ComparisonContent) -> Result<Vec<u8>, SheetError> {
    if content.caution.is_empty() {
        return Err(SheetError::NoCaution);
    }
    written(&Written {
        pages: &layout::comparison_pages(content),
        paper: content.paper,
        title: COMPARISON_TITLE,
        caution: &content.caution,
        program: &content.program,
    })
}

/// How far readers agree, as a PDF. The same content gives the same bytes.
///
/// # Errors
/// When there is no caution, or the PDF cannot be written.
pub fn agreement_sheet(content: &AgreementContent) -> Result<Vec<u8>, SheetError> {
    if content.caution.trim().is_empty() {
        return Err(SheetError::NoCaution);
    }
    written(&Written {
        pages: &layout::agreement_pages(content),
        paper: content.paper,
        title: AGREEMENT_TITLE,
        caution: &content.caution,
        program: &content.program,
    })
}

/// The plan of an osteotomy for theatre as a PDF of one page. The same content gives the same bytes.
///
/// # Errors
/// When there is no caution, when the side is not known, or the PDF cannot be written.
pub fn plan_sheet(content: &PlanContent) -> Result<Vec<u8>, SheetError> {
    written(&Written {
        pages: &[plan_page(content)?],
        paper: content.paper,
        title: PLAN_TITLE,
        caution: &content.caution,
        program: &content.program,
    })
}

/// The same page as PNG, 8 bits of grey, 200 pixels to the inch.
///
/// # Errors
/// When there is no caution, when the side is not known, or the picture cannot be made.
pub fn plan_picture(content: &PlanContent) -> Result<Vec<u8>, SheetError> {
    let page = plan_page(content)?;
    let (width, height) = content.paper.size();
    let (across, down) = (
        whole_pixels(width * PIXELS_PER_POINT),
        whole_pixels(height * PIXELS_PER_POINT),
    );
    let out_of_reach = || SheetError::Picture {
        width: across,
        height: down,
    };
    let mut canvas = Canvas::white(across, down).ok_or_else(out_of_reach)?;
    for mark in page.marks {
        canvas.draw(&mark.enlarged(PIXELS_PER_POINT));
    }
    canvas.into_png().ok_or_else(out_of_reach)
}

/// Pixels of a picture of a page for each point: 200 to the inch.
const PIXELS_PER_POINT: f64 = 200.0 / 72.0;

fn plan_page(content: &PlanContent) -> Result<Page, SheetError> {
    if content.caution.trim().is_empty() {
        return Err(SheetError::NoCaution);
    }
    let side = content.side.words_for_theatre();
    Ok(layout::plan_page(content, side.ok_or(SheetError::NoSide)?))
}

/// Pages with what a PDF says of itself.
struct Written<'a> {
    pages: &'a [Page],
    paper: Paper,
    title: &'a str,
    caution: &'a str,
    program: &'a str,
}

fn written(sheet: &Written<'_>) -> Result<Vec<u8>, SheetError> {
    let mut document = Document::new();
    let fonts = fonts()?;
    let (width, height) = sheet.paper.size();
    let settings = PageSettings::from_wh(narrow(width), narrow(height))
        .ok_or_else(|| pdf_error(&"the paper has no size"))?;
    for page in sheet.pages {
        let mut pdf_page = document.start_page_with(settings.clone());
        let mut surface = pdf_page.surface();
        for mark in &page.marks {
            draw(&mut surface, &fonts, mark)?;
        }
        surface.finish();
        pdf_page.finish();
    }
    document.set_metadata(
        Metadata::new()
            .title(sheet.title.to_owned())
            .description(sheet.caution.to_owned())
            .language("en".to_owned())
            .creator(sheet.program.to_owned()),
    );
    document.finish().map_err(|problem| pdf_error(&problem))
}

fn pdf_error(problem: &impl Display) -> SheetError {
    SheetError::Pdf {
        problem: problem.to_string(),
    }
}

/// The font of each [`Weight`], in their order.
fn fonts() -> Result<[Font; 2], SheetError> {
    let font = |weight: Weight| {
        Font::new(Data::from(weight.data()), 0)
            .ok_or_else(|| pdf_error(&"the typeface cannot be read"))
    };
    Ok([font(Weight::Regular)?, font(Weight::SemiBold)?])
}

fn draw(surface: &mut Surface<'_>, fonts: &[Font; 2], mark: &Mark) -> Result<(), SheetError> {
    match mark {
        Mark::Text(text) => draw_text(surface, fonts, text),
        Mark::Line(line) => draw_line(surface, line),
        Mark::Fill(area, ink) => draw_fill(surface, *area, *ink),
        Mark::Film(area, film) => draw_film(surface, *area, film)?,
    }
    Ok(())
}

fn filled_with(ink: Ink) -> Fill {
    Fill {
        paint: luma::Color::new(ink.lightness()).into(),
        ..Fill::default()
    }
}

fn draw_text(surface: &mut Surface<'_>, fonts: &[Font; 2], mark: &TextMark) {
    let glyphs: Vec<KrillaGlyph> = typeface::shaped(&mark.text, mark.weight)
        .into_iter()
        .map(|glyph| {
            KrillaGlyph::new(
                GlyphId::new(u32::from(glyph.id)),
                narrow(glyph.advance),
                narrow(glyph.right),
                narrow(glyph.up),
                0.0,
                glyph.text,
                None,
            )
        })
        .collect();
    surface.set_stroke(None);
    surface.set_fill(Some(filled_with(mark.ink)));
    let font = fonts[mark.weight as usize].clone();
    let size = narrow(mark.size);
    surface.draw_glyphs(point(mark.at), &glyphs, font, &mark.text, size, false);
}

fn point(spot: Spot) -> Point {
    Point::from_xy(narrow(spot.x), narrow(spot.y))
}

fn draw_line(surface: &mut Surface<'_>, line: &LineMark) {
    let Some(path) = path(&line.along) else {
        return;
    };
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: luma::Color::new(line.ink.lightness()).into(),
        width: narrow(line.width),
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash: line.dash.map(|lengths| StrokeDash {
            array: lengths.map(narrow).to_vec(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

fn path(along: &[Spot]) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for (index, spot) in along.iter().enumerate() {
        let (x, y) = (narrow(spot.x), narrow(spot.y));
        if index == 0 {
            builder.move_to(x, y);
        } else {
            builder.line_to(x, y);
        }
    }
    builder.finish()
}

fn draw_fill(surface: &mut Surface<'_>, area: Area, ink: Ink) {
    let rectangle = Rect::from_xywh(
        narrow(area.left),
        narrow(area.top),
        narrow(area.width),
        narrow(area.height),
    );
    let mut builder = PathBuilder::new();
    if let Some(rectangle) = rectangle {
        builder.push_rect(rectangle);
    }
    if let Some(path) = builder.finish() {
        surface.set_stroke(None);
        surface.set_fill(Some(filled_with(ink)));
        surface.draw_path(&path);
    }
}

fn draw_film(
    surface: &mut Surface<'_>,
    area: Area,
    film: &Arc<FilmPicture>,
) -> Result<(), SheetError> {
    let image =
        Image::from_custom(GreyImage(film.clone()), true).map_err(|problem| pdf_error(&problem))?;
    let size = Size::from_wh(narrow(area.width), narrow(area.height))
        .ok_or_else(|| pdf_error(&"a film has no area"))?;
    let place = Transform::from_translate(narrow(area.left), narrow(area.top));
    surface.push_transform(&place);
    surface.draw_image(image, size);
    surface.pop();
    Ok(())
}

/// A film as the library takes a picture.
#[derive(Clone)]
struct GreyImage(Arc<FilmPicture>);

impl std::hash::Hash for GreyImage {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.0.width().hash(state);
        self.0.greys().hash(state);
    }
}

impl CustomImage for GreyImage {
    fn color_channel(&self) -> &[u8] {
        self.0.greys()
    }

    fn alpha_channel(&self) -> Option<&[u8]> {
        None
    }

    fn bits_per_component(&self) -> BitsPerComponent {
        BitsPerComponent::Eight
    }

    fn size(&self) -> (u32, u32) {
        let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
        (side(self.0.width()), side(self.0.height()))
    }

    fn icc_profile(&self) -> Option<&[u8]> {
        None
    }

    fn color_space(&self) -> ImageColorspace {
        ImageColorspace::Luma
    }
}
