//! Section: films of real bones.

use plumbray_anatomy::{Landmark, LongBone, View};
use plumbray_measure::Measurement;

use super::{
    Answered, Section, Sizes,
    bar::{self, Bar, Found, Limit},
    interval_section::{HONEST, Tally, kind},
    no_click_section::is_right,
    share_of,
    strokes_section::spread,
};
use crate::{
    page::table::{Table, number},
    statistics::{mean, quantile},
    tracing::{Judged, NumberError, Offset, RealOutcome, Seen, Spot},
};

/// The two angles with the bar of their 95th centile, in degrees.
const ANGLES: [(Measurement, &str, f64); 2] = [
    (Measurement::HalluxValgusAngle, "hallux valgus angle", 1.5),
    (
        Measurement::IntermetatarsalAngle12,
        "1–2 intermetatarsal angle",
        1.0,
    ),
];

/// Bar of the spread between the readers of one film, in degrees.
const SPREAD: f64 = 0.4;

/// Bar of the direction of a bone of the first ray without a click, in degrees.
const TURN: f64 = 1.5;

pub(super) fn section(films: Option<&[RealOutcome]>) -> Answered {
    let mut section = Section::headed("Films of real bones");
    let Some(films) = films else {
        section.text("Not run: no folder of films of real bones was named (`--films FOLDER`).");
        return (section, Vec::new());
    };
    let bars = bars(films);
    section.text(&format!(
        "{} simulated films of one scanned right forefoot in good and in poor quality, with the strokes of rough readers \
that come with them. They are used for checking only: nothing was fitted to them. Angles are by the axes at the quarters; \
the truth is defined in three dimensions and projected, ours on the film. Centres of bases are left out where intervals of \
landmarks are counted: that truth’s lie up to 6 mm beside the bone’s own axis, which the same truth gives, and so are another \
point than the middle of the joint surface; the last table shows them all the same.",
        films.len()
    ));
    section.text(&bar::table(&bars));
    section.text("Each film, in degrees: read less true with strokes, and without a click.");
    section.text(&by_film(films));
    section.text(
        "Each kind of place without a click, found less true in mm: along its bone toward distal, and across it toward \
lateral. Where all films of one foot lie off the same way, it is the definition that differs.",
    );
    section.text(&by_kind(films));
    (section, bars)
}

fn bars(films: &[RealOutcome]) -> Vec<Bar> {
    let mut bars = Vec::new();
    for (measurement, name, most) in ANGLES {
        let errors: Sizes = films
            .iter()
            .flat_map(|film| &film.readers)
            .filter_map(|judged| judged.number(measurement))
            .map(NumberError::error)
            .collect();
        let what = format!("Real bones, with strokes: {name}, 95th centile");
        bars.push(Bar::degrees(what, errors.centile(0.95), most));
    }
    for (measurement, name, _) in ANGLES {
        let spreads: Vec<f64> = films
            .iter()
            .filter_map(|film| spread(&film.readers, measurement))
            .collect();
        for (share, which) in [(0.5, "median of films"), (1.0, "worst film")] {
            let what = format!("Real bones, with strokes: {name}, spread between readers, {which}");
            let found = quantile(&spreads, share).map_or(Found::Nothing, Found::Value);
            bars.push(Bar::degrees(what, found, SPREAD));
        }
    }
    bars.push(Bar::share(
        "Real bones, without a click: one foot, with the right view and side",
        share_of(films, |film| is_right(&film.seen, View::Ap)),
        Limit::AtLeast(100.0),
    ));
    bars.push(Bar::share(
        "Real bones, without a click: axes of the first ray within 1.5°, or flagged",
        share_of(films, |film| film.seen.is_flagged() || has_axes(&film.seen)),
        Limit::AtLeast(100.0),
    ));
    bars.extend(interval_bars(films));
    bars
}

/// Whether that truth means the same place as the landmark here. Of a base it does not: its points lie up to
/// several millimetres beside the bone's own axis, which the same truth gives, and not in the middle of the
/// joint surface.
const fn is_alike(spot: Spot) -> bool {
    !matches!(spot, Spot::Point(Landmark::BaseCentre(_)))
}

