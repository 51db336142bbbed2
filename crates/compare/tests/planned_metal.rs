//! Planned screws found on later films of simulated operations, by their true outlines.

use std::sync::LazyLock;

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint,
    PixelSpacing, Proportions, Side, Similarity, View, testing::assert_close,
};
use plumbray_compare::{LaidByShaft, NotLaidByShaft, ScaleBy};
use plumbray_measure::{Foot as MeasuredFoot, TracedFilm};
use plumbray_phantom::{Exposure, Foot, FootParameters, Operation, Positioning, truth_of_ap};
use plumbray_plan::{BonePlace, Extent, Plan, Screw, ScrewKind, Undertaking, carry_out};

const PIXEL_MM: f64 = 0.2;

fn traced(operation: Option<Operation>, positioning: Positioning) -> FilmTracing {
    let foot = Foot::new(FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 15.0,
        operation,
        ..FootParameters::default()
    })
    .expect("a possible foot");
    let exposure = Exposure {
        pixel_mm: PIXEL_MM,
        positioning,
        ..Exposure::default()
    };
    let truth = truth_of_ap(&foot, &exposure).expect("a possible film");
    truth.feet[0].tracing.clone()
}

static BEFORE: LazyLock<FilmTracing> = LazyLock::new(|| traced(None, Positioning::default()));
static AFTER: LazyLock<FilmTracing> =
    LazyLock::new(|| traced(Some(Operation::default()), Positioning::default()));

static CALIBRATION: LazyLock<Calibration> = LazyLock::new(|| Calibration {
    spacing: PixelSpacing::new(PIXEL_MM, PIXEL_MM).expect("possible"),
    basis: CalibrationBasis::AtDetector,
    relative_sd: 0.0,
});

fn foot<'a>(
    tracing: &'a FilmTracing,
    calibration: Option<&'a Calibration>,
    operated: bool,
) -> MeasuredFoot<'a> {
    MeasuredFoot {
        ap: Some(TracedFilm {
            tracing,
            proportions: Proportions::SQUARE,
            calibration,
        }),
        lateral: None,
        operated,
    }
}

/// One wire from the medial cortex of the base into the head.
fn wire() -> Screw {
    let place = |along, lateral| BonePlace {
        along,
        lateral,
        dorsal: 0.0,
    };
    Screw {
        kind: ScrewKind::Wire,
        diameter: Extent::Share(0.12),
        entry: place(0.2, -0.12),
        tip: place(0.95, 0.18),
    }
}

fn undertaking(calibration: Option<&Calibration>) -> Undertaking {
    let mut plan = Plan::usual(false);
    plan.screws = vec![wire()];
    carry_out(&foot(&BEFORE, calibration, false), &plan).expect("a plan")
}

/// A tracing as a small film from theatre shows it: turned, reduced, perhaps mirrored; of the lesser rays nothing but
/// the second.
fn in_theatre(tracing: &FilmTracing, map: &Similarity) -> FilmTracing {
    let mut seen = tracing.clone();
    seen.points.retain(|landmark, _| {
        let name = landmark.identifier();
        ["m3", "m4", "m5"]
            .iter()
            .all(|bone| !name.starts_with(bone))
    });
    seen.cortices.retain(|bone, _| *bone == LongBone::M1);
    for placed in seen.points.values_mut() {
        placed.at = through(map, placed.at);
    }
    for cortices in seen.cortices.values_mut() {
        for at in cortices.one.iter_mut().chain(&mut cortices.two) {
            *at = through(map, *at);
        }
    }
    seen
}

fn through(map: &Similarity, at: FilmPoint) -> FilmPoint {
    Proportions::SQUARE.film(map.of(Proportions::SQUARE.physical(at)))
}

/// Ways to see a foot: the same, turned and reduced, and mirrored.
fn ways() -> [Similarity; 3] {
    let origin = PhysicalPoint::new(300.0, 80.0);
    [
        Similarity::IDENTITY,
        Similarity::new(origin, 0.6, 0.7, false),
        Similarity::new(origin, 0.8, -2.0, true),
    ]
}

fn laid(done: &Undertaking, later: &FilmTracing) -> Result<LaidByShaft, NotLaidByShaft> {
    let before = foot(&BEFORE, None, false);
    LaidByShaft::of(&done.before, &before, &foot(later, None, true))
}

