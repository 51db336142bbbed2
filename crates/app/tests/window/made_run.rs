//! A small run of fluoroscopy with graphics and named windows, made byte by byte.

use std::{fs, path::Path};

/// The sides of its pictures in pixels.
pub(crate) const SIDES: [u16; 2] = [64, 48];
/// How many pictures it holds.
pub(crate) const PICTURES: u32 = 6;

/// Writes a run whose rows and columns lie in the patient as `directions` says, with graphics over it or without.
pub(crate) fn write_run(path: &Path, directions: &str, with_graphics: bool) {
    let [columns, rows] = SIDES;
    let mut file = vec![0; 128];
    file.extend(b"DICM");
    let mut put = |tag, vr, bytes: &[u8]| element(&mut file, tag, vr, bytes);
    put((0x0002, 0x0010), b"UI", b"1.2.840.10008.1.2.1\0");
    put((0x0008, 0x0060), b"CS", b"RF");
    put((0x0018, 0x1164), b"DS", b"0.2\\0.2 ");
    put((0x0020, 0x0020), b"CS", &even(directions));
    put((0x0020, 0x0062), b"CS", b"L ");
    put((0x0028, 0x0002), b"US", &words(&[1]));
    put((0x0028, 0x0004), b"CS", b"MONOCHROME2 ");
    put((0x0028, 0x0008), b"IS", &even(&PICTURES.to_string()));
    put((0x0028, 0x0010), b"US", &words(&[rows]));
    put((0x0028, 0x0011), b"US", &words(&[columns]));
    put((0x0028, 0x0100), b"US", &words(&[16]));
    put((0x0028, 0x0101), b"US", &words(&[12]));
    put((0x0028, 0x0102), b"US", &words(&[11]));
    put((0x0028, 0x0103), b"US", &words(&[0]));
    put((0x0028, 0x1050), b"DS", b"1000\\2000 ");
    put((0x0028, 0x1051), b"DS", b"2000\\4000 ");
    put((0x0028, 0x1055), b"LO", b"BONE\\SOFT TISSUE");
    if with_graphics {
        put((0x6000, 0x0010), b"US", &words(&[16]));
        put((0x6000, 0x0011), b"US", &words(&[16]));
        put((0x6000, 0x0040), b"CS", b"G ");
        put((0x6000, 0x0050), b"SS", &words(&[3, 5]));
        put((0x6000, 0x0100), b"US", &words(&[1]));
        put((0x6000, 0x0102), b"US", &words(&[0]));
        put((0x6000, 0x3000), b"OW", &words(&[0x0FF0; 16]));
    }
    let pixels: Vec<u16> = (0..PICTURES)
        .flat_map(|picture| {
            (0..u32::from(rows) * u32::from(columns))
                .map(move |index| (index * 7 + picture * 100) % 4000)
        })
        .map(|sample| u16::try_from(sample).expect("12 bits"))
        .collect();
    put((0x7FE0, 0x0010), b"OW", &words(&pixels));
    fs::write(path, file).expect("written");
}

fn words(words: &[u16]) -> Vec<u8> {
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

fn even(text: &str) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    if bytes.len() % 2 == 1 {
        bytes.push(b' ');
    }
    bytes
}

fn element(file: &mut Vec<u8>, (group, number): (u16, u16), vr: &[u8; 2], bytes: &[u8]) {
    file.extend(group.to_le_bytes());
    file.extend(number.to_le_bytes());
    file.extend(vr);
    let length = u32::try_from(bytes.len()).expect("short");
    if vr == b"OW" {
        file.extend([0, 0]);
        file.extend(length.to_le_bytes());
    } else {
        file.extend(u16::try_from(length).expect("short").to_le_bytes());
    }
    file.extend(bytes);
}
