//! The grey-scale stage of DICOM in its order: mask and sign, padding, modality, values of interest,
//! presentation.

use crate::made::{
    BITS_STORED, DicomFile, HIGH_BIT, PHOTOMETRIC_INTERPRETATION, PIXEL_DATA, PIXEL_REPRESENTATION,
    encoded, little_endian,
};
use plumbray_film::{Film, FilmProblem, Notice};

const WINDOW_CENTER: (u16, u16) = (0x0028, 0x1050);
const WINDOW_WIDTH: (u16, u16) = (0x0028, 0x1051);
const RESCALE_INTERCEPT: (u16, u16) = (0x0028, 0x1052);
const RESCALE_SLOPE: (u16, u16) = (0x0028, 0x1053);
const LUT_DESCRIPTOR: (u16, u16) = (0x0028, 0x3002);
const LUT_DATA: (u16, u16) = (0x0028, 0x3006);

fn open(file: &DicomFile) -> Film {
    Film::from_bytes(&file.to_bytes()).expect("a film")
}

fn values(film: &Film) -> Vec<f32> {
    film.samples()
        .iter()
        .map(|code| film.value_of_code(f32::from(*code)))
        .collect()
}

#[test]
fn bits_beyond_the_stored_ones_are_masked_and_the_sign_extends_from_the_stored_ones() {
    let words = [0xF000, 0x07FF, 0x0800, 0xAFFF];
    let unsigned = open(&DicomFile::new(2, 2, &words));
    assert_eq!(values(&unsigned), [0.0, 2047.0, 2048.0, 4095.0], "unsigned");
    let signed = open(&DicomFile::new(2, 2, &words).words(PIXEL_REPRESENTATION, b"US", &[1]));
    assert_eq!(values(&signed), [0.0, 2047.0, -2048.0, -1.0], "signed");
    assert!(
        signed.samples()[2] < signed.samples()[3] && signed.samples()[3] < signed.samples()[0],
        "codes in the order of the values: {:?}",
        signed.samples()
    );
}

#[test]
fn samples_may_sit_in_the_upper_bits() {
    let file = DicomFile::new(2, 1, &[0x1230, 0xFFF7]).words(HIGH_BIT, b"US", &[15]);
    assert_eq!(values(&open(&file)), [291.0, 4095.0], "High Bit 15");
}

#[test]
fn rescaling_gives_the_modality_value_and_a_falling_slope_keeps_the_order() {
    let file = DicomFile::new(2, 1, &[10, 20])
        .text(RESCALE_INTERCEPT, b"DS", "-1024")
        .text(RESCALE_SLOPE, b"DS", "2.5");
    assert_eq!(values(&open(&file)), [-999.0, -974.0], "rising");
    let film = open(&file.text(RESCALE_SLOPE, b"DS", "-2"));
    assert_eq!(values(&film), [-1044.0, -1064.0], "falling");
    assert!(
        film.samples()[0] > film.samples()[1],
        "the larger value has the larger code"
    );
}

#[test]
fn a_rescale_slope_of_zero_is_left_out_and_said_so() {
    let film = open(&DicomFile::new(1, 1, &[7]).text(RESCALE_SLOPE, b"DS", "0"));
    assert_eq!(values(&film), [7.0], "unscaled");
    assert!(
        matches!(film.notices(), [Notice::HeaderValueLeftOut { .. }]),
        "{:?}",
        film.notices()
    );
}

#[test]
fn a_modality_table_is_followed_with_its_ends() {
    let file = DicomFile::new(4, 1, &[0, 100, 101, 4000]).item(
        (0x0028, 0x3000),
        &[
            (LUT_DESCRIPTOR, b"US", little_endian(&[2, 100, 16])),
            (LUT_DATA, b"OW", little_endian(&[500, 900])),
        ],
    );
    assert_eq!(values(&open(&file)), [500.0, 500.0, 900.0, 900.0], "table");
}

