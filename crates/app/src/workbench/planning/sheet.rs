//! The sheet for theatre of the plan that is on.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;
use plumbray_report::{FoundFilm, Paper};
use plumbray_study::{Study, study_stem};

use crate::{
    planning::{Carried, Changes, TheatreSheet, carried},
    printing::write_beside,
    workbench::{Finished, OpenFilm, Workbench, state::Request},
};

/// How the name of the sheet ends.
const SHEET_ENDING: &str = "plan.pdf";

impl Workbench {
    pub(super) fn ask_where_to_put_plan(&mut self) {
        if let Some(study) = self.study_path() {
            // Several plans of one foot must not write over each other's sheets.
            let chosen = self.planning.as_ref().map_or(0, |planning| planning.chosen);
            let number = if self.study.plans.len() > 1 {
                format!("{}.", chosen + 1)
            } else {
                String::new()
            };
            let name = format!("{}.{number}{SHEET_ENDING}", study_stem(study));
            let proposal = study.with_file_name(name);
            self.requests.push(Request::AskWhereToPutPlan(proposal));
        }
    }

    /// Makes the sheet on a worker's thread.
    pub(super) fn start_plan_sheet(&mut self, path: PathBuf) {
        let Some(planning) = &self.planning else {
            return;
        };
        let job = PlanSheetJob {
            study: self.study.clone(),
            place: planning.chosen,
            name: self.study_path().map(Path::to_owned).unwrap_or_default(),
            films: View::ALL.map(|view| self.film(view).cloned()),
            paper: self.settings.sheet.paper,
        };
        self.jobs.start("Making the sheet for theatre", move || {
            let made = job.make(&path).map_err(|problem| format!("{problem:#}"));
            Finished::SheetMade(made.map(|()| path))
        });
    }
}

/// What a sheet for theatre needs, as it was when it was asked for.
struct PlanSheetJob {
    study: Study,
    place: usize,
    name: PathBuf,
    films: [Option<OpenFilm>; 2],
    paper: Paper,
}

impl PlanSheetJob {
    fn make(&self, path: &Path) -> anyhow::Result<()> {
        let plan = self
            .study
            .plans
            .get(self.place)
            .ok_or_else(|| anyhow::anyhow!("there is no plan"))?;
        let carried: Carried = carried(&self.study, plan, self.place, Changes::default())?;
        let found = |view: View| {
            let open = self.films[view as usize].as_ref()?;
            Some(FoundFilm::of(&open.pyramid, self.study.film(view)?))
        };
        let name = self.name.file_name().unwrap_or_default().to_string_lossy();
        let sheet = TheatreSheet {
            name: &name,
            study: &self.study,
            films: View::ALL.map(found),
            carried: &carried,
            paper: self.paper,
            identity: None,
        };
        let bytes = sheet.pdf()?;
        let films = self.films.iter().flatten().map(|open| open.path.as_path());
        write_beside(path, &bytes, films)
    }
}
