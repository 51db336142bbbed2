//! Feet whose angles are known before they are measured, by every convention.

use crate::made_feet::{
    M1_LENGTH, MadeAngles, ap_only, ap_tracing, by, calibration, film, film_point, lateral_only,
    lateral_tracing, put, reading, value,
};
use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Proportions, Side, testing::assert_close};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, Outcome, Remark, TracedFilm, measure,
    side_from_bones,
};

/// Of a measured angle against the angle that the foot was made with, in degrees.
const TOLERANCE: f64 = 1e-9;

fn calibrated<'a>(
    tracing: &'a FilmTracing,
    calibration: &'a plumbray_anatomy::Calibration,
) -> Foot<'a> {
    Foot {
        ap: Some(TracedFilm {
            calibration: Some(calibration),
            ..film(tracing)
        }),
        ..Foot::default()
    }
}

#[test]
fn every_convention_reads_the_angles_that_a_straight_foot_was_made_with() {
    let angles = MadeAngles::default();
    let tracing = ap_tracing(angles);
    let scale = calibration(0.15, Proportions::SQUARE);
    let foot = calibrated(&tracing, &scale);
    for convention in AxisConvention::ALL {
        for (measurement, expected) in [
            (Measurement::HalluxValgusAngle, angles.hallux_valgus),
            (Measurement::IntermetatarsalAngle12, angles.intermetatarsal),
            (
                Measurement::DistalMetatarsalArticularAngle,
                angles.articular,
            ),
            (
                Measurement::HalluxInterphalangealAngle,
                angles.interphalangeal,
            ),
            (Measurement::TibialSesamoidShare, angles.sesamoid_share),
        ] {
            let reading = reading(&foot, &by(convention), measurement);
            let what = format!("{} by {}", measurement.name(), convention.identifier());
            assert_close(reading.value, expected, TOLERANCE, &what);
        }
    }
}

#[test]
fn a_hallux_varus_of_eight_degrees_reads_minus_eight() {
    let tracing = ap_tracing(MadeAngles {
        hallux_valgus: -8.0,
        ..MadeAngles::default()
    });
    let angle = value(&ap_only(&tracing), Measurement::HalluxValgusAngle);
    assert_close(angle, -8.0, TOLERANCE, "hallux varus");
}

#[test]
fn a_first_ray_that_leans_against_the_second_reads_negative() {
    let tracing = ap_tracing(MadeAngles {
        intermetatarsal: -2.5,
        articular: -3.0,
        interphalangeal: -4.0,
        ..MadeAngles::default()
    });
    let foot = ap_only(&tracing);
    for (measurement, expected) in [
        (Measurement::IntermetatarsalAngle12, -2.5),
        (Measurement::DistalMetatarsalArticularAngle, -3.0),
        (Measurement::HalluxInterphalangealAngle, -4.0),
    ] {
        assert_close(
            value(&foot, measurement),
            expected,
            TOLERANCE,
            measurement.name(),
        );
    }
}

#[test]
fn it_makes_no_difference_which_end_of_the_joint_surface_is_called_medial() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let ends = [Landmark::ArticularMedial, Landmark::ArticularLateral];
    let [medial, lateral] = ends.map(|end| tracing.points[&end]);
    tracing.points.insert(ends[0], lateral);
    tracing.points.insert(ends[1], medial);
    let angle = value(
        &ap_only(&tracing),
        Measurement::DistalMetatarsalArticularAngle,
    );
    assert_close(angle, MadeAngles::default().articular, TOLERANCE, "swapped");
}

#[test]
fn lengths_and_ratios_are_those_that_the_bones_were_made_with() {
    let tracing = ap_tracing(MadeAngles::default());
    let scale = calibration(0.15, Proportions::SQUARE);
    let foot = calibrated(&tracing, &scale);
    for (measurement, expected) in [
        (Measurement::M1Length, M1_LENGTH * 0.15),
        (Measurement::M2Length, 72.0),
        (Measurement::M3Length, 67.5),
        (Measurement::M4Length, 64.5),
        (Measurement::M5Length, 60.0),
        (Measurement::LengthRatioM1M2, M1_LENGTH / 480.0),
        (Measurement::LengthRatioM3M2, 450.0 / 480.0),
        (Measurement::LengthRatioM4M2, 430.0 / 480.0),
        (Measurement::LengthRatioM5M2, 400.0 / 480.0),
    ] {
        assert_close(
            value(&foot, measurement),
            expected,
            1e-9,
            measurement.name(),
        );
    }
    let named = reading(&foot, &Choices::default(), Measurement::M1Length);
    assert_eq!(
        named.calibration_name.as_deref(),
        Some("by a 25 mm ball or coin"),
        "no millimetre without the name of its calibration"
    );
}

