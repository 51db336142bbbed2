//! Answers of several parts (RFC 2046 5.1, RFC 2387), read as a stream within limits.

use std::io::{self, Read};

use crate::{error::ArchiveError, limits};

/// How much is read at once.
const READ_AT_ONCE: usize = 1 << 16;

/// The boundary between the parts of an answer, from its content type; nothing when it has no parts.
///
/// # Errors
/// When it says that it has parts, but not what lies between them.
pub(crate) fn boundary(content_type: &str) -> Result<Option<String>, ArchiveError> {
    let mut pieces = content_type.split(';');
    let kind = pieces.next().unwrap_or_default().trim();
    if !kind.to_ascii_lowercase().starts_with("multipart/") {
        return Ok(None);
    }
    let named = pieces.find_map(|piece| {
        let (name, value) = piece.split_once('=')?;
        let is_it = name.trim().eq_ignore_ascii_case("boundary");
        is_it.then(|| value.trim().trim_matches('"').to_owned())
    });
    let is_boundary = |text: &String| {
        (1..=70).contains(&text.len()) && text.bytes().all(|byte| (0x20..0x7F).contains(&byte))
    };
    named
        .filter(is_boundary)
        .map(Some)
        .ok_or_else(|| ArchiveError::protocol("an answer of several parts without boundary"))
}

/// A stream of parts.
pub(crate) struct Parts<R> {
    reader: R,
    /// `CR LF - -` and the boundary.
    delimiter: Vec<u8>,
    /// What was read and not taken.
    buffer: Vec<u8>,
    is_at_end: bool,
    has_begun: bool,
}

impl<R: Read> Parts<R> {
    pub(crate) fn new(reader: R, boundary: &str) -> Self {
        Self {
            reader,
            delimiter: format!("\r\n--{boundary}").into_bytes(),
            // The first delimiter may lack the line end before it.
            buffer: b"\r\n".to_vec(),
            is_at_end: false,
            has_begun: false,
        }
    }

    /// Moves to the next part; false when there is none. The part before must have been read.
    pub(crate) fn next_part(&mut self) -> Result<bool, Trouble> {
        if !self.has_begun {
            self.has_begun = true;
            let mut skipped = 0;
            self.read_part(&mut |piece| {
                skipped += piece.len();
                within(skipped, "the words before the first part")
            })?;
        }
        let after = self.exactly(2)?;
        if after == b"--" {
            return Ok(false);
        }
        // Headers end with an empty line; without any, the line of the delimiter ends itself.
        let mut head = after;
        while !head.ends_with(b"\r\n\r\n") {
            let more = self.exactly(1)?;
            head.extend(more);
            within(head.len(), "the head of a part")?;
        }
        Ok(true)
    }

    /// Reads the part up to its end.
    pub(crate) fn read_part(
        &mut self,
        take: &mut dyn FnMut(&[u8]) -> Result<(), ArchiveError>,
    ) -> Result<(), Trouble> {
        loop {
            if let Some(end) = find(&self.buffer, &self.delimiter) {
                take(&self.buffer[..end])?;
                self.buffer.drain(..end + self.delimiter.len());
                return Ok(());
            }
            // The delimiter may begin in what was read and end in what follows.
            let sure = self.buffer.len().saturating_sub(self.delimiter.len() - 1);
            take(&self.buffer[..sure])?;
            self.buffer.drain(..sure);
            self.fill()?;
        }
    }

    fn exactly(&mut self, count: usize) -> Result<Vec<u8>, Trouble> {
        while self.buffer.len() < count {
            self.fill()?;
        }
        Ok(self.buffer.drain(..count).collect())
    }

    fn fill(&mut self) -> Result<(), Trouble> {
        if self.is_at_end {
            return Err(Trouble::Archive(ArchiveError::Cut {
                during: "reading an answer of several parts",
                reason: "its end is missing".to_owned(),
            }));
        }
        let start = self.buffer.len();
        self.buffer.resize(start + READ_AT_ONCE, 0);
        let read = self.reader.read(&mut self.buffer[start..]);
        let count = match read {
            Ok(count) => count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {
                self.buffer.truncate(start);
                return Ok(());
            }
            Err(error) => return Err(Trouble::Reading(error)),
        };
        self.buffer.truncate(start + count);
        self.is_at_end = count == 0;
        Ok(())
    }
}

