//! Plain pictures keep every bit of their greys, and colour becomes luminance.

use crate::made::{encoded, little_endian, tiff};
use image::{DynamicImage, ImageBuffer, ImageFormat, Luma, LumaA, Rgb};
use plumbray_film::{Film, FilmProblem, Notice, open};

fn open_bytes(bytes: &[u8]) -> Film {
    Film::from_bytes(bytes).expect("a film")
}

#[test]
fn a_16_bit_png_and_tiff_keep_every_bit() {
    let picture: ImageBuffer<Luma<u16>, _> = ImageBuffer::from_fn(7, 5, |x, y| {
        Luma([u16::try_from(x * 9000 + y).expect("small")])
    });
    for format in [ImageFormat::Png, ImageFormat::Tiff] {
        let film = open_bytes(&encoded(&picture.clone().into(), format));
        assert_eq!((film.width(), film.height()), (7, 5), "{format:?}");
        assert_eq!(film.bits(), 16, "{format:?}");
        assert_eq!(film.samples(), picture.as_raw().as_slice(), "{format:?}");
        assert_eq!(film.notices(), [], "{format:?}");
    }
}

#[test]
fn colour_of_8_and_16_bits_becomes_luminance_and_says_so() {
    let bright: ImageBuffer<Rgb<u16>, _> =
        ImageBuffer::from_pixel(2, 1, Rgb([10_000_u16, 20_000, 30_000]));
    let film = open_bytes(&encoded(&bright.into(), ImageFormat::Png));
    // 0.299 × 10000 + 0.587 × 20000 + 0.114 × 30000 = 18150
    assert_eq!(film.samples(), [18_150, 18_150], "16 bits");
    assert_eq!(film.notices(), [Notice::ColourReducedToGrey], "said so");

    let small: ImageBuffer<Rgb<u8>, _> = ImageBuffer::from_pixel(1, 1, Rgb([255_u8, 0, 0]));
    for format in [ImageFormat::Png, ImageFormat::Bmp, ImageFormat::Tiff] {
        let film = open_bytes(&encoded(&small.clone().into(), format));
        assert_eq!(film.samples(), [76], "{format:?}");
    }
}

#[test]
fn transparency_is_left_out_and_said_so() {
    let picture: ImageBuffer<LumaA<u8>, _> = ImageBuffer::from_pixel(1, 1, LumaA([99_u8, 3]));
    let film = open_bytes(&encoded(&DynamicImage::from(picture), ImageFormat::Png));
    assert_eq!(film.samples(), [99], "grey");
    assert_eq!(film.notices(), [Notice::TransparencyLeftOut], "said so");
}

#[test]
fn a_signed_tiff_keeps_its_values() {
    let words: Vec<u16> = [-32_768_i16, -1, 0, 32_767]
        .into_iter()
        .map(i16::cast_unsigned)
        .collect();
    let film = open_bytes(&tiff((2, 2), 16, 1, 2, &little_endian(&words)));
    assert_eq!(film.samples(), [0, 32_767, 32_768, 65_535], "codes");
    assert_eq!(film.value_of_code(32_767.0), -1.0, "values");
}

#[test]
fn a_tiff_of_single_bits_is_read_row_by_row() {
    // Ten columns take two bytes a row.
    let rows = [0b1010_0000, 0b0100_0000, 0b0000_0001, 0b1000_0000];
    let film = open_bytes(&tiff((10, 2), 1, 1, 1, &rows));
    let expected = [
        1, 0, 1, 0, 0, 0, 0, 0, 0, 1, //
        0, 0, 0, 0, 0, 0, 0, 1, 1, 0,
    ];
    assert_eq!(film.samples(), expected, "bits");
    assert_eq!(film.bits(), 1, "depth");
}

#[test]
fn a_tiff_whose_white_is_zero_is_turned_around() {
    let film = open_bytes(&tiff((2, 1), 8, 0, 1, &[0, 255]));
    assert_eq!(film.samples(), [255, 0], "white is zero");
}

