//! The page: what was done, what came of it, and what it means.

mod accuracy_section;
mod bar;
mod breakdown;
mod engine_section;
mod likeness_section;
mod plans_page;
mod projection_section;
mod reliability_page;
mod series_section;
mod spread_section;
mod table;
mod tracing_page;
mod visits_page;

use std::{fs, path::Path};

use anyhow::{Context, Result};
use ron::ser::PrettyConfig;

pub use plans_page::{PlansPage, plans_page};
pub use reliability_page::{ReliabilityPage, reliability_page};
pub use tracing_page::{TracingPage, tracing_page};
pub use visits_page::{VisitsPage, visits_page};

use crate::{
    accuracy::{Plan, read_all},
    plot::Chart,
    projection_effects::{same_feet, with_pronation},
    real_bones::{RealBones, read_folder},
};

/// The page and the files beside it, ready to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// The page, in Markdown.
    pub markdown: String,
    /// The plots, and what is kept beside them: file name and text.
    pub files: Vec<(String, String)>,
}

/// The folder of the plots beside the page.
const PLOT_FOLDER: &str = "validation";

impl Page {
    fn push(&mut self, section: Section) {
        self.markdown.push('\n');
        self.markdown.push_str(&section.markdown);
        self.files.extend(section.plots);
    }

    /// Writes `validation.md` and its plots into a folder.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn write(&self, folder: &Path) -> Result<()> {
        let plots = folder.join(PLOT_FOLDER);
        fs::create_dir_all(&plots).with_context(|| {
            format!("{} cannot be made; choose another folder", plots.display())
        })?;
        let page = folder.join("validation.md");
        fs::write(&page, &self.markdown)
            .with_context(|| format!("{} cannot be written", page.display()))?;
        for (name, text) in &self.files {
            let path = plots.join(name);
            fs::write(&path, text)
                .with_context(|| format!("{} cannot be written", path.display()))?;
        }
        Ok(())
    }
}

/// Writes a page that has no other files into a folder.
fn write_alone(folder: &Path, name: &str, markdown: &str) -> Result<()> {
    let path = folder.join(name);
    fs::create_dir_all(folder)
        .and_then(|()| fs::write(&path, markdown))
        .with_context(|| format!("{} cannot be written", path.display()))
}

/// A part of the page.
#[derive(Clone, Debug, Default)]
struct Section {
    markdown: String,
    plots: Vec<(String, String)>,
}

impl Section {
    fn headed(heading: &str) -> Self {
        Self {
            markdown: format!("## {heading}\n"),
            plots: Vec::new(),
        }
    }

    fn text(&mut self, text: &str) {
        self.markdown.push('\n');
        self.markdown.push_str(text.trim());
        self.markdown.push('\n');
    }

    fn chart(&mut self, name: &str, chart: &Chart) {
        let file = format!("{name}.svg");
        self.text(&format!("![{}]({PLOT_FOLDER}/{file})", chart.title));
        self.plots.push((file, chart.svg()));
    }
}

/// How many feet show the effect of projection.
fn feet_of_projection(plan: &Plan) -> usize {
    plan.feet.min(30)
}

/// How many feet show the effect of pronation: fewer, because each is built anew at each setting.
fn feet_of_pronation(plan: &Plan) -> usize {
    plan.feet.div_ceil(10).min(12)
}

/// Where the measurements on films of real bones come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RealBonesSource<'a> {
    /// A folder of such films, read anew.
    Films(&'a Path),
    /// What an earlier run kept in this folder of pages, if anything.
    Kept(&'a Path),
}

/// The file of what was measured on films of real bones, beside the plots.
const KEPT: &str = "real-bones.ron";

impl RealBonesSource<'_> {
    fn measurements(self) -> Result<Option<RealBones>> {
        match self {
            Self::Films(folder) => read_folder(folder).map(Some),
            Self::Kept(pages) => {
                let path = pages.join(PLOT_FOLDER).join(KEPT);
                if !path.exists() {
                    return Ok(None);
                }
                let advice = || {
                    format!(
                        "{} cannot be understood; name the films again with --films, or delete it",
                        path.display()
                    )
                };
                let text = fs::read_to_string(&path).with_context(advice)?;
                ron::from_str(&text).map(Some).with_context(advice)
            }
        }
    }
}

/// Does everything that a plan says and writes it up.
///
/// # Errors
/// When a foot or a film cannot be simulated, or the films of real bones cannot be read.
pub fn written_page(plan: &Plan, source: RealBonesSource<'_>) -> Result<Page> {
    let mut page = Page {
        markdown: introduction(plan),
        files: Vec::new(),
    };
    // The long part comes last: what can fail must not cost a quarter of an hour.
    let real = source.measurements()?;
    let (few, fewer) = (feet_of_projection(plan), feet_of_pronation(plan));
    let same = same_feet(plan.seed, few)?;
    let by_pronation = with_pronation(plan.seed, fewer)?;
    let likeness = likeness_section::section(real.as_ref())?;
    let series = series_section::section(plan.seed)?;
    let films = read_all(plan)?;
    page.push(accuracy_section::in_short(&films));
    page.push(engine_section::section(plan, &same.requested, few)?);
    page.push(accuracy_section::section(plan, &films));
    page.push(spread_section::section(&films));
    page.push(projection_section::tube_section(&same, few));
    page.push(projection_section::standing_section(&same, few));
    page.push(projection_section::pronation_section(&by_pronation, fewer));
    page.push(series);
    page.push(likeness);
    if let Some(real) = &real {
        let text = ron::ser::to_string_pretty(real, PrettyConfig::new().depth_limit(2))?;
        page.files.push((KEPT.to_owned(), text));
    }
    Ok(page)
}

fn introduction(plan: &Plan) -> String {
    let Plan {
        seed,
        feet,
        readers,
        pixel_mm,
    } = plan;
    format!(
        "# Validation\n\n\
How far the program's numbers lie from the truth, measured on {feet} simulated feet, every film read by \
{readers} rough readers. This page is written by a command and \
not by hand; anyone can write it again:\n\n\
```text\ncargo run --release -p plumbray-validation -- --feet {feet} --readers {readers} --seed {seed} --pixel {pixel_mm} --out docs\n```\n\n\
The same seed gives the same page. 200 feet take about twenty minutes on two processor cores.\n\n\
How far a change between visits can be trusted is in [visits.md](visits.md), a plan beside the foot on which it is carried out in [plans.md](plans.md).\n\n\
**What these numbers are.** The true outlines of a simulated foot are known to a hundredth of a pixel. \
A reader's error is what the program reads from rough strokes on the picture, less what it reads from \
the true outlines on the same film by the same axes. So an error here is an error of finding the bone, \
not a difference of definition.\n\n\
**What they are not.** These are simulated feet. Our search was built beside our own simulation, which \
flatters it; films of patients hold more than any simulation does: other bones, other exposures, \
deformed and operated joints. What a reader adds by choosing another bone edge than the program, by \
another stance of the patient or another tube is not in these numbers. The program is no medical device.\n"
    )
}
