//! JPEG lossless (ITU-T T.81 annex H, process 14) row by row, by our own decoder: it needs no more memory than the
//! samples that it gives. All predictors, 2 to 16 bits, point transforms, restart intervals, colour in one scan or
//! in several.

mod huffman;
#[cfg(test)]
mod tests;

use self::huffman::{EntropyBits, HuffmanTable};
use super::{
    codestream::{StreamHeader, bytes_per_sample},
    compressed::DecodedFrame,
    image_header::ImageHeader,
};
use crate::{error::FilmProblem, limits::zeroed};

/// The most components that a scan has (T.81 B.2.3).
const MOST_COMPONENTS: usize = 4;

fn damaged(detail: &str) -> FilmProblem {
    FilmProblem::damaged("JPEG lossless", detail)
}

fn unsupported(what: &str) -> FilmProblem {
    FilmProblem::unsupported(format!("a lossless JPEG stream with {what}"))
}

/// Decodes a stream whose header was checked.
///
/// # Errors
/// When it is damaged, ends before its pixels do, or has what is not read: components of different sizes, restart
/// intervals that are no whole rows, arithmetic coding, several resolutions.
pub(super) fn decoded(
    stream: &[u8],
    header: &ImageHeader,
    about: StreamHeader,
) -> Result<DecodedFrame, FilmProblem> {
    let bytes_per_sample = bytes_per_sample(about.bits);
    let length = header.samples() * bytes_per_sample;
    let mut picture = Picture {
        bytes: zeroed(length)?,
        bytes_per_sample,
        columns: usize::from(header.columns),
        components: usize::from(about.components),
    };
    let mut stream = Stream::new(stream);
    let mut missing = picture.components;
    while missing > 0 {
        let scan = stream.next_scan(about.bits)?;
        missing = missing
            .checked_sub(scan.components.len())
            .ok_or_else(|| damaged("it has more scans than components"))?;
        stream.rest = scan.decode_into(&mut picture)?;
    }
    Ok(DecodedFrame {
        bytes: picture.bytes,
        bytes_per_sample,
    })
}

/// The samples, colour by pixel, the least significant byte of each first.
struct Picture {
    bytes: Vec<u8>,
    /// 1 or 2.
    bytes_per_sample: usize,
    columns: usize,
    components: usize,
}

impl Picture {
    /// Writes one row of a component.
    fn put(&mut self, row: usize, component: usize, samples: &[u16], point_transform: u32) {
        let stride = self.components * self.bytes_per_sample;
        let Some(places) = self.bytes.chunks_exact_mut(self.columns * stride).nth(row) else {
            return;
        };
        let first = component * self.bytes_per_sample;
        for (pixel, sample) in places.chunks_exact_mut(stride).zip(samples) {
            let bytes = (sample << point_transform).to_le_bytes();
            pixel[first..first + self.bytes_per_sample]
                .copy_from_slice(&bytes[..self.bytes_per_sample]);
        }
    }

    fn rows(&self) -> usize {
        self.bytes.len() / (self.columns * self.components * self.bytes_per_sample)
    }
}

/// What a stream said up to here.
struct Stream<'a> {
    rest: &'a [u8],
    /// The counts and values of each table that was defined last.
    tables: [Option<(&'a [u8; 16], &'a [u8])>; MOST_COMPONENTS],
    /// The identifiers of the components in their order, and whether each was decoded.
    components: Vec<(u8, bool)>,
    /// In pixels; 0 for none.
    restart_interval: usize,
}

impl<'a> Stream<'a> {
    const fn new(rest: &'a [u8]) -> Self {
        Self {
            rest,
            tables: [None; MOST_COMPONENTS],
            components: Vec::new(),
            restart_interval: 0,
        }
    }

