//! Files that hold several pictures, and graphics laid over films.

use crate::made::{BITS_STORED, DicomFile, HIGH_BIT};
use plumbray_film::{Film, FilmProblem, FrameOf, Notice};

const NUMBER_OF_FRAMES: (u16, u16) = (0x0028, 0x0008);
const BITS_ALLOCATED: (u16, u16) = (0x0028, 0x0100);
const PIXEL_DATA: (u16, u16) = (0x7FE0, 0x0010);

#[test]
fn each_picture_of_a_run_is_opened_by_its_number() {
    let words = [1, 2, 3, 4, 5, 6];
    let file = DicomFile::new(2, 1, &words).text(NUMBER_OF_FRAMES, b"IS", "3");
    let bytes = file.to_bytes();
    for (number, samples) in [(1, [1, 2]), (2, [3, 4]), (3, [5, 6])] {
        let film = Film::from_bytes_of_frame(&bytes, number).expect("a picture");
        assert_eq!(film.samples(), samples, "number {number}");
        assert_eq!(film.frame(), FrameOf { number, count: 3 }, "which it is");
        let said = Notice::OneOfSeveral {
            number: number.into(),
            pictures: 3,
        };
        assert!(film.notices().contains(&said), "{:?}", film.notices());
    }
    for number in [0, 4, u32::MAX] {
        let problem = Film::from_bytes_of_frame(&bytes, number).expect_err("no such picture");
        let is_that = matches!(problem, FilmProblem::NoSuchFrame { .. });
        assert!(is_that, "number {number}: {problem}");
    }
}

#[test]
fn pictures_of_one_bit_follow_each_other_without_a_gap() {
    // Three pictures of five pixels: 10110 01001 11100, the first pixel in the lowest bit.
    let bits = [0b0100_1101_u8, 0b0001_1110];
    let file = DicomFile::new(5, 1, &[])
        .words(BITS_ALLOCATED, b"US", &[1])
        .words(BITS_STORED, b"US", &[1])
        .words(HIGH_BIT, b"US", &[0])
        .text(NUMBER_OF_FRAMES, b"IS", "3")
        .bytes(PIXEL_DATA, b"OB", bits.to_vec());
    let expected = [[1, 0, 1, 1, 0], [0, 1, 0, 0, 1], [1, 1, 1, 0, 0]];
    for (number, samples) in (1..).zip(expected) {
        let film = Film::from_bytes_of_frame(&file.to_bytes(), number).expect("a picture");
        assert_eq!(film.samples(), samples, "number {number}");
    }
}

#[test]
fn a_run_that_announces_more_pictures_than_it_has_is_cut_short() {
    let file = DicomFile::new(2, 1, &[1, 2]).text(NUMBER_OF_FRAMES, b"IS", "3");
    let problem = Film::from_bytes_of_frame(&file.to_bytes(), 2).expect_err("no second one");
    assert!(matches!(problem, FilmProblem::CutShort { .. }), "{problem}");
}

fn with_overlay(file: DicomFile, origin: [u16; 2]) -> DicomFile {
    file.words((0x6002, 0x0010), b"US", &[2])
        .words((0x6002, 0x0011), b"US", &[3])
        .text((0x6002, 0x0040), b"CS", "G")
        .words((0x6002, 0x0050), b"SS", &origin)
        .words((0x6002, 0x0100), b"US", &[1])
        .words((0x6002, 0x0102), b"US", &[0])
        .text((0x6002, 0x1500), b"LO", "Marker")
}

#[test]
fn an_overlay_lies_where_its_origin_says() {
    // Rows 101 and 010; the origin counts from 1, row first.
    let file = with_overlay(DicomFile::new(4, 4, &[0; 16]), [2, 65_535]);
    let file = file.words((0x6002, 0x3000), b"OW", &[0b01_0101]);
    let film = Film::from_bytes(&file.to_bytes()).expect("a film");
    let [overlay] = film.overlays() else {
        panic!("{:?}", film.overlays());
    };
    assert_eq!((overlay.top, overlay.left), (1, -2), "place");
    assert_eq!(overlay.label, "Marker", "label");
    let rows = [0, 1].map(|row| [0, 1, 2].map(|column| overlay.covers(column, row)));
    assert_eq!(rows, [[true, false, true], [false, true, false]], "bits");
    assert!(!overlay.covers(3, 0) && !overlay.covers(0, 2), "beyond it");
}

#[test]
fn an_overlay_in_unused_bits_of_the_pixels_is_found() {
    let words = [0x8001, 0x0002, 0x8003, 0x0004, 0x8005, 0x0006];
    let file = with_overlay(DicomFile::new(3, 2, &words), [1, 1])
        .words((0x6002, 0x0100), b"US", &[16])
        .words((0x6002, 0x0102), b"US", &[15]);
    let film = Film::from_bytes(&file.to_bytes()).expect("a film");
    assert_eq!(film.samples(), [1, 2, 3, 4, 5, 6], "the pixels without it");
    let overlay = film.overlays().first().expect("an overlay");
    let row = |row| [0, 1, 2].map(|column| overlay.covers(column, row));
    assert_eq!(
        [row(0), row(1)],
        [[true, false, true], [false, true, false]],
        "bits"
    );
}

#[test]
fn an_overlay_without_enough_bits_is_left_out_and_said() {
    let file = with_overlay(DicomFile::new(4, 4, &[0; 16]), [1, 1])
        .words((0x6002, 0x0010), b"US", &[400])
        .words((0x6002, 0x3000), b"OW", &[0]);
    let film = Film::from_bytes(&file.to_bytes()).expect("a film");
    assert!(film.overlays().is_empty(), "left out");
    let says = film
        .notices()
        .iter()
        .any(|notice| notice.to_string().contains("6002"));
    assert!(says, "{:?}", film.notices());
}
