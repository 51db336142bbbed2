//! What must hold of every plan, on simulated feet.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, PhysicalPoint, PixelSpacing,
    Proportions, Side, Similarity, testing::assert_close,
};
use plumbray_measure::{Foot, Measurement, TracedFilm, Unit};
use plumbray_phantom::{
    Exposure, FilmTruth, Foot as PhantomFoot, FootParameters, truth_of_ap, truth_of_lateral,
};
use plumbray_plan::{
    BonePlace, CutDirection, Extent, Goal, Plan, Screw, ScrewKind, Undertaking, Verdict, carry_out,
    keep_length,
};

/// Both films of a foot, traced and calibrated at the patient.
#[derive(Clone, Debug)]
struct Films {
    ap: (FilmTracing, Calibration),
    lateral: (FilmTracing, Calibration),
}

impl Films {
    fn of(side: Side) -> Self {
        let foot = PhantomFoot::new(FootParameters {
            side,
            hallux_valgus_angle: 31.0,
            intermetatarsal_angle_1_2: 15.0,
            distal_metatarsal_articular_angle: 9.0,
            ..FootParameters::default()
        })
        .expect("a possible foot");
        let exposure = Exposure::default();
        let traced = |truth: FilmTruth| {
            let calibration = truth.calibration(&truth.feet[0]).expect("a calibration");
            (truth.feet[0].tracing.clone(), calibration)
        };
        Self {
            ap: traced(truth_of_ap(&foot, &exposure).expect("an AP film")),
            lateral: traced(truth_of_lateral(&foot, &exposure).expect("a lateral film")),
        }
    }

    /// The same foot on films that lie elsewhere, are turned, larger, or seen from behind.
    fn seen_through(&self, motion: &Similarity) -> Self {
        let film = |(tracing, calibration): &(FilmTracing, Calibration)| {
            let size = calibration.mm_per_pixel_width() / motion.scale();
            let calibration = Calibration {
                spacing: PixelSpacing::new(size, size).expect("a possible size"),
                basis: CalibrationBasis::EstimatedMagnification { factor: 1.03 },
                relative_sd: 0.0,
            };
            (moved(tracing, motion), calibration)
        };
        Self {
            ap: film(&self.ap),
            lateral: film(&self.lateral),
        }
    }

    fn foot(&self) -> Foot<'_> {
        let film = |(tracing, calibration)| TracedFilm {
            tracing,
            proportions: Proportions::SQUARE,
            calibration: Some(calibration),
        };
        Foot {
            ap: Some(film((&self.ap.0, &self.ap.1))),
            lateral: Some(film((&self.lateral.0, &self.lateral.1))),
            operated: false,
        }
    }

    fn carried_out(&self, plan: &Plan) -> Undertaking {
        carry_out(&self.foot(), plan).expect("a plan that can be carried out")
    }
}

fn moved(tracing: &FilmTracing, motion: &Similarity) -> FilmTracing {
    let mut tracing = tracing.clone();
    let through = |at: &mut FilmPoint| {
        let square = Proportions::SQUARE;
        *at = square.film(motion.of(square.physical(*at)));
    };
    for placed in tracing.points.values_mut() {
        through(&mut placed.at);
    }
    for cortices in tracing.cortices.values_mut() {
        cortices
            .one
            .iter_mut()
            .chain(&mut cortices.two)
            .for_each(through);
    }
    tracing
}

/// A plan in which every part of the movement takes part.
fn whole_plan() -> Plan {
    let mut plan = Plan::usual(true);
    plan.cut.direction = CutDirection::TiltDegrees(8.0);
    plan.head.shift = Extent::Millimetres(9.5);
    plan.head.medial_turn_degrees = 4.0;
    plan.head.dorsal_shift = Extent::Millimetres(-1.0);
    plan.head.plantar_tilt_degrees = 3.0;
    plan.toe.wedge_degrees = 5.0;
    plan
}

