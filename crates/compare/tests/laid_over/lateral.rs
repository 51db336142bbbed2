//! Lateral films.

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint, Similarity, View,
};
use plumbray_compare::{FilmToLay, NotLaidOver, ReferenceLength, Registration, lay_over};
use plumbray_phantom::{
    Exposure, Foot, FootParameters, Operation, Positioning, render_lateral, truth_of_lateral,
};

use crate::simulated::{Chance, Film, bare, seen};

/// As `docs/comparison.md` lets a foot differ from one visit to the next.
const TURN_SD_DEGREES: f64 = 3.0;
const ROLL_SD_DEGREES: f64 = 2.0;

/// Points that are the same place of the bone whatever the direction of the film.
const OF_THE_BONE: [Landmark; 3] = [
    Landmark::TalusPosterior,
    Landmark::TalusAnterior,
    Landmark::BaseCentre(LongBone::M1),
];

fn exposure(pixel_mm: f64, chance: &mut Chance) -> Exposure {
    Exposure {
        pixel_mm,
        positioning: Positioning {
            turn_degrees: chance.normal(TURN_SD_DEGREES),
            obliquity_degrees: chance.normal(ROLL_SD_DEGREES),
        },
        ..Exposure::default()
    }
}

fn truth(parameters: FootParameters, exposure: &Exposure) -> FilmTracing {
    let foot = Foot::new(parameters).expect("a possible foot");
    let truth = truth_of_lateral(&foot, exposure).expect("a possible film");
    truth.feet[0].tracing.clone()
}

fn usual() -> FilmTracing {
    let exposure = Exposure {
        pixel_mm: 0.2,
        ..Exposure::default()
    };
    truth(FootParameters::random(8801), &exposure)
}

fn laid(earlier: FilmToLay<'_>, later: FilmToLay<'_>) -> Result<Registration, NotLaidOver> {
    lay_over(View::Lateral, earlier, later)
}

/// How far apart the true points of the bones then lie, root of the mean square in pixels of the earlier film.
fn apart(laid: &Registration, earlier: &FilmTracing, later: &FilmTracing) -> f64 {
    let squares = OF_THE_BONE.map(|landmark| {
        let back = laid.on_earlier(later.points[&landmark].at);
        back.distance_px(earlier.points[&landmark].at).powi(2)
    });
    (squares.iter().sum::<f64>() / 3.0).sqrt()
}

#[test]
fn a_film_turned_enlarged_or_mirrored_is_laid_back_exactly() {
    let earlier = usual();
    for (degrees, scale, mirrored) in [
        (20.0_f64, 1.0, false),
        (-20.0, 1.15, false),
        (0.0, 1.0, true),
        (20.0, 0.85, true),
        (170.0, 1.15, true),
    ] {
        let origin = PhysicalPoint::new(300.0, -40.0);
        let map = Similarity::new(origin, scale, degrees.to_radians(), mirrored);
        let later = seen(&earlier, &map);
        let laid = laid(bare(&earlier), bare(&later)).expect("the same foot");
        for (landmark, placed) in &earlier.points {
            let away = laid
                .on_earlier(later.points[landmark].at)
                .distance_px(placed.at);
            assert!(
                away < 1e-6,
                "{landmark}: {away} px, {degrees}°, mirrored {mirrored}"
            );
        }
        assert_eq!(
            laid.earlier_from_later.is_mirrored(),
            mirrored,
            "{degrees}°"
        );
        assert_eq!(laid.projection, None, "of AP films only");
        assert_eq!(laid.residual.of, ReferenceLength::HeelToTalus, "its length");
        assert!(laid.residual.share < 1e-9, "{}", laid.residual.share);
        assert_eq!(laid.residual.millimetres, None, "not calibrated");
    }
}