#[test]
fn monochrome1_with_an_inverse_shape_is_inverted_once() {
    const PRESENTATION_LUT_SHAPE: (u16, u16) = (0x2050, 0x0020);
    let plain = DicomFile::new(2, 1, &[0, 4095])
        .text(WINDOW_CENTER, b"DS", "2048")
        .text(WINDOW_WIDTH, b"DS", "4096");
    let inverse = |file: DicomFile| file.text(PRESENTATION_LUT_SHAPE, b"CS", "INVERSE");
    let monochrome1 = |file: DicomFile| file.text(PHOTOMETRIC_INTERPRETATION, b"CS", "MONOCHROME1");
    for (file, greys) in [
        (plain.clone(), [0, 255]),
        (inverse(plain.clone()), [255, 0]),
        (monochrome1(plain.clone()), [255, 0]),
        (inverse(monochrome1(plain)), [255, 0]),
    ] {
        let film = open(&file);
        let table = film.grey().named_table(film.grey().default_window(), false);
        let shown: Vec<u8> = film
            .samples()
            .iter()
            .map(|code| table.grey(*code))
            .collect();
        assert_eq!(shown, greys, "inverted: {}", film.grey().shown_inverted);
        assert_eq!(film.bone_is_bright(), greys == [0, 255], "bone");
    }
}

#[test]
fn several_windows_keep_their_explanations_and_an_impossible_one_is_left_out() {
    let film = open(
        &DicomFile::new(1, 1, &[7])
            .text(WINDOW_CENTER, b"DS", "100\\200\\x")
            .text(WINDOW_WIDTH, b"DS", "50\\0\\10")
            .text((0x0028, 0x1055), b"LO", "BONE\\SOFT\\NONE"),
    );
    let windows = &film.grey().windows;
    assert_eq!(windows[0].explanation, "BONE", "the first is the default");
    assert_eq!(
        (windows[0].window.low(), windows[0].window.high()),
        (75.0, 124.0),
        "100 ± 50 by the function LINEAR"
    );
    assert_eq!(windows.len(), 2, "the other one is judged from the pixels");
    assert_eq!(film.notices().len(), 2, "{:?}", film.notices());
}

#[test]
fn a_table_of_65536_entries_without_explanation_is_the_first_window() {
    let entries: Vec<u16> = (0..=u16::MAX).rev().collect();
    let film = open(
        &DicomFile::new(2, 1, &[0, 65_535])
            .words(BITS_STORED, b"US", &[16])
            .words(HIGH_BIT, b"US", &[15])
            .item(
                (0x0028, 0x3010),
                &[
                    (LUT_DESCRIPTOR, b"US", little_endian(&[0, 0, 16])),
                    (LUT_DATA, b"OW", little_endian(&entries)),
                ],
            ),
    );
    let window = film.grey().default_window();
    let table = film.grey().named_table(window, false);
    assert!(window.curve.is_some(), "a curve");
    assert_eq!((table.grey(0), table.grey(65_535)), (255, 0), "falling");
}

#[test]
fn a_table_deeper_than_an_8_bit_image_is_scaled_by_its_own_depth() {
    let file = DicomFile::new(2, 1, &[])
        .words((0x0028, 0x0100), b"US", &[8])
        .words(BITS_STORED, b"US", &[8])
        .words(HIGH_BIT, b"US", &[7])
        .bytes(PIXEL_DATA, b"OB", vec![0, 255])
        .item(
            (0x0028, 0x3010),
            &[
                (LUT_DESCRIPTOR, b"US", little_endian(&[2, 0, 12])),
                (LUT_DATA, b"OW", little_endian(&[0, 4095])),
            ],
        );
    let film = open(&file);
    let table = film.grey().named_table(film.grey().default_window(), false);
    assert_eq!((table.grey(0), table.grey(255)), (0, 255), "12 bits to 8");
}

