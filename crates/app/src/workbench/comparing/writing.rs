//! Writing a comparison: a sheet to print, a table, a picture of the plot.

use std::path::{Path, PathBuf};

use plumbray_measure::Measurement;
use plumbray_study::study_stem;

use super::{Comparing, ComparisonFile};
use crate::{
    comparing::{comparison_pdf, comparison_plot, comparison_table},
    printing::write_beside,
    workbench::{Finished, Workbench, state::Request},
};

impl Workbench {
    pub(super) fn ask_where_to_write(&mut self, file: ComparisonFile) {
        let Some(now) = &self.comparing else { return };
        let Some([_, later]) = now.foot.both(now.pair()) else {
            return;
        };
        let name = format!("{}.compared.{}", study_stem(&later.path), file.ending());
        let proposal = later.path.with_file_name(name);
        self.requests
            .push(Request::AskWhereToPutComparison(file, proposal));
    }

    pub(super) fn start_writing_comparison(&mut self, file: ComparisonFile, path: PathBuf) {
        let Some(now) = &self.comparing else { return };
        let job = WritingJob {
            now: now.clone(),
            rows: Measurement::ALL
                .into_iter()
                .filter(|row| self.settings.rows.has(*row))
                .collect(),
        };
        self.jobs
            .start(&format!("Making the {}", file.name()), move || {
                let made = job
                    .write(file, &path)
                    .map_err(|problem| format!("{problem:#}"));
                Finished::ComparisonWritten(file, made.map(|()| path))
            });
    }

    pub(in super::super) fn comparison_was_written(
        &mut self,
        file: ComparisonFile,
        result: Result<PathBuf, String>,
    ) {
        let name = file.name();
        match result {
            Ok(path) => self.note(format!("The {name} is made: {}", path.display())),
            Err(problem) => self.warn(format!("No {name} was made: {problem}")),
        }
    }
}

struct WritingJob {
    now: Comparing,
    rows: Vec<Measurement>,
}

impl WritingJob {
    fn write(&self, file: ComparisonFile, path: &Path) -> anyhow::Result<()> {
        let now = &self.now;
        let bytes = match file {
            ComparisonFile::Sheet => {
                let mut films = now.films.clone();
                now.foot.open_both(now.pair(), &mut films);
                let plan = now.held_plan();
                comparison_pdf(
                    &now.foot,
                    &now.comparison,
                    plan,
                    now.limit,
                    &self.rows,
                    &films,
                )?
            }
            ComparisonFile::Table => comparison_table(&now.comparison, now.held_plan())?,
            ComparisonFile::Plot => comparison_plot(&now.foot, &now.comparison)?,
        };
        let films = now.foot.film_paths();
        write_beside(path, &bytes, films.iter().map(PathBuf::as_path))
    }
}