#[test]
fn points_of_a_bone_named_in_the_wrong_order_are_exchanged() {
    let earlier = usual();
    let mut later = earlier.clone();
    for [one, other] in [
        [Landmark::TalusPosterior, Landmark::TalusAnterior],
        [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
    ] {
        let places = [one, other].map(|landmark| later.points[&landmark]);
        later.points.extend([(one, places[1]), (other, places[0])]);
    }
    let laid = laid(bare(&earlier), bare(&later)).expect("the same foot");
    assert!(laid.residual.share < 1e-9, "{}", laid.residual.share);
    assert!(!laid.earlier_from_later.is_mirrored(), "not mirrored");
}

#[test]
fn a_film_without_the_talus_is_refused_and_says_what_to_trace() {
    let earlier = usual();
    let mut later = earlier.clone();
    later.points.remove(&Landmark::TalusPosterior);
    later.points.remove(&Landmark::TalusAnterior);
    for (one, other) in [(&earlier, &later), (&later, &earlier)] {
        let refused = laid(bare(one), bare(other)).expect_err("no talus");
        let missing = vec![Landmark::TalusPosterior, Landmark::TalusAnterior];
        assert_eq!(refused, NotLaidOver::NoHindfoot { missing }, "the talus");
        let words = refused.to_string();
        assert!(
            words.starts_with("the lateral films are not laid over each other")
                && words.contains("“Talus, anterior point of the axis”"),
            "{words}"
        );
    }
}

#[test]
fn an_unchanged_foot_stays_within_the_limit_and_most_other_feet_lie_farther_off() {
    let mut chance = Chance::new(8801);
    let films: Vec<[FilmTracing; 2]> = (0..4)
        .map(|number| {
            [0, 1].map(|_| {
                let exposure = exposure(0.2, &mut chance);
                truth(FootParameters::random(8801 + number), &exposure)
            })
        })
        .collect();
    // A millimetre at the detector, as a reader's hand misses.
    let share = |one: &FilmTracing, other: &FilmTracing, chance: &mut Chance| {
        let [one, other] = [one, other].map(|tracing| chance.missed(tracing, 5.0));
        match laid(bare(&one), bare(&other)) {
            Ok(laid) => laid.residual.share,
            Err(NotLaidOver::TooDifferent {
                residual_per_cent, ..
            }) => residual_per_cent / 100.0,
            Err(other) => panic!("{other}"),
        }
    };
    let mut unchanged: Vec<f64> = films
        .iter()
        .map(|[one, other]| share(one, other, &mut chance))
        .collect();
    unchanged.sort_by(f64::total_cmp);
    assert!(
        unchanged.iter().all(|share| *share < 0.035),
        "{unchanged:?}"
    );
    let mut others: Vec<f64> = Vec::new();
    for (place, [one, _]) in films.iter().enumerate() {
        for [_, other] in &films[place + 1..] {
            others.push(share(one, other, &mut chance));
        }
    }
    others.sort_by(f64::total_cmp);
    let (same, other) = (unchanged[unchanged.len() / 2], others[others.len() / 2]);
    assert!(other > 1.5 * same, "medians: {other} and {same}");
}

#[test]
fn an_operation_at_the_neck_leaves_the_hindfoot_where_it_was() {
    let parameters = FootParameters {
        hallux_valgus_angle: 30.0,
        intermetatarsal_angle_1_2: 14.0,
        ..FootParameters::default()
    };
    let exposure = Exposure {
        pixel_mm: 0.2,
        ..Exposure::default()
    };
    let before = truth(parameters, &exposure);
    let after = truth(
        FootParameters {
            operation: Some(Operation {
                plantar_shift_mm: 3.0,
                ..Operation::default()
            }),
            ..parameters
        },
        &exposure,
    );
    let laid = laid(bare(&before), bare(&after)).expect("the same hindfoot");
    let mm = 0.2 * apart(&laid, &before, &after);
    assert!(mm < 0.3, "{mm} mm");
}

/// A foot filmed twice.
fn filmed_twice() -> [Film; 2] {
    let mut chance = Chance::new(8802);
    let foot = Foot::new(FootParameters::random(8802)).expect("possible");
    [0, 1].map(|_| {
        let exposure = exposure(GREY_PIXEL_MM, &mut chance);
        Film::of(render_lateral(&foot, &exposure).expect("a film"))
    })
}

const GREY_PIXEL_MM: f64 = 0.3;
/// By how much a reader misses each point in x and in y: a standard deviation.
const READER_MM: f64 = 0.8;
/// How often a reader reads each film.
const READINGS: u32 = 5;

/// How far the bones' true points lie apart, by the readers' points and by greys: root of the mean square in
/// mm, over several readings of both films.
fn by_points_and_by_greys(
    [earlier, later]: [&Film; 2],
    [one, other]: [&FilmTracing; 2],
    chance: &mut Chance,
) -> [f64; 2] {
    let mut squares = [0.0; 2];
    let mut refined = 0;
    for _ in 0..READINGS {
        let read = [earlier, later].map(|film| Film {
            tracing: chance.missed(&film.tracing, READER_MM / GREY_PIXEL_MM),
            ..film.clone()
        });
        let by_points = laid(bare(&read[0].tracing), bare(&read[1].tracing)).expect("points");
        let by_greys = laid(read[0].to_lay(), read[1].to_lay()).expect("points and greys");
        refined += u32::from(by_greys.is_refined);
        let (_, name) = by_greys.residual.millimetres.as_ref().expect("calibrated");
        assert_eq!(name, "at the detector", "whose millimetres");
        for (sum, laid) in squares.iter_mut().zip([by_points, by_greys]) {
            *sum += (GREY_PIXEL_MM * apart(&laid, one, other)).powi(2);
        }
    }
    // Points that were missed by too much leave the search too far off, and then stand.
    assert!(refined + 1 >= READINGS, "{refined} searches settle");
    squares.map(|sum| (sum / f64::from(READINGS)).sqrt())
}

#[test]
fn greys_make_the_map_finer_also_on_a_film_that_is_turned_mirrored_or_cropped() {
    let [earlier, later] = filmed_twice();
    let base = later.tracing.points[&Landmark::BaseCentre(LongBone::M1)].at;
    let heel = later.tracing.points[&Landmark::CalcaneusPosterior].at;
    // What lies farther forward than 6 mm beyond the base is cut off.
    let end = base.x_px + 20.0 * (base.x_px - heel.x_px).signum();
    let is_kept = |at: FilmPoint| (at.x_px < end) == (heel.x_px < end);
    let turned = Similarity::new(PhysicalPoint::new(60.0, -40.0), 0.9, 0.12, false);
    let mirrored = Similarity::new(PhysicalPoint::new(1000.0, 30.0), 0.9, -0.1, true);
    let mut chance = Chance::new(8803);
    for (map, is_cropped, what) in [
        (Similarity::IDENTITY, false, "as it is"),
        (turned, false, "turned"),
        (mirrored, false, "mirrored"),
        (Similarity::IDENTITY, true, "cropped"),
    ] {
        let frame = later.seen(&map, [1000, 700], |at| !is_cropped || is_kept(at));
        let truth = seen(&later.tracing, &map);
        let truths = [&earlier.tracing, &truth];
        let [coarse, fine] = by_points_and_by_greys([&earlier, &frame], truths, &mut chance);
        assert!(
            fine < coarse && fine < 1.2,
            "{what}: {fine} mm by greys, {coarse} by points"
        );
    }
}