#[test]
fn padding_is_black_and_does_not_count() {
    let mut words = vec![4095; 64];
    for (index, word) in words.iter_mut().enumerate().skip(32) {
        *word = 1000 + 10 * u16::try_from(index).expect("small");
    }
    let film = open(&DicomFile::new(8, 8, &words).words((0x0028, 0x0120), b"US", &[4095]));
    assert_eq!(film.grey().padding, Some(4095..=4095), "set aside");
    let window = film.grey().default_window().window;
    assert!(window.high() < 2000.0, "judged without padding: {window:?}");
    let table = film.grey().ramp_table(window, true);
    assert_eq!(table.grey(4095), 0, "black, even inverted");
}

#[test]
fn a_file_without_preamble_or_header_is_recognised() {
    let file = DicomFile::new(2, 1, &[1, 2]);
    let film = Film::from_bytes(&file.data_set()).expect("a bare data set");
    assert_eq!(film.samples(), [1, 2], "pixels");
    assert_eq!(film.notices(), [Notice::DicomHeaderRecognised], "said so");
}

#[test]
fn rle_and_jpeg_frames_are_decoded() {
    let mut rle = vec![0; 64];
    rle[0] = 2;
    rle[4] = 64;
    rle[8] = 66;
    rle.extend([0xFF, 0x01, 0x01, 5, 6, 0]);
    let film = open(&DicomFile::new(2, 1, &[]).encapsulated("1.2.840.10008.1.2.5", &rle));
    assert_eq!(film.samples(), [0x0105, 0x0106], "RLE");

    let picture = image::GrayImage::from_pixel(8, 8, image::Luma([77]));
    let jpeg = encoded(&picture.into(), image::ImageFormat::Jpeg);
    let film = open(
        &DicomFile::new(8, 8, &[])
            .words((0x0028, 0x0100), b"US", &[8])
            .words(BITS_STORED, b"US", &[8])
            .words(HIGH_BIT, b"US", &[7])
            .encapsulated("1.2.840.10008.1.2.4.50", &jpeg),
    );
    assert_eq!(film.samples(), [77; 64], "JPEG");
}

#[test]
fn what_is_unsupported_is_named() {
    let file = DicomFile::new(1, 1, &[]).encapsulated("1.2.840.10008.1.2.4.100", &[0; 8]);
    let problem = Film::from_bytes(&file.to_bytes()).expect_err("video");
    let message = problem.to_string();
    assert!(
        message.contains("MPEG2") && message.contains("1.2.840.10008.1.2.4.100"),
        "{message}"
    );
    let float = DicomFile::new(1, 1, &[0]).bytes((0x7FE0, 0x0008), b"OW", vec![0; 4]);
    let problem = Film::from_bytes(&float.to_bytes()).expect_err("floating point");
    assert!(
        problem.to_string().contains("Float Pixel Data"),
        "{problem}"
    );
}

#[test]
fn headers_that_contradict_themselves_or_the_file_are_refused() {
    let claim = |rows: u16, columns: u16| DicomFile::new(columns, rows, &[0; 4]);
    let problem = Film::from_bytes(&claim(60_000, 60_000).to_bytes()).expect_err("too large");
    assert!(
        matches!(problem, FilmProblem::TooManyPixels { .. }),
        "{problem}"
    );
    let problem = Film::from_bytes(&claim(0, 4).to_bytes()).expect_err("no area");
    assert!(matches!(problem, FilmProblem::NoArea { .. }), "{problem}");
    let problem = Film::from_bytes(&claim(900, 900).to_bytes()).expect_err("cut short");
    assert!(matches!(problem, FilmProblem::CutShort { .. }), "{problem}");
    for (bits, high) in [(0, 0), (13, 11), (12, 16), (40, 39)] {
        let file = DicomFile::new(2, 2, &[0; 4])
            .words(BITS_STORED, b"US", &[bits])
            .words(HIGH_BIT, b"US", &[high]);
        let problem = Film::from_bytes(&file.to_bytes()).expect_err("contradiction");
        assert!(
            matches!(problem, FilmProblem::Damaged { .. }),
            "{bits} bits up to {high}: {problem}"
        );
    }
}
