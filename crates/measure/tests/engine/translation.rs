//! What a shift of the head does to the angles, against the geometry of docs/measurements.md.

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, testing::assert_close};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, Outcome, measure};

use crate::made_feet::{
    M1_BASE, M1_LENGTH, M1_TO_HEAD_CENTRE, MadeAngles, Place, ap_only, ap_tracing, by, clockwise,
    direction, film, put, reading, step,
};

/// The cut, as a share of the first metatarsal's length: distal to both quarters.
const CUT: f64 = 0.8;

const FIRST_RAY_ANGLES: [Measurement; 3] = [
    Measurement::IntermetatarsalAngle12,
    Measurement::HalluxValgusAngle,
    Measurement::DistalMetatarsalArticularAngle,
];

fn move_points(tracing: &mut FilmTracing, landmarks: &[Landmark], moved: impl Fn(Place) -> Place) {
    for landmark in landmarks {
        let at = tracing.points[landmark].at;
        put(tracing, *landmark, moved([at.x_px, at.y_px]));
    }
}

/// Moves everything distal to the cut: head, joint surface, toe, and the cortices beyond it.
fn move_fragment(tracing: &mut FilmTracing, moved: impl Fn(Place) -> Place) {
    let mut landmarks = vec![
        Landmark::HeadCentre,
        Landmark::Tip(LongBone::M1),
        Landmark::ArticularMedial,
        Landmark::ArticularLateral,
    ];
    for toe in [LongBone::ProximalPhalanx, LongBone::DistalPhalanx] {
        landmarks.extend([Landmark::BaseCentre(toe), Landmark::Tip(toe)]);
    }
    move_points(tracing, &landmarks, &moved);
    let along = direction(-MadeAngles::default().intermetatarsal);
    for (bone, cortices) in &mut tracing.cortices {
        let is_toe = bone.metatarsal_number().is_none();
        for vertex in cortices.one.iter_mut().chain(&mut cortices.two) {
            let distance =
                (vertex.x_px - M1_BASE[0]) * along[0] + (vertex.y_px - M1_BASE[1]) * along[1];
            if is_toe || (*bone == LongBone::M1 && distance > CUT * M1_LENGTH) {
                let [x, y] = moved([vertex.x_px, vertex.y_px]);
                (vertex.x_px, vertex.y_px) = (x, y);
            }
        }
    }
}

/// Moves the fragment and marks the cut.
fn operate(moved: impl Fn(Place) -> Place) -> FilmTracing {
    let mut tracing = ap_tracing(MadeAngles::default());
    move_fragment(&mut tracing, moved);
    let along = direction(-MadeAngles::default().intermetatarsal);
    put(
        &mut tracing,
        Landmark::OsteotomyLevel,
        step(M1_BASE, along, CUT * M1_LENGTH),
    );
    tracing
}

fn shifted_laterally(shift: f64) -> FilmTracing {
    let across = clockwise(direction(-MadeAngles::default().intermetatarsal));
    operate(|place| step(place, across, shift))
}

fn operated(tracing: &FilmTracing) -> Foot<'_> {
    Foot {
        ap: Some(film(tracing)),
        lateral: None,
        operated: true,
    }
}

#[test]
fn a_lateral_shift_lowers_the_three_angles_by_the_arctangent_of_shift_over_length() {
    let before = ap_tracing(MadeAngles::default());
    for shift in [10.0, 35.0, 70.0] {
        let after = shifted_laterally(shift);
        let fall = shift.atan2(M1_TO_HEAD_CENTRE).to_degrees();
        for measurement in FIRST_RAY_ANGLES {
            let choices = by(AxisConvention::HeadBase);
            let [before, after] = [&ap_only(&before), &operated(&after)]
                .map(|foot| reading(foot, &choices, measurement).value);
            assert_close(before - after, fall, 1e-9, measurement.name());
        }
    }
}

#[test]
fn the_published_pairs_of_shift_and_length_give_their_angles() {
    // J Orthop Surg Res 2015, doi 10.1186/s13018-015-0304-7: the turn is atan(T / L).
    for (length, shift, degrees) in [
        (50.0, 5.0, 5.710_593),
        (60.0, 10.0, 9.462_322),
        (65.0, 12.0, 10.459_909),
    ] {
        let pixels_per_mm = M1_TO_HEAD_CENTRE / length;
        let after = shifted_laterally(shift * pixels_per_mm);
        let angle = reading(
            &operated(&after),
            &Choices::default(),
            Measurement::IntermetatarsalAngle12,
        );
        assert_eq!(angle.convention, Some(AxisConvention::HeadBase), "operated");
        let fall = MadeAngles::default().intermetatarsal - angle.value;
        assert_close(fall, degrees, 1e-6, "published pair");
    }
}

