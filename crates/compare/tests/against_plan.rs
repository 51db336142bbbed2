//! Plans held against simulated operations, by the true outlines of the films.

use std::sync::LazyLock;

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, Landmark, LongBone, Origin, PixelSpacing,
    PlacedPoint, Proportions, Side, View, testing::assert_close,
};
use plumbray_compare::{
    FilmToLay, FilmsLaidOver, NoChange, NoPlanResult, NotLaidOver, Occasion, PlanResult, PlanRow,
    PlannedNumber, Registration, Visit, against_plan, foot_of, lay_over,
};
use plumbray_measure::{Measurement, Unit};
use plumbray_phantom::{
    Exposure, Foot, FootParameters, Operation, Positioning, truth_of_ap, truth_of_lateral,
};
use plumbray_plan::{CutDirection, Extent, Plan};
use plumbray_study::{ContentHash, FilmRecord, SideChoice, Stance, Study};

const VALGUS: PlannedNumber = PlannedNumber::Measured(Measurement::HalluxValgusAngle);
const INTERMETATARSAL: PlannedNumber = PlannedNumber::Measured(Measurement::IntermetatarsalAngle12);
const ARTICULAR: PlannedNumber =
    PlannedNumber::Measured(Measurement::DistalMetatarsalArticularAngle);
const LENGTH: PlannedNumber =
    PlannedNumber::Measured(Measurement::RelativeFirstMetatarsalLengthRatio);
const LENGTH_MM: PlannedNumber =
    PlannedNumber::Measured(Measurement::RelativeFirstMetatarsalLength);

fn deformed() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 15.0,
        sesamoid_displacement: 0.7,
        medial_eminence_mm: 2.0,
        ..FootParameters::default()
    }
}

/// A shift without anything that a flat film does not show.
fn operation() -> Operation {
    Operation {
        plantar_shift_mm: 0.0,
        supination_degrees: 0.0,
        is_step_trimmed: false,
        ..Operation::default()
    }
}

/// The study of a foot on films with pixels of 0.2 mm, read to within half a millimetre.
fn study(foot: FootParameters, turn_degrees: f64) -> Study {
    let exposure = Exposure {
        pixel_mm: 0.2,
        positioning: Positioning {
            turn_degrees,
            ..Positioning::default()
        },
        ..Exposure::default()
    };
    let foot_in_space = Foot::new(foot).expect("a possible foot");
    let mut study = Study {
        side: Some(SideChoice::entered(foot.side)),
        ..Study::default()
    };
    study.visit.stance = Stance::Standing;
    study.visit.operated = foot.operation.is_some();
    for view in View::ALL {
        let truth = match view {
            View::Ap => truth_of_ap(&foot_in_space, &exposure),
            View::Lateral => truth_of_lateral(&foot_in_space, &exposure),
        }
        .expect("a possible film");
        let tracing = study.tracing.on_mut(view);
        tracing.clone_from(&truth.feet[0].tracing);
        for placed in tracing.points.values_mut() {
            placed.sd_px = 2.5;
        }
        *study.film_mut(view) = Some(record());
    }
    study
}

fn record() -> FilmRecord {
    FilmRecord {
        file: "film.dcm".to_owned(),
        hash: ContentHash::of_bytes(b"a film"),
        picture: std::num::NonZeroU32::MIN,
        width_px: 1,
        height_px: 1,
        proportions: Proportions::SQUARE,
        calibration: Some(Calibration {
            spacing: PixelSpacing::new(0.2, 0.2).expect("possible"),
            basis: CalibrationBasis::AtDetector,
            relative_sd: 0.0,
        }),
        date: None,
    }
}

/// By how much a foot's shadow is larger than the foot at the head of the first metatarsal.
const MAGNIFICATION: f64 = 1.029;

/// The plan of what [`operation`] does, in millimetres of the shadow.
fn plan() -> Plan {
    let operation = operation();
    let tilt = operation.cut_tilt_degrees.to_radians();
    let lateral = operation.shift_mm * tilt.cos() + operation.kerf_mm * tilt.sin();
    let mut plan = Plan::usual(true);
    // The centre of the joint lies half a joint space distal of the tip.
    plan.cut.level = Extent::Millimetres(MAGNIFICATION * (operation.level_mm + 1.0));
    plan.cut.kerf = Extent::Millimetres(MAGNIFICATION * operation.kerf_mm);
    plan.cut.direction = CutDirection::TiltDegrees(operation.cut_tilt_degrees);
    plan.head.shift = Extent::Millimetres(MAGNIFICATION * lateral);
    plan.head.medial_turn_degrees = operation.medial_turn_degrees;
    plan
}

