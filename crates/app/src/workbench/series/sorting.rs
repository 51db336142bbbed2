//! The list of a series in the order of one of its columns.

use std::cmp::Ordering;

use plumbray_measure::Class;

use super::{ListedVisit, Listing};
use crate::series::words::{PRINTED, VisitWords};

/// By which column the list is sorted, counted from the study's name, and whether from the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SeriesOrder {
    /// 0 is the study, then side, day, operated, reader, the numbers, severity.
    pub column: usize,
    /// Whether the largest comes first.
    pub falling: bool,
}

impl SeriesOrder {
    /// The order after a click on the heading of a column: rising first, falling by a second click.
    #[must_use]
    pub fn after_click(now: Option<Self>, column: usize) -> Self {
        let falling = now.is_some_and(|now| now.column == column && !now.falling);
        Self { column, falling }
    }
}

/// What a visit is sorted by.
enum Key<'w> {
    Text(&'w str),
    Number(f64),
    Nothing,
}

impl Listing {
    /// Puts the visits into an order; those without a value, or that cannot be read, come last either way.
    pub(super) fn sort(&mut self, order: SeriesOrder) {
        self.visits.sort_by(|one, other| {
            let by_value = match (key_of(one, order.column), key_of(other, order.column)) {
                (Key::Nothing, Key::Nothing) => return Ordering::Equal,
                (Key::Nothing, _) => return Ordering::Greater,
                (_, Key::Nothing) => return Ordering::Less,
                (Key::Number(one), Key::Number(other)) => one.total_cmp(&other),
                (Key::Text(one), Key::Text(other)) => one.cmp(other),
                (Key::Text(_), Key::Number(_)) => Ordering::Less,
                (Key::Number(_), Key::Text(_)) => Ordering::Greater,
            };
            if order.falling {
                by_value.reverse()
            } else {
                by_value
            }
        });
    }
}

fn key_of(visit: &ListedVisit, column: usize) -> Key<'_> {
    if column == 0 {
        return Key::Text(&visit.name);
    }
    visit
        .words
        .as_ref()
        .map_or(Key::Nothing, |words| key_of_words(words, column))
}

fn key_of_words(words: &VisitWords, column: usize) -> Key<'_> {
    let plain = [&words.side, &words.day, &words.operated, &words.reader];
    let text = match (plain.get(column - 1), column.checked_sub(1 + plain.len())) {
        (Some(text), _) => text.as_str(),
        (None, Some(number)) if number < PRINTED.len() => {
            return words
                .numbers
                .get(number)
                .map_or(Key::Nothing, |text| number_of(text));
        }
        _ => {
            let mut classes = (0_u8..).zip(Class::ALL);
            let class = classes.find(|(_, class)| class.identifier() == words.severity);
            return class.map_or(Key::Nothing, |(rank, _)| Key::Number(f64::from(rank)));
        }
    };
    match text {
        "–" | "?" => Key::Nothing,
        text => Key::Text(text),
    }
}

/// The number that a cell begins with: "−3.1 ± 0.4".
fn number_of(text: &str) -> Key<'_> {
    let first = text.split_whitespace().next().unwrap_or_default();
    let number = first.replace('\u{2212}', "-").parse();
    number.map_or(Key::Nothing, Key::Number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_click_turns_the_order_and_another_heading_begins_anew() {
        let first = SeriesOrder::after_click(None, 5);
        assert!(!first.falling, "rising first");
        let second = SeriesOrder::after_click(Some(first), 5);
        assert!(second.falling, "then falling");
        let other = SeriesOrder::after_click(Some(second), 2);
        assert_eq!((other.column, other.falling), (2, false), "anew");
    }

    #[test]
    fn a_number_is_sorted_by_its_value_and_a_missing_one_has_none() {
        for (text, value) in [
            ("31.2 ± 2.1", Some(31.2)),
            ("\u{2212}3.1 ± 0.4", Some(-3.1)),
            ("–", None),
        ] {
            let found = match number_of(text) {
                Key::Number(number) => Some(number),
                Key::Text(_) | Key::Nothing => None,
            };
            assert_eq!(found.map(f64::to_bits), value.map(f64::to_bits), "{text}");
        }
    }
}
