//! Bars: what was asked of the tracing, what was found, and whether it was kept.

use super::table::{Table, number};

/// What a bar asks of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Limit {
    AtMost(f64),
    AtLeast(f64),
    Between(f64, f64),
}

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Found {
    Value(f64),
    /// So much was not found at all that the number cannot be told.
    TooMuchMissing,
    /// There was nothing to measure.
    Nothing,
}

/// One bar with what was found.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Bar {
    pub(crate) what: String,
    pub(crate) limit: Limit,
    pub(crate) found: Found,
    pub(crate) decimals: usize,
    /// With a space before it where one belongs.
    pub(crate) unit: &'static str,
}

impl Bar {
    pub(crate) fn degrees(what: impl Into<String>, found: Found, most: f64) -> Self {
        Self {
            what: what.into(),
            limit: Limit::AtMost(most),
            found,
            decimals: 2,
            unit: "°",
        }
    }

    /// A share from 0 to 1, shown in per cent.
    pub(crate) fn share(what: impl Into<String>, share: Option<f64>, limit: Limit) -> Self {
        Self {
            what: what.into(),
            limit,
            found: share.map_or(Found::Nothing, |share| Found::Value(100.0 * share)),
            decimals: 1,
            unit: " %",
        }
    }

    /// How it came out.
    pub(crate) fn verdict(&self) -> &'static str {
        let value = match self.found {
            Found::Value(value) => value,
            Found::TooMuchMissing => return "missed",
            Found::Nothing => return "not measured",
        };
        let is_kept = match self.limit {
            Limit::AtMost(most) => value <= most,
            Limit::AtLeast(least) => value >= least,
            Limit::Between(low, high) => (low..=high).contains(&value),
        };
        if is_kept { "kept" } else { "missed" }
    }

    fn found(&self) -> String {
        match self.found {
            Found::Value(value) => format!("{}{}", number(value, self.decimals), self.unit),
            Found::TooMuchMissing => "too much missing".to_owned(),
            Found::Nothing => "–".to_owned(),
        }
    }

    fn limit(&self) -> String {
        let unit = self.unit;
        match self.limit {
            Limit::AtMost(most) => format!("≤ {most}{unit}"),
            Limit::AtLeast(least) => format!("≥ {least}{unit}"),
            Limit::Between(low, high) => format!("{low} to {high}{unit}"),
        }
    }
}

/// A table of bars.
pub(crate) fn table(bars: &[Bar]) -> String {
    let mut table = Table::new(&["", "found", "bar", "verdict"]);
    for bar in bars {
        table.row([
            bar.what.clone(),
            bar.found(),
            bar.limit(),
            bar.verdict().to_owned(),
        ]);
    }
    table.markdown()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_verdict_follows_from_number_and_limit() {
        for (found, limit, verdict) in [
            (Found::Value(1.0), Limit::AtMost(1.0), "kept"),
            (Found::Value(1.001), Limit::AtMost(1.0), "missed"),
            (Found::Value(85.0), Limit::AtLeast(85.0), "kept"),
            (Found::Value(84.9), Limit::AtLeast(85.0), "missed"),
            (Found::Value(98.5), Limit::Between(90.0, 98.0), "missed"),
            (Found::Value(94.0), Limit::Between(90.0, 98.0), "kept"),
            (Found::Value(f64::NAN), Limit::AtMost(1.0), "missed"),
            (Found::TooMuchMissing, Limit::AtMost(1.0), "missed"),
            (Found::Nothing, Limit::AtMost(1.0), "not measured"),
        ] {
            let bar = Bar {
                limit,
                ..Bar::degrees("", found, 0.0)
            };
            assert_eq!(bar.verdict(), verdict, "{found:?} {limit:?}");
        }
    }

    #[test]
    fn a_bar_shows_what_was_found_beside_what_was_asked() {
        let bars = [
            Bar::degrees("turn", Found::Value(0.304), 0.3),
            Bar::share("near", Some(0.9), Limit::AtLeast(85.0)),
        ];
        assert_eq!(
            table(&bars),
            "|  | found | bar | verdict |\n| --- | ---: | ---: | ---: |\n\
             | turn | 0.30° | ≤ 0.3° | missed |\n| near | 90.0 % | ≥ 85 % | kept |\n",
            "the table"
        );
    }
}
