//! Section: films that were changed on their way.

use plumbray_measure::Measurement;

use super::{
    Answered, Section, Sizes, as_made,
    bar::{self, Bar, Limit},
    no_click_section::{far_and_flagged, is_near, is_right},
    share_of,
};
use crate::{
    page::table::{Table, per_cent},
    tracing::{Change, FilmOutcome, Judged, NumberError},
};

pub(super) fn section(films: &[FilmOutcome]) -> Answered {
    let changed: Vec<&FilmOutcome> = films.iter().filter(|film| film.change.is_some()).collect();
    let good: Vec<&FilmOutcome> = as_made(films).filter(|film| film.is_good()).collect();
    let mut bars = vec![
        Bar::share(
            "Changed films that are flagged",
            share_of(&changed, |film| film.is_flagged()),
            Limit::AtMost(15.0),
        ),
        Bar::share(
            "Good films that are flagged",
            share_of(&good, |film| film.is_flagged()),
            Limit::AtMost(0.0),
        ),
    ];
    let mut section = Section::headed("Changed films");
    section.text(
        "Good AP films, each changed in several ways, one at a time. The same bars hold as for films as they are made, or \
a flag: the right view and side, the whole first ray within 3 mm in 85 %, of landmarks farther off 95 % flagged; and from \
strokes, where the first ray is not flagged, the 95th centile of the hallux valgus angle within 1°, of the intermetatarsal \
angle within 0.7° and of the directions of the bones within 1°.",
    );
    section.text(&recipes());
    let mut table = Table::new(&[
        "",
        "films",
        "flagged, %",
        "right view and side, or flagged, %",
        "first ray within 3 mm, or flagged, %",
        "of landmarks farther off, flagged, %",
        "HVA 95th °",
        "IMA 95th °",
        "directions 95th °",
        "verdict",
    ]);
    for change in Change::ALL {
        let own: Vec<&FilmOutcome> = changed
            .iter()
            .copied()
            .filter(|film| film.change == Some(change))
            .collect();
        let (row, verdict) = row(change, &own);
        table.row(row);
        bars.push(verdict);
    }
    section.text(&table.markdown());
    section.text(&bar::table(&bars[..2]));
    (section, bars)
}

fn recipes() -> String {
    let lines: Vec<String> = Change::ALL
        .iter()
        .map(|change| format!("* {}: {}", change.name(), change.recipe()))
        .collect();
    lines.join("\n")
}

/// A row of one change, and the bar that all of its bars make.
fn row(change: Change, films: &[&FilmOutcome]) -> (Vec<String>, Bar) {
    let or_flagged = |is_so: &dyn Fn(&FilmOutcome) -> bool| {
        share_of(films, |film| film.is_flagged() || is_so(film))
    };
    let right = or_flagged(&|film| is_right(&film.seen, film.view));
    let near = or_flagged(&|film| is_near(&film.seen));
    let far = far_and_flagged(films);
    let degrees = [
        (number(films, Measurement::HalluxValgusAngle), 1.0),
        (number(films, Measurement::IntermetatarsalAngle12), 0.7),
        (unflagged(films).flat_map(turns).collect(), 1.0),
    ]
    .map(|(sizes, most): (Sizes, f64)| Bar::degrees("", sizes.centile(0.95), most));
    let parts: Vec<Bar> = [(right, 100.0), (near, 85.0), (far, 95.0)]
        .map(|(share, least)| Bar::share("", share, Limit::AtLeast(least)))
        .into_iter()
        .chain(degrees.clone())
        .collect();
    let missed = parts
        .iter()
        .filter(|part| part.verdict() == "missed")
        .count();
    let bar = Bar {
        what: format!(
            "Changed films, {}: bars missed of {}",
            change.name(),
            parts.len()
        ),
        limit: Limit::AtMost(0.0),
        found: if films.is_empty() {
            bar::Found::Nothing
        } else {
            bar::Found::Value(missed as f64)
        },
        decimals: 0,
        unit: "",
    };
    let mut row = vec![
        change.name().to_owned(),
        films.len().to_string(),
        per_cent(share_of(films, |film| film.is_flagged())),
        per_cent(right),
        per_cent(near),
        per_cent(far),
    ];
    row.extend(degrees.map(|bar| bar.found.cell(2)));
    row.push(bar.verdict().to_owned());
    (row, bar)
}

/// The readers' tracings in which nothing of the first ray is flagged.
fn unflagged<'a>(films: &'a [&'a FilmOutcome]) -> impl Iterator<Item = &'a Judged> {
    films
        .iter()
        .flat_map(|film| &film.readers)
        .filter(|judged| !judged.first_ray_is_flagged)
}

fn number(films: &[&FilmOutcome], measurement: Measurement) -> Sizes {
    unflagged(films)
        .filter_map(|judged| judged.number(measurement))
        .map(NumberError::error)
        .collect()
}

fn turns(judged: &Judged) -> impl Iterator<Item = Option<f64>> + '_ {
    judged.axes.iter().map(|axis| axis.1)
}
