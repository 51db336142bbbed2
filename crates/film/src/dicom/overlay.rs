//! Overlay planes (PS3.3 C.9.2): in elements of their own, or in bits of the pixels that no sample uses.

use dicom_core::Tag;

use super::{Asked, element::DataSet, native};
use crate::{limits, notice::Notice, overlay::Overlay};

/// The groups that overlays may have: 6000, 6002, … 601E.
const GROUPS: std::ops::RangeInclusive<u16> = 0x6000..=0x601E;

/// The overlays of a frame; one that cannot be read is left out, with a notice.
pub(super) fn read(asked: &Asked<'_, '_>, notices: &mut Vec<Notice>) -> Vec<Overlay> {
    let mut overlays = Vec::new();
    for group in GROUPS.step_by(2) {
        let plane = Plane {
            data_set: asked.data_set,
            group,
        };
        if !plane.is_present() {
            continue;
        }
        match plane.overlay(asked) {
            Some(overlay) => overlays.push(overlay),
            None => notices.push(Notice::HeaderValueLeftOut {
                what: format!("The overlay of group {group:04X}"),
            }),
        }
    }
    overlays
}

struct Plane<'a, 'file> {
    data_set: &'a DataSet<'file>,
    group: u16,
}

impl Plane<'_, '_> {
    /// One of its attributes, by that of group 6000.
    const fn tag(&self, of_first_group: Tag) -> Tag {
        Tag(self.group, of_first_group.1)
    }

    fn word(&self, of_first_group: Tag) -> Option<u16> {
        self.data_set.word(self.tag(of_first_group))
    }

    fn is_present(&self) -> bool {
        let has = |tag: Tag| self.data_set.element(self.tag(tag)).is_some();
        has(ROWS) && has(COLUMNS)
    }

    fn overlay(&self, asked: &Asked<'_, '_>) -> Option<Overlay> {
        let (height, width) = (self.word(ROWS)?, self.word(COLUMNS)?);
        let count = limits::checked_pixel_count(width.into(), height.into()).ok()?;
        let bits = match self.data_set.element(self.tag(DATA)) {
            Some(element) => {
                let place = self.place_among_frames(asked.frame)?;
                let swapped = self.data_set.encoding.big_endian && element.vr == dicom_core::VR::OW;
                bits_of_plane(element.bytes, count, place, swapped)?
            }
            None => self.bits_among_pixels(asked, count)?,
        };
        let origin = self.data_set.words(self.tag(ORIGIN));
        let first = |index: usize| {
            let from_one = origin.get(index).map_or(1, |word| word.cast_signed());
            i32::from(from_one) - 1
        };
        let text = |tag: Tag| self.data_set.text(self.tag(tag));
        Some(Overlay {
            label: text(LABEL)
                .or_else(|| text(DESCRIPTION))
                .unwrap_or_default(),
            is_region: text(TYPE).as_deref() == Some("R"),
            left: first(1),
            top: first(0),
            width: width.into(),
            height: height.into(),
            bits,
        })
    }

    /// Which of its own frames belongs to a frame of the image.
    fn place_among_frames(&self, frame: usize) -> Option<usize> {
        let Some(frames) = self.data_set.number(self.tag(FRAMES)) else {
            return Some(0);
        };
        let first = self.word(FRAME_ORIGIN).map_or(1, usize::from);
        let place = (frame + 1).checked_sub(first)?;
        ((place as f64) < frames).then_some(place)
    }

    /// The bits of an overlay that lies in the pixels themselves (retired, and still met).
    fn bits_among_pixels(&self, asked: &Asked<'_, '_>, count: usize) -> Option<Vec<u8>> {
        let position = self.word(BIT_POSITION)?;
        let header = asked.header;
        let is_free = position < header.bits_allocated
            && (position > header.high_bit || position + header.bits_stored <= header.high_bit);
        if !is_free || count != header.pixels() || header.bits_allocated > 16 {
            return None;
        }
        let frame = native::frame(asked.data_set, header, asked.frame).ok()?;
        let mut bits = limits::with_room(count.div_ceil(8)).ok()?;
        let words = frame.bytes.chunks_exact(frame.bytes_per_sample);
        let is_set = |word: &[u8]| {
            let byte = word.get(usize::from(position / 8)).copied().unwrap_or(0);
            byte >> (position % 8) & 1
        };
        let mut packed = 0;
        let mut filled = 0;
        for word in words {
            packed |= is_set(word) << filled;
            filled += 1;
            if filled == 8 {
                bits.push(packed);
                (packed, filled) = (0, 0);
            }
        }
        if filled > 0 {
            bits.push(packed);
        }
        Some(bits)
    }
}

const ROWS: Tag = Tag(0x6000, 0x0010);
const COLUMNS: Tag = Tag(0x6000, 0x0011);
const FRAMES: Tag = Tag(0x6000, 0x0015);
const DESCRIPTION: Tag = Tag(0x6000, 0x0022);
const TYPE: Tag = Tag(0x6000, 0x0040);
const ORIGIN: Tag = Tag(0x6000, 0x0050);
const FRAME_ORIGIN: Tag = Tag(0x6000, 0x0051);
const BIT_POSITION: Tag = Tag(0x6000, 0x0102);
const LABEL: Tag = Tag(0x6000, 0x1500);
const DATA: Tag = Tag(0x6000, 0x3000);

/// The bits of one frame of a plane, moved so that the first is the lowest of the first byte.
fn bits_of_plane(bytes: &[u8], count: usize, place: usize, swapped: bool) -> Option<Vec<u8>> {
    let first = count.checked_mul(place)?;
    let last = first.checked_add(count)?;
    if last.div_ceil(8) > bytes.len() {
        return None;
    }
    let byte = |index: usize| {
        let index = if swapped { index ^ 1 } else { index };
        bytes.get(index).copied().unwrap_or(0)
    };
    let shift = first % 8;
    let mut bits = limits::with_room(count.div_ceil(8)).ok()?;
    bits.extend((first / 8..(first / 8 + count.div_ceil(8))).map(|index| {
        let [low, high] = [byte(index), byte(index + 1)].map(u16::from);
        ((low | high << 8) >> shift).to_le_bytes()[0]
    }));
    Some(bits)
}
