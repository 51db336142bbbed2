//! Section: what is found without a click.

use plumbray_anatomy::View;

use super::{
    Answered, NEAR_MM, Section, Sizes, as_made,
    bar::{self, Bar, Limit},
    share_of,
};
use crate::{
    page::table::{Table, per_cent},
    quality::Quality,
    tracing::{FilmOutcome, Judged, Seen, Spot, SpotError},
};

pub(super) fn section(films: &[FilmOutcome]) -> Answered {
    let ap: Vec<&FilmOutcome> = as_made(films).collect();
    let good: Vec<&FilmOutcome> = ap.iter().copied().filter(|film| film.is_good()).collect();
    let bars = vec![
        Bar::share(
            "Without a click: one foot, with the right view and side",
            share_of(&ap, |film| is_right(&film.seen, film.view)),
            Limit::AtLeast(100.0),
        ),
        Bar::share(
            "Without a click: good films with the whole first ray within 3 mm",
            share_of(&good, |film| is_near(&film.seen)),
            Limit::AtLeast(85.0),
        ),
        Bar::share(
            "Without a click: of first-ray landmarks farther off, flagged",
            far_and_flagged(&ap),
            Limit::AtLeast(95.0),
        ),
    ];
    let mut section = Section::headed("Without a click");
    section.text(
        "The first ray is, here: base, tip, head and both ends of the joint surface of the first metatarsal, base and tip \
of the proximal phalanx, both sesamoids' centres, and both shafts, each by the middle between its cortices at a quarter \
and at three quarters of the bone, judged across it. A landmark is flagged when it is doubted or left to the reader, a \
shaft by either end of its stroke. A film on which no foot is found has not its first ray within 3 mm and claims no \
landmark.",
    );
    section.text(&bar::table(&bars));
    section.text(&by_quality(films));
    section.text("Each place of the first ray on the good AP films:");
    section.text(&by_place(&good));
    section.text("The places on the lateral films, for information:");
    let lateral: Vec<&FilmOutcome> = films
        .iter()
        .filter(|film| film.view == View::Lateral)
        .collect();
    section.text(&by_place(&lateral));
    (section, bars)
}

/// Whether exactly one foot was found, with its view and, on an AP film, its side.
pub(super) fn is_right(seen: &Seen, view: View) -> bool {
    match seen {
        Seen::Nothing => false,
        Seen::Foot {
            is_only_one,
            view_is_right,
            side_is_right,
            ..
        } => *is_only_one && *view_is_right && (*side_is_right || view == View::Lateral),
    }
}

/// Whether the whole first ray lies near its truth.
pub(super) fn is_near(seen: &Seen) -> bool {
    seen.judged()
        .is_some_and(|judged| judged.first_ray_is_within(NEAR_MM))
}

/// Of the landmarks of the first ray that are far off or missing, the share that is flagged.
pub(super) fn far_and_flagged(films: &[&FilmOutcome]) -> Option<f64> {
    let far = films
        .iter()
        .filter_map(|film| film.seen.judged())
        .flat_map(Judged::first_ray)
        .filter(|error| !error.is_within(NEAR_MM));
    share_of(far, |error| error.flag.is_some())
}

fn by_quality(films: &[FilmOutcome]) -> String {
    let mut table = Table::new(&[
        "",
        "films",
        "no foot",
        "one foot, right view and side, %",
        "flagged, %",
        "first ray within 3 mm, %",
        "landmarks farther off, %",
        "of those flagged, %",
    ]);
    let mut add = |name: &str, own: &[&FilmOutcome]| {
        let none = own.iter().filter(|film| film.seen == Seen::Nothing).count();
        let places = own
            .iter()
            .filter_map(|film| film.seen.judged())
            .flat_map(Judged::first_ray);
        table.row([
            name.to_owned(),
            own.len().to_string(),
            none.to_string(),
            per_cent(share_of(own, |film| is_right(&film.seen, film.view))),
            per_cent(share_of(own, |film| film.is_flagged())),
            per_cent(share_of(own, |film| is_near(&film.seen))),
            per_cent(share_of(places, |error| !error.is_within(NEAR_MM))),
            per_cent(far_and_flagged(own)),
        ]);
    };
    for (view, name) in [(View::Ap, "AP"), (View::Lateral, "lateral")] {
        for quality in Quality::ALL {
            let own: Vec<&FilmOutcome> = films
                .iter()
                .filter(|film| film.view == view && film.quality == quality)
                .filter(|film| film.change.is_none())
                .collect();
            add(&format!("{name}, {}", quality.name()), &own);
        }
    }
    table.markdown()
}

