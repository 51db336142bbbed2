//! Tables of the page, in Markdown.

/// A table: its first column is text, the others are numbers and stand to the right.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new(heads: &[&str]) -> Self {
        Self {
            heads: heads.iter().map(|head| (*head).to_owned()).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; what is missing at its end stays empty.
    pub(crate) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        let mut row: Vec<String> = cells.into_iter().collect();
        row.resize(self.heads.len(), String::new());
        self.rows.push(row);
    }

    pub(crate) fn markdown(&self) -> String {
        let mut text = String::new();
        let line = |cells: &[String]| {
            let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
            format!("| {} |\n", cells.join(" | "))
        };
        text.push_str(&line(&self.heads));
        let numbers = " ---: |".repeat(self.heads.len().saturating_sub(1));
        text.push_str(&format!("| --- |{numbers}\n"));
        for row in &self.rows {
            text.push_str(&line(row));
        }
        text
    }
}

/// A number with so many decimals and a true minus sign; never “−0.0”.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.chars().all(|letter| matches!(letter, '0' | '.'));
    if value < 0.0 && !is_zero {
        format!("−{text}")
    } else {
        text
    }
}

/// A share as per cent without decimals; “–” where there is none.
pub(crate) fn per_cent(share: Option<f64>) -> String {
    share.map_or_else(|| "–".to_owned(), |share| number(100.0 * share, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_a_head_a_rule_and_rows_of_equal_width() {
        let mut table = Table::new(&["what", "n", "bias"]);
        table.row(["a | b".to_owned(), "3".to_owned()]);
        assert_eq!(
            table.markdown(),
            "| what | n | bias |\n| --- | ---: | ---: |\n| a \\| b | 3 |  |\n",
            "the table"
        );
    }

    #[test]
    fn numbers_have_a_true_minus_and_no_negative_zero() {
        assert_eq!(number(-1.25, 1), "−1.2", "rounded to even");
        assert_eq!(number(-0.04, 1), "0.0", "nothing");
        assert_eq!(number(3.0, 2), "3.00", "two decimals");
        assert_eq!(per_cent(Some(0.955)), "96", "per cent");
        assert_eq!(per_cent(None), "–", "nothing known");
    }
}
