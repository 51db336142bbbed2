//! What was changed in a study, kept short by merging.

use jiff::{SignedDuration, Timestamp, Unit};

/// One change, or several like it in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HistoryEntry {
    /// When the first of them was made.
    pub first: Timestamp,
    /// When the last of them was made.
    pub last: Timestamp,
    /// Who made them; may be empty.
    pub who: String,
    /// What was done, such as "Move first metatarsal head".
    pub what: String,
    /// How many changes this entry stands for, at least 1.
    pub count: u32,
}

/// What was changed in a study, oldest first, never more than [`History::MAX_ENTRIES`] entries.
///
/// A person who nudges a point with the arrow keys makes a hundred equal changes in a minute; they
/// become one entry with a count. When the history is full, the oldest entries are gathered into
/// one, so that the start of the work stays dated.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct History {
    entries: Vec<HistoryEntry>,
}

impl History {
    /// The most entries that a history holds.
    pub const MAX_ENTRIES: usize = 400;

    /// Equal changes by the same person within this time of one another become one entry.
    pub const MERGED_WITHIN: SignedDuration = SignedDuration::from_mins(30);

    /// What the gathered oldest changes of a full history are called.
    pub const EARLIER_CHANGES: &'static str = "Earlier changes";

    /// A history of these entries, oldest first; shortened if there are too many.
    #[must_use]
    pub fn from_entries(entries: Vec<HistoryEntry>) -> Self {
        let mut history = Self { entries };
        history.shorten();
        history
    }

    /// The entries, oldest first.
    #[must_use]
    pub fn entries(&self) -> &[HistoryEntry] {
        &self.entries
    }

    /// Notes a change made now.
    pub fn record(&mut self, who: &str, what: &str) {
        self.record_at(now(), who, what);
    }

    /// Notes a change made at `at`. It joins the newest entry when that is the same change by the
    /// same person not long before.
    pub fn record_at(&mut self, at: Timestamp, who: &str, what: &str) {
        if let Some(newest) = self.entries.last_mut()
            && newest.who == who
            && newest.what == what
            && at.duration_since(newest.last) <= Self::MERGED_WITHIN
        {
            // A clock that was set back must not turn an entry's times around.
            newest.last = newest.last.max(at);
            newest.count = newest.count.saturating_add(1);
            return;
        }
        self.entries.push(HistoryEntry {
            first: at,
            last: at,
            who: who.to_owned(),
            what: what.to_owned(),
            count: 1,
        });
        self.shorten();
    }

    fn shorten(&mut self) {
        let Some(surplus) = self.entries.len().checked_sub(Self::MAX_ENTRIES) else {
            return;
        };
        if surplus == 0 {
            return;
        }
        let mut gathered: Vec<HistoryEntry> = self.entries.drain(..=surplus).collect();
        let mut earlier = gathered.remove(0);
        for entry in gathered {
            if earlier.who != entry.who {
                earlier.who.clear();
            }
            earlier.first = earlier.first.min(entry.first);
            earlier.last = earlier.last.max(entry.last);
            earlier.count = earlier.count.saturating_add(entry.count);
        }
        Self::EARLIER_CHANGES.clone_into(&mut earlier.what);
        self.entries.insert(0, earlier);
    }
}

/// The present time in whole seconds: nobody needs more in a study, and it reads better.
pub(crate) fn now() -> Timestamp {
    let exact = Timestamp::now();
    exact.round(Unit::Second).unwrap_or(exact)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(1_700_000_000 + second).expect("within the calendar")
    }

    #[test]
    fn equal_changes_soon_after_one_another_become_one_entry() {
        let mut history = History::default();
        for second in 0..100 {
            history.record_at(at(second * 60), "A reader", "Move first metatarsal head");
        }
        assert_eq!(history.entries().len(), 1, "one entry");
        let entry = &history.entries()[0];
        assert_eq!(
            (entry.first, entry.last, entry.count),
            (at(0), at(99 * 60), 100),
            "its times and count"
        );
    }

    #[test]
    fn another_person_another_deed_or_a_long_pause_start_a_new_entry() {
        let mut history = History::default();
        history.record_at(at(0), "A", "Move");
        history.record_at(at(1), "B", "Move");
        history.record_at(at(2), "B", "Delete");
        history.record_at(at(2 + 30 * 60), "B", "Delete");
        history.record_at(at(3 + 60 * 60), "B", "Delete");
        let counts: Vec<u32> = history.entries().iter().map(|entry| entry.count).collect();
        assert_eq!(counts, [1, 1, 2, 1], "counts");
    }

    #[test]
    fn a_clock_set_back_does_not_turn_the_times_around() {
        let mut history = History::default();
        history.record_at(at(100), "", "Move");
        history.record_at(at(0), "", "Move");
        let entry = &history.entries()[0];
        assert_eq!(
            (entry.first, entry.last, entry.count),
            (at(100), at(100), 2),
            "times"
        );
    }

    #[test]
    fn a_full_history_gathers_its_oldest_entries_and_loses_no_count() {
        let mut history = History::default();
        for change in 0..2000_i64 {
            history.record_at(at(change), "", &format!("Change {change}"));
        }
        assert_eq!(history.entries().len(), History::MAX_ENTRIES, "bounded");
        let oldest = &history.entries()[0];
        assert_eq!(oldest.what, History::EARLIER_CHANGES, "its name");
        assert_eq!(oldest.first, at(0), "the start of the work");
        let total: u32 = history.entries().iter().map(|entry| entry.count).sum();
        assert_eq!(total, 2000, "changes in all");
        assert_eq!(
            history.entries().last().map(|entry| entry.what.as_str()),
            Some("Change 1999"),
            "the newest stays by itself"
        );
    }

    #[test]
    fn a_list_that_is_too_long_is_shortened_at_once() {
        let entries = (0..1000_i64)
            .map(|change| HistoryEntry {
                first: at(change),
                last: at(change),
                who: if change < 5 { "A" } else { "B" }.to_owned(),
                what: format!("Change {change}"),
                count: 1,
            })
            .collect();
        let history = History::from_entries(entries);
        assert_eq!(history.entries().len(), History::MAX_ENTRIES, "bounded");
        assert_eq!(history.entries()[0].count, 601, "gathered");
        assert_eq!(history.entries()[0].who, "", "more than one person");
    }
}