/// How often stated intervals hold the truth, of both angles and of all landmarks together: there are too
/// few films to tell their kinds apart.
fn interval_bars(films: &[RealOutcome]) -> Vec<Bar> {
    let with_strokes: Vec<&Judged> = films.iter().flat_map(|film| &film.readers).collect();
    let without_click: Vec<&Judged> = films.iter().filter_map(|film| film.seen.judged()).collect();
    let mut bars = Vec::new();
    for (way, tracings) in [
        ("with strokes", with_strokes),
        ("without a click", without_click),
    ] {
        let (mut angles, mut places) = (Tally::default(), Tally::default());
        for judged in tracings {
            for read in judged.numbers.iter().filter_map(|number| number.read) {
                angles.add(read.holds);
            }
            for error in judged.spots.iter().filter(|error| is_alike(error.spot)) {
                if let Some(offset) = error.found {
                    places.add(error.spot.holds(&offset));
                }
            }
        }
        for (what, tally) in [("angles", angles), ("landmarks", places)] {
            let what = format!("Real bones, {way}: intervals of {what} hold the truth");
            bars.push(Bar::share(what, tally.share(), HONEST));
        }
    }
    bars
}

/// How far the axis of a bone is turned, without a click.
fn turn(seen: &Seen, bone: LongBone) -> Option<f64> {
    let axis = seen.judged()?.axes.iter().find(|axis| axis.0 == bone)?;
    axis.1
}

fn has_axes(seen: &Seen) -> bool {
    [LongBone::M1, LongBone::ProximalPhalanx]
        .into_iter()
        .all(|bone| turn(seen, bone).is_some_and(|turn| turn <= TURN))
}

fn by_film(films: &[RealOutcome]) -> String {
    let mut table = Table::new(&[
        "",
        "HVA mean",
        "SD",
        "IMA mean",
        "SD",
        "foot, view, side",
        "M1 turned",
        "phalanx turned",
        "flagged",
    ]);
    for film in films {
        let mut row = vec![film.name.clone()];
        for (measurement, ..) in ANGLES {
            let errors: Vec<f64> = film
                .readers
                .iter()
                .filter_map(|judged| judged.number(measurement)?.error())
                .collect();
            row.push(shown(mean(&errors)));
            row.push(shown(spread(&film.readers, measurement)));
        }
        row.push(yes(is_right(&film.seen, View::Ap)));
        for bone in [LongBone::M1, LongBone::ProximalPhalanx] {
            row.push(shown(turn(&film.seen, bone)));
        }
        row.push(yes(film.seen.is_flagged()));
        table.row(row);
    }
    table.markdown()
}

/// One row for each kind of place.
fn by_kind(films: &[RealOutcome]) -> String {
    let mut kinds: Vec<(String, Vec<(Spot, Offset)>)> = Vec::new();
    let seen = films.iter().filter_map(|film| film.seen.judged());
    for error in seen.flat_map(|judged| &judged.spots) {
        let Some((name, offset)) = kind(View::Ap, error.spot).zip(error.found) else {
            continue;
        };
        match kinds.iter_mut().find(|(known, _)| *known == name) {
            Some((_, places)) => places.push((error.spot, offset)),
            None => kinds.push((name, vec![(error.spot, offset)])),
        }
    }
    let mut table = Table::new(&[
        "",
        "n",
        "along, median",
        "across, median",
        "distance, median",
        "stated spread, median",
        "interval holds, %",
    ]);
    for (name, places) in kinds {
        let median = |part: fn(&Offset) -> Option<f64>| {
            let parts: Vec<f64> = places
                .iter()
                .filter_map(|(_, offset)| part(offset))
                .collect();
            shown(quantile(&parts, 0.5))
        };
        let holds = share_of(&places, |(spot, offset)| spot.holds(offset));
        table.row([
            name,
            places.len().to_string(),
            median(|offset| offset.along_mm),
            median(|offset| offset.across_mm),
            median(|offset| Some(offset.distance_mm)),
            median(|offset| Some(offset.sd_mm)),
            shown(holds.map(|share| 100.0 * share)),
        ]);
    }
    table.markdown()
}

fn shown(value: Option<f64>) -> String {
    value.map_or_else(|| "–".to_owned(), |value| number(value, 2))
}

fn yes(is_so: bool) -> String {
    if is_so { "yes" } else { "no" }.to_owned()
}
