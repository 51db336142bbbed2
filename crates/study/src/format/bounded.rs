//! Values that are checked while a study is read, so that an error names the line.

use std::{collections::BTreeMap, fmt, marker::PhantomData, str::FromStr};

use serde::{
    Deserialize, Deserializer, Serialize,
    de::{Error, MapAccess, Visitor},
};

/// A coordinate on a film, in pixels. Points may lie off the film (an axis runs on beyond it), but
/// not a thousand films away.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub(super) struct Coordinate(pub(super) f64);

impl TryFrom<f64> for Coordinate {
    type Error = String;

    fn try_from(px: f64) -> Result<Self, String> {
        const FARTHEST_PX: f64 = 1e7;
        if (-FARTHEST_PX..=FARTHEST_PX).contains(&px) {
            Ok(Self(px))
        } else {
            Err(format!(
                "a coordinate must lie within ±{FARTHEST_PX} px, and this is {px}"
            ))
        }
    }
}

impl From<Coordinate> for f64 {
    fn from(coordinate: Coordinate) -> Self {
        coordinate.0
    }
}

/// A standard deviation, in pixels.
#[derive(Clone, Copy, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub(super) struct Spread(pub(super) f64);

impl Spread {
    pub(super) fn is_none(&self) -> bool {
        self.0 == 0.0
    }
}

impl TryFrom<f64> for Spread {
    type Error = String;

    fn try_from(px: f64) -> Result<Self, String> {
        const WIDEST_PX: f64 = 1e6;
        if (0.0..=WIDEST_PX).contains(&px) {
            Ok(Self(px))
        } else {
            Err(format!(
                "a spread (sd_px) must lie between 0 and {WIDEST_PX} px, and this is {px}"
            ))
        }
    }
}

impl From<Spread> for f64 {
    fn from(spread: Spread) -> Self {
        spread.0
    }
}

/// A distance within a bone, in millimetres.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub(super) struct DistanceMm(pub(super) f64);

impl TryFrom<f64> for DistanceMm {
    type Error = String;

    fn try_from(mm: f64) -> Result<Self, String> {
        const LONGEST_MM: f64 = 1000.0;
        if (0.0..=LONGEST_MM).contains(&mm) {
            Ok(Self(mm))
        } else {
            Err(format!(
                "a level must lie between 0 and {LONGEST_MM} mm from the end of the bone, and this \
                 is {mm}"
            ))
        }
    }
}

impl From<DistanceMm> for f64 {
    fn from(distance: DistanceMm) -> Self {
        distance.0
    }
}

/// The width or height of a film, in pixels.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub(super) struct FilmSize(pub(super) u32);

impl TryFrom<u32> for FilmSize {
    type Error = String;

    fn try_from(px: u32) -> Result<Self, String> {
        const LARGEST_PX: u32 = 100_000;
        if (1..=LARGEST_PX).contains(&px) {
            Ok(Self(px))
        } else {
            Err(format!(
                "a film is between 1 and {LARGEST_PX} px wide and high, and this is {px}"
            ))
        }
    }
}

impl From<FilmSize> for u32 {
    fn from(size: FilmSize) -> Self {
        size.0
    }
}

/// A text that a person entered.
#[derive(Clone, Default, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(super) struct Text(pub(super) String);

impl TryFrom<String> for Text {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        const LONGEST_BYTES: usize = 10_000;
        if text.len() <= LONGEST_BYTES {
            Ok(Self(text))
        } else {
            Err(format!(
                "a text of {} bytes is too long; {LONGEST_BYTES} are allowed",
                text.len()
            ))
        }
    }
}

impl From<Text> for String {
    fn from(text: Text) -> Self {
        text.0
    }
}

/// The name of a film relative to its study's folder.
#[derive(Clone, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(super) struct FilmName(pub(super) String);

impl TryFrom<String> for FilmName {
    type Error = String;

    fn try_from(name: String) -> Result<Self, String> {
        const LONGEST_BYTES: usize = 4096;
        let last = name.rsplit('/').next().unwrap_or_default();
        if matches!(last, "" | "." | "..") {
            Err(format!("“{name}” is not the name of a film's file"))
        } else if name.starts_with('/') {
            Err(format!(
                "“{name}” must be relative to the study's folder, not start with “/”"
            ))
        } else if name.contains('\0') || name.len() > LONGEST_BYTES {
            Err("no file can have this film's name".to_owned())
        } else {
            Ok(Self(name))
        }
    }
}

impl From<FilmName> for String {
    fn from(name: FilmName) -> Self {
        name.0
    }
}

/// A value that is written as the text that it displays.
#[derive(Clone, Copy)]
pub(super) struct AsText<T>(pub(super) T);

impl<T: fmt::Display> Serialize for AsText<T> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de, T: FromStr<Err: fmt::Display>> Deserialize<'de> for AsText<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map(Self).map_err(|error| {
            let start: String = text.chars().take(80).collect();
            D::Error::custom(format!("“{start}” cannot stand here: {error}"))
        })
    }
}

/// A map whose keys each stand once: a name that stands twice means that one of the two would be
/// lost.
pub(super) fn each_once<'de, D, K, V>(deserializer: D) -> Result<BTreeMap<K, V>, D::Error>
where
    D: Deserializer<'de>,
    K: Deserialize<'de> + Ord + Serialize,
    V: Deserialize<'de>,
{
    struct EachOnce<K, V>(PhantomData<(K, V)>);

    impl<'de, K, V> Visitor<'de> for EachOnce<K, V>
    where
        K: Deserialize<'de> + Ord + Serialize,
        V: Deserialize<'de>,
    {
        type Value = BTreeMap<K, V>;

        fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
            formatter.write_str("a map in which each name stands once")
        }

        fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
            let mut map = BTreeMap::new();
            while let Some((key, value)) = access.next_entry()? {
                if map.contains_key(&key) {
                    let name = ron::to_string(&key).unwrap_or_default();
                    return Err(A::Error::custom(format!("{name} stands twice")));
                }
                map.insert(key, value);
            }
            Ok(map)
        }
    }

    deserializer.deserialize_map(EachOnce(PhantomData))
}