    /// Reads segments up to the next scan.
    fn next_scan(&mut self, bits: u8) -> Result<Scan<'a>, FilmProblem> {
        loop {
            let (marker, segment) = self.next_segment()?;
            match marker {
                0xC3 => self.components = components_of(segment)?,
                0xC4 => self.define_tables(segment)?,
                0xDA => return self.scan(segment, bits),
                0xDD => {
                    let interval = segment.first_chunk();
                    let interval =
                        interval.ok_or_else(|| damaged("its restart interval is cut short"))?;
                    self.restart_interval = u16::from_be_bytes(*interval).into();
                }
                0xD9 => return Err(damaged("a component has no scan")),
                // Quantisation, comments and notes of programs change nothing here.
                0xDB | 0xE0..=0xEF | 0xFE => {}
                other => return Err(unsupported(&format!("a segment {other:02X}"))),
            }
        }
    }

    /// The next marker that has a segment, or the end of the image, with that segment.
    fn next_segment(&mut self) -> Result<(u8, &'a [u8]), FilmProblem> {
        let cut_short = || damaged("it ends before its pixels do");
        loop {
            let marker_at = self.rest.iter().position(|byte| *byte == 0xFF);
            let after = &self.rest[marker_at.ok_or_else(cut_short)?..];
            let marker_at = after.iter().position(|byte| *byte != 0xFF);
            let (marker, after) = marker_at
                .and_then(|at| after[at..].split_first())
                .ok_or_else(cut_short)?;
            self.rest = after;
            match marker {
                0x00 | 0x01 | 0xD0..=0xD8 => {}
                0xD9 => return Ok((*marker, &[])),
                _ => {
                    let length = after.first_chunk().ok_or_else(cut_short)?;
                    let length = usize::from(u16::from_be_bytes(*length));
                    let segment = after.get(2..length).ok_or_else(cut_short)?;
                    self.rest = &after[length..];
                    return Ok((*marker, segment));
                }
            }
        }
    }

    /// Keeps the tables of a segment (T.81 B.2.4.2); those of other classes are not used by lossless scans.
    fn define_tables(&mut self, mut segment: &'a [u8]) -> Result<(), FilmProblem> {
        while let Some((about, rest)) = segment.split_first() {
            let table = rest.split_first_chunk().and_then(|(counts, rest)| {
                let values = counts.iter().map(|count| usize::from(*count)).sum();
                let (values, rest) = rest.split_at_checked(values)?;
                Some((counts, values, rest))
            });
            let (counts, values, rest) =
                table.ok_or_else(|| damaged("a table of codes is cut short"))?;
            if let Some(place) = self.tables.get_mut(usize::from(*about)) {
                *place = Some((counts, values));
            }
            segment = rest;
        }
        Ok(())
    }

    /// Reads the header of a scan (T.81 B.2.3), whose bits follow.
    fn scan(&mut self, segment: &[u8], bits: u8) -> Result<Scan<'a>, FilmProblem> {
        let contradiction = || damaged("the header of a scan contradicts itself");
        let (count, rest) = segment.split_first().ok_or_else(contradiction)?;
        let (chosen, rest) = rest
            .split_at_checked(2 * usize::from(*count))
            .ok_or_else(contradiction)?;
        let [selection, _, transforms] = *rest.first_chunk().ok_or_else(contradiction)?;
        let point_transform = transforms & 0x0F;
        if !(1..=7).contains(&selection) || point_transform >= bits || chosen.is_empty() {
            return Err(contradiction());
        }
        let mut components = Vec::new();
        for pair in chosen.chunks_exact(2) {
            let mut places = self.components.iter_mut().enumerate();
            let (place, (_, is_decoded)) = places
                .find(|(_, (identifier, is_decoded))| *identifier == pair[0] && !is_decoded)
                .ok_or_else(contradiction)?;
            *is_decoded = true;
            let table = self
                .tables
                .get(usize::from(pair[1] >> 4))
                .copied()
                .flatten();
            let (counts, values) = table.ok_or_else(|| damaged("a table of codes is missing"))?;
            components.push((place, HuffmanTable::new(counts, values)?));
        }
        Ok(Scan {
            bits: self.rest,
            components,
            selection,
            first_prediction: 1 << (bits - point_transform - 1),
            point_transform: point_transform.into(),
            restart_interval: self.restart_interval,
        })
    }
}

/// The identifiers of the components that a frame header lists, none of them decoded (T.81 B.2.2).
fn components_of(segment: &[u8]) -> Result<Vec<(u8, bool)>, FilmProblem> {
    let components = segment.get(6..).unwrap_or_default().chunks_exact(3);
    let is_subsampled =
        components.len() > 1 && components.clone().any(|component| component[1] != 0x11);
    if is_subsampled {
        return Err(unsupported("components of different sizes"));
    }
    if components.len() != usize::from(segment.get(5).copied().unwrap_or(0)) {
        return Err(damaged("its header is cut short"));
    }
    Ok(components.map(|component| (component[0], false)).collect())
}

