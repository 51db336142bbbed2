//! Pictures of the window without a display: egui's own painter on OpenGL without a surface, through
//! EGL. Unlike the renderer that comes with the test harness it runs paint callbacks, and so shows the
//! film. The same picture has the same bytes at every run on the same driver.
#![allow(
    dead_code,
    reason = "tests and benchmarks share this file, and each uses the part it needs"
)]
#![expect(
    unsafe_code,
    reason = "making an OpenGL context and reading its pixels back are unsafe calls; they all stand in \
              this file"
)]

use std::{
    sync::Arc,
    time::{Duration, Instant},
};

use egui_kittest::TestRenderer;
use glow::HasContext as _;
use glutin::{
    api::egl::{context::PossiblyCurrentContext, device::Device, display::Display},
    config::{Api, ConfigSurfaceTypes, ConfigTemplateBuilder},
    context::{ContextApi, ContextAttributesBuilder, Version},
    prelude::*,
};

/// Which family of OpenGL a picture is made with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dialect {
    /// As on desktops.
    OpenGl,
    /// As on small machines and in some drivers: OpenGL ES 3.0.
    OpenGlEs,
}

/// Draws a test harness into memory.
pub(crate) struct OffscreenRenderer {
    gl: Arc<glow::Context>,
    painter: egui_glow::Painter,
    /// Kept current as long as the renderer lives.
    _context: PossiblyCurrentContext,
}

impl OffscreenRenderer {
    /// A renderer on the last EGL device, which is the one in software with Mesa.
    ///
    /// Needs the Debian packages libegl1 and libgl1-mesa-dri.
    pub(crate) fn new(dialect: Dialect) -> Self {
        let device = Device::query_devices()
            .expect("EGL must list its devices: install libegl1 and libgl1-mesa-dri")
            .last()
            .expect("EGL must have a device: install libgl1-mesa-dri");
        let (api, context_api) = match dialect {
            Dialect::OpenGl => (Api::OPENGL, ContextApi::OpenGl(None)),
            Dialect::OpenGlEs => (Api::GLES3, ContextApi::Gles(Some(Version::new(3, 0)))),
        };
        let template = ConfigTemplateBuilder::new()
            .with_surface_type(ConfigSurfaceTypes::empty())
            .with_api(api)
            .build();
        let attributes = ContextAttributesBuilder::new()
            .with_context_api(context_api)
            .build(None);
        // SAFETY: the display outlives the context, which stays current on this thread; every function
        // is loaded from that context.
        let (context, gl) = unsafe {
            let display =
                Display::with_device(&device, None).expect("a display for the EGL device");
            let config = display
                .find_configs(template)
                .expect("EGL lists its configurations")
                .next()
                .expect("a configuration without a surface");
            let context = display
                .create_context(&config, &attributes)
                .expect("an OpenGL context")
                .make_current_surfaceless()
                .expect("a current context without a surface");
            let gl =
                glow::Context::from_loader_function_cstr(|name| display.get_proc_address(name));
            (context, Arc::new(gl))
        };
        let painter = egui_glow::Painter::new(Arc::clone(&gl), "", None, false)
            .expect("egui's painter on this context");
        Self {
            gl,
            painter,
            _context: context,
        }
    }

    /// The time that egui's painter takes to hand a frame over to OpenGL, which has finished it when
    /// this returns.
    pub(crate) fn time_painting(
        &mut self,
        context: &egui::Context,
        output: egui::FullOutput,
    ) -> Result<Duration, String> {
        let size = screen_size(context, &output);
        let shapes = context.tessellate(output.shapes, output.pixels_per_point);
        self.in_frame(size, |gl, painter| {
            let start = Instant::now();
            painter.paint_primitives(size, output.pixels_per_point, &shapes);
            let spent = start.elapsed();
            // SAFETY: the context is current.
            unsafe { gl.finish() };
            spent
        })
    }

    /// Does something with an empty frame buffer of so many pixels bound.
    fn in_frame<T>(
        &mut self,
        [width, height]: [u32; 2],
        paint: impl FnOnce(&glow::Context, &mut egui_glow::Painter) -> T,
    ) -> Result<T, String> {
        let gl = &self.gl;
        // SAFETY: the objects are made, used and deleted with the current context.
        unsafe {
            let frame = gl.create_framebuffer()?;
            let pixels = gl.create_renderbuffer()?;
            gl.bind_framebuffer(glow::FRAMEBUFFER, Some(frame));
            gl.bind_renderbuffer(glow::RENDERBUFFER, Some(pixels));
            gl.renderbuffer_storage(
                glow::RENDERBUFFER,
                glow::RGBA8,
                width.cast_signed(),
                height.cast_signed(),
            );
            gl.framebuffer_renderbuffer(
                glow::FRAMEBUFFER,
                glow::COLOR_ATTACHMENT0,
                glow::RENDERBUFFER,
                Some(pixels),
            );
            self.painter.clear([width, height], [0.0, 0.0, 0.0, 1.0]);
            let outcome = paint(gl, &mut self.painter);
            gl.bind_framebuffer(glow::FRAMEBUFFER, None);
            gl.delete_framebuffer(frame);
            gl.delete_renderbuffer(pixels);
            Ok(outcome)
        }
    }
}

/// The size of the screen in pixels.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "screens under test have a few thousand pixels a side"
)]
fn screen_size(context: &egui::Context, output: &egui::FullOutput) -> [u32; 2] {
    let size = context.content_rect().size() * output.pixels_per_point;
    [size.x.round() as u32, size.y.round() as u32]
}

impl TestRenderer for OffscreenRenderer {
    #[expect(
        clippy::iter_over_hash_type,
        reason = "textures do not depend on each other, so that their order does not matter"
    )]
    fn handle_delta(&mut self, delta: &mut egui::TexturesDelta) {
        for (id, changes) in delta.set.drain() {
            for change in changes {
                self.painter.set_texture(id, &change);
            }
        }
        for id in delta.free.drain() {
            self.painter.free_texture(id);
        }
    }

    fn render(
        &mut self,
        context: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<image::RgbaImage, String> {
        let [width, height] = screen_size(context, output);
        let shapes = context.tessellate(output.shapes.clone(), output.pixels_per_point);
        let mut bytes = vec![0; width as usize * height as usize * 4];
        self.in_frame([width, height], |gl, painter| {
            painter.paint_primitives([width, height], output.pixels_per_point, &shapes);
            // SAFETY: `bytes` holds the four bytes of every pixel that is read.
            unsafe {
                gl.read_pixels(
                    0,
                    0,
                    width.cast_signed(),
                    height.cast_signed(),
                    glow::RGBA,
                    glow::UNSIGNED_BYTE,
                    glow::PixelPackData::Slice(Some(&mut bytes)),
                );
            }
        })?;
        let mut picture = image::RgbaImage::from_raw(width, height, bytes)
            .ok_or_else(|| "the picture has another size than its bytes".to_owned())?;
        image::imageops::flip_vertical_in_place(&mut picture);
        Ok(picture)
    }
}

impl Drop for OffscreenRenderer {
    fn drop(&mut self) {
        self.painter.destroy();
    }
}
