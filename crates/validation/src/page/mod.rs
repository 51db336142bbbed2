//! The page: what was done, what came of it, and what it means.

mod accuracy_section;
mod engine_section;
mod projection_section;
mod spread_section;
mod table;

use std::{fs, path::Path};

use anyhow::{Context, Result};

use crate::{
    accuracy::{Plan, read_all},
    plot::Chart,
    projection_effects::with_tube_tilt,
    requested::requested_angles,
};

/// The page and its plots, ready to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// The page, in Markdown.
    pub markdown: String,
    /// The plots: file name and SVG.
    pub plots: Vec<(String, String)>,
}

/// The folder of the plots beside the page.
const PLOT_FOLDER: &str = "validation";

impl Page {
    fn push(&mut self, section: Section) {
        self.markdown.push('\n');
        self.markdown.push_str(&section.markdown);
        self.plots.extend(section.plots);
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
        for (name, svg) in &self.plots {
            let path = plots.join(name);
            fs::write(&path, svg)
                .with_context(|| format!("{} cannot be written", path.display()))?;
        }
        Ok(())
    }
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

/// How many feet show the effect of projection: their truth needs no picture, but still some time.
fn feet_of_projection(plan: &Plan) -> usize {
    plan.feet.min(60)
}

/// Does everything that a plan says and writes it up.
///
/// # Errors
/// When a foot or a film cannot be simulated.
pub fn written_page(plan: &Plan) -> Result<Page> {
    let mut page = Page {
        markdown: introduction(plan),
        plots: Vec::new(),
    };
    let few = feet_of_projection(plan);
    page.push(engine_section::section(
        plan,
        &requested_angles(plan.seed, few)?,
        few,
    )?);
    let films = read_all(plan)?;
    page.push(accuracy_section::section(plan, &films));
    page.push(spread_section::section(&films));
    page.push(projection_section::section(
        &with_tube_tilt(plan.seed, few)?,
        few,
    ));
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
How far the program's numbers lie from the truth, measured on {feet} simulated feet with an AP and a \
lateral film each, every film read by {readers} rough readers. This page is written by a command and \
not by hand; anyone can write it again:\n\n\
```text\ncargo run --release -p plumbray-validation -- --feet {feet} --readers {readers} --seed {seed} --pixel {pixel_mm} --out docs\n```\n\n\
The same seed gives the same page.\n\n\
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
