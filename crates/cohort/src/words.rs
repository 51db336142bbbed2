//! The plain identifiers under which classes and standings lie in an index.

use plumbray_compare::Standing;
use plumbray_measure::Class;

/// The class of an identifier.
pub(crate) fn class_of(identifier: &str) -> Option<Class> {
    Class::ALL
        .into_iter()
        .find(|class| class.identifier() == identifier)
}

fn standing_of(identifier: &str) -> Option<Standing> {
    [Standing::Within, Standing::TooCloseToSay, Standing::Beyond]
        .into_iter()
        .find(|standing| standing.identifier() == identifier)
}

/// A class by its identifier.
pub(crate) mod class {
    use plumbray_measure::Class;
    use serde::{Deserialize, Deserializer, Serialize as _, Serializer, de::Error};

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde hands every field over so"
    )]
    pub(crate) fn serialize<S: Serializer>(
        class: &Option<Class>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        class.map(Class::identifier).serialize(serializer)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<Class>, D::Error> {
        let Some(name) = Option::<String>::deserialize(deserializer)? else {
            return Ok(None);
        };
        super::class_of(&name)
            .map(Some)
            .ok_or_else(|| Error::custom(format!("“{name}” is no class")))
    }
}

/// Standings by their identifiers.
pub(crate) mod standings {
    use plumbray_compare::Standing;
    use serde::{Deserialize, Deserializer, Serialize as _, Serializer, de::Error};

    pub(crate) fn serialize<S: Serializer>(
        standings: &[Option<Standing>; 3],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        standings
            .map(|standing| standing.map(Standing::identifier))
            .serialize(serializer)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<[Option<Standing>; 3], D::Error> {
        let mut standings = [None; 3];
        let names = <[Option<String>; 3]>::deserialize(deserializer)?;
        for (standing, name) in standings.iter_mut().zip(names) {
            if let Some(name) = name {
                let known = super::standing_of(&name);
                *standing =
                    Some(known.ok_or_else(|| Error::custom(format!("“{name}” is no standing")))?);
            }
        }
        Ok(standings)
    }
}