#[test]
fn planned_screws_lie_on_a_film_from_theatre_where_they_lie_on_the_bone() {
    let done = undertaking(None);
    for map in ways() {
        let whole = in_theatre(&AFTER, &map);
        let mut cut_off = whole.clone();
        cut_off.points.remove(&Landmark::Tip(LongBone::M2));
        for (later, by) in [
            (&whole, ScaleBy::LesserMetatarsals),
            (&cut_off, ScaleBy::ShaftWidth),
        ] {
            let laid = laid(&done, later).expect("the shaft is traced");
            assert_eq!(laid.scale_by(), by, "what the film shows");
            assert_close(laid.scale() / map.scale(), 1.0, 1e-6, "scale");
            // The shaft has not moved, so that the truth lies where the film before has it.
            for place in [wire().entry, wire().tip] {
                let expected = done.before.on_film(View::Ap, place);
                let expected = through(&map, expected.expect("on the AP film"));
                let away = laid.on_later(place).distance_px(expected);
                assert!(away < 1e-4, "{away} pixels away, {by:?}");
            }
        }
    }
}

#[test]
fn a_shaft_read_too_wide_misleads_only_where_no_lesser_metatarsal_is_whole() {
    let done = undertaking(None);
    let mut wide = AFTER.clone();
    let cortices = wide.cortices.get_mut(&LongBone::M1).expect("traced");
    let middle = |one: &FilmPoint, other: &FilmPoint| one.toward(*other, 0.5);
    for (one, other) in cortices.one.iter_mut().zip(&mut cortices.two) {
        let between = middle(one, other);
        // 2 % wider about the middle between two points of it.
        *one = between.toward(*one, 1.02);
        *other = between.toward(*other, 1.02);
    }
    let mut cut_off = wide.clone();
    cut_off
        .points
        .retain(|landmark, _| !matches!(landmark, Landmark::Tip(bone) if *bone != LongBone::M1));
    let away = |later: &FilmTracing| {
        let laid = laid(&done, later).expect("traced");
        let expected = done
            .before
            .on_film(View::Ap, wire().tip)
            .expect("on the film");
        laid.on_later(wire().tip).distance_px(expected) / done.cut.width
    };
    let (whole, cut_off) = (away(&wide), away(&cut_off));
    assert!(whole < 0.02, "{whole} of the width with the lesser rays");
    assert!(
        (0.05..0.15).contains(&cut_off),
        "{cut_off} of the width by the shaft alone"
    );
}

#[test]
fn a_wire_as_it_lies_is_told_by_where_it_was_moved() {
    for (calibration, name) in [(None, None), (Some(&*CALIBRATION), Some("at the detector"))] {
        let done = undertaking(calibration);
        let screw = wire();
        let moved = |place: BonePlace, lateral: f64, along: f64| BonePlace {
            lateral: place.lateral + lateral,
            along: place.along + along,
            ..place
        };
        let bone = done.before.ap.length;
        for map in ways() {
            let laid = laid(&done, &in_theatre(&AFTER, &map)).expect("traced");
            // The entry 5 % of the bone medial and 4 % distal, the tip as planned; marked tip first.
            let marked = [moved(screw.tip, 0.0, 0.0), moved(screw.entry, -0.05, 0.04)]
                .map(|place| laid.on_later(place));
            let told = laid
                .difference(&screw, &done.cut, marked)
                .expect("two places");
            let share = |of_bone: f64| of_bone * bone / done.cut.width;
            assert_close(told.entry.lateral.of_width, share(-0.05), 1e-9, "medial");
            assert_close(told.entry.distal.of_width, share(0.04), 1e-9, "distal");
            assert_close(told.tip.apart.of_width, 0.0, 1e-9, "the tip");
            let angle = |across: f64, along: f64| across.atan2(along).to_degrees();
            let expected = angle(0.35, 0.71) - angle(0.3, 0.75);
            assert_close(told.angle_degrees, expected, 1e-9, "angle");
            assert_eq!(told.calibration.as_deref(), name, "whose millimetres");
            let mm = told.entry.lateral.mm;
            assert_eq!(mm.is_some(), name.is_some(), "no millimetres without");
            if let Some(mm) = mm {
                assert_close(mm, -0.05 * bone * PIXEL_MM, 1e-9, "millimetres");
            }
        }
    }
}

#[test]
fn what_a_film_lacks_is_said() {
    let done = undertaking(None);
    let mut bare = AFTER.clone();
    bare.points
        .retain(|landmark, _| landmark.identifier().starts_with("m1"));
    let refused = laid(&done, &bare).expect_err("no lesser ray");
    assert!(
        refused.to_string().contains("lesser metatarsal"),
        "{refused}"
    );
    bare.cortices.clear();
    let refused = laid(&done, &bare).expect_err("no shaft");
    assert!(refused.to_string().contains("the shaft of M1"), "{refused}");
    let none = MeasuredFoot::default();
    let before = foot(&BEFORE, None, false);
    let refused = LaidByShaft::of(&done.before, &before, &none).expect_err("no film");
    assert_eq!(refused, NotLaidByShaft::NoFilm, "{refused}");
}