fn visit(study: &Study, occasion: Occasion) -> Visit<'_> {
    Visit {
        study,
        occasion,
        called: None,
    }
}

fn laid(before: &Study, after: &Study, view: View) -> Result<Registration, NotLaidOver> {
    let [one, other] = [before, after].map(|study| {
        let traced = foot_of(study).film(view);
        traced.map(|traced| FilmToLay { traced, grey: None })
    });
    match (one, other) {
        (Some(one), Some(other)) => lay_over(view, one, other),
        _ => Err(NotLaidOver::NoFilm { view }),
    }
}

fn held(
    before: &Study,
    plan: &Plan,
    after: &Study,
    occasion: Occasion,
) -> Result<PlanResult, NoPlanResult> {
    let [ap, lateral] = View::ALL.map(|view| laid(before, after, view));
    against_plan(
        &visit(before, Occasion::Before),
        plan,
        &visit(after, occasion),
        FilmsLaidOver {
            ap: ap.as_ref().map_err(Clone::clone),
            lateral: lateral.as_ref().map_err(Clone::clone),
        },
    )
}

/// The foot before, and after the operation on films for which it was turned a little; simulated once.
fn both() -> (Study, Study) {
    static BOTH: LazyLock<(Study, Study)> = LazyLock::new(|| {
        let operated = FootParameters {
            operation: Some(operation()),
            ..deformed()
        };
        (study(deformed(), 0.0), study(operated, 2.0))
    });
    BOTH.clone()
}

fn row(result: &PlanResult, what: PlannedNumber) -> &PlanRow {
    let row = result.row(what);
    row.expect("what both films and the plan tell")
}

fn difference(result: &PlanResult, what: PlannedNumber) -> f64 {
    let change = row(result, what).difference.as_ref();
    change.expect("subtracted").difference
}

#[test]
fn what_was_done_as_planned_is_within_measurement_error() {
    let (before, after) = both();
    let result = held(&before, &plan(), &after, Occasion::After).expect("a result");
    for (what, most) in [
        (INTERMETATARSAL, 0.5),
        (ARTICULAR, 0.6),
        (PlannedNumber::HeadShift, 4.0),
        (PlannedNumber::HeadShiftMillimetres, 0.6),
        (PlannedNumber::HeadDorsalShiftMillimetres, 0.6),
        (PlannedNumber::HeadTurn, 0.8),
        (LENGTH, 0.012),
    ] {
        let row = row(&result, what);
        assert_eq!(
            row.verdict(),
            Some("within measurement error"),
            "{}: {row:?}",
            what.name()
        );
        assert_close(difference(&result, what), 0.0, most, what.name());
    }
    // The toe was released and turned by 10° more than it would have gone with the head.
    let toe = result.row(VALGUS).expect("measured");
    assert_eq!(toe.verdict(), Some("beyond measurement error"), "{toe:?}");
    assert_close(difference(&result, VALGUS), -10.0, 0.6, "toe");
    let shift = result.row(PlannedNumber::HeadShiftMillimetres);
    let name = shift.and_then(|row| row.calibration.as_deref());
    assert_eq!(name, Some("at the detector"), "whose millimetres");
}

#[test]
fn a_head_that_was_shifted_half_as_far_as_planned_is_beyond_it() {
    let (before, after) = both();
    let mut far = plan();
    far.head.shift = Extent::Share(1.1);
    let result = held(&before, &far, &after, Occasion::After).expect("a result");
    for (what, low, high) in [
        (PlannedNumber::HeadShift, -40.0, -28.0),
        (INTERMETATARSAL, 3.0, 6.0),
    ] {
        let row = row(&result, what);
        let difference = difference(&result, what);
        assert!(
            (low..high).contains(&difference),
            "{}: {difference}",
            what.name()
        );
        assert_eq!(
            row.verdict(),
            Some("beyond measurement error"),
            "{}: {row:?}",
            what.name()
        );
    }
}

#[test]
fn a_difference_is_what_was_achieved_less_what_was_intended() {
    let (before, after) = both();
    let result = held(&before, &plan(), &after, Occasion::After).expect("a result");
    for row in &result.rows {
        let [intended, achieved] =
            [&row.intended, &row.achieved].map(|told| told.as_ref().expect("told").value);
        let told = difference(&result, row.what);
        assert_close(told, achieved - intended, 1e-6, row.what.name());
    }
}

