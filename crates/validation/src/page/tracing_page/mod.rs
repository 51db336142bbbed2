//! The page on tracing: each bar with what was found and whether it was kept.

mod changed_section;
mod interval_section;
mod no_click_section;
mod real_section;
mod strokes_section;

use std::{fs, path::Path};

use anyhow::{Context, Result};

use super::{
    Section,
    bar::{self, Bar, Found},
};
use crate::{
    quality::Quality,
    tracing::{FilmOutcome, RealOutcome, Seen, TracingPlan, examine_all, examine_real},
};

/// How far a landmark may lie from its truth, in mm at the detector.
const NEAR_MM: f64 = 3.0;

/// A written page with the single errors that stand behind it.
#[derive(Clone, Debug)]
pub struct TracingPage {
    /// The page, in Markdown.
    pub markdown: String,
    /// What came of every simulated film.
    pub films: Vec<FilmOutcome>,
}

impl TracingPage {
    /// Writes `tracing.md` into a folder.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn write(&self, folder: &Path) -> Result<()> {
        fs::create_dir_all(folder).with_context(|| {
            format!("{} cannot be made; choose another folder", folder.display())
        })?;
        let page = folder.join("tracing.md");
        fs::write(&page, &self.markdown)
            .with_context(|| format!("{} cannot be written", page.display()))
    }
}

/// Does everything that a plan says and writes it up; with a folder of films of real bones, those too.
///
/// # Errors
/// When a foot or a film cannot be made, or the films of real bones cannot be read.
pub fn tracing_page(plan: &TracingPlan, real_films: Option<&Path>) -> Result<TracingPage> {
    // The long part comes last: what can fail must not cost a quarter of an hour.
    let real = real_films.map(examine_real).transpose()?;
    let films = examine_all(plan)?;
    let sections = [
        strokes_section::section(&films),
        no_click_section::section(&films),
        changed_section::section(&films),
        interval_section::section(&films),
        real_section::section(real.as_deref()),
    ];
    let mut markdown = introduction(plan, real.is_some(), &films);
    let bars: Vec<Bar> = sections.iter().flat_map(|part| part.1.clone()).collect();
    let short = in_short(&bars, &films, real.as_deref());
    for section in std::iter::once(&short).chain(sections.iter().map(|part| &part.0)) {
        markdown.push('\n');
        markdown.push_str(&section.markdown);
    }
    Ok(TracingPage { markdown, films })
}

/// A section and the bars that it answers.
type Answered = (Section, Vec<Bar>);

fn introduction(plan: &TracingPlan, has_real: bool, films: &[FilmOutcome]) -> String {
    let TracingPlan {
        seed,
        feet,
        readers,
        pixel_mm,
    } = plan;
    let real = if has_real { " --films FOLDER" } else { "" };
    let as_made: Vec<&FilmOutcome> = as_made(films).collect();
    let good = as_made
        .iter()
        .filter(|film| film.quality == Quality::Good)
        .count();
    format!(
        "# How well the bones are found\n\n\
What the tracing finds on films of known truth, beside the bars that it is held to. This page is written by a \
command and not by hand, verdicts included; anyone can write it again:\n\n\
```text\ncargo run --release -p plumbray-validation -- tracing --feet {feet} --readers {readers} --seed {seed} --pixel {pixel_mm}{real} --out docs\n```\n\n\
The same seed gives the same page. The feet, films, readers and changes of this seed were used for nothing else: \
what the program learnt from came from seeds that follow from 51, and [validation.md](validation.md) has its own.\n\n\
There are {} AP films, {good} of them good ones and the others poor in five ways; {} lateral films \
of the same feet and in the same quality; and {} changed copies of the good AP films. Millimetres are those of the detector. A reader's strokes and clicks \
miss in x and in y by a normally distributed 3 mm, as [validation.md](validation.md) says; the axis of the talus \
and the floor by 1 mm. Where a number or a place was not found at all it counts as farther off than all others.\n\n\
**What this is not.** These are simulated feet, and the search was made beside the simulation. Films of patients \
hold more than any simulation does. The program is no medical device.\n",
        as_made.len(),
        films
            .iter()
            .filter(|film| film.view == plumbray_anatomy::View::Lateral)
            .count(),
        films.iter().filter(|film| film.change.is_some()).count(),
    )
}

