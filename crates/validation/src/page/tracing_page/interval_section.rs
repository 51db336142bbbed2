//! Section: whether stated intervals hold the truth.

use plumbray_anatomy::{Landmark, LongBone, View};
use plumbray_measure::Unit;

use super::{
    Answered, Section,
    bar::{Bar, Found, Limit},
};
use crate::{
    page::table::Table,
    tracing::{FilmOutcome, Judged, Spot},
};

/// Between which shares, in per cent, a stated 95 % interval must hold the truth.
pub(super) const HONEST: Limit = Limit::Between(90.0, 98.0);

/// How often the intervals of one kind hold the truth.
#[derive(Clone, Debug, Default)]
pub(super) struct Tally {
    held: usize,
    count: usize,
}

impl Tally {
    pub(super) fn add(&mut self, holds: bool) {
        self.count += 1;
        self.held += usize::from(holds);
    }

    pub(super) fn share(&self) -> Option<f64> {
        (self.count > 0).then(|| self.held as f64 / self.count as f64)
    }
}

/// Tallies in the order in which their kinds were met: with strokes, and without a click.
#[derive(Clone, Debug, Default)]
struct Tallies(Vec<(String, [Tally; 2])>);

/// Which of the two tallies.
const WAYS: [&str; 2] = ["with strokes", "without a click"];

impl Tallies {
    fn add(&mut self, kind: String, way: usize, holds: bool) {
        let place = self.0.iter().position(|(known, _)| *known == kind);
        let place = place.unwrap_or_else(|| {
            self.0.push((kind, <[Tally; 2]>::default()));
            self.0.len() - 1
        });
        self.0[place].1[way].add(holds);
    }

    fn markdown(&self) -> String {
        let mut table = Table::new(&[
            "",
            "with strokes: n",
            "holds, %",
            "verdict",
            "without a click: n",
            "holds, %",
            "verdict",
        ]);
        for (kind, tallies) in &self.0 {
            let mut row = vec![kind.clone()];
            for tally in tallies {
                let bar = Bar::share("", tally.share(), HONEST);
                row.extend([
                    tally.count.to_string(),
                    bar.found.cell(1),
                    bar.verdict().to_owned(),
                ]);
            }
            table.row(row);
        }
        table.markdown()
    }

    /// One bar for each way: how many kinds are not honest.
    fn bars(&self, what: &str) -> Vec<Bar> {
        let bar = |way: usize| {
            let verdicts: Vec<&str> = self
                .0
                .iter()
                .map(|(_, tallies)| Bar::share("", tallies[way].share(), HONEST).verdict())
                .filter(|verdict| *verdict != "not measured")
                .collect();
            let missed = verdicts.iter().filter(|one| **one == "missed").count();
            Bar {
                what: format!(
                    "Intervals of {what} {}: kinds outside 90 to 98 % of {}",
                    WAYS[way],
                    verdicts.len()
                ),
                limit: Limit::AtMost(0.0),
                found: if verdicts.is_empty() {
                    Found::Nothing
                } else {
                    Found::Value(missed as f64)
                },
                decimals: 0,
                unit: "",
            }
        };
        vec![bar(0), bar(1)]
    }
}

pub(super) fn section(films: &[FilmOutcome]) -> Answered {
    let (mut places, mut angles) = (Tallies::default(), Tallies::default());
    for film in films.iter().filter(|film| film.change.is_none()) {
        let readers = film.readers.iter().map(|judged| (0, judged));
        let without_click = film.seen.judged().map(|judged| (1, judged));
        for (way, judged) in readers.chain(without_click) {
            add(&mut places, &mut angles, film.view, way, judged);
        }
    }
    let mut section = Section::headed("Do the stated intervals hold the truth?");
    section.text(
        "On the films as they were made, good and poor. Of a point, the 95 % interval is the circle of 2.45 stated standard \
deviations; of a cortex, 1.96 across the bone, and of the points of the calcaneus’ plantar line, along which they may lie anywhere, \
1.96 across it; of an angle, the interval that the worksheet shows. A place that is flagged \
counts like any other. Each must hold the truth in 90 to 98 %: fewer claim too much, more are wider than they need to be.",
    );
    section.text(&places.markdown());
    section.text(&angles.markdown());
    let bars = [places.bars("landmarks"), angles.bars("angles")].concat();
    (section, bars)
}

fn add(places: &mut Tallies, angles: &mut Tallies, view: View, way: usize, judged: &Judged) {
    for error in &judged.spots {
        if let Some((kind, offset)) = kind(view, error.spot).zip(error.found) {
            places.add(kind, way, error.spot.holds(&offset));
        }
    }
    for number in &judged.numbers {
        if let Some(read) = number.read
            && number.measurement.unit() == Unit::Degrees
        {
            angles.add(number.measurement.name().to_owned(), way, read.holds);
        }
    }
}

/// The kind of a place; nothing for the middle of a shaft, which follows from its cortices.
pub(super) fn kind(view: View, spot: Spot) -> Option<String> {
    let is_lesser = |bone: LongBone| bone.metatarsal_number().is_some_and(|number| number > 1);
    let kind = match spot {
        Spot::Point(Landmark::BaseCentre(bone)) if is_lesser(bone) => {
            "Second to fifth metatarsal, centre of the base".to_owned()
        }
        Spot::Point(Landmark::Tip(bone)) if is_lesser(bone) => {
            "Second to fifth metatarsal, tip".to_owned()
        }
        Spot::Point(landmark) => landmark.name(),
        Spot::Cortex(bone, ..) if is_lesser(bone) => {
            "Second to fifth metatarsal, cortices".to_owned()
        }
        Spot::Cortex(bone, ..) => {
            let name = Landmark::Tip(bone).name();
            name.replace(", tip", ", cortices")
        }
        Spot::Middle(..) => return None,
    };
    Some(match view {
        View::Ap => kind,
        View::Lateral => format!("Lateral film: {kind}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coverage_counts_what_holds_and_judges_each_kind() {
        let mut tallies = Tallies::default();
        for index in 0..20 {
            tallies.add("honest".to_owned(), 0, index > 0);
            tallies.add("proud".to_owned(), 0, index > 3);
        }
        assert_eq!(tallies.0[0].1[0].share(), Some(0.95), "19 of 20");
        let bars = tallies.bars("landmarks");
        assert_eq!(bars[0].found, Found::Value(1.0), "one kind is too proud");
        assert_eq!(bars[0].verdict(), "missed", "with strokes");
        assert_eq!(bars[1].verdict(), "not measured", "without a click");
    }
}
