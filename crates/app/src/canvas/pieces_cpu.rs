//! Draws moved pieces of a film on the processor: each layer is an image of egui's that is made again only when
//! something about it changes.

use std::sync::{Arc, Weak};

use egui::{Color32, ColorImage, TextureHandle, TextureOptions};
use plumbray_film::{Coverage, FilmGrid, GridSampler, Pyramid};
use rayon::prelude::*;

use super::{
    film_cpu::{colours_of_codes, show},
    look::FilmLook,
    moved_pieces::{Content, Layer},
    sampling::PixelRect,
};

/// The layers' images, kept from frame to frame.
#[derive(Default)]
pub(super) struct PiecesCpu {
    colours: Option<Colours>,
    kept: Vec<Kept>,
}

impl std::fmt::Debug for PiecesCpu {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("PiecesCpu")
            .field("kept", &self.kept.len())
            .finish_non_exhaustive()
    }
}

/// The film beneath the pieces and its look.
#[derive(Clone, Copy, Debug)]
pub(super) struct FilmShown<'a> {
    pub(super) pyramid: &'a Arc<Pyramid>,
    pub(super) look: &'a FilmLook,
    pub(super) surround: Color32,
}

/// The colour of each code of a film.
struct Colours {
    pyramid: Weak<Pyramid>,
    look: FilmLook,
    of_code: Vec<Color32>,
}

impl Colours {
    fn are_of(&self, film: &FilmShown<'_>) -> bool {
        self.pyramid.ptr_eq(&Arc::downgrade(film.pyramid)) && self.look == *film.look
    }
}

/// A layer and its image.
struct Kept {
    layer: Layer,
    texture: TextureHandle,
}

impl PiecesCpu {
    /// Draws layers in their order. Call it once a frame: an image that has changed has changed wherever it was
    /// drawn.
    pub(super) fn paint(
        &mut self,
        painter: &egui::Painter,
        film: &FilmShown<'_>,
        layers: Vec<Layer>,
    ) {
        if !self.colours.as_ref().is_some_and(|own| own.are_of(film)) {
            self.kept.clear();
        }
        if layers.is_empty() {
            self.kept.clear();
            return;
        }
        let colours = match self.colours.take() {
            Some(colours) if colours.are_of(film) => colours,
            _ => Colours {
                pyramid: Arc::downgrade(film.pyramid),
                look: film.look.clone(),
                of_code: colours_of_codes(film.pyramid.film().grey(), film.look, film.surround),
            },
        };
        self.kept.truncate(layers.len());
        for (index, layer) in layers.into_iter().enumerate() {
            match self.kept.get_mut(index) {
                Some(kept) if kept.layer == layer => {}
                Some(kept) => {
                    let image = image_of(&layer, film, &colours.of_code);
                    kept.texture.set(image, TextureOptions::NEAREST);
                    kept.layer = layer;
                }
                None => {
                    let image = image_of(&layer, film, &colours.of_code);
                    let options = TextureOptions::NEAREST;
                    let texture = painter.ctx().load_texture("piece of film", image, options);
                    self.kept.push(Kept { layer, texture });
                }
            }
        }
        self.colours = Some(colours);
        self.show(painter);
    }

    fn show(&self, painter: &egui::Painter) {
        for Kept { layer, texture } in &self.kept {
            show(painter, texture, layer.pixels, 1.0);
        }
    }
}

/// What is seen of a layer, see-through where its outline covers a pixel in part or not at all.
fn image_of(layer: &Layer, film: &FilmShown<'_>, colours: &[Color32]) -> ColorImage {
    let PixelRect { width, height, .. } = layer.pixels;
    let width = usize::try_from(width).unwrap_or(0);
    let height = usize::try_from(height).unwrap_or(0);
    let corners: Vec<[f64; 2]> = layer
        .outline
        .iter()
        .map(|corner| [f64::from(corner.x), f64::from(corner.y)])
        .collect();
    let coverage = Coverage::of(&corners, width, height);
    let mut image = ColorImage::filled([width, height], Color32::TRANSPARENT);
    if width == 0 {
        return image;
    }
    let source = Source::new(layer.content, film, colours);
    image
        .pixels
        .par_chunks_exact_mut(width)
        .enumerate()
        .for_each(|(row, pixels)| {
            for (column, (pixel, share)) in pixels.iter_mut().zip(coverage.row(row)).enumerate() {
                if *share > 0 {
                    *pixel = source.colour(column, row).gamma_multiply_u8(*share);
                }
            }
        });
    image
}

/// Where the colours of a layer come from.
enum Source<'a> {
    One(Color32),
    Film {
        sampler: GridSampler<'a>,
        grid: FilmGrid,
        width: f64,
        height: f64,
        of_code: &'a [Color32],
        surround: Color32,
    },
}

impl<'a> Source<'a> {
    fn new(content: Content, shown: &FilmShown<'a>, of_code: &'a [Color32]) -> Self {
        match content {
            Content::Shade(colour) => Self::One(colour),
            Content::Film(grid) => Self::Film {
                sampler: GridSampler::new(shown.pyramid, grid),
                grid,
                width: shown.pyramid.film().width() as f64,
                height: shown.pyramid.film().height() as f64,
                of_code,
                surround: shown.surround,
            },
        }
    }

    /// The colour of a pixel where it is covered whole; beside the film its surround.
    fn colour(&self, column: usize, row: usize) -> Color32 {
        match self {
            Self::One(colour) => *colour,
            Self::Film {
                sampler,
                grid,
                width,
                height,
                of_code,
                surround,
            } => {
                let centre = grid.centre(column, row);
                let is_on_film =
                    (0.0..*width).contains(&centre.x_px) && (0.0..*height).contains(&centre.y_px);
                if is_on_film {
                    of_code[usize::from(sampler.code(column, row))]
                } else {
                    *surround
                }
            }
        }
    }
}