#[test]
fn the_first_metatarsal_reaches_beyond_the_second_as_far_as_it_was_made_to() {
    // The second points straight up from y 880 to y 400; the first from y 900 by 420·cos 13°.
    let tracing = ap_tracing(MadeAngles::default());
    let scale = calibration(0.15, Proportions::SQUARE);
    let foot = calibrated(&tracing, &scale);
    let pixels = 400.0 - (900.0 - M1_LENGTH * 13f64.to_radians().cos());
    let millimetres = value(&foot, Measurement::RelativeFirstMetatarsalLength);
    assert_close(millimetres, pixels * 0.15, 1e-9, "in millimetres");
    let share = value(&foot, Measurement::RelativeFirstMetatarsalLengthRatio);
    assert_close(share, pixels / 480.0, 1e-12, "as a share");
    assert!(
        millimetres < 0.0,
        "this first metatarsal is the shorter one"
    );
}

#[test]
fn a_flattened_arch_reads_a_negative_talo_first_metatarsal_angle() {
    let tracing = lateral_tracing(32.0, 18.0, 12.0);
    let foot = lateral_only(&tracing);
    for convention in [
        AxisConvention::MidDiaphysealQuarters,
        AxisConvention::ShaftFit,
        AxisConvention::HeadBase,
        AxisConvention::HeadShaft,
    ] {
        for (measurement, expected) in [
            (Measurement::TaloFirstMetatarsalAngle, -14.0),
            (Measurement::CalcanealInclinationAngle, 12.0),
            (Measurement::FirstMetatarsalInclinationAngle, 18.0),
        ] {
            let reading = reading(&foot, &by(convention), measurement);
            assert_close(reading.value, expected, TOLERANCE, measurement.name());
        }
    }
}

#[test]
fn a_high_arch_reads_a_positive_talo_first_metatarsal_angle() {
    let tracing = lateral_tracing(8.0, 30.0, 35.0);
    let angle = value(
        &lateral_only(&tracing),
        Measurement::TaloFirstMetatarsalAngle,
    );
    assert_close(angle, 22.0, TOLERANCE, "apex dorsal");
}

#[test]
fn the_order_in_which_points_of_the_lateral_film_are_named_makes_no_difference() {
    let mut tracing = lateral_tracing(32.0, 18.0, 12.0);
    for pair in [
        [Landmark::FloorPosterior, Landmark::FloorAnterior],
        [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
        [Landmark::TalusPosterior, Landmark::TalusAnterior],
    ] {
        let [one, other] = pair.map(|landmark| tracing.points[&landmark]);
        tracing.points.insert(pair[0], other);
        tracing.points.insert(pair[1], one);
    }
    let foot = lateral_only(&tracing);
    for (measurement, expected) in [
        (Measurement::TaloFirstMetatarsalAngle, -14.0),
        (Measurement::CalcanealInclinationAngle, 12.0),
        (Measurement::FirstMetatarsalInclinationAngle, 18.0),
    ] {
        assert_close(
            value(&foot, measurement),
            expected,
            TOLERANCE,
            measurement.name(),
        );
    }
}

#[test]
fn without_a_floor_the_calcaneus_and_talus_tell_dorsal_from_plantar() {
    let mut tracing = lateral_tracing(32.0, 18.0, 12.0);
    tracing.points.remove(&Landmark::FloorPosterior);
    tracing.points.remove(&Landmark::FloorAnterior);
    let foot = lateral_only(&tracing);
    let angle = value(&foot, Measurement::TaloFirstMetatarsalAngle);
    assert_close(angle, -14.0, TOLERANCE, "by the calcaneus");
    let inclination = measure(
        &foot,
        &Choices::default(),
        Measurement::CalcanealInclinationAngle,
    );
    assert_eq!(
        inclination.why_not().as_deref(),
        Some(
            "needs the floor under the heel on the lateral film and the floor under the forefoot \
             on the lateral film"
        ),
        "an angle to the floor needs the floor"
    );
}

#[test]
fn a_shaft_drawn_by_hand_is_the_line_as_it_was_drawn_and_says_so() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing.cortices.remove(&LongBone::M1);
    let base = tracing.points[&Landmark::BaseCentre(LongBone::M1)].at;
    let tip = tracing.points[&Landmark::Tip(LongBone::M1)].at;
    // Drawn from distal to proximal: the ends of the bone turn it the right way round.
    for (landmark, share) in [
        (Landmark::ShaftStart(LongBone::M1), 0.8),
        (Landmark::ShaftEnd(LongBone::M1), 0.3),
    ] {
        let at = base.toward(tip, share);
        put(&mut tracing, landmark, [at.x_px, at.y_px]);
    }
    let foot = ap_only(&tracing);
    for convention in AxisConvention::OF_SHAFT {
        let reading = reading(
            &foot,
            &by(convention),
            Measurement::DistalMetatarsalArticularAngle,
        );
        assert_close(reading.value, 9.0, TOLERANCE, convention.identifier());
        assert_eq!(
            reading.remarks,
            [Remark::DrawnByHand(LongBone::M1)],
            "the reader is told"
        );
    }
}

