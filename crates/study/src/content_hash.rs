//! The fingerprint by which a film's file is known again.

use std::{fmt, fs::File, io, path::Path, str::FromStr};

/// The BLAKE3 hash of a file's bytes; shown as 64 hexadecimal digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ContentHash(blake3::Hash);

/// A text that is no content hash.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a content hash has 64 hexadecimal digits")]
pub struct NotAContentHash;

impl ContentHash {
    /// The hash of these bytes.
    #[must_use]
    pub fn of_bytes(bytes: &[u8]) -> Self {
        Self(blake3::hash(bytes))
    }

    /// The hash of an ordinary file's bytes. The file is read piece by piece.
    ///
    /// # Errors
    /// When there is no ordinary file at the path, or it cannot be read.
    pub fn of_file(path: &Path) -> io::Result<Self> {
        // A pipe or a device may never end.
        if !std::fs::metadata(path)?.is_file() {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                "this is not an ordinary file",
            ));
        }
        let mut hasher = blake3::Hasher::new();
        hasher.update_reader(File::open(path)?)?;
        Ok(Self(hasher.finalize()))
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0.to_hex())
    }
}

impl FromStr for ContentHash {
    type Err = NotAContentHash;

    fn from_str(text: &str) -> Result<Self, NotAContentHash> {
        blake3::Hash::from_hex(text)
            .map(Self)
            .map_err(|_not_hexadecimal| NotAContentHash)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Test vector of the BLAKE3 reference implementation for the empty input.
    const OF_NOTHING: &str = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";

    #[test]
    fn the_hash_of_nothing_is_the_published_one() {
        assert_eq!(ContentHash::of_bytes(b"").to_string(), OF_NOTHING, "hash");
        assert_eq!(
            OF_NOTHING.parse(),
            Ok(ContentHash::of_bytes(b"")),
            "read back"
        );
    }

    #[test]
    fn a_file_has_the_hash_of_its_bytes() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("film.png");
        let bytes = vec![7_u8; 300_000];
        std::fs::write(&path, &bytes).expect("written");
        assert_eq!(
            ContentHash::of_file(&path).expect("read"),
            ContentHash::of_bytes(&bytes),
            "hash"
        );
        assert!(ContentHash::of_file(folder.path()).is_err(), "a folder");
    }

    #[test]
    fn anything_but_64_digits_is_refused() {
        for text in ["", "af13", &"g".repeat(64), &"a".repeat(65)] {
            assert!(text.parse::<ContentHash>().is_err(), "{text}");
        }
    }
}