/// Holds what two plans predict against each other, number by number.
fn assert_same_prediction(one: &Undertaking, other: &Undertaking, what: &str) {
    let mut compared = 0;
    for (row, same) in one.rows.iter().zip(&other.rows) {
        let (value, expected) = (row.planned.value(), same.planned.value());
        let name = row.measurement.identifier();
        assert_eq!(value.is_some(), expected.is_some(), "{what}: {name}");
        if let (Some(value), Some(expected)) = (value, expected) {
            assert_close(value, expected, 1e-6, &format!("{what}: {name}"));
            compared += 1;
        }
    }
    assert!(compared > 20, "{what}: only {compared} numbers");
    for (value, expected, part) in [
        (one.shift.of_width, other.shift.of_width, "shift"),
        (one.contact.share, other.contact.share, "contact"),
        (one.medial_step.of_width, other.medial_step.of_width, "step"),
        (
            one.length.along_first.whole.of_width,
            other.length.along_first.whole.of_width,
            "length",
        ),
    ] {
        assert_close(value, expected, 1e-6, &format!("{what}: {part}"));
    }
}

#[test]
fn a_plan_that_moves_nothing_changes_no_number() {
    for side in [Side::Left, Side::Right] {
        let mut plan = Plan::usual(true);
        plan.cut.direction = CutDirection::TiltDegrees(12.0);
        plan.cut.kerf = Extent::Millimetres(0.0);
        plan.head.shift = Extent::Millimetres(0.0);
        let undertaking = Films::of(side).carried_out(&plan);
        let mut compared = 0;
        for row in &undertaking.rows {
            let before = row.before.reading().map(|reading| reading.value);
            if let (Some(before), Some(planned)) = (before, row.planned.value()) {
                assert_close(planned, before, 1e-6, row.measurement.identifier());
                compared += 1;
            }
        }
        assert!(compared > 20, "only {compared} numbers on a {side:?} foot");
    }
}

#[test]
fn films_that_are_mirrored_turned_or_larger_give_the_same_prediction() {
    let films = Films::of(Side::Right);
    let plain = films.carried_out(&whole_plan());
    for (what, scale, degrees, mirrored) in [
        ("mirrored", 1.0, 0.0, true),
        ("turned", 1.0, 37.0, false),
        ("larger", 1.7, 0.0, false),
        ("all at once", 0.6, -120.0, true),
    ] {
        let origin = PhysicalPoint::new(1500.0, 900.0);
        let motion = Similarity::new(origin, scale, f64::to_radians(degrees), mirrored);
        let seen = films.seen_through(&motion).carried_out(&whole_plan());
        assert_same_prediction(&seen, &plain, what);
    }
}

#[test]
fn the_intermetatarsal_angle_falls_steadily_with_the_shift() {
    let films = Films::of(Side::Left);
    let angle = |share: f64| {
        let mut plan = whole_plan();
        plan.head.shift = Extent::Share(share);
        let undertaking = films.carried_out(&plan);
        let row = undertaking.row(Measurement::IntermetatarsalAngle12);
        row.and_then(|row| row.planned.value()).expect("an angle")
    };
    let angles: Vec<f64> = (0..=12).map(|step| angle(0.1 * f64::from(step))).collect();
    for (step, pair) in angles.windows(2).enumerate() {
        let fall = pair[0] - pair[1];
        // A tenth of a shaft some 14 mm wide at the end of 50 mm is 1.6°.
        assert!((1.0..2.2).contains(&fall), "step {step}: {fall}°");
    }
}

