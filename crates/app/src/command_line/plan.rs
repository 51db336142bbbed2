//! `plumbray plan`: what the plans of an osteotomy would do to a foot.

use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_plan::{Extent, Goal, Plan};
use plumbray_report::Paper;
use plumbray_study::{STUDY_ENDING, Study, load, studies_of};

use super::{PlanArguments, plan_columns::write_text, sheet_files::FilmFile};
use crate::{
    planning::{
        Carried, Changes, Diameter, TheatreSheet, carried, is_calibrated, plan_table, planned_foot,
    },
    printing::{identity_of, write_beside},
};

pub(super) fn plan(arguments: &PlanArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let path = study_at(&arguments.study)?;
    let study = load(&path)?;
    let plans = plans(arguments, &study)?;
    let changes = Changes {
        shift: arguments.shift,
        goal: arguments.solve,
        keeps_length: arguments.keep_length,
        screws: arguments
            .suggest_screws
            .then(|| arguments.diameter.map_or(Diameter::Usual, Diameter::Stated)),
    };
    let chosen = chosen(arguments.only, plans.len())?;
    let carried: Vec<Carried> = plans
        .iter()
        .enumerate()
        .filter(|(place, _)| chosen.is_none_or(|chosen| *place == chosen))
        .map(|(place, plan)| carried(&study, plan, place, changes))
        .collect::<anyhow::Result<_>>()
        .with_context(|| format!("no plan for {}", path.display()))?;
    let files = files(arguments, &path, &study, &carried)?;
    let films: Vec<PathBuf> = film_paths(&study, &path).collect();
    for (path, bytes) in &files {
        write_beside(path, bytes, films.iter().map(PathBuf::as_path))?;
    }
    write_text(&path, &study, &carried, output)
}

/// The study that was named, or that of the film that was named.
fn study_at(path: &Path) -> anyhow::Result<PathBuf> {
    let name = path.file_name().unwrap_or_default();
    let is_study = name.as_encoded_bytes().ends_with(STUDY_ENDING.as_bytes());
    if is_study || !path.exists() {
        return Ok(path.to_owned());
    }
    match studies_of(path).as_slice() {
        [only] => Ok(only.clone()),
        [] => bail!(
            "no study lies beside this film; trace it in the window or by plumbray trace --save: {}",
            path.display()
        ),
        several => {
            let names: Vec<String> = several
                .iter()
                .map(|study| study.display().to_string())
                .collect();
            bail!(
                "this film has several studies; name one of {}",
                names.join(", ")
            )
        }
    }
}

/// The plans that are asked for: of a file, the usual one, or the study's own.
fn plans(arguments: &PlanArguments, study: &Study) -> anyhow::Result<Vec<Plan>> {
    if arguments.usual {
        return Ok(vec![Plan {
            name: "Usual plan".to_owned(),
            ..Plan::usual(is_calibrated(study))
        }]);
    }
    let Some(path) = &arguments.plan else {
        if study.plans.is_empty() {
            bail!(
                "this study holds no plan; name one by --plan FILE, or begin with the usual one by --usual"
            );
        }
        return Ok(study.plans.clone());
    };
    let text = fs::read_to_string(path)
        .with_context(|| format!("the plan cannot be read: {}", path.display()))?;
    plans_of(&text).with_context(|| format!("in the plan {}", path.display()))
}

/// One plan, or a list of them, as RON.
fn plans_of(text: &str) -> anyhow::Result<Vec<Plan>> {
    let plans = if text.trim_start().starts_with('[') {
        ron::from_str::<Vec<Plan>>(text)
    } else {
        ron::from_str::<Plan>(text).map(|plan| vec![plan])
    };
    let plans = plans.context("this is no plan; docs/command-line.md shows one")?;
    if plans.is_empty() {
        bail!("the list is empty; put a plan in it");
    }
    Ok(plans)
}

/// The place of the one plan that is asked for; nothing where all are.
fn chosen(only: Option<usize>, count: usize) -> anyhow::Result<Option<usize>> {
    match only {
        None => Ok(None),
        Some(number) if (1..=count).contains(&number) => Ok(Some(number - 1)),
        Some(number) => bail!("there is no plan {number}; --only takes a number from 1 to {count}"),
    }
}

