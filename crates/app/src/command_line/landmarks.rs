//! `plumbray landmarks`: a study's landmarks as a table, and back.

use std::{fs, io::Write};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_study::{StudyFile, landmark_table, load};

use super::LandmarksArguments;

pub(super) fn landmarks(
    arguments: &LandmarksArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let view = View::from(arguments.view);
    let Some(table) = &arguments.import else {
        let study = load(&arguments.study)?;
        write!(output, "{}", landmark_table::export(study.tracing.on(view)))?;
        return Ok(());
    };
    let text = fs::read_to_string(table)
        .with_context(|| format!("the table cannot be read: {}", table.display()))?;
    let imported = landmark_table::import(&text, view)
        .with_context(|| format!("in the table {}", table.display()))?;
    let (mut file, study) = StudyFile::open(&arguments.study)?;
    let Some(mut study) = study else {
        bail!("there is no study here: {}", arguments.study.display());
    };
    let count = imported.points.len() + imported.cortices.len();
    let tracing = study.tracing.on_mut(view);
    tracing.points.extend(imported.points);
    tracing.cortices.extend(imported.cortices);
    let who = study.reader.name.clone();
    study.history.record(&who, "Import landmarks");
    file.save(&study)?;
    writeln!(
        output,
        "{count} landmarks are in {}",
        arguments.study.display()
    )?;
    Ok(())
}