/// The bits of some components.
struct Scan<'a> {
    bits: &'a [u8],
    /// The place of each component in a pixel, and its codes.
    components: Vec<(usize, HuffmanTable)>,
    /// The number of the predictor, 1 to 7 (T.81 table H.1).
    selection: u8,
    /// What the first sample of a restart interval is predicted to be.
    first_prediction: u16,
    point_transform: u32,
    /// In pixels; 0 for none.
    restart_interval: usize,
}

impl<'a> Scan<'a> {
    /// Decodes all rows; what follows the scan.
    fn decode_into(self, picture: &mut Picture) -> Result<&'a [u8], FilmProblem> {
        if !self.restart_interval.is_multiple_of(picture.columns) {
            return Err(unsupported("restart intervals that are no whole rows"));
        }
        let rows_of_interval = self.restart_interval / picture.columns;
        let mut bits = EntropyBits::new(self.bits);
        let mut lines: Vec<Lines> = self
            .components
            .iter()
            .map(|_| Lines::new(picture.columns))
            .collect();
        let mut restarts = 0_u8;
        for row in 0..picture.rows() {
            let mut is_first = row == 0;
            if row > 0 && rows_of_interval > 0 && row.is_multiple_of(rows_of_interval) {
                bits.restart(restarts)?;
                restarts = restarts.wrapping_add(1);
                is_first = true;
            }
            for column in 0..picture.columns {
                for ((_, table), lines) in self.components.iter().zip(&mut lines) {
                    lines.current[column] = bits.difference(table)?;
                }
            }
            for ((place, _), lines) in self.components.iter().zip(&mut lines) {
                if is_first {
                    add_to_left(&mut lines.current, self.first_prediction);
                } else {
                    add_predictions(&mut lines.current, &lines.above, self.selection);
                }
                picture.put(row, *place, &lines.current, self.point_transform);
                std::mem::swap(&mut lines.current, &mut lines.above);
            }
        }
        Ok(bits.after())
    }
}

/// Two rows of a component, before the point transform is undone.
struct Lines {
    above: Vec<u16>,
    current: Vec<u16>,
}

impl Lines {
    fn new(columns: usize) -> Self {
        Self {
            above: vec![0; columns],
            current: vec![0; columns],
        }
    }
}

/// Differences of a first row become samples: each is predicted by its left neighbour (T.81 H.1.2.1).
fn add_to_left(row: &mut [u16], first_prediction: u16) {
    let mut left = first_prediction;
    for sample in row {
        left = left.wrapping_add(*sample);
        *sample = left;
    }
}

/// Differences of another row become samples, modulo 2^16, by a predictor (T.81 table H.1). The first one is
/// predicted by the sample above it.
fn add_predictions(row: &mut [u16], above: &[u16], selection: u8) {
    match selection {
        1 => predict_each(row, above, |left, _, _| left),
        2 => predict_each(row, above, |_, up, _| up),
        3 => predict_each(row, above, |_, _, corner| corner),
        4 => predict_each(row, above, |left, up, corner| left + up - corner),
        5 => predict_each(row, above, |left, up, corner| left + ((up - corner) >> 1)),
        6 => predict_each(row, above, |left, up, corner| up + ((left - corner) >> 1)),
        _ => predict_each(row, above, |left, up, _| (left + up) >> 1),
    }
}

#[inline]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "samples are modulo 2^16"
)]
fn predict_each(row: &mut [u16], above: &[u16], predictor: impl Fn(i32, i32, i32) -> i32) {
    let mut places = row.iter_mut().zip(above);
    let Some((first, up)) = places.next() else {
        return;
    };
    *first = first.wrapping_add(*up);
    let (mut left, mut corner) = (i32::from(*first), i32::from(*up));
    for (sample, up) in places {
        let up = i32::from(*up);
        *sample = sample.wrapping_add(predictor(left, up, corner) as u16);
        (left, corner) = (i32::from(*sample), up);
    }
}