#[test]
fn a_mid_diaphyseal_axis_proximal_to_the_cut_does_not_see_the_shift() {
    let tracing = shifted_laterally(20.0);
    for convention in [
        AxisConvention::MidDiaphysealQuarters,
        AxisConvention::ShaftFit,
    ] {
        for (measurement, made) in FIRST_RAY_ANGLES.into_iter().zip([13.0, 28.0, 9.0]) {
            let reading = reading(&operated(&tracing), &by(convention), measurement);
            let what = format!("{} by {}", measurement.name(), convention.identifier());
            assert_close(reading.value, made, 1e-9, &what);
        }
    }
}

#[test]
fn turning_the_fragment_about_the_head_centre_turns_joint_and_toe_but_not_the_ray() {
    let along = direction(-MadeAngles::default().intermetatarsal);
    let head = step(M1_BASE, along, M1_TO_HEAD_CENTRE);
    let turn: f64 = 7.0;
    let tracing = operate(|place| {
        let (sine, cosine) = turn.to_radians().sin_cos();
        let off = [place[0] - head[0], place[1] - head[1]];
        [
            head[0] + cosine * off[0] - sine * off[1],
            head[1] + sine * off[0] + cosine * off[1],
        ]
    });
    for (measurement, expected) in FIRST_RAY_ANGLES
        .into_iter()
        .zip([13.0, 28.0 + turn, 9.0 + turn])
    {
        let reading = reading(&operated(&tracing), &Choices::default(), measurement);
        assert_close(reading.value, expected, 1e-9, measurement.name());
    }
}

#[test]
fn a_level_beyond_the_cut_is_refused_and_the_reader_is_told_why() {
    let mut tracing = shifted_laterally(40.0);
    let along = direction(-MadeAngles::default().intermetatarsal);
    put(
        &mut tracing,
        Landmark::OsteotomyLevel,
        step(M1_BASE, along, 0.7 * M1_LENGTH),
    );
    for convention in [
        AxisConvention::MidDiaphysealQuarters,
        AxisConvention::ShaftFit,
    ] {
        let outcome = measure(
            &operated(&tracing),
            &by(convention),
            Measurement::HalluxValgusAngle,
        );
        let Outcome::Refused { reason } = outcome else {
            panic!("{}: {outcome:?}", convention.identifier());
        };
        assert!(
            reason.contains("75 %") && reason.contains("head centre – base centre"),
            "it names the level and the way out: {reason}"
        );
    }
    let by_shaft_and_head = reading(
        &operated(&tracing),
        &by(AxisConvention::HeadShaft),
        Measurement::IntermetatarsalAngle12,
    );
    assert!(
        by_shaft_and_head.value < 13.0,
        "a quarter lies proximal to the cut"
    );
}

#[test]
fn without_the_level_of_the_cut_an_operated_shaft_is_refused() {
    let mut tracing = shifted_laterally(40.0);
    tracing.points.remove(&Landmark::OsteotomyLevel);
    for convention in AxisConvention::ALL {
        let outcome = measure(
            &operated(&tracing),
            &by(convention),
            Measurement::IntermetatarsalAngle12,
        );
        let expected = if convention == AxisConvention::HeadBase {
            "value"
        } else {
            "refused"
        };
        assert_eq!(outcome.status(), expected, "{}", convention.identifier());
    }
}

#[test]
fn an_operated_foot_refuses_only_what_leans_on_its_first_metatarsal() {
    let tracing = shifted_laterally(40.0);
    let toe = reading(
        &operated(&tracing),
        &by(AxisConvention::ShaftFit),
        Measurement::HalluxInterphalangealAngle,
    );
    assert_close(toe.value, 6.0, 1e-9, "the toe was not cut");
}

#[test]
fn a_line_drawn_past_the_cut_is_refused() {
    let mut tracing = shifted_laterally(40.0);
    tracing.cortices.remove(&LongBone::M1);
    let along = direction(-MadeAngles::default().intermetatarsal);
    for (distal_end, status) in [(0.75, "value"), (0.85, "refused")] {
        put(
            &mut tracing,
            Landmark::ShaftStart(LongBone::M1),
            step(M1_BASE, along, 0.2 * M1_LENGTH),
        );
        put(
            &mut tracing,
            Landmark::ShaftEnd(LongBone::M1),
            step(M1_BASE, along, distal_end * M1_LENGTH),
        );
        let outcome = measure(
            &operated(&tracing),
            &by(AxisConvention::MidDiaphysealQuarters),
            Measurement::HalluxValgusAngle,
        );
        assert_eq!(outcome.status(), status, "drawn to {distal_end}");
    }
}