fn in_short(bars: &[Bar], films: &[FilmOutcome], real: Option<&[RealOutcome]>) -> Section {
    let mut section = Section::headed("In short");
    let count = |verdict| bars.iter().filter(|bar| bar.verdict() == verdict).count();
    section.text(&format!(
        "{} bars: {} kept, {} missed, {} not measured. Every one stands in its section.",
        bars.len(),
        count("kept"),
        count("missed"),
        count("not measured")
    ));
    let missed: Vec<Bar> = bars
        .iter()
        .filter(|bar| bar.verdict() == "missed")
        .cloned()
        .collect();
    if !missed.is_empty() {
        section.text("These were missed:");
        section.text(&bar::table(&missed));
    }
    let seen: Vec<&Seen> = films
        .iter()
        .map(|film| &film.seen)
        .chain(real.into_iter().flatten().map(|film| &film.seen))
        .collect();
    let nothing = seen.iter().filter(|seen| ***seen == Seen::Nothing).count();
    if nothing > 0 {
        section.text(&format!(
            "On {nothing} of {} films nothing was proposed without a click. Where the program recognises no foot, it \
follows strokes and clicks by searches that look only near where the reader pointed.",
            seen.len()
        ));
    }
    section
}

/// The AP films as they were made.
fn as_made(films: &[FilmOutcome]) -> impl Iterator<Item = &FilmOutcome> {
    films
        .iter()
        .filter(|film| film.view == plumbray_anatomy::View::Ap && film.change.is_none())
}

/// Sizes of errors, some of them missing.
#[derive(Clone, Debug, Default)]
struct Sizes {
    found: Vec<f64>,
    missing: usize,
}

impl Sizes {
    fn centile(&self, share: f64) -> Found {
        if self.count() == 0 {
            return Found::Nothing;
        }
        crate::statistics::quantile_with_missing(&self.found, self.missing, share)
            .map_or(Found::TooMuchMissing, Found::Value)
    }

    fn count(&self) -> usize {
        self.found.len() + self.missing
    }

    /// The share of all that was found and is no larger than a limit.
    fn share_within(&self, most: f64) -> Option<f64> {
        let within = self.found.iter().filter(|size| **size <= most).count();
        (self.count() > 0).then(|| within as f64 / self.count() as f64)
    }
}

impl FromIterator<Option<f64>> for Sizes {
    /// Errors with their signs; nothing for what is missing.
    fn from_iter<T: IntoIterator<Item = Option<f64>>>(errors: T) -> Self {
        let mut sizes = Self::default();
        for error in errors {
            match error {
                Some(error) => sizes.found.push(error.abs()),
                None => sizes.missing += 1,
            }
        }
        sizes
    }
}

impl Found {
    /// As a cell of a table.
    fn cell(self, decimals: usize) -> String {
        match self {
            Self::Value(value) => super::table::number(value, decimals),
            Self::TooMuchMissing => "missing".to_owned(),
            Self::Nothing => "–".to_owned(),
        }
    }
}

/// The share of things that are so; nothing for no things.
fn share_of<T>(things: impl IntoIterator<Item = T>, is_so: impl Fn(&T) -> bool) -> Option<f64> {
    let (mut count, mut so) = (0_usize, 0_usize);
    for thing in things {
        count += 1;
        so += usize::from(is_so(&thing));
    }
    (count > 0).then(|| so as f64 / count as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_larger_than_every_size() {
        let sizes: Sizes = [Some(-2.0), Some(1.0), None].into_iter().collect();
        assert_eq!(sizes.centile(0.5), Found::Value(2.0), "median");
        assert_eq!(sizes.centile(0.95), Found::TooMuchMissing, "95th");
        assert_eq!(sizes.share_within(1.5), Some(1.0 / 3.0), "within");
        assert_eq!(Sizes::default().centile(0.5), Found::Nothing, "nothing");
    }

    #[test]
    fn a_share_of_nothing_is_not_told() {
        assert_eq!(
            share_of([1, 2, 3, 4], |one| *one > 1),
            Some(0.75),
            "three of four"
        );
        assert_eq!(share_of([0; 0], |_| true), None, "of nothing");
    }
}