/// One row for each place: how far off it is and how often it is flagged.
fn by_place(films: &[&FilmOutcome]) -> String {
    let mut table = Table::new(&[
        "",
        "n",
        "missing",
        "median, mm",
        "95th, mm",
        "within 3 mm, %",
        "flagged, %",
        "of those farther off, flagged, %",
    ]);
    let mut spots: Vec<Spot> = Vec::new();
    let errors: Vec<&SpotError> = films
        .iter()
        .filter_map(|film| film.seen.judged())
        .flat_map(|judged| &judged.spots)
        .filter(|error| is_listed(error.spot))
        .collect();
    for error in &errors {
        if !spots.contains(&error.spot) {
            spots.push(error.spot);
        }
    }
    for spot in spots {
        let own: Vec<&SpotError> = errors
            .iter()
            .copied()
            .filter(|error| error.spot == spot)
            .collect();
        let sizes: Sizes = own
            .iter()
            .map(|error| error.found.map(|offset| offset.distance_mm))
            .collect();
        table.row([
            place_name(spot),
            sizes.count().to_string(),
            sizes.missing.to_string(),
            sizes.centile(0.5).cell(2),
            sizes.centile(0.95).cell(2),
            per_cent(sizes.share_within(NEAR_MM)),
            per_cent(share_of(&own, |error| error.flag.is_some())),
            per_cent(share_of(
                own.iter().filter(|error| !error.is_within(NEAR_MM)),
                |error| error.flag.is_some(),
            )),
        ]);
    }
    table.markdown()
}

/// The first ray, and what only a lateral film has.
const fn is_listed(spot: Spot) -> bool {
    match spot {
        Spot::Point(landmark) => spot.is_of_first_ray() || !landmark.is_on(View::Ap),
        Spot::Middle(..) | Spot::Cortex(..) => spot.is_of_first_ray(),
    }
}

fn place_name(spot: Spot) -> String {
    match spot {
        Spot::Point(landmark) => landmark.name(),
        Spot::Middle(bone, level) | Spot::Cortex(bone, level, _) => {
            format!("Middle of the {} at {level} %", bone.name())
        }
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Landmark, LongBone};
    use plumbray_proposal::Doubt;

    use super::*;
    use crate::tracing::{Flag, Offset};

    fn error(landmark: Landmark, distance_mm: Option<f64>, is_flagged: bool) -> SpotError {
        SpotError {
            spot: Spot::Point(landmark),
            found: distance_mm.map(|distance_mm| Offset {
                distance_mm,
                along_mm: None,
                across_mm: None,
                sd_mm: 1.0,
            }),
            flag: is_flagged.then_some(Flag::Doubted(Doubt::Faint)),
        }
    }

    fn film(spots: Vec<SpotError>) -> FilmOutcome {
        FilmOutcome {
            film: 0,
            view: View::Ap,
            quality: Quality::Good,
            change: None,
            seen: Seen::Foot {
                is_only_one: true,
                view_is_right: true,
                side_is_right: true,
                judged: Judged {
                    first_ray_is_flagged: spots.iter().any(|spot| spot.flag.is_some()),
                    spots,
                    numbers: Vec::new(),
                    axes: Vec::new(),
                },
            },
            readers: Vec::new(),
        }
    }

    #[test]
    fn far_and_missing_places_of_the_first_ray_count_and_flags_excuse_them() {
        let [tip, head, third] = [
            Landmark::Tip(LongBone::M1),
            Landmark::HeadCentre,
            Landmark::Tip(LongBone::M3),
        ];
        let near = film(vec![
            error(tip, Some(2.9), false),
            error(third, Some(9.0), false),
        ]);
        let far = film(vec![
            error(tip, Some(3.1), true),
            error(head, None, false),
            error(third, None, true),
        ]);
        assert!(is_near(&near.seen), "the third metatarsal is no first ray");
        assert!(!is_near(&far.seen), "a tip 3.1 mm off");
        assert_eq!(far_and_flagged(&[&near]), None, "nothing is far");
        assert_eq!(far_and_flagged(&[&near, &far]), Some(0.5), "one of two");
        let films = [near, far];
        let (_, bars) = section(&films);
        let verdicts: Vec<&str> = bars.iter().map(Bar::verdict).collect();
        assert_eq!(
            verdicts,
            ["kept", "missed", "missed"],
            "right; near; flagged"
        );
    }
}
