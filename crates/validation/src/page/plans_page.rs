//! `docs/plans.md`: what a plan predicts beside what the operated foot shows.

use std::path::Path;

use anyhow::Result;

use super::{
    bar::{self, Bar, Found, Limit},
    table::{Table, number},
    write_alone,
};
use crate::{
    plans::{
        Carried, FEET_PER_SERIES, PlansRun, Predicted, SERIES, SHIFTS, Series, TILT_SD_DEGREES,
        carried, predicted,
    },
    statistics::Summary,
};

/// A written page with everything that it was made from.
#[derive(Clone, Debug)]
pub struct PlansPage {
    /// The page, in Markdown.
    pub markdown: String,
    /// Every plan that was carried out.
    pub plans: Vec<Carried>,
}

/// What is held to a bar: its name, the bar with its unit, and its differences.
struct Held {
    what: &'static str,
    most: f64,
    unit: &'static str,
    differences: Vec<f64>,
    /// How many had no number.
    missing: usize,
}

/// Carries every plan of a run out twice and writes up the differences.
///
/// # Errors
/// When a foot or a film cannot be made, or a plan not be carried out.
pub fn plans_page(run: &PlansRun) -> Result<PlansPage> {
    let plans = carried(run)?;
    let series: Vec<Predicted> = SERIES
        .iter()
        .map(|series| predicted(run.seed, series))
        .collect::<Result<_>>()?;
    let PlansRun { seed, plans: asked } = run;
    let held = held(&plans);
    let bars: Vec<Bar> = held.iter().map(Held::bar).collect();
    let mut markdown = format!(
        "# What a plan predicts, beside what the operated foot shows\n\n\
Plans carried out twice. This page is written by a command; the same seed gives the same page:\n\n\
```text\ncargo run --release -p plumbray-validation -- plans --plans {asked} --seed {seed} --out docs\n```\n\n\
{asked} random feet with a hallux valgus angle above 25° and an intermetatarsal angle above 12°, each with a random plan: a straight cut 19 to 27 mm from the joint, \
tilted by −10 to 20°, a kerf of 1 to 3 mm, a shift of 40 to 100 % of the shaft’s width, a turn of −4 to 9°, a dorsal shift of −2 to 2 mm, a plantar tilt of −5 to 8°, \
a toe that follows the head or keeps its direction, and two screws, suggested or random (ranges ours). {} of them could be filmed before and after.\n\n\
The first way is the program’s: the plan is carried out on the true tracing of an AP and a lateral film, calibrated at the height of the head. \
The second is the simulated foot’s: the same plan cuts its bone in space, and it is filmed again in the same beam (a tube tilted by 15°, from foot to foot by {TILT_SD_DEGREES}° more or less: standard deviation, ours) and measured on its true tracing, by head centre – base centre. \
A screw’s true length is that between the two places in space which the AP film and the height on the lateral film tell. Differences are prediction less truth.\n\n\
**What this is not.** These are simulated feet, and the program is no medical device.\n\n## In short\n\nThe largest difference of all plans is held to the bar.\n\n",
        plans.len()
    );
    markdown.push_str(&bar::table(&bars));
    markdown.push_str("\n## Differences\n\n");
    markdown.push_str(&differences_table(&held));
    markdown.push_str(LEFT_OUT);
    markdown.push_str(&series_text(&series));
    Ok(PlansPage { markdown, plans })
}

/// What the page says of the limits of the comparison.
const LEFT_OUT: &str = "\n## What the simulated foot leaves out\n\n\
* The fragment moves as a rigid body to where the plan puts it: no saw wanders, no bone is pressed in, nothing is lost while it heals.\n\
* The rest of the foot stands as it stood. Tendons and capsule pull at nothing, and the toe goes where its rule says.\n\
* Both films are of one foot that stands still and straight, and the tracing is perfect. What a film from another stance adds is in [visits.md](visits.md), what tracing adds in [validation.md](validation.md).\n\
* A flat AP film does not tell how the foot stood for its lateral film, nor how its own tube was tilted: the length of a screw takes the foot to stand along the second metatarsal and the tube to be tilted by 15°. A foot with more or less metatarsus adductus stands otherwise.\n\
* Supination and a chevron’s form are not tried: no flat film shows the one, and the simulated cut is straight.\n";

impl PlansPage {
    /// Writes `plans.md` into a folder.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn write(&self, folder: &Path) -> Result<()> {
        write_alone(folder, "plans.md", &self.markdown)
    }
}

