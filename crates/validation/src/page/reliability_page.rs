//! The page on whether stated probabilities come true.

use std::{fs, path::Path};

use anyhow::{Context, Result};

use super::table::{Table, number};
use crate::{
    plot::{Axis, Chart, Mark, Series},
    reliability::{Origins, Question, ReliabilityPlan, Said, said_of_all},
};

/// Said probabilities are gathered by tenths.
const BINS: usize = 10;
/// A tenth with fewer answers than this is not drawn: chance alone moves it by more than 5 points.
const FEWEST: usize = 100;

/// A written page with its plots.
#[derive(Clone, Debug)]
pub struct ReliabilityPage {
    /// The page, in Markdown.
    pub markdown: String,
    /// The plots: file name and text.
    pub plots: Vec<(String, String)>,
}

/// Answers whose probability lies in one tenth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Bin {
    count: usize,
    said: f64,
    came_true: usize,
}

impl Bin {
    fn mean_said(self) -> f64 {
        self.said / self.count as f64
    }

    fn share_true(self) -> f64 {
        self.came_true as f64 / self.count as f64
    }
}

/// Traces every foot of a plan and writes up how often classes came true.
///
/// # Errors
/// When a foot cannot be made.
pub fn reliability_page(plan: &ReliabilityPlan) -> Result<ReliabilityPage> {
    let said = said_of_all(plan)?;
    let ReliabilityPlan {
        seed,
        feet,
        tracings,
    } = plan;
    let mut markdown = format!(
        "# Do stated probabilities come true?\n\n\
Beside a severity, a position and a grade the program says how likely it is. If that is honest, of all classes that were \
called 70 % likely seven in ten are the true ones. This page is written by a command; anyone can write it again:\n\n\
```text\ncargo run --release -p plumbray-validation -- reliability --feet {feet} --tracings {tracings} --seed {seed} --out docs\n```\n\n\
{feet} random simulated feet, {tracings} tracings of each in both ways: {} tracings. The true class is that of the foot's true \
outlines. Dots on the line from corner to corner are honest; below it the program claims too much, above it too little. Tenths \
with fewer than {FEWEST} answers are left out.\n",
        2 * feet * tracings
    );
    let mut plots = Vec::new();
    for (origins, file, heading, text) in [
        (
            Origins::StatedSpread,
            "reliability-tracing.svg",
            "When every point lies off as it is stated",
            "Every point lies off by its stated spread, 0.2 to 1.5 mm, nine tenths of a cortex's together; no reader's error \
is taken in.",
        ),
        (
            Origins::ReadersHand,
            "reliability-reader.svg",
            "When a hand lays the axes",
            "The two points of each axis lie off by 0.48 mm, as a published reader's do for the intermetatarsal angle; the \
tracing states no spread of its own, and the usual reader's error is taken in. By the other published number, of the hallux \
valgus angle, a hand is surer: where both angles count, the probabilities are a compromise.",
        ),
    ] {
        let own: Vec<Said> = said
            .iter()
            .copied()
            .filter(|one| one.origins == origins)
            .collect();
        markdown.push_str(&format!(
            "\n## {heading}\n\n{text}\n\n![{heading}](validation/{file})\n\n"
        ));
        markdown.push_str(&table(&own));
        plots.push((file.to_owned(), chart(heading, &own).svg()));
    }
    Ok(ReliabilityPage { markdown, plots })
}

impl ReliabilityPage {
    /// Writes `reliability.md` and its plots into a folder.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn write(&self, folder: &Path) -> Result<()> {
        let plots = folder.join(super::PLOT_FOLDER);
        fs::create_dir_all(&plots).with_context(|| {
            format!("{} cannot be made; choose another folder", plots.display())
        })?;
        let page = (folder.join("reliability.md"), &self.markdown);
        let plots = self
            .plots
            .iter()
            .map(|(name, text)| (plots.join(name), text));
        for (path, text) in std::iter::once(page).chain(plots) {
            fs::write(&path, text)
                .with_context(|| format!("{} cannot be written", path.display()))?;
        }
        Ok(())
    }
}

fn bins(said: &[Said], question: Question) -> [Bin; BINS] {
    let mut bins = [Bin::default(); BINS];
    for one in said.iter().filter(|one| one.question == question) {
        let place = (1..BINS)
            .filter(|tenth| one.probability >= *tenth as f64 / BINS as f64)
            .count();
        bins[place].count += 1;
        bins[place].said += one.probability;
        bins[place].came_true += usize::from(one.came_true);
    }
    bins
}

const fn name(question: Question) -> &'static str {
    match question {
        Question::Severity => "severity",
        Question::Sesamoid(measurement) => measurement.name(),
    }
}

fn table(said: &[Said]) -> String {
    let mut table = Table::new(&["", "said, %", "came true, %", "answers"]);
    for question in Question::ALL {
        for bin in bins(said, question).into_iter().filter(|bin| bin.count > 0) {
            table.row([
                name(question).to_owned(),
                number(100.0 * bin.mean_said(), 1),
                number(100.0 * bin.share_true(), 1),
                bin.count.to_string(),
            ]);
        }
    }
    table.markdown()
}

fn chart(title: &str, said: &[Said]) -> Chart {
    let mut series: Vec<Series> = Question::ALL
        .into_iter()
        .enumerate()
        .map(|(style, question)| Series {
            name: Some(name(question).to_owned()),
            mark: Mark::LineAndShapes,
            style,
            points: bins(said, question)
                .into_iter()
                .filter(|bin| bin.count >= FEWEST)
                .map(|bin| (100.0 * bin.mean_said(), 100.0 * bin.share_true()))
                .collect(),
        })
        .collect();
    series.push(Series {
        name: Some("honest".to_owned()),
        mark: Mark::FaintLine,
        style: 4,
        points: vec![(0.0, 0.0), (100.0, 100.0)],
    });
    Chart {
        title: title.to_owned(),
        across: Axis::new("said to be so likely, %", 0.0, 100.0),
        up: Axis::new("came true, %", 0.0, 100.0),
        places: Vec::new(),
        levels: Vec::new(),
        series,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_gathered_by_what_was_said() {
        let one = |probability, came_true| Said {
            origins: Origins::StatedSpread,
            question: Question::Severity,
            probability,
            came_true,
        };
        let said = [one(0.72, true), one(0.78, false), one(1.0, true)];
        let bins = bins(&said, Question::Severity);
        assert_eq!((bins[7].count, bins[7].came_true), (2, 1), "seventh tenth");
        assert!((bins[7].mean_said() - 0.75).abs() < 1e-12, "mean");
        assert_eq!(bins[9].count, 1, "certain is in the last tenth");
        let other = Question::ALL[1];
        assert_eq!(super::bins(&said, other), [Bin::default(); BINS], "others");
    }
}
