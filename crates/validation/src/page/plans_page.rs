//! `docs/plans.md`: what a plan predicts beside what the operated foot shows.

use std::path::Path;

use anyhow::Result;

use super::{
    bar::{self, Bar, Found, Limit},
    table::{Table, number},
    write_alone,
};
use crate::{
    plans::{Carried, PlansRun, TILT_SD_DEGREES, carried},
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
    let PlansRun { seed, plans: asked } = run;
    let held = held(&plans);
    let bars: Vec<Bar> = held.iter().map(Held::bar).collect();
    let mut markdown = format!(
        "# What a plan predicts, beside what the operated foot shows\n\n\
Plans carried out twice. This page is written by a command; the same seed gives the same page:\n\n\
```text\ncargo run --release -p plumbray-validation -- plans --plans {asked} --seed {seed} --out docs\n```\n\n\
{asked} random feet with a hallux valgus angle above 25° and an intermetatarsal angle above 12°, each with a random plan: a straight cut 19 to 27 mm from the joint, \
tilted by −10 to 20°, a kerf of 1 to 3 mm, a shift of 40 to 100 % of the shaft’s width, a turn of −4 to 9°, a dorsal shift of −2 to 2 mm, a plantar tilt of −5 to 8°, \
a toe that follows the head or keeps its direction, and two screws, suggested or random (ranges ours). {} of them could be filmed before and after. \
What plans predict beside published series is in [validation.md](validation.md#published-series-beside-predictions).\n\n\
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