impl Held {
    fn new(
        what: &'static str,
        (most, unit): (f64, &'static str),
        all: impl IntoIterator<Item = Option<f64>>,
    ) -> Self {
        let all: Vec<Option<f64>> = all.into_iter().collect();
        let differences: Vec<f64> = all.iter().copied().flatten().collect();
        Self {
            what,
            most,
            unit,
            missing: all.len() - differences.len(),
            differences,
        }
    }

    fn bar(&self) -> Bar {
        let found = match Summary::of(&self.differences) {
            _ if self.missing > 0 => Found::TooMuchMissing,
            Some(summary) => Found::Value(summary.worst.abs()),
            None => Found::Nothing,
        };
        Bar {
            what: format!("{}, largest difference", self.what),
            limit: Limit::AtMost(self.most),
            found,
            decimals: 2,
            unit: self.unit,
        }
    }
}

fn held(plans: &[Carried]) -> Vec<Held> {
    let screws = plans.iter().flat_map(|plan| plan.screws_mm.iter().copied());
    vec![
        Held::new(
            "Hallux valgus angle",
            (1.0, "°"),
            plans.iter().map(|plan| plan.hallux_valgus),
        ),
        Held::new(
            "1–2 intermetatarsal angle",
            (1.0, "°"),
            plans.iter().map(|plan| plan.intermetatarsal),
        ),
        Held::new(
            "First metatarsal’s tip beyond the second’s",
            (0.7, " mm"),
            plans.iter().map(|plan| plan.reach_mm),
        ),
        Held::new(
            "Change of length along the second metatarsal",
            (0.7, " mm"),
            plans.iter().map(|plan| plan.length_mm),
        ),
        Held::new("Length of a screw", (1.0, " mm"), screws),
    ]
}

fn differences_table(held: &[Held]) -> String {
    let mut table = Table::new(&["", "n", "mean", "SD", "largest", "within the bar"]);
    for one in held {
        let Some(summary) = Summary::of(&one.differences) else {
            continue;
        };
        let within = one
            .differences
            .iter()
            .filter(|difference| difference.abs() <= one.most)
            .count();
        table.row([
            format!("{},{}", one.what, one.unit.replace('°', " °")),
            summary.count.to_string(),
            number(summary.bias, 2),
            number(summary.sd, 2),
            number(summary.worst, 2),
            format!("{within} of {}", summary.count),
        ]);
    }
    table.markdown()
}

fn series_text(all: &[Predicted]) -> String {
    let mut text = format!(
        "\n## Published series beside predictions\n\n\
Means of published series, and what a usual plan predicts for {FEET_PER_SERIES} random simulated feet that are given the series’ mean angles on their films: \
a straight cut square to the shaft 23 mm from the joint, 2 mm of kerf, no turn, the toe as it was. Angles in degrees, hallux valgus / 1–2 intermetatarsal.\n\n"
    );
    let mut heads = vec!["series".to_owned(), "n".to_owned()];
    heads.extend(["published before", "published after", "simulated before"].map(str::to_owned));
    heads.extend(SHIFTS.map(|shift| format!("shift of {} %", number(100.0 * shift, 0))));
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut table = Table::new(&heads);
    let pair = |[valgus, intermetatarsal]: [f64; 2]| {
        format!("{} / {}", number(valgus, 1), number(intermetatarsal, 1))
    };
    for (series, predicted) in SERIES.iter().zip(all) {
        let published =
            |time: usize| pair([series.hallux_valgus[time], series.intermetatarsal[time]]);
        let mut row = vec![series.name.to_owned(), series.feet.to_string()];
        row.extend([published(0), published(1), pair(predicted.before)]);
        row.extend(predicted.after.map(pair));
        table.row(row);
    }
    text.push_str(&table.markdown());
    text.push_str("\nSources, in the order of the table:\n\n");
    for Series { source, .. } in SERIES {
        text.push_str(&format!("* {source}\n"));
    }
    text.push_str(
        "\nThe intermetatarsal angle is what a shift of the head explains. The hallux valgus angle falls in the series by much more than the shift alone \
brings, because the toe is realigned by releasing the joint, by soft tissue and by a wedge of the phalanx; a plan only knows of that what it is told. \
The model also cannot know which shift was chosen in which foot, what was lost while the bones healed, and how the foot stood on the last film.\n",
    );
    text
}
