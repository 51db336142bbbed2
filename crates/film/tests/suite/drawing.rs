//! A film drawn without a graphics processor shows its own pixels and no others.

use crate::made::encoded;
use image::{ImageBuffer, ImageFormat, Luma};
use plumbray_film::{Film, FilmRegion, Pyramid, Window};

fn pyramid(width: u32, height: u32, grey: impl Fn(u32, u32) -> u16) -> Pyramid {
    let picture: ImageBuffer<Luma<u16>, _> =
        ImageBuffer::from_fn(width, height, |x, y| Luma([grey(x, y)]));
    Film::from_bytes(&encoded(&picture.into(), ImageFormat::Png))
        .expect("a film")
        .pyramid()
}

fn region(left_px: f64, top_px: f64, width_px: f64, height_px: f64) -> FilmRegion {
    FilmRegion {
        left_px,
        top_px,
        width_px,
        height_px,
    }
}

fn ramp(x: u32, y: u32) -> u16 {
    u16::try_from(100 * x + 7 * y).expect("16 bits")
}

#[test]
fn one_to_one_every_pixel_is_the_films_own() {
    let pyramid = pyramid(30, 20, ramp);
    let drawn = pyramid.resample(region(0.0, 0.0, 30.0, 20.0), 30, 20);
    assert_eq!(drawn, pyramid.film().samples(), "whole film");
}

#[test]
fn magnified_pixels_are_repeated_and_never_mixed() {
    let pyramid = pyramid(30, 20, ramp);
    let drawn = pyramid.resample(region(10.0, 5.0, 2.0, 1.0), 16, 8);
    let expected: Vec<u16> = [ramp(10, 5), ramp(11, 5)]
        .into_iter()
        .flat_map(|sample| [sample; 8])
        .collect();
    for row in drawn.chunks_exact(16) {
        assert_eq!(row, expected, "eight times");
    }
}

#[test]
fn reduced_pixels_are_means_of_what_they_cover() {
    // Single-pixel stripes would shimmer if pixels were left out; their mean is an even grey.
    let pyramid = pyramid(512, 512, |x, _| if x % 2 == 0 { 0 } else { 60_000 });
    for side in [300, 170, 64, 33, 5] {
        let drawn = pyramid.resample(region(0.0, 0.0, 512.0, 512.0), side, side);
        let inner = drawn.iter().copied();
        let (low, high) = (inner.clone().min(), inner.max());
        if side <= 256 {
            assert_eq!((low, high), (Some(30_000), Some(30_000)), "side {side}");
        }
        let mean = drawn.iter().copied().map(f64::from).sum::<f64>() / drawn.len() as f64;
        assert!((mean - 30_000.0).abs() < 200.0, "side {side}: {mean}");
    }
}

#[test]
fn a_region_beyond_the_film_repeats_its_edge() {
    let pyramid = pyramid(4, 4, ramp);
    let drawn = pyramid.resample(region(-4.0, -4.0, 12.0, 12.0), 12, 12);
    assert_eq!(drawn[0], ramp(0, 0), "upper left");
    assert_eq!(drawn[12 * 12 - 1], ramp(3, 3), "lower right");
    let far = pyramid.resample(region(1e9, 1e9, 3.0, 3.0), 3, 3);
    assert_eq!(far, [ramp(3, 3); 9], "far away");
}

#[test]
fn rendering_is_resampling_through_a_table() {
    let pyramid = pyramid(8, 8, ramp);
    let window = Window::between(0.0, 700.0);
    let table = pyramid.film().grey().ramp_table(window, false);
    let whole = region(0.0, 0.0, 8.0, 8.0);
    let drawn = pyramid.render(whole, 8, 8, &table);
    let expected: Vec<u8> = pyramid
        .film()
        .samples()
        .iter()
        .map(|code| table.grey(*code))
        .collect();
    assert_eq!(drawn, expected, "table");
}

#[test]
fn the_levels_end_with_a_single_pixel_and_halve_like_mip_levels() {
    let pyramid = pyramid(37, 6, ramp);
    let sizes: Vec<(usize, usize)> = pyramid
        .levels()
        .map(|level| (level.width, level.height))
        .collect();
    assert_eq!(
        sizes,
        [(37, 6), (18, 3), (9, 1), (4, 1), (2, 1), (1, 1)],
        "sizes"
    );
    for level in pyramid.levels() {
        assert_eq!(level.samples.len(), level.width * level.height, "filled");
    }
}
