//! Draws a film on the graphics processor, at full depth.
//!
//! The codes lie in one texture of unsigned 16-bit integers, with the reduced copies of the
//! [`Pyramid`] as its mip levels, uploaded once. Window and level, curve, inversion, turn and zoom are
//! uniforms of the fragment shader, so that changing them costs next to nothing and loses no bit.
//!
//! Integer textures are part of OpenGL 3.0 and OpenGL ES 3.0 alike, without an extension. The shader
//! averages them itself, which is what hardware filters cannot do for the area that a screen pixel covers.
#![expect(
    unsafe_code,
    reason = "every OpenGL call is unsafe; they all stand in this file and in film_uniforms.rs, which \
              the rest of the program calls through safe functions, on the thread whose context is current"
)]

use std::sync::{Arc, Weak};

use egui::{Color32, Pos2};
use glow::HasContext as _;
use plumbray_film::{FilmGrid, Level, Pyramid};

use super::{film_uniforms::Uniforms, look::FilmLook, sampling::PixelRect};

/// A screen pixel is the mean of at least this many film pixels along each side, where there are so
/// many. Up to a reduction of eight that is the mean of the film itself; a whole film costs no more than
/// reading each of its pixels about once.
pub(super) const LEAST_SPAN: f64 = 4.0;

/// Why the graphics processor cannot draw a film.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum FilmGlError {
    /// The driver has no integer textures, or would not make an object.
    #[error("the graphics driver ({version}) could not prepare the drawing: {reason}")]
    Unprepared { version: String, reason: String },
    /// The film exceeds the largest texture.
    #[error(
        "the film's {width} × {height} pixels exceed the graphics processor's limit of {limit} a side"
    )]
    TooLarge {
        width: usize,
        height: usize,
        limit: usize,
    },
    /// The driver refused the film, usually for want of memory.
    #[error("the graphics driver refused the film (OpenGL error {code:#06x})")]
    Refused { code: u32 },
}

/// The name of the graphics driver where it has no graphics processor and computes every pixel of
/// every frame itself, as on remote desktops and virtual machines.
///
/// The names are those that the software drivers of Mesa, Chromium and Windows give themselves (from
/// memory but for Mesa's); a driver that is not known counts as a graphics processor.
pub(super) fn software_driver(gl: &glow::Context) -> Option<String> {
    const NAMES: [&str; 6] = [
        "llvmpipe",
        "softpipe",
        "software rasterizer",
        "swiftshader",
        "basic render driver",
        "gdi generic",
    ];
    // SAFETY: every version of OpenGL has this parameter.
    let driver = unsafe { gl.get_parameter_string(glow::RENDERER) };
    let lower_case = driver.to_lowercase();
    NAMES
        .iter()
        .any(|name| lower_case.contains(name))
        .then_some(driver)
}

/// What to draw, and where.
#[derive(Clone, Debug)]
pub(super) struct GlPicture {
    pub(super) pyramid: Arc<Pyramid>,
    pub(super) look: FilmLook,
    pub(super) surround: Color32,
    pub(super) pixels: PixelRect,
    pub(super) grid: FilmGrid,
    /// Whether only the largest circle within the pixels is drawn.
    pub(super) round: bool,
    /// How strongly it covers what lies beneath, from 0 to 1.
    pub(super) opacity: f32,
    /// Only a part within an outline, over what lies beneath; `opacity` plays no part then.
    pub(super) cut: Option<Cut>,
}

/// The part of a picture within an outline.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    /// The corners, in screen pixels from the upper left corner of the picture's.
    pub(super) outline: Vec<Pos2>,
    /// A colour to draw instead of the film.
    pub(super) shade: Option<Color32>,
}

/// The shader, and the film that was drawn last.
#[derive(Debug)]
pub(super) struct FilmGl {
    program: glow::Program,
    uniforms: Uniforms,
    /// OpenGL draws only with a vertex array bound, although the triangle needs none.
    vertices: glow::VertexArray,
    film: Option<(Weak<Pyramid>, glow::Texture)>,
    curve: Option<(Arc<[u16]>, glow::Texture)>,
}

impl FilmGl {
    /// Compiles the shader.
    ///
    /// # Errors
    /// When the driver cannot: its version, and what it said.
    pub(super) fn new(gl: &glow::Context) -> Result<Self, FilmGlError> {
        let unprepared = |reason| FilmGlError::Unprepared {
            version: gl.version().vendor_info.clone(),
            reason,
        };
        let program = linked_program(gl).map_err(unprepared)?;
        // SAFETY: the context is current on this thread, as for every call of this file.
        let vertices = unsafe { gl.create_vertex_array() }.map_err(unprepared)?;
        Ok(Self {
            uniforms: Uniforms::of(gl, program),
            program,
            vertices,
            film: None,
            curve: None,
        })
    }

