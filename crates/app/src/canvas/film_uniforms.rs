//! The uniforms of the film's shader: where the film lies, what its codes look like, and within which outline it is
//! drawn.
#![expect(
    unsafe_code,
    reason = "every OpenGL call is unsafe; these set what the drawing of film_gl.rs needs, on the thread whose \
              context is current"
)]

use glow::HasContext as _;
use plumbray_film::TIE_BREAK_PX;

use super::{
    film_gl::{Cut, GlPicture, LEAST_SPAN},
    moved_pieces::MOST_CORNERS,
    sampling::PixelRect,
};

/// Where the shader's uniforms live; a uniform that the driver optimised away has no place.
#[derive(Debug)]
pub(super) struct Uniforms {
    film: Option<glow::UniformLocation>,
    curve: Option<glow::UniformLocation>,
    upper_left: Option<glow::UniformLocation>,
    origin: Option<glow::UniformLocation>,
    across: Option<glow::UniformLocation>,
    down: Option<glow::UniformLocation>,
    footprint: Option<glow::UniformLocation>,
    film_size: Option<glow::UniformLocation>,
    level: Option<glow::UniformLocation>,
    tie_break: Option<glow::UniformLocation>,
    ramp: Option<glow::UniformLocation>,
    has_curve: Option<glow::UniformLocation>,
    dark_is_large: Option<glow::UniformLocation>,
    padding: Option<glow::UniformLocation>,
    surround: Option<glow::UniformLocation>,
    circle_centre: Option<glow::UniformLocation>,
    circle_radius: Option<glow::UniformLocation>,
    corner_count: Option<glow::UniformLocation>,
    corners: Option<glow::UniformLocation>,
    is_shade: Option<glow::UniformLocation>,
    shade: Option<glow::UniformLocation>,
}

impl Uniforms {
    pub(super) fn of(gl: &glow::Context, program: glow::Program) -> Self {
        // SAFETY: the program was linked with this context.
        let place = |name| unsafe { gl.get_uniform_location(program, name) };
        Self {
            film: place("u_film"),
            curve: place("u_curve"),
            upper_left: place("u_upper_left"),
            origin: place("u_origin"),
            across: place("u_across"),
            down: place("u_down"),
            footprint: place("u_footprint"),
            film_size: place("u_film_size"),
            level: place("u_level"),
            tie_break: place("u_tie_break"),
            ramp: place("u_ramp"),
            has_curve: place("u_has_curve"),
            dark_is_large: place("u_dark_is_large"),
            padding: place("u_padding"),
            surround: place("u_surround"),
            circle_centre: place("u_circle_centre"),
            circle_radius: place("u_circle_radius"),
            corner_count: place("u_corner_count"),
            corners: place("u_corners"),
            is_shade: place("u_is_shade"),
            shade: place("u_shade"),
        }
    }

    /// Sets where the film lies, for the program in use. OpenGL counts rows from the screen's lower edge,
    /// which lies `upper_edge` pixels below the picture's upper one.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "shaders compute in single precision, which places a pixel of the largest film to a \
                  thousandth"
    )]
    pub(super) fn set_place(&self, gl: &glow::Context, picture: &GlPicture, upper_edge: i32) {
        let PixelRect {
            left,
            width,
            height,
            ..
        } = picture.pixels;
        let grid = &picture.grid;
        let film = picture.pyramid.film();
        let footprint = grid.footprint();
        let radius = if picture.round {
            width.min(height) as f32 / 2.0
        } else {
            0.0
        };
        let level =
            i32::try_from(grid.level(picture.pyramid.level_count(), LEAST_SPAN)).unwrap_or(0);
        let pair = |place: &Option<glow::UniformLocation>, x: f64, y: f64| {
            // SAFETY: the program that the place belongs to is in use.
            unsafe { gl.uniform_2_f32(place.as_ref(), x as f32, y as f32) };
        };
        pair(&self.upper_left, f64::from(left), f64::from(upper_edge));
        pair(&self.origin, grid.origin.x_px, grid.origin.y_px);
        pair(&self.across, grid.across.across_px, grid.across.down_px);
        pair(&self.down, grid.down.across_px, grid.down.down_px);
        pair(&self.footprint, footprint.across_px, footprint.down_px);
        pair(&self.film_size, film.width() as f64, film.height() as f64);
        pair(
            &self.circle_centre,
            f64::from(width) / 2.0,
            f64::from(height) / 2.0,
        );
        // SAFETY: as above.
        unsafe {
            gl.uniform_1_f32(self.circle_radius.as_ref(), radius);
            gl.uniform_1_f32(self.tie_break.as_ref(), TIE_BREAK_PX as f32);
            gl.uniform_1_i32(self.level.as_ref(), level);
        }
    }

    /// Sets what the codes look like, for the program in use.
    pub(super) fn set_look(&self, gl: &glow::Context, picture: &GlPicture) {
        let grey = picture.pyramid.film().grey();
        let ramp = picture.look.ramp(grey);
        let dark_is_large = grey.shown_inverted != picture.look.inverted;
        let (first_padding, last_padding) = grey.padding.as_ref().map_or((1, 0), |codes| {
            (i32::from(*codes.start()), i32::from(*codes.end()))
        });
        let [red, green, blue, _] = picture.surround.to_normalized_gamma_f32();
        // SAFETY: the program that the places belong to is in use.
        unsafe {
            gl.uniform_1_i32(self.film.as_ref(), 0);
            gl.uniform_1_i32(self.curve.as_ref(), 1);
            gl.uniform_2_f32(self.ramp.as_ref(), ramp.low, ramp.high);
            gl.uniform_1_i32(
                self.has_curve.as_ref(),
                i32::from(picture.look.curve.is_some()),
            );
            gl.uniform_1_i32(self.dark_is_large.as_ref(), i32::from(dark_is_large));
            gl.uniform_2_i32(self.padding.as_ref(), first_padding, last_padding);
            gl.uniform_3_f32(self.surround.as_ref(), red, green, blue);
        }
    }

    /// Sets within which outline to draw, and whether a shade instead of the film, for the program in use.
    pub(super) fn set_cut(&self, gl: &glow::Context, cut: Option<&Cut>) {
        let outline = cut.map_or(&[][..], |cut| &cut.outline);
        let corners: Vec<f32> = outline
            .iter()
            .take(MOST_CORNERS)
            .flat_map(|corner| [corner.x, corner.y])
            .collect();
        let count = i32::try_from(corners.len() / 2).unwrap_or(0);
        let shade = cut.and_then(|cut| cut.shade);
        // Premultiplied, as the blending of a cut expects.
        let [red, green, blue, alpha] = shade.unwrap_or_default().to_normalized_gamma_f32();
        // SAFETY: the program that the places belong to is in use, and its array has room for that many corners.
        unsafe {
            gl.uniform_1_i32(self.corner_count.as_ref(), count);
            if count > 0 {
                gl.uniform_2_f32_slice(self.corners.as_ref(), &corners);
            }
            gl.uniform_1_i32(self.is_shade.as_ref(), i32::from(shade.is_some()));
            gl.uniform_4_f32(self.shade.as_ref(), red, green, blue, alpha);
        }
    }
}
