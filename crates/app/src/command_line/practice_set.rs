//! `plumbray practice-set`: a set of films to practise on, of simulated feet or of studies.

use std::{io::Write, path::PathBuf};

use clap::Args;
use plumbray_practise::{
    BURNT_IN, Difficulty, DifficultyGrade, LessonDefaults, PracticeSet, SimulatedSet, StudyForSet,
    SupervisedSet, made_set, set_from_studies,
};

#[derive(Debug, Args)]
pub(super) struct PracticeSetArguments {
    /// The set's folder; nothing, or an empty folder, may be there.
    folder: PathBuf,
    /// Of simulated feet, whose truth is known.
    #[arg(long, required_unless_present = "from", conflicts_with = "from")]
    simulated: bool,
    /// How many simulated feet; usually 10.
    #[arg(long, value_name = "NUMBER", conflicts_with = "from")]
    feet: Option<u32>,
    /// From which all simulated feet follow; the same seed gives the same feet.
    #[arg(long, conflicts_with = "from")]
    seed: Option<u64>,
    /// Of these studies (`….study.ron`), one for each foot: of each film only the grey picture is copied.
    #[arg(long, value_name = "STUDY", num_args = 1.., requires = "supervisor")]
    from: Vec<PathBuf>,
    /// Who makes the set; whose each reference is, its study says.
    #[arg(long, value_name = "NAME", conflicts_with = "simulated")]
    supervisor: Option<String>,
    /// Whether residents may let the program move points to edges from the start; each can choose otherwise.
    #[arg(long, conflicts_with = "simulated")]
    snapping: bool,
    /// What the set is called.
    #[arg(long, value_name = "TEXT")]
    name: Option<String>,
}

pub(super) fn practice_set(
    arguments: &PracticeSetArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let set = if arguments.simulated {
        simulated(arguments)?
    } else {
        of_studies(arguments)?
    };
    writeln!(output, "{}", arguments.folder.display())?;
    writeln!(output, "  “{}”: {}", set.name, grades(&set))?;
    writeln!(output, "  Made with {}.", set.made_with)?;
    if !arguments.simulated {
        writeln!(
            output,
            "  How hard a foot is to read is not in a study; each counts as easy."
        )?;
        writeln!(output, "  {BURNT_IN}")?;
    }
    Ok(())
}

fn simulated(arguments: &PracticeSetArguments) -> anyhow::Result<PracticeSet> {
    let usual = SimulatedSet::default();
    let request = SimulatedSet {
        name: arguments.name.clone().unwrap_or(usual.name),
        seed: arguments.seed.unwrap_or(usual.seed),
        count: arguments.feet.unwrap_or(usual.count),
        ..SimulatedSet::default()
    };
    Ok(made_set(&arguments.folder, &request)?)
}

fn of_studies(arguments: &PracticeSetArguments) -> anyhow::Result<PracticeSet> {
    let supervisor = arguments.supervisor.clone().unwrap_or_default();
    let foot = |path: &PathBuf| StudyForSet {
        path: path.clone(),
        difficulty: Difficulty::by_reasons(Vec::new()),
        tags: Vec::new(),
        looked_at: None,
    };
    let request = SupervisedSet {
        name: arguments
            .name
            .clone()
            .unwrap_or_else(|| format!("Feet traced by {supervisor}")),
        made_by: supervisor.clone(),
        supervisor,
        defaults: LessonDefaults {
            snapping: arguments.snapping,
            ..LessonDefaults::default()
        },
        studies: arguments.from.iter().map(foot).collect(),
    };
    Ok(set_from_studies(&arguments.folder, &request, &mut |_| ())?)
}

/// How many feet there are, and of which difficulty.
fn grades(set: &PracticeSet) -> String {
    let of_grades: Vec<String> = DifficultyGrade::ALL
        .into_iter()
        .map(|grade| (grade, count(set, grade)))
        .filter(|(_, count)| *count > 0)
        .map(|(grade, count)| format!("{count} {}", grade.name()))
        .collect();
    let word = if set.feet.len() == 1 { "foot" } else { "feet" };
    format!("{} {word}, {}", set.feet.len(), of_grades.join(", "))
}

fn count(set: &PracticeSet, grade: DifficultyGrade) -> usize {
    let feet = set.feet.iter();
    feet.filter(|foot| foot.difficulty.grade == grade).count()
}
