//! New identifiers for old ones, the same wherever an old one stood.

use std::collections::BTreeMap;

use crate::dicom::new_uid;

/// New identifiers for old ones. One of these for everything that is exported together keeps a foot's films, and what
/// refers to them, together; nothing leads back to the old ones.
#[derive(Clone, Debug, Default)]
pub struct NewUids(BTreeMap<String, String>);

impl NewUids {
    /// The new identifier that stands for this one. What the standard itself registers stays.
    pub(super) fn of(&mut self, old: &str) -> String {
        if old.is_empty() || old.starts_with("1.2.840.10008.") {
            return old.to_owned();
        }
        let new = self.0.entry(old.to_owned()).or_insert_with(new_uid);
        new.clone()
    }
}