#[test]
fn millimetres_and_shares_of_the_same_amount_give_the_same_prediction() {
    let films = Films::of(Side::Right);
    let plan = whole_plan();
    let in_mm = films.carried_out(&plan);
    let cut = &in_mm.cut;
    let mut shares = plan.clone();
    shares.cut.level = Extent::Share(cut.from_joint_share);
    shares.cut.kerf = Extent::Share(cut.kerf / cut.width);
    shares.head.shift = Extent::Share(in_mm.shift.of_width);
    shares.head.dorsal_shift = Extent::Share(in_mm.movement.dorsal / cut.width);
    assert_same_prediction(&films.carried_out(&shares), &in_mm, "shares");
    // Without a calibration the angles are the same, and nothing is in millimetres.
    let bare = Foot {
        ap: films.foot().ap.map(|film| TracedFilm {
            calibration: None,
            ..film
        }),
        ..films.foot()
    };
    let uncalibrated = carry_out(&bare, &shares).expect("shares need no calibration");
    for row in &in_mm.rows {
        let (Some(value), Some(same)) = (row.planned.value(), uncalibrated.row(row.measurement))
        else {
            continue;
        };
        if row.measurement.unit() == Unit::Degrees {
            let same = same.planned.value().expect("an angle needs no calibration");
            assert_close(same, value, 1e-6, row.measurement.identifier());
        }
    }
    assert_eq!(uncalibrated.shift.mm, None, "no millimetres");
}

#[test]
fn a_cut_that_keeps_the_length_keeps_it_on_every_foot_and_its_mirror_image() {
    for side in [Side::Left, Side::Right] {
        let films = Films::of(side);
        for (shift, kerf, goal) in [
            (9.5, 2.0, None),
            (12.0, 1.0, None),
            (6.0, 0.0, None),
            (9.5, 2.0, Some(Goal::IntermetatarsalAngle(7.0))),
        ] {
            let mut plan = whole_plan();
            plan.head.shift = Extent::Millimetres(shift);
            plan.cut.kerf = Extent::Millimetres(kerf);
            plan.head.goal = goal;
            let kept = keep_length(&films.foot(), &plan).expect("a tilt");
            let done = films.carried_out(&kept);
            let along_second = done.length.along_second.expect("M2").whole.mm;
            let what = format!("{side:?}, {shift} mm, kerf {kerf} mm, {goal:?}");
            assert_close(along_second.expect("calibrated"), 0.0, 0.01, &what);
            let origin = PhysicalPoint::new(700.0, 900.0);
            let mirrored = films.seen_through(&Similarity::new(origin, 1.0, 0.0, true));
            let same = keep_length(&mirrored.foot(), &kept).expect("a tilt");
            let (CutDirection::TiltDegrees(one), CutDirection::TiltDegrees(other)) =
                (kept.cut.direction, same.cut.direction)
            else {
                panic!("{what}: a tilt in degrees");
            };
            // The mirror image has another calibration factor, and so the same tilt to rounding only.
            assert_close(other, one, 1e-6, &format!("{what}: mirrored"));
        }
    }
}

#[test]
fn a_check_with_a_number_outside_what_is_wanted_is_never_met() {
    let films = Films::of(Side::Left);
    let place = |along, lateral| BonePlace {
        along,
        lateral,
        dorsal: 0.0,
    };
    let screw = |kind, entry, tip| Screw {
        kind,
        diameter: Extent::Millimetres(4.0),
        entry,
        tip,
    };
    let mut plan = whole_plan();
    plan.screws = vec![
        screw(ScrewKind::Screw, place(0.25, -0.12), place(1.0, 0.25)),
        screw(ScrewKind::Screw, place(0.45, -0.12), place(1.0, 0.12)),
        screw(ScrewKind::Wire, place(0.95, 0.0), place(1.0, 0.3)),
    ];
    let mut with_bound = 0;
    for step in 0..12 {
        let far = f64::from(step) * 0.02 - 0.1;
        plan.head.shift = Extent::Millimetres(f64::from(step) * 1.5);
        plan.head.goal = Some(Goal::IntermetatarsalAngle(f64::from(step)));
        for screw in &mut plan.screws {
            screw.tip.lateral += far;
            screw.entry.along += far;
        }
        for check in films.carried_out(&plan).checks {
            let Some((figure, wanted)) = check.figure.zip(check.wanted) else {
                continue;
            };
            with_bound += 1;
            assert!(
                wanted.admits(figure) || check.verdict == Verdict::Open,
                "step {step}: {check:?}"
            );
        }
    }
    assert!(with_bound > 100, "only {with_bound} checks were seen");
}