#[test]
fn nothing_is_subtracted_where_the_foot_bore_weight_on_one_film_only() {
    let (before, after) = both();
    let result = held(&before, &plan(), &after, Occasion::InTheatre).expect("a result");
    assert!(!result.rows.is_empty(), "they stand beside each other");
    for row in &result.rows {
        let name = row.what.name();
        assert_eq!(row.difference, Err(NoChange::OtherStance), "{name}");
        assert!(row.achieved.is_ok(), "{name} is shown");
        assert_eq!(row.verdict(), None, "{name}");
    }
}

#[test]
fn without_a_calibration_there_are_no_millimetres_and_two_calibrations_are_not_mixed() {
    let (mut before, mut after) = both();
    let mut shares = plan();
    shares.cut.level = Extent::Share(0.38);
    shares.cut.kerf = Extent::Share(0.14);
    shares.head.shift = Extent::Share(0.75);
    if let Some(calibration) = after.ap.as_mut().and_then(|film| film.calibration.as_mut()) {
        calibration.basis = CalibrationBasis::RoundObject { diameter_mm: 25.0 };
    }
    let result = held(&before, &shares, &after, Occasion::After).expect("a result");
    let length = result.row(LENGTH_MM).expect("measured on both");
    assert!(
        matches!(length.difference, Err(NoChange::OtherCalibration { .. })),
        "{length:?}"
    );
    let names = length.calibration.as_deref();
    assert_eq!(
        names,
        Some("at the detector; achieved by a 25 mm ball or coin"),
        "whose millimetres"
    );
    for study in [&mut before, &mut after] {
        for film in [&mut study.ap, &mut study.lateral].into_iter().flatten() {
            film.calibration = None;
        }
    }
    let result = held(&before, &shares, &after, Occasion::After).expect("a result");
    for row in &result.rows {
        let name = row.what.name();
        assert_ne!(row.what.unit(), Unit::Millimetres, "{name}");
        assert_eq!(row.calibration, None, "{name}");
    }
    assert!(
        result.row(PlannedNumber::HeadShift).is_some(),
        "in per cent of the width"
    );
}

#[test]
fn what_supination_hides_is_not_held_against_anything() {
    let (before, after) = both();
    let mut turned = plan();
    turned.head.supination_degrees = 12.0;
    let result = held(&before, &turned, &after, Occasion::After).expect("a result");
    for what in [ARTICULAR, PlannedNumber::HeadTurn] {
        let row = row(&result, what);
        let why = row.difference.as_ref().expect_err("not predicted");
        assert!(why.to_string().contains("supination"), "{why}");
        assert!(row.achieved.is_ok(), "{row:?}");
    }
    let said = &result.not_compared;
    assert!(
        said.iter().any(|line| line.contains("Supination by 12°")),
        "{said:?}"
    );
    let plain = held(&before, &plan(), &after, Occasion::After).expect("a result");
    assert!(plain.not_compared.is_empty(), "{:?}", plain.not_compared);
}

#[test]
fn a_fragment_that_lies_flat_on_its_cut_was_not_tilted_as_planned() {
    let (before, mut after) = both();
    let lateral = &mut after.tracing.lateral;
    let [base, tip] = [
        Landmark::BaseCentre(LongBone::M1),
        Landmark::Tip(LongBone::M1),
    ]
    .map(|landmark| lateral.point(landmark).expect("traced"));
    let along = [tip.x_px - base.x_px, tip.y_px - base.y_px];
    // Square to the bone at two thirds of its length, over a quarter of it.
    let face = |side: f64| {
        let across = [-along[1] * side / 8.0, along[0] * side / 8.0];
        FilmPoint::new(
            base.x_px + along[0] / 1.5 + across[0],
            base.y_px + along[1] / 1.5 + across[1],
        )
    };
    for (landmark, side) in [
        (Landmark::ShaftCutPlantar, 1.0),
        (Landmark::ShaftCutDorsal, -1.0),
        (Landmark::FragmentCutPlantar, 1.0),
        (Landmark::FragmentCutDorsal, -1.0),
    ] {
        let placed = PlacedPoint {
            at: face(side),
            sd_px: 1.0,
            origin: Origin::Hand,
        };
        lateral.points.insert(landmark, placed);
    }
    let mut tilted = plan();
    for (intended, verdict) in [
        (6.0, "beyond measurement error"),
        (0.0, "within measurement error"),
    ] {
        tilted.head.plantar_tilt_degrees = intended;
        let result = held(&before, &tilted, &after, Occasion::After).expect("a result");
        let row = result.row(PlannedNumber::HeadTilt).expect("measured");
        assert_eq!(row.verdict(), Some(verdict), "{row:?}");
        let told = difference(&result, PlannedNumber::HeadTilt);
        assert_close(told, -intended, 1e-6, "tilt");
    }
}