/// Everything that is to be written, made before any of it is.
fn files(
    arguments: &PlanArguments,
    path: &Path,
    study: &Study,
    plans: &[Carried],
) -> anyhow::Result<Vec<(PathBuf, Vec<u8>)>> {
    let mut files = Vec::new();
    let data = planned_foot(&path.display().to_string(), study, plans);
    if let Some(path) = &arguments.json {
        let mut bytes = serde_json::to_vec_pretty(&data)?;
        bytes.push(b'\n');
        files.push((path.clone(), bytes));
    }
    if let Some(path) = &arguments.csv {
        files.push((path.clone(), plan_table(&data)?));
    }
    if arguments.sheet.is_none() && arguments.png.is_none() {
        return Ok(files);
    }
    let [only] = plans else {
        bail!(
            "a sheet for theatre holds one plan, and there are {}; choose one by --only",
            plans.len()
        );
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let films = View::ALL.map(|view| Some(FilmFile::open(study.film(view)?, folder)));
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let paths = || films.iter().flatten().map(FilmFile::path);
    let identity = arguments.identity.then(|| identity_of(paths()));
    let sheet = TheatreSheet {
        name: &name,
        study,
        films: films
            .each_ref()
            .map(|film| film.as_ref().map(FilmFile::found)),
        carried: only,
        paper: Paper::from(arguments.paper),
        identity: identity.as_ref(),
    };
    if let Some(path) = &arguments.sheet {
        files.push((path.clone(), sheet.pdf()?));
    }
    if let Some(path) = &arguments.png {
        files.push((path.clone(), sheet.png()?));
    }
    Ok(files)
}

fn film_paths<'a>(study: &'a Study, path: &'a Path) -> impl Iterator<Item = PathBuf> + 'a {
    let folder = path.parent().unwrap_or(Path::new(""));
    let films = View::ALL.into_iter();
    films.filter_map(move |view| Some(study.film(view)?.path_in(folder)))
}

/// A length of a plan as it is typed: `90%` or `12.6mm`.
pub(super) fn extent_from(text: &str) -> Result<Extent, String> {
    let told = || format!("“{text}” is no length; as in 90% or 12.6mm");
    let number = |digits: &str| {
        let number: f64 = digits.trim().parse().map_err(|_nonsense| told())?;
        if number.is_finite() {
            Ok(number)
        } else {
            Err(told())
        }
    };
    let text = text.trim();
    if let Some(digits) = text.strip_suffix('%') {
        number(digits).map(|per_cent| Extent::Share(per_cent / 100.0))
    } else if let Some(digits) = text.strip_suffix("mm") {
        number(digits).map(Extent::Millimetres)
    } else {
        Err(told())
    }
}

/// What a shift is to reach as it is typed: `ima=6`, `sesamoids` or `most`.
pub(super) fn goal_from(text: &str) -> Result<Goal, String> {
    match text.trim() {
        "sesamoids" => Ok(Goal::SesamoidsUnderHead),
        "most" => Ok(Goal::MostThisBoneAllows),
        other => other
            .strip_prefix("ima=")
            .and_then(|degrees| degrees.trim_end_matches('°').parse::<f64>().ok())
            .filter(|degrees| degrees.is_finite())
            .map(Goal::IntermetatarsalAngle)
            .ok_or_else(|| format!("“{text}” is no goal; ima=6 (degrees), sesamoids or most")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_typed_in_per_cent_or_in_millimetres_and_nothing_else() {
        assert_eq!(extent_from("90%"), Ok(Extent::Share(0.9)), "per cent");
        assert_eq!(
            extent_from(" 12.6 mm"),
            Ok(Extent::Millimetres(12.6)),
            "millimetres"
        );
        for nonsense in ["90", "mm", "NaN%", "inf mm", "9 cm", ""] {
            assert!(extent_from(nonsense).is_err(), "{nonsense}");
        }
    }

    #[test]
    fn a_goal_is_one_of_three() {
        assert_eq!(
            goal_from("ima=6"),
            Ok(Goal::IntermetatarsalAngle(6.0)),
            "an angle"
        );
        assert_eq!(goal_from("most"), Ok(Goal::MostThisBoneAllows), "the most");
        for nonsense in ["ima", "ima=much", "ima=NaN", "least"] {
            assert!(goal_from(nonsense).is_err(), "{nonsense}");
        }
    }

    #[test]
    fn one_plan_and_a_list_are_read_and_nonsense_is_told() {
        assert_eq!(
            plans_of("(name: \"a\")").map(|plans| plans.len()).ok(),
            Some(1),
            "one"
        );
        assert_eq!(
            plans_of("[(), ()]").map(|plans| plans.len()).ok(),
            Some(2),
            "two"
        );
        for nonsense in ["", "[]", "(nome: 1)", "(cut: (level: feet(3)))"] {
            assert!(plans_of(nonsense).is_err(), "{nonsense}");
        }
    }
}
