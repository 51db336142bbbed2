//! How long a film of 12 megapixels and 16 bits takes to open, to reduce and to draw, beside copying
//! the same bytes.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use image::{ImageBuffer, ImageFormat, Luma};
use plumbray_film::{Film, FilmRegion, Window};

const WIDTH: u32 = 3000;
const HEIGHT: u32 = 4000;

/// A smooth picture with noise, as a detector gives it.
fn samples() -> Vec<u16> {
    let mut noise = 1_u32;
    (0..WIDTH * HEIGHT)
        .map(|index| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let smooth = (index % WIDTH) * 10 + (index / WIDTH) * 5;
            u16::try_from(smooth + (noise >> 24)).unwrap_or(u16::MAX)
        })
        .collect()
}

/// An uncompressed DICOM file of them.
fn dicom_file(samples: &[u16]) -> Vec<u8> {
    let mut file = vec![0; 128];
    file.extend(b"DICM");
    file.extend(b"\x02\x00\x10\x00UI\x14\x001.2.840.10008.1.2.1\0");
    file.extend(b"\x28\x00\x02\x00US\x02\x00\x01\x00");
    file.extend(b"\x28\x00\x04\x00CS\x0c\x00MONOCHROME2 ");
    let mut number = |element: u8, value: u32| {
        file.extend([0x28, 0x00, element, if element < 0x10 { 1 } else { 0 }]);
        file.extend(b"US\x02\x00");
        file.extend(u16::try_from(value).expect("16 bits").to_le_bytes());
    };
    number(0x10, HEIGHT);
    number(0x11, WIDTH);
    // (0028,0100) to (0028,0103): allocated, stored, high bit, unsigned.
    number(0x00, 16);
    number(0x01, 16);
    number(0x02, 15);
    number(0x03, 0);
    file.extend(b"\xe0\x7f\x10\x00OW\0\0");
    let length = u32::try_from(2 * samples.len()).expect("24 MB");
    file.extend(length.to_le_bytes());
    file.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    file
}

fn benchmarks(criterion: &mut Criterion) {
    let samples = samples();
    let dicom = dicom_file(&samples);
    let mut png = std::io::Cursor::new(Vec::new());
    ImageBuffer::<Luma<u16>, _>::from_raw(WIDTH, HEIGHT, samples.clone())
        .expect("as many samples as pixels")
        .write_to(&mut png, ImageFormat::Png)
        .expect("encodes");
    let png = png.into_inner();
    let film = Film::from_bytes(&dicom).expect("a film");
    let pyramid = film.pyramid();
    let window = Window::between(1000.0, 40_000.0);

    let mut group = criterion.benchmark_group("12 megapixels of 16 bits");
    group.sample_size(20);
    group.bench_function("copy the samples", |bencher| {
        bencher.iter(|| black_box(samples.clone()));
    });
    group.bench_function("open uncompressed DICOM", |bencher| {
        bencher.iter(|| Film::from_bytes(black_box(&dicom)).expect("a film"));
    });
    group.bench_function("open PNG", |bencher| {
        bencher.iter(|| Film::from_bytes(black_box(&png)).expect("a film"));
    });
    group.bench_function("pyramid", |bencher| {
        bencher.iter(|| black_box(&film).pyramid());
    });
    let whole = FilmRegion {
        left_px: 0.0,
        top_px: 0.0,
        width_px: f64::from(WIDTH),
        height_px: f64::from(HEIGHT),
    };
    group.bench_function("resample the whole film to 1200 by 1600", |bencher| {
        bencher.iter(|| pyramid.resample(black_box(whole), 1200, 1600));
    });
    let codes = pyramid.resample(whole, 1200, 1600);
    let mut greys = vec![0; codes.len()];
    group.bench_function("change the window at 1200 by 1600", |bencher| {
        bencher.iter(|| {
            let table = film.grey().ramp_table(black_box(window), false);
            table.apply(&codes, &mut greys);
        });
    });
    let mut all = vec![0; samples.len()];
    group.bench_function("change the window of every pixel", |bencher| {
        bencher.iter(|| {
            let table = film.grey().ramp_table(black_box(window), false);
            table.apply(film.samples(), &mut all);
        });
    });
    group.finish();
}

criterion_group!(film_benchmarks, benchmarks);
criterion_main!(film_benchmarks);
