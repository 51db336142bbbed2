//! Lookup tables as DICOM writes them: a descriptor of three numbers and the data (PS3.3 C.11.1.1.1).

use dicom_core::Tag;

use super::element::DataSet;

/// A table from whole numbers to 16-bit entries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct LookupTable {
    /// The input that has the first entry; smaller inputs have it too.
    first_input: i32,
    /// At least one.
    entries: Vec<u16>,
    /// The depth of the entries, 1 to 16.
    bits: u16,
}

impl LookupTable {
    /// Reads the table of a descriptor and a data element; nothing when either is missing or
    /// contradicts itself. `signed` says whether its inputs are signed numbers.
    pub(super) fn read(
        data_set: &DataSet<'_>,
        descriptor: Tag,
        data: Tag,
        signed: bool,
    ) -> Option<Self> {
        let Descriptor { count, first, bits } = Descriptor::read(data_set, descriptor)?;
        let bytes = data_set.element(data)?.bytes;
        // Entries of up to 8 bits come one to a byte or one to a word; only the length tells.
        let is_packed = bits <= 8 && bytes.len() < count * 2;
        let mut entries: Vec<u16> = if is_packed {
            bytes.iter().copied().map(u16::from).collect()
        } else {
            data_set.words(data)
        };
        entries.truncate(count);
        Self::of(entries, first, bits, signed)
    }

    /// Reads a table whose data are written as segments (PS3.3 C.7.9.2): stretches of entries, and
    /// straight lines to an entry. Segments that point back to others are not read.
    pub(super) fn read_segmented(
        data_set: &DataSet<'_>,
        descriptor: Tag,
        data: Tag,
        signed: bool,
    ) -> Option<Self> {
        const STRETCH: u16 = 0;
        const LINE: u16 = 1;
        let Descriptor { count, first, bits } = Descriptor::read(data_set, descriptor)?;
        if bits <= 8 {
            return None;
        }
        let mut entries: Vec<u16> = Vec::new();
        let mut words = data_set.words(data).into_iter();
        while let (Some(kind), Some(length)) = (words.next(), words.next()) {
            match kind {
                STRETCH => entries.extend(words.by_ref().take(length.into())),
                LINE => {
                    let (from, to) = (*entries.last()?, words.next()?);
                    entries.extend((1..=length).map(|step| on_line(from, to, step, length)));
                }
                _ => return None,
            }
            if entries.len() > count {
                break;
            }
        }
        entries.truncate(count);
        Self::of(entries, first, bits, signed)
    }

    fn of(entries: Vec<u16>, first: u16, bits: u16, signed: bool) -> Option<Self> {
        (!entries.is_empty()).then_some(Self {
            first_input: if signed {
                i32::from(first.cast_signed())
            } else {
                i32::from(first)
            },
            entries,
            bits,
        })
    }

    /// The entry of an input; the first below the table, the last above it.
    pub(super) fn entry(&self, input: i32) -> u16 {
        let index = i64::from(input) - i64::from(self.first_input);
        let last = self.entries.len() - 1;
        let index = usize::try_from(index.max(0)).map_or(last, |index| index.min(last));
        self.entries[index]
    }

    /// The entry of an input, from 0 (the lowest that the depth allows) to 65,535.
    pub(super) fn full_range_entry(&self, input: i32) -> u16 {
        let most = (1_u32 << self.bits) - 1;
        let entry = u32::from(self.entry(input)).min(most);
        u16::try_from((entry * u32::from(u16::MAX) + most / 2) / most).unwrap_or(u16::MAX)
    }

    /// The inputs that have entries of their own, first and last.
    pub(super) fn span(&self) -> (i32, i32) {
        let last = i32::try_from(self.entries.len() - 1).unwrap_or(i32::MAX);
        (self.first_input, self.first_input + last)
    }

    /// The depth of the entries, in bits.
    pub(super) const fn bits(&self) -> u16 {
        self.bits
    }
}

/// The three numbers before a table.
struct Descriptor {
    count: usize,
    first: u16,
    /// 1 to 16.
    bits: u16,
}

impl Descriptor {
    fn read(data_set: &DataSet<'_>, tag: Tag) -> Option<Self> {
        let words = data_set.words(tag);
        let (count, first, bits) = (*words.first()?, *words.get(1)?, *words.get(2)?);
        (1..=16).contains(&bits).then_some(Self {
            // 65,536 entries do not fit into 16 bits and are written as 0.
            count: if count == 0 { 1 << 16 } else { count.into() },
            first,
            bits,
        })
    }
}

/// The entry `step` of `length` steps along the line between two entries, rounded to the nearest,
/// ties to even.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place between two 16-bit numbers is one"
)]
fn on_line(from: u16, to: u16, step: u16, length: u16) -> u16 {
    let share = f64::from(step) / f64::from(length);
    let (from, to) = (f64::from(from), f64::from(to));
    (from + share * (to - from)).round_ties_even() as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> LookupTable {
        LookupTable {
            first_input: -2,
            entries: vec![10, 20, 255],
            bits: 8,
        }
    }

    #[test]
    fn inputs_beyond_the_table_have_its_ends() {
        let table = table();
        let entries = [-100, -2, -1, 0, 100].map(|input| table.entry(input));
        assert_eq!(entries, [10, 10, 20, 255, 255], "clamped");
    }

    #[test]
    fn the_deepest_entry_is_full_brightness() {
        assert_eq!(table().full_range_entry(0), u16::MAX, "255 of 8 bits");
        assert_eq!(table().full_range_entry(-2), 10 * 257, "10 of 8 bits");
    }
}