#[test]
fn a_cmyk_jpeg_is_read_as_what_it_looks_like() {
    let film = open_bytes(include_bytes!("made/white_and_black.cmyk.jpg"));
    assert!(film.samples()[0] > 250, "white, but {}", film.samples()[0]);
    assert!(film.samples()[15] < 5, "black, but {}", film.samples()[15]);
}

#[test]
fn what_is_no_film_is_said_clearly() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let problem_of = |name: &str, content: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, content).expect("written");
        let error = open(&path).expect_err("no film");
        assert!(error.to_string().contains(name), "names the file: {error}");
        error.problem
    };
    assert!(
        matches!(problem_of("empty.png", b""), FilmProblem::Empty),
        "empty"
    );
    assert!(
        matches!(
            problem_of("letter.dcm", b"Dear colleague,"),
            FilmProblem::NotAFilm
        ),
        "prose"
    );
    assert!(
        matches!(
            problem_of("half.png", b"\x89PNG\r\n\x1a\n\0\0"),
            FilmProblem::Damaged { format: "PNG", .. }
        ),
        "half a PNG"
    );
    let error = open(folder.path()).expect_err("a folder");
    assert!(matches!(error.problem, FilmProblem::NotAFile), "{error}");
    let error = open(&folder.path().join("absent.png")).expect_err("absent");
    assert!(
        matches!(error.problem, FilmProblem::Unreadable(_)),
        "{error}"
    );
}

#[test]
fn a_header_that_claims_60000_by_60000_pixels_is_refused() {
    let picture: ImageBuffer<Luma<u8>, _> = ImageBuffer::from_pixel(1, 1, Luma([0_u8]));
    let mut bmp = encoded(&DynamicImage::from(picture), ImageFormat::Bmp);
    bmp[18..22].copy_from_slice(&60_000_u32.to_le_bytes());
    bmp[22..26].copy_from_slice(&60_000_u32.to_le_bytes());
    for file in [bmp, tiff((60_000, 60_000), 8, 1, 1, &[0; 16])] {
        let problem = Film::from_bytes(&file).expect_err("too large");
        assert!(
            matches!(problem, FilmProblem::TooManyPixels { .. }),
            "{problem}"
        );
    }
}

#[test]
fn an_inverted_film_is_recognised_and_letters_do_not_decide_the_window() {
    // Air with a foot of tissue and bone, a burnt-in letter, and a white collimated border.
    let grey = |x: u32, y: u32, inverted: bool| {
        let is_border = x < 20 || y < 12;
        let is_letter = (60..66).contains(&x) && (20..30).contains(&y);
        let value: u32 = if is_border || is_letter {
            65_535
        } else if (100..140).contains(&x) && y > 40 {
            30_000 + 40 * ((x + y) % 7)
        } else if (80..160).contains(&x) && y > 30 {
            15_000 + 40 * ((x + y) % 5)
        } else {
            4_000 + 40 * ((x * 3 + y) % 5)
        };
        let value = u16::try_from(value).expect("16 bits");
        Luma([if inverted { u16::MAX - value } else { value }])
    };
    for inverted in [false, true] {
        let picture: ImageBuffer<Luma<u16>, _> =
            ImageBuffer::from_fn(240, 200, |x, y| grey(x, y, inverted));
        let film = open_bytes(&encoded(&DynamicImage::from(picture), ImageFormat::Png));
        assert_eq!(film.bone_is_bright(), !inverted, "inverted {inverted}");
        let window = film.grey().default_window().window;
        let (low, high) = if inverted {
            (65_535.0 - window.high(), 65_535.0 - window.low())
        } else {
            (window.low(), window.high())
        };
        assert!(
            (3_500.0..4_500.0).contains(&low),
            "low {low}, inverted {inverted}"
        );
        assert!(
            (29_000.0..32_000.0).contains(&high),
            "high {high}, inverted {inverted}"
        );
    }
}
