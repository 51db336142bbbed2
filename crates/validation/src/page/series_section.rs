//! Published series of operated feet beside what plans predict.

use anyhow::Result;

use super::{
    Section,
    table::{Table, number},
};
use crate::plans::{FEET_PER_SERIES, Predicted, SERIES, SHIFTS, Series, predicted};

/// What usual plans predict for feet like those of published series.
///
/// # Errors
/// When a foot or a film cannot be made, or a plan not be carried out.
pub(super) fn section(seed: u64) -> Result<Section> {
    let predictions: Vec<Predicted> = SERIES
        .iter()
        .map(|series| predicted(seed, series))
        .collect::<Result<_>>()?;
    let mut section = Section::headed("Published series beside predictions");
    section.text(&introduction());
    section.text(&table(&predictions));
    section.text(&sources());
    section.text(EXPLAINED);
    Ok(section)
}

fn introduction() -> String {
    format!(
        "Means of published series, and what a usual plan predicts for {FEET_PER_SERIES} random simulated feet that are given the series’ mean angles on their films: \
a straight cut square to the shaft 23 mm from the joint, 2 mm of kerf, no turn, the toe as it was. Angles in degrees, hallux valgus / 1–2 intermetatarsal. \
How well a plan agrees with the foot on which it is carried out is in [plans.md](plans.md)."
    )
}

fn table(all: &[Predicted]) -> String {
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
    table.markdown()
}

fn sources() -> String {
    let mut text = "Sources, in the order of the table:\n\n".to_owned();
    for Series { source, .. } in SERIES {
        text.push_str(&format!("* {source}\n"));
    }
    text
}

/// What the model explains of the series, and what it cannot know.
const EXPLAINED: &str = "The intermetatarsal angle is what a shift of the head explains. The hallux valgus angle falls in the series by much more than the shift alone \
brings, because the toe is realigned by releasing the joint, by soft tissue and by a wedge of the phalanx; a plan only knows of that what it is told. \
The model also cannot know which shift was chosen in which foot, what was lost while the bones healed, and how the foot stood on the last film.";