/// Why parts could not be read.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// The stream failed.
    Reading(io::Error),
    /// Anything else.
    Archive(ArchiveError),
}

impl From<ArchiveError> for Trouble {
    fn from(error: ArchiveError) -> Self {
        Self::Archive(error)
    }
}

fn within(length: usize, what: &'static str) -> Result<(), ArchiveError> {
    if length > limits::PART_HEAD_BYTES {
        return Err(ArchiveError::TooLarge {
            what,
            limit: limits::PART_HEAD_BYTES as u64,
        });
    }
    Ok(())
}

/// Where a delimiter begins.
fn find(bytes: &[u8], delimiter: &[u8]) -> Option<usize> {
    let mut start = 0;
    loop {
        let rest = bytes.get(start..)?;
        let found = start + rest.iter().position(|byte| *byte == delimiter[0])?;
        if bytes[found..].starts_with(delimiter) {
            return Some(found);
        }
        start = found + 1;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Gives a few bytes at a time.
    struct Drip<'a>(&'a [u8], usize);

    impl Read for Drip<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.1.min(self.0.len()).min(buffer.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }

    fn read_all(bytes: &[u8], at_once: usize) -> Result<Vec<Vec<u8>>, Trouble> {
        let mut parts = Parts::new(Drip(bytes, at_once), "edge");
        let mut found = Vec::new();
        while parts.next_part()? {
            let mut part = Vec::new();
            parts.read_part(&mut |piece| {
                part.extend(piece);
                Ok(())
            })?;
            found.push(part);
        }
        Ok(found)
    }

    #[test]
    fn the_boundary_is_read_from_the_content_type() {
        let quoted = boundary("multipart/related; type=\"application/dicom\"; boundary=\"a b\"");
        assert_eq!(quoted.expect("read").as_deref(), Some("a b"), "quoted");
        let plain = boundary("Multipart/Related;Boundary=edge");
        assert_eq!(plain.expect("read").as_deref(), Some("edge"), "plain");
        assert_eq!(
            boundary("application/dicom").expect("read"),
            None,
            "one part"
        );
        assert!(boundary("multipart/related").is_err(), "none named");
        let long = format!("multipart/related; boundary={}", "x".repeat(71));
        assert!(boundary(&long).is_err(), "too long");
    }

    #[test]
    fn parts_with_and_without_heads_are_read() {
        let bytes = b"words before\r\n--edge\r\nContent-Type: application/dicom\r\n\r\none\r\n--edge\r\n\r\n\r\n--two--\r\n--edge--\r\nafter";
        let found = read_all(bytes, 7).expect("read");
        assert_eq!(
            found,
            [b"one".to_vec(), b"\r\n--two--".to_vec()],
            "two parts"
        );
    }

    #[test]
    fn a_missing_end_and_an_endless_head_are_errors() {
        assert!(read_all(b"--edge\r\n\r\nhalf a part", 100).is_err(), "cut");
        let endless = [b"--edge\r\n".to_vec(), vec![b'x'; 1 << 20]].concat();
        assert!(read_all(&endless, 1 << 16).is_err(), "a head without end");
    }

    proptest! {
        #[test]
        fn parts_are_read_as_they_were_written(contents in proptest::collection::vec(proptest::collection::vec(prop_oneof![Just(b'\r'), Just(b'\n'), Just(b'-'), any::<u8>()], 0..200), 0..4), at_once in 1_usize..90) {
            let mut bytes = Vec::new();
            for content in &contents {
                bytes.extend(b"\r\n--edge\r\nContent-Length: 1\r\n\r\n");
                bytes.extend(content);
            }
            bytes.extend(b"\r\n--edge--\r\n");
            // Random bytes do not hold the boundary: "edge" has letters in an order of 1 in 2^32.
            prop_assert_eq!(read_all(&bytes, at_once).expect("read"), contents, "the same");
        }

        #[test]
        fn any_bytes_are_parts_or_an_error(bytes in proptest::collection::vec(prop_oneof![Just(b'\r'), Just(b'\n'), Just(b'-'), Just(b'e'), Just(b'd'), Just(b'g')], 0..300), at_once in 1_usize..50) {
            let _either = read_all(&bytes, at_once);
        }
    }
}
