//! How well readers repeat themselves, as it is kept: read at the start, kept from a series, held by the worksheet.

use super::Workbench;
use crate::{
    agreeing::Keepable,
    own_spread::{KeptOfReader, KeptSpread, KeptSpreads},
    words::counted,
};

impl Workbench {
    /// What is kept of the reader who traced the foot that is open.
    #[must_use]
    pub fn own_spread(&self) -> Option<&KeptOfReader> {
        self.own_spreads.of_study(&self.study)
    }

    /// Why a spread that is kept does not count for the foot that is open; nothing where one counts or none is kept.
    #[must_use]
    pub fn why_no_own_spread(&self) -> Option<String> {
        self.own_spreads.why_none(&self.study)
    }

    /// The names of the readers of whom a spread is kept.
    #[must_use]
    pub fn readers_with_spread(&self) -> Vec<&str> {
        self.own_spreads.names()
    }

    /// What is kept of the reader of this name.
    #[must_use]
    pub fn own_spread_of(&self, reader: &str) -> Option<&KeptOfReader> {
        self.own_spreads.of(reader)
    }

    /// Reads what is kept of readers' own spreads; a file that cannot be read is told, and then none counts.
    pub(super) fn read_own_spreads(&mut self) {
        let Some(path) = &self.places.own_spreads else {
            return;
        };
        match KeptSpreads::read_if_there(path) {
            Ok(kept) => self.own_spreads = kept,
            Err(problem) => self.warn(format!("No reader’s own spread counts: {problem}")),
        }
    }

    /// Keeps what a reader's repeats say as that reader's own spread, and tells what was kept and when it counts.
    pub(super) fn keep_spread_of(&mut self, reader: &str) {
        let Some(agreement) = self.agreement() else {
            return;
        };
        let day = jiff::Zoned::now().date();
        match agreement.keepable(reader, day) {
            Err(problem) => self.warn(problem),
            Ok(Keepable { spreads, refused }) if spreads.is_empty() => {
                let why = refused.join("; ");
                self.warn(format!("Nothing of {reader} can be kept: {why}."));
            }
            Ok(keepable) => match self.kept_with(reader, keepable.spreads.clone()) {
                Err(problem) => self.warn(problem),
                Ok(kept) => {
                    self.own_spreads = kept;
                    self.refresh();
                    let told = kept_words(reader, &keepable);
                    self.say_instead(told);
                }
            },
        }
    }

    fn kept_with(&self, reader: &str, spreads: Vec<KeptSpread>) -> Result<KeptSpreads, String> {
        let path = self.places.own_spreads.as_ref();
        let path = path.ok_or("This system has no place for settings, so nothing can be kept.")?;
        // Another window may have kept something since this one began.
        let mut kept = KeptSpreads::read_if_there(path).map_err(|problem| problem.to_string())?;
        kept.keep(reader, spreads);
        kept.write(path).map_err(|problem| problem.to_string())?;
        Ok(kept)
    }
}

/// Told in one short line; what was kept stands beside the reader.
fn kept_words(reader: &str, keepable: &Keepable) -> String {
    let count = counted(keepable.spreads.len(), "measurement", "measurements");
    format!(
        "Kept as {reader}’s own spread: {count}. It counts in every study that {reader} traced."
    )
}
