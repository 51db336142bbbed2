//! Published numbers of the geometry.
//!
//! Translation, needed shift and contact: J Orthop Surg Res 2015, doi 10.1186/s13018-015-0304-7 (model and rule), the
//! numbers computed from its formulas; the oblique slide, kerf and wedge are plain trigonometry.

use plumbray_anatomy::{Angle, testing::assert_close};
use plumbray_measure::Measurement;
use plumbray_plan::{
    CutDirection, Extent, Goal, Plan, ToeRule, Undertaking, carry_out, solve_shift, wedge_angle,
    wedge_base, wedge_base_isosceles,
};

use crate::schematic::Schematic;

/// A cut square to the shaft without kerf, shifted by so many millimetres.
fn plain(shift_mm: f64) -> Plan {
    let mut plan = Plan::usual(true);
    plan.cut.direction = CutDirection::TiltDegrees(0.0);
    plan.cut.kerf = Extent::Millimetres(0.0);
    plan.head.shift = Extent::Millimetres(shift_mm);
    plan.toe.rule = ToeRule::KeepsDirection;
    plan
}

fn on(schematic: &Schematic, plan: &Plan) -> Undertaking {
    carry_out(&schematic.drawn().foot(), plan).expect("a plan")
}

fn change(undertaking: &Undertaking, measurement: Measurement) -> f64 {
    let row = undertaking.row(measurement).expect("a row");
    let before = row.before.reading().expect("measured").value;
    before - row.planned.value().expect("predicted")
}

#[test]
fn a_translation_turns_the_axis_by_the_arctangent_of_shift_over_length() {
    let shifts = [1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 12.0];
    for (length, degrees) in [
        (50.0, [1.15, 2.29, 3.43, 5.71, 9.09, 11.31, 13.50]),
        (55.0, [1.04, 2.08, 3.12, 5.19, 8.28, 10.30, 12.31]),
        (60.0, [0.95, 1.91, 2.86, 4.76, 7.59, 9.46, 11.31]),
        (65.0, [0.88, 1.76, 2.64, 4.40, 7.02, 8.75, 10.46]),
    ] {
        let schematic = Schematic {
            shaft_mm: length,
            ..Schematic::default()
        };
        for (shift, expected) in shifts.into_iter().zip(degrees) {
            let undertaking = on(&schematic, &plain(shift));
            for measurement in [
                Measurement::IntermetatarsalAngle12,
                Measurement::HalluxValgusAngle,
                Measurement::DistalMetatarsalArticularAngle,
            ] {
                let found = change(&undertaking, measurement);
                assert_close(found, expected, 0.0051, measurement.name());
            }
        }
    }
}

#[test]
fn the_shift_that_an_angle_needs_is_found() {
    for (from, to, shift) in [
        (13.0, 5.0, 8.432),
        (18.0, 8.0, 10.580),
        (20.0, 8.0, 12.753),
        (15.3, 5.7, 10.148),
        (12.9, 4.6, 8.753),
    ] {
        let schematic = Schematic {
            intermetatarsal: from,
            ..Schematic::default()
        };
        let found = solve_shift(
            &schematic.drawn().foot(),
            &plain(0.0),
            Goal::IntermetatarsalAngle(to),
        )
        .expect("within reach");
        let Extent::Millimetres(found) = found else {
            panic!("the plan is in millimetres");
        };
        assert_close(found, shift, 5.1e-4, "needed shift");
        // The published rule of thumb asks for a little more: 0.018 of the length for each degree.
        let rule = 0.018 * 60.0 * (from - to);
        assert!(
            (rule - found).abs() / found < 0.03,
            "{rule} by the rule for {found}"
        );
    }
}

#[test]
fn a_dorsal_shift_costs_contact_that_the_ap_film_does_not_show() {
    for (shift, dorsal, overlap) in [
        (10.0, 0.0, 4.000),
        (10.0, 3.0, 3.560),
        (10.0, 5.0, 2.820),
        (12.0, 4.0, 1.351),
    ] {
        let mut plan = plain(shift);
        plan.head.dorsal_shift = Extent::Millimetres(dorsal);
        let undertaking = on(&Schematic::default(), &plan);
        let found = undertaking.contact.overlap.mm.expect("calibrated");
        assert_close(found, overlap, 5.1e-4, "overlap");
    }
}