/// How far plantar the head is shifted where that is asked, in millimetres of the foot.
const PLANTAR_MM: f64 = 3.0;

/// The foot before, and after the operation with a plantar shift of the head.
fn both_with_a_plantar_shift() -> (Study, Study) {
    static AFTER: LazyLock<Study> = LazyLock::new(|| {
        let operation = Operation {
            plantar_shift_mm: PLANTAR_MM,
            ..operation()
        };
        let operated = FootParameters {
            operation: Some(operation),
            ..deformed()
        };
        study(operated, 0.0)
    });
    (both().0, AFTER.clone())
}

#[test]
fn a_plantar_shift_is_held_against_the_lateral_films() {
    let (before, after) = both_with_a_plantar_shift();
    let what = PlannedNumber::HeadDorsalShiftMillimetres;
    for (planned_mm, verdict) in [
        (-PLANTAR_MM, "within measurement error"),
        (PLANTAR_MM, "beyond measurement error"),
    ] {
        let mut plan = plan();
        plan.head.dorsal_shift = Extent::Millimetres(planned_mm);
        let result = held(&before, &plan, &after, Occasion::After).expect("a result");
        let row = row(&result, what);
        let [intended, achieved] =
            [&row.intended, &row.achieved].map(|told| *told.as_ref().expect("told"));
        assert_close(intended.value, planned_mm, 0.4, "as it was planned");
        assert_close(achieved.value, -PLANTAR_MM, 0.5, "as it was done");
        assert!(achieved.sd > 0.0, "with the spread of the tracing: {row:?}");
        assert_eq!(row.verdict(), Some(verdict), "{row:?}");
        assert_eq!(
            row.calibration.as_deref(),
            Some("at the detector"),
            "whose millimetres"
        );
        assert!(
            result.row(PlannedNumber::HeadDorsalShift).is_none(),
            "told once"
        );
    }
}

#[test]
fn a_dorsal_shift_without_a_calibration_is_a_share_of_the_shafts_height() {
    let (mut before, after) = both_with_a_plantar_shift();
    if let Some(film) = &mut before.lateral {
        film.calibration = None;
    }
    let result = held(&before, &plan(), &after, Occasion::After).expect("a result");
    let row = row(&result, PlannedNumber::HeadDorsalShift);
    let achieved = row.achieved.as_ref().expect("told");
    // Shafts are 10 to 15 mm high.
    assert!(
        (-30.0..=-20.0).contains(&achieved.value),
        "3 mm of the height: {row:?}"
    );
    assert_eq!(row.what.unit(), Unit::PerCent, "{row:?}");
    assert_eq!(row.calibration, None, "no millimetres");
    assert!(
        result
            .row(PlannedNumber::HeadDorsalShiftMillimetres)
            .is_none(),
        "no millimetres"
    );
}

#[test]
fn a_planned_dorsal_shift_that_no_lateral_film_shows_says_why() {
    let (before, mut after) = both();
    after.tracing.lateral.points.remove(&Landmark::HeadCentre);
    let mut plan = plan();
    let result = held(&before, &plan, &after, Occasion::After).expect("a result");
    assert!(
        result.row(PlannedNumber::HeadDorsalShift).is_none(),
        "neither planned nor told"
    );
    plan.head.dorsal_shift = Extent::Share(0.2);
    let result = held(&before, &plan, &after, Occasion::After).expect("a result");
    let row = row(&result, PlannedNumber::HeadDorsalShift);
    let why = row.difference.as_ref().expect_err("not told").to_string();
    assert!(
        why.contains("lateral films") && why.contains("head"),
        "{why}"
    );
    assert_eq!(row.verdict(), None, "{row:?}");
}

#[test]
fn what_is_no_result_of_the_plan_is_refused() {
    let (before, after) = both();
    let refused = held(&before, &plan(), &before, Occasion::Before).expect_err("before surgery");
    assert_eq!(refused, NoPlanResult::NotOperated, "{refused}");
    let refused = held(&after, &plan(), &after, Occasion::After).expect_err("operated already");
    assert!(matches!(refused, NoPlanResult::Plan(_)), "{refused}");
    let mut other = after;
    other.side = Some(SideChoice::entered(Side::Left));
    let refused = held(&before, &plan(), &other, Occasion::After).expect_err("another foot");
    assert_eq!(refused, NoPlanResult::OtherFoot, "{refused}");
}