    /// Draws a picture into the bound frame buffer, which is `screen_height` pixels high; egui sets its
    /// own state again afterwards.
    ///
    /// # Errors
    /// When the film or its curve does not fit the graphics processor. Nothing is drawn then.
    pub(super) fn paint(
        &mut self,
        gl: &glow::Context,
        picture: &GlPicture,
        screen_height: i32,
    ) -> Result<(), FilmGlError> {
        let film = self.film_texture(gl, &picture.pyramid)?;
        let curve = self.curve_texture(gl, picture.look.curve.as_ref())?;
        let PixelRect {
            left,
            top,
            width,
            height,
        } = picture.pixels;
        let upper_edge = screen_height.saturating_sub(top);
        // SAFETY: the program, the vertex array and the textures were made with this context and
        // live as long as `self`.
        unsafe {
            gl.viewport(left, upper_edge.saturating_sub(height), width, height);
            gl.use_program(Some(self.program));
            gl.active_texture(glow::TEXTURE1);
            gl.bind_texture(glow::TEXTURE_2D, curve);
            gl.active_texture(glow::TEXTURE0);
            gl.bind_texture(glow::TEXTURE_2D, Some(film));
            if picture.cut.is_some() {
                gl.enable(glow::BLEND);
                gl.blend_func(glow::ONE, glow::ONE_MINUS_SRC_ALPHA);
            } else if picture.opacity < 1.0 {
                gl.enable(glow::BLEND);
                gl.blend_color(0.0, 0.0, 0.0, picture.opacity);
                gl.blend_func(glow::CONSTANT_ALPHA, glow::ONE_MINUS_CONSTANT_ALPHA);
            } else {
                gl.disable(glow::BLEND);
            }
            self.uniforms.set_place(gl, picture, upper_edge);
            self.uniforms.set_look(gl, picture);
            self.uniforms.set_cut(gl, picture.cut.as_ref());
            gl.bind_vertex_array(Some(self.vertices));
            gl.draw_arrays(glow::TRIANGLES, 0, 3);
            gl.bind_vertex_array(None);
            gl.active_texture(glow::TEXTURE1);
            gl.bind_texture(glow::TEXTURE_2D, None);
            gl.active_texture(glow::TEXTURE0);
            gl.bind_texture(glow::TEXTURE_2D, None);
        }
        Ok(())
    }

    /// Gives everything back to the driver.
    pub(super) fn destroy(self, gl: &glow::Context) {
        let textures = [
            self.film.map(|film| film.1),
            self.curve.map(|curve| curve.1),
        ];
        // SAFETY: each object was made with this context and is dropped with `self`.
        unsafe {
            for texture in textures.into_iter().flatten() {
                gl.delete_texture(texture);
            }
            gl.delete_vertex_array(self.vertices);
            gl.delete_program(self.program);
        }
    }

    /// The texture of a film, uploaded when it is not the one drawn last.
    fn film_texture(
        &mut self,
        gl: &glow::Context,
        pyramid: &Arc<Pyramid>,
    ) -> Result<glow::Texture, FilmGlError> {
        let wanted = Arc::downgrade(pyramid);
        if let Some((drawn, texture)) = &self.film
            && drawn.ptr_eq(&wanted)
        {
            return Ok(*texture);
        }
        if let Some((_, texture)) = self.film.take() {
            // SAFETY: made with this context, and nothing refers to it any more.
            unsafe { gl.delete_texture(texture) };
        }
        let texture = upload(gl, pyramid.levels())?;
        self.film = Some((wanted, texture));
        Ok(texture)
    }

    /// The texture of a curve of 65,536 entries, uploaded when it is not the one drawn last.
    fn curve_texture(
        &mut self,
        gl: &glow::Context,
        curve: Option<&Arc<[u16]>>,
    ) -> Result<Option<glow::Texture>, FilmGlError> {
        let Some(curve) = curve else {
            return Ok(None);
        };
        if let Some((drawn, texture)) = &self.curve
            && Arc::ptr_eq(drawn, curve)
        {
            return Ok(Some(*texture));
        }
        if let Some((_, texture)) = self.curve.take() {
            // SAFETY: made with this context, and nothing refers to it any more.
            unsafe { gl.delete_texture(texture) };
        }
        let mut entries = curve.to_vec();
        entries.resize(CURVE_SIDE * CURVE_SIDE, u16::MAX);
        let level = Level {
            width: CURVE_SIDE,
            height: CURVE_SIDE,
            samples: &entries,
        };
        let texture = upload(gl, std::iter::once(level))?;
        self.curve = Some((Arc::clone(curve), texture));
        Ok(Some(texture))
    }
}