#[test]
fn sliding_along_a_tilted_cut_lengthens_by_its_sine() {
    for (tilt, lengthened) in [(5.0, 0.872), (10.0, 1.736), (15.0, 2.588), (20.0, 3.420)] {
        let mut plan = plain(10.0 * f64::to_radians(tilt).cos());
        plan.cut.direction = CutDirection::TiltDegrees(tilt);
        let undertaking = on(&Schematic::default(), &plan);
        assert_close(
            undertaking.travel.mm.expect("calibrated"),
            10.0,
            1e-9,
            "travel",
        );
        let found = undertaking.length.along_first.whole.mm.expect("calibrated");
        assert_close(found, lengthened, 5.1e-4, "longer");
    }
}

#[test]
fn a_tilt_makes_up_for_the_kerf() {
    // For a travel s: atan(k / s).
    for (kerf, travel, tilt) in [(2.0, 10.0, 11.31), (2.0, 12.0, 9.46), (3.0, 10.0, 16.70)] {
        let (sin, cos) = f64::to_radians(tilt).sin_cos();
        let mut plan = plain(travel * cos + kerf * sin);
        plan.cut.direction = CutDirection::TiltDegrees(tilt);
        plan.cut.kerf = Extent::Millimetres(kerf);
        let undertaking = on(&Schematic::default(), &plan);
        let found = undertaking.length.along_first.whole.mm.expect("calibrated");
        assert_close(found, 0.0, 2e-3, "neither longer nor shorter");
    }
    // For a lateral shift T: asin(k / T).
    let mut plan = plain(10.0);
    plan.cut.direction = CutDirection::TiltDegrees(11.54);
    plan.cut.kerf = Extent::Millimetres(2.0);
    let undertaking = on(&Schematic::default(), &plan);
    let found = undertaking.length.along_first.whole.mm.expect("calibrated");
    assert_close(found, 0.0, 2e-3, "for a lateral shift");
}

#[test]
fn shifts_by_shares_of_the_width() {
    for (share, length, degrees) in [
        (0.9, 55.0, 12.90),
        (0.9, 60.0, 11.86),
        (0.75, 55.0, 10.81),
        (0.75, 60.0, 9.93),
        (0.5, 55.0, 7.25),
        (0.5, 60.0, 6.65),
    ] {
        let schematic = Schematic {
            shaft_mm: length,
            ..Schematic::default()
        };
        let mut plan = plain(0.0);
        plan.head.shift = Extent::Share(share);
        let undertaking = on(&schematic, &plan);
        let found = change(&undertaking, Measurement::IntermetatarsalAngle12);
        assert_close(found, degrees, 0.0051, "share of the width");
        assert_close(undertaking.contact.share, 1.0 - share, 1e-9, "what is left");
    }
}

#[test]
fn the_base_of_a_wedge_and_its_angle() {
    for (degrees, plain, isosceles) in [
        (5.0, 1.22, 1.22),
        (8.0, 1.97, 1.96),
        (10.0, 2.47, 2.45),
        (15.0, 3.75, 3.69),
    ] {
        let angle = Angle::from_degrees(degrees);
        assert_close(
            wedge_base(angle, 14.0),
            plain,
            0.0051,
            "one face square to the bone",
        );
        assert_close(
            wedge_base_isosceles(angle, 14.0),
            isosceles,
            0.0051,
            "both faces alike",
        );
        let back = wedge_angle(wedge_base(angle, 14.0), 14.0);
        assert_close(back.degrees(), degrees, 1e-9, "and back");
    }
    for (width, degrees) in [(10.0, 5.71), (12.0, 4.76), (14.0, 4.09), (16.0, 3.58)] {
        let found = wedge_angle(1.0, width).degrees();
        assert_close(found, degrees, 0.0051, "a base of one millimetre");
    }
}
