//! The sizes that a JPEG, JPEG-LS or JPEG 2000 stream claims, read before any decoder allocates for them.

/// What a compressed stream says about its picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct StreamHeader {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) components: u16,
    /// The depth of a sample, in bits; the deepest component's.
    pub(super) bits: u8,
}

/// In how many bytes a decoded sample of so many bits, at most 16, is written.
pub(super) const fn bytes_per_sample(bits: u8) -> usize {
    if bits > 8 { 2 } else { 1 }
}

/// The frame header of a JPEG stream (ITU-T T.81 B.2.2); nothing when there is none, or when the stream
/// is progressive: DICOM retired that, and thousands of empty scans over a large picture would take
/// hours.
pub(super) fn jpeg_header(stream: &[u8]) -> Option<StreamHeader> {
    let (marker, header) = frame_header(stream, starts_jpeg_frame)?;
    let is_sequential_or_lossless = matches!(marker, 0xC0 | 0xC1 | LOSSLESS_FRAME);
    is_sequential_or_lossless.then_some(header)
}

/// Whether a JPEG stream is lossless (ITU-T T.81 annex H).
pub(super) fn is_lossless_jpeg(stream: &[u8]) -> bool {
    frame_header(stream, starts_jpeg_frame).is_some_and(|(marker, _)| marker == LOSSLESS_FRAME)
}

/// The marker SOF3.
const LOSSLESS_FRAME: u8 = 0xC3;

/// 0xC0 to 0xCF without the tables DHT (C4), JPG (C8) and DAC (CC).
const fn starts_jpeg_frame(marker: u8) -> bool {
    matches!(marker, 0xC0..=0xCF) && !matches!(marker, 0xC4 | 0xC8 | 0xCC)
}

/// The frame header of a JPEG-LS stream (ITU-T T.87 C.2.2), whose marker is SOF55; nothing when there is none.
pub(super) fn jpeg_ls_header(stream: &[u8]) -> Option<StreamHeader> {
    frame_header(stream, |marker| marker == 0xF7).map(|(_, header)| header)
}

/// The first frame header whose marker is asked for, with that marker.
fn frame_header(stream: &[u8], is_start: impl Fn(u8) -> bool) -> Option<(u8, StreamHeader)> {
    let mut rest = stream.strip_prefix(b"\xff\xd8")?;
    loop {
        let marker_at = rest.iter().position(|byte| *byte == 0xFF)?;
        rest = &rest[marker_at..];
        let marker_offset = rest.iter().position(|byte| *byte != 0xFF)?;
        let marker = rest[marker_offset];
        rest = &rest[marker_offset + 1..];
        if matches!(marker, 0x00 | 0x01 | 0xD0..=0xD8) {
            continue;
        }
        let length = usize::from(u16::from_be_bytes(*rest.first_chunk()?));
        let segment = rest.get(2..length)?;
        if is_start(marker) {
            let [bits, h0, h1, w0, w1, components] = *segment.first_chunk()?;
            let header = StreamHeader {
                width: u16::from_be_bytes([w0, w1]).into(),
                height: u16::from_be_bytes([h0, h1]).into(),
                components: components.into(),
                bits,
            };
            return Some((marker, header));
        }
        rest = &rest[length..];
    }
}

/// Whether a JPEG stream says itself what its colours are, by the marker that Adobe introduced for it
/// (APP14). Such streams are believed against a header that says RGB, as they are in the wild.
pub(super) fn names_its_jpeg_colours(stream: &[u8]) -> bool {
    const ADOBE: &[u8] = b"\xff\xee\x00\x0eAdobe";
    stream.windows(ADOBE.len()).any(|window| window == ADOBE)
}

/// More tiles than this cost more memory than any film.
const MOST_TILES: u64 = 4096;

/// The size marker of a JPEG 2000 stream, bare or in its box format (ITU-T T.800 A.5.1); nothing when
/// there is none, its components are subsampled, or it has an absurd number of tiles.
pub(super) fn jpeg_2000_header(stream: &[u8]) -> Option<StreamHeader> {
    const START_AND_SIZE: &[u8] = b"\xff\x4f\xff\x51";
    let start = stream
        .windows(START_AND_SIZE.len())
        .position(|window| window == START_AND_SIZE)?;
    let segment = stream.get(start + START_AND_SIZE.len()..)?;
    // Lsiz and Rsiz, two bytes each, come before eight sizes of four bytes each.
    let size = |index: usize| -> Option<u32> {
        let at = 4 + 4 * index;
        Some(u32::from_be_bytes(
            segment.get(at..at + 4)?.try_into().ok()?,
        ))
    };
    let (right, bottom, left, top) = (size(0)?, size(1)?, size(2)?, size(3)?);
    let (tile_width, tile_height) = (size(4)?, size(5)?);
    if tile_width == 0 || tile_height == 0 {
        return None;
    }
    let tiles = u64::from(right).div_ceil(tile_width.into())
        * u64::from(bottom).div_ceil(tile_height.into());
    let components = u16::from_be_bytes(segment.get(36..38)?.try_into().ok()?);
    let descriptions = segment.get(38..38 + 3 * usize::from(components))?;
    let is_subsampled = descriptions
        .chunks_exact(3)
        .any(|component| component[1] != 1 || component[2] != 1);
    if tiles > MOST_TILES || is_subsampled {
        return None;
    }
    Some(StreamHeader {
        width: right.checked_sub(left)?,
        height: bottom.checked_sub(top)?,
        components,
        bits: descriptions
            .chunks_exact(3)
            .map(|component| (component[0] & 0x7F) + 1)
            .max()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_size_of_a_jpeg_is_read_past_other_segments() {
        let stream =
            b"\xff\xd8\xff\xe0\x00\x04ab\xff\xc3\x00\x0b\x10\x01\x00\x02\x00\x01\x01\x11\x00";
        assert_eq!(
            jpeg_header(stream),
            Some(StreamHeader {
                width: 512,
                height: 256,
                components: 1,
                bits: 16
            }),
            "lossless, 16 bits"
        );
        assert!(is_lossless_jpeg(stream), "SOF3");
    }

    #[test]
    fn a_progressive_jpeg_is_not_taken() {
        let stream = b"\xff\xd8\xff\xc2\x00\x0b\x08\x01\x00\x02\x00\x01\x01\x11\x00";
        assert_eq!(jpeg_header(stream), None, "progressive");
        assert!(!is_lossless_jpeg(stream), "progressive is lossy");
    }

    #[test]
    fn streams_that_end_early_have_no_header() {
        let stream = b"\xff\xd8\xff\xc0\x00\x0b\x08\x01\x00";
        for length in 0..stream.len() {
            assert_eq!(jpeg_header(&stream[..length]), None, "{length} bytes");
            assert_eq!(jpeg_2000_header(&stream[..length]), None, "{length} bytes");
        }
    }
}