#[test]
fn a_line_drawn_by_hand_needs_no_ends() {
    let mut tracing = ap_tracing(MadeAngles::default());
    tracing.cortices.remove(&LongBone::ProximalPhalanx);
    let [start, end, base, tip] = Landmark::of_shaft(LongBone::ProximalPhalanx);
    let drawn = [tracing.points[&base], tracing.points[&tip]];
    tracing.points.remove(&base);
    tracing.points.remove(&tip);
    tracing.points.insert(start, drawn[0]);
    tracing.points.insert(end, drawn[1]);
    let angle = value(&ap_only(&tracing), Measurement::HalluxValgusAngle);
    assert_close(angle, 28.0, TOLERANCE, "drawn phalanx");
}

#[test]
fn the_conventions_of_the_head_say_that_other_bones_went_by_the_quarters() {
    let tracing = ap_tracing(MadeAngles::default());
    let reading = reading(
        &ap_only(&tracing),
        &by(AxisConvention::HeadBase),
        Measurement::IntermetatarsalAngle12,
    );
    assert_eq!(
        reading.convention,
        Some(AxisConvention::HeadBase),
        "asked for"
    );
    assert_eq!(
        reading.remarks,
        [Remark::ByTheQuarters(LongBone::M2)],
        "the second metatarsal has no head circle"
    );
}

#[test]
fn the_side_follows_from_the_bones_seen_from_the_dorsum() {
    let mut tracing = ap_tracing(MadeAngles::default());
    assert_eq!(
        side_from_bones(film(&tracing)),
        Some(Side::Right),
        "as made"
    );
    for placed in tracing.points.values_mut() {
        placed.at.x_px = -placed.at.x_px;
    }
    for cortices in tracing.cortices.values_mut() {
        for vertex in cortices.one.iter_mut().chain(&mut cortices.two) {
            vertex.x_px = -vertex.x_px;
        }
    }
    assert_eq!(
        side_from_bones(film(&tracing)),
        Some(Side::Left),
        "mirrored"
    );
    let empty = FilmTracing::default();
    assert_eq!(side_from_bones(film(&empty)), None, "nothing placed");
}

#[test]
fn a_quarter_lies_at_the_level_square_to_the_line_from_base_to_tip() {
    // One cortex is bent: at y 30 above the base it crosses x = −8 near the line and x = −20 further
    // off; the crossing nearer the line counts.
    let mut tracing = ap_tracing(MadeAngles::default());
    let bone = LongBone::ProximalPhalanx;
    put(&mut tracing, Landmark::BaseCentre(bone), [0.0, 0.0]);
    put(&mut tracing, Landmark::Tip(bone), [0.0, -120.0]);
    let cortices = tracing.cortices.get_mut(&bone).expect("made");
    let line = |places: &[[f64; 2]]| places.iter().map(|place| film_point(*place)).collect();
    cortices.one = line(&[
        [-20.0, 0.0],
        [-20.0, -40.0],
        [-8.0, -40.0],
        [-8.0, -20.0],
        [-12.0, -110.0],
    ]);
    cortices.two = line(&[[10.0, 0.0], [16.0, -120.0]]);
    let outcome = measure(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::HalluxInterphalangealAngle,
    );
    let Outcome::Value(reading) = outcome else {
        panic!("{outcome:?}");
    };
    // Level 30: cortex one at −8 − 4·10/90, nearest of −20, −8 and this; −8 itself is nearest.
    // Level 90: cortex one at −8 − 4·70/90; cortex two at 10 + 6·t.
    let proximal = f64::midpoint(-8.0, 11.5);
    let distal = f64::midpoint(-8.0 - 4.0 * 70.0 / 90.0, 14.5);
    let phalanx = (distal - proximal).atan2(60.0).to_degrees();
    let distal_phalanx = -13.0 + 28.0 + 6.0;
    assert_close(
        reading.value,
        distal_phalanx - phalanx,
        TOLERANCE,
        "the crossing nearest the line counts",
    );
}
