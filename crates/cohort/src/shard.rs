//! A series shared out among jobs.

use std::{fmt, str::FromStr};

/// The part K of N parts into which a series is shared out.
///
/// A file belongs to the part that the first 64 bits of the BLAKE3 hash of its path say, modulo N; the path is relative
/// to the folder that was named, with `/` between folders. So each file belongs to exactly one part whatever else lies
/// beside it, wherever the folder is mounted, on every machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    number: u32,
    of: u32,
}

/// A text that is no shard.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "“{0}” is no part of a series: write K/N, as 3/16 for the third of sixteen, with N up to {most}",
    most = Shard::MOST
)]
pub struct NotAShard(String);

impl Shard {
    /// The most parts that a series is shared out into.
    pub const MOST: u32 = 100_000;

    /// All of a series in one part.
    pub const WHOLE: Self = Self { number: 1, of: 1 };

    /// Part `number` of `of`, counted from 1; nothing where there is no such part.
    #[must_use]
    pub const fn new(number: u32, of: u32) -> Option<Self> {
        if number >= 1 && number <= of && of <= Self::MOST {
            Some(Self { number, of })
        } else {
            None
        }
    }

    /// Which part, counted from 1.
    #[must_use]
    pub const fn number(self) -> u32 {
        self.number
    }

    /// Of how many.
    #[must_use]
    pub const fn of(self) -> u32 {
        self.of
    }

    /// Whether the file of this path, relative to the series' folder, belongs to this part.
    #[must_use]
    pub fn has(self, relative: &str) -> bool {
        let hash = blake3::hash(relative.as_bytes());
        let first: [u8; 8] = std::array::from_fn(|place| hash.as_bytes()[place]);
        u64::from_le_bytes(first) % u64::from(self.of) == u64::from(self.number - 1)
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}/{}", self.number, self.of)
    }
}

impl FromStr for Shard {
    type Err = NotAShard;

    fn from_str(text: &str) -> Result<Self, NotAShard> {
        let parsed = || {
            let (number, of) = text.split_once('/')?;
            Self::new(number.trim().parse().ok()?, of.trim().parse().ok()?)
        };
        parsed().ok_or_else(|| NotAShard(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn every_path_belongs_to_exactly_one_part(path in ".{0,40}", of in 1_u32..50) {
            let shards = (1..=of).map(|number| Shard::new(number, of).expect("a part"));
            prop_assert_eq!(shards.filter(|shard| shard.has(&path)).count(), 1, "of {}", of);
        }
    }

    #[test]
    fn a_path_keeps_its_part_on_every_machine() {
        let part_of_nothing =
            |of| (1..=of).find(|number| Shard::new(*number, of).is_some_and(|shard| shard.has("")));
        // The published BLAKE3 hash of nothing begins af13: as a little-endian number its last byte is af, the one
        // before it 13.
        assert_eq!(part_of_nothing(16), Some(0xf + 1), "modulo 16");
        assert_eq!(part_of_nothing(256), Some(0xaf + 1), "modulo 256");
        assert_eq!(part_of_nothing(65_536), Some(0x13af + 1), "modulo 65,536");
    }

    #[test]
    fn what_is_no_part_is_told() {
        for text in ["", "3", "0/4", "5/4", "1/0", "-1/3", "1/200000", "a/b"] {
            let problem = text.parse::<Shard>().expect_err(text);
            assert!(problem.to_string().contains("3/16"), "{problem}");
        }
        assert_eq!(
            "3/16".parse::<Shard>().map(|shard| shard.to_string()),
            Ok("3/16".to_owned()),
            "read and written"
        );
    }
}