/// A curve of 65,536 entries is a square texture, because a side may be limited to 16,384.
const CURVE_SIDE: usize = 256;

/// Makes a texture of unsigned 16-bit integers with these levels, the largest first.
fn upload<'a>(
    gl: &glow::Context,
    levels: impl Iterator<Item = Level<'a>>,
) -> Result<glow::Texture, FilmGlError> {
    // SAFETY: each level's slice has `width * height` samples, which the driver reads before the call
    // returns; rows of 16-bit samples need an alignment of two bytes.
    unsafe {
        let limit = usize::try_from(gl.get_parameter_i32(glow::MAX_TEXTURE_SIZE)).unwrap_or(0);
        let texture = gl
            .create_texture()
            .map_err(|_reason| FilmGlError::Refused {
                code: glow::OUT_OF_MEMORY,
            })?;
        gl.bind_texture(glow::TEXTURE_2D, Some(texture));
        gl.pixel_store_i32(glow::UNPACK_ALIGNMENT, 2);
        let mut outcome = Ok(());
        let mut last_level = -1;
        for level in levels {
            outcome = upload_level(gl, last_level + 1, level, limit);
            if outcome.is_err() {
                break;
            }
            last_level += 1;
        }
        let constants = [
            (glow::TEXTURE_MIN_FILTER, glow::NEAREST_MIPMAP_NEAREST),
            (glow::TEXTURE_MAG_FILTER, glow::NEAREST),
            (glow::TEXTURE_WRAP_S, glow::CLAMP_TO_EDGE),
            (glow::TEXTURE_WRAP_T, glow::CLAMP_TO_EDGE),
        ];
        for (parameter, value) in constants {
            gl.tex_parameter_i32(glow::TEXTURE_2D, parameter, value.cast_signed());
        }
        gl.tex_parameter_i32(glow::TEXTURE_2D, glow::TEXTURE_BASE_LEVEL, 0);
        gl.tex_parameter_i32(glow::TEXTURE_2D, glow::TEXTURE_MAX_LEVEL, last_level);
        gl.bind_texture(glow::TEXTURE_2D, None);
        if let Err(error) = outcome {
            gl.delete_texture(texture);
            return Err(error);
        }
        Ok(texture)
    }
}

/// Uploads one level into the bound texture.
fn upload_level(
    gl: &glow::Context,
    number: i32,
    level: Level<'_>,
    limit: usize,
) -> Result<(), FilmGlError> {
    let too_large = FilmGlError::TooLarge {
        width: level.width,
        height: level.height,
        limit,
    };
    let (Ok(width), Ok(height)) = (i32::try_from(level.width), i32::try_from(level.height)) else {
        return Err(too_large);
    };
    if level.width.max(level.height) > limit || level.samples.len() != level.width * level.height {
        return Err(too_large);
    }
    let bytes = bytemuck::cast_slice(level.samples);
    // SAFETY: `bytes` holds the whole level, as checked above.
    unsafe {
        while gl.get_error() != glow::NO_ERROR {}
        gl.tex_image_2d(
            glow::TEXTURE_2D,
            number,
            glow::R16UI.cast_signed(),
            width,
            height,
            0,
            glow::RED_INTEGER,
            glow::UNSIGNED_SHORT,
            glow::PixelUnpackData::Slice(Some(bytes)),
        );
        match gl.get_error() {
            glow::NO_ERROR => Ok(()),
            code => Err(FilmGlError::Refused { code }),
        }
    }
}

/// Compiles and links the two shaders.
fn linked_program(gl: &glow::Context) -> Result<glow::Program, String> {
    let version = if gl.version().is_embedded {
        "#version 300 es\n"
    } else {
        "#version 330 core\n"
    };
    let stages = [
        (glow::VERTEX_SHADER, include_str!("film_shader.vert")),
        (glow::FRAGMENT_SHADER, include_str!("film_shader.frag")),
    ];
    // SAFETY: shaders and program are made, used and on failure deleted with the current context.
    unsafe {
        let program = gl.create_program()?;
        let mut outcome = Ok(());
        for (stage, source) in stages {
            let shader = gl.create_shader(stage)?;
            gl.shader_source(shader, &format!("{version}{source}"));
            gl.compile_shader(shader);
            if gl.get_shader_compile_status(shader) {
                gl.attach_shader(program, shader);
            } else {
                outcome = Err(gl.get_shader_info_log(shader));
            }
            gl.delete_shader(shader);
        }
        if outcome.is_ok() {
            gl.link_program(program);
            if !gl.get_program_link_status(program) {
                outcome = Err(gl.get_program_info_log(program));
            }
        }
        if let Err(log) = outcome {
            gl.delete_program(program);
            return Err(log);
        }
        Ok(program)
    }
}
