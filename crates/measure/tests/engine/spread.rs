//! The first-order interval against thousands of random tracings, the gradient against small steps,
//! and what the spread is made of.

use plumbray_anatomy::{
    Calibration, FilmPoint, FilmTracing, LongBone, PhysicalVector, PixelSpacing, Proportions,
    testing::assert_close,
};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, Part, Question, ReaderError, Reading, Row, Source,
    Spread, TWO_SIDED_95, TracedFilm, Unit, head_offset_px, level_freedom, measure, worksheet,
};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::made_feet::{
    MadeAngles, ap_only, ap_tracing, by, calibration, lateral_only, lateral_tracing,
    put_further_ap, put_further_lateral, reading,
};

const DRAWS: u32 = 10_000;

/// Ten thousand draws know a standard deviation to 0.7 %: four times that, and a little for the
/// curvature that first order leaves out.
const SPREAD_TOLERANCE: f64 = 0.035;

/// A normal variate by the method of Box and Muller.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let radius = (-2.0 * (1.0 - random.random::<f64>()).ln()).sqrt();
    radius * (std::f64::consts::TAU * random.random::<f64>()).cos()
}

/// A tracing as the same reader might have placed it another time.
pub(crate) fn redrawn(
    tracing: &FilmTracing,
    proportions: Proportions,
    random: &mut ChaCha8Rng,
) -> FilmTracing {
    let mut redrawn = tracing.clone();
    for placed in redrawn.points.values_mut() {
        stray(&mut placed.at, placed.sd_px, random);
    }
    for cortices in redrawn.cortices.values_mut() {
        let together_px = cortices.together_sd_px;
        assert_eq!(cortices.proximal_sd_px, None, "one spread all along");
        let own_px = (cortices.sd_px.powi(2) - together_px.powi(2)).sqrt();
        for cortex in [&mut cortices.one, &mut cortices.two] {
            let shift = together_px * normal(random);
            let (first, last) = (cortex[0], cortex[cortex.len() - 1]);
            let chord = proportions.physical(last) - proportions.physical(first);
            let across = PhysicalVector::new(-chord.y, chord.x) * (shift / chord.length());
            for vertex in cortex {
                *vertex = proportions.film(proportions.physical(*vertex) + across);
                stray(vertex, own_px, random);
            }
        }
    }
    redrawn
}

fn stray(point: &mut FilmPoint, sd_px: f64, random: &mut ChaCha8Rng) {
    point.x_px += sd_px * normal(random);
    point.y_px += sd_px * normal(random);
}

pub(crate) fn recalibrated(calibration: &Calibration, random: &mut ChaCha8Rng) -> Calibration {
    let factor = 1.0 + calibration.relative_sd * normal(random);
    let spacing = PixelSpacing::new(
        calibration.spacing.between_rows_mm() * factor,
        calibration.spacing.between_columns_mm() * factor,
    );
    Calibration {
        spacing: spacing.expect("a possible spacing"),
        ..*calibration
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    count: f64,
    sum: f64,
    sum_of_squares: f64,
    within_interval: f64,
}

impl Tally {
    fn add(&mut self, value: f64, (low, high): (f64, f64)) {
        self.count += 1.0;
        self.sum += value;
        self.sum_of_squares += value * value;
        self.within_interval += f64::from((low..=high).contains(&value));
    }

    fn sd(self) -> f64 {
        let mean = self.sum / self.count;
        (self.sum_of_squares / self.count - mean * mean).sqrt()
    }
}

pub(crate) fn both_films<'a>(
    [ap, lateral]: [&'a FilmTracing; 2],
    calibration: &'a Calibration,
    proportions: Proportions,
) -> Foot<'a> {
    let film = |tracing| TracedFilm {
        tracing,
        proportions,
        calibration: Some(calibration),
    };
    Foot {
        ap: Some(film(ap)),
        lateral: Some(film(lateral)),
        operated: false,
    }
}

/// Rows of a foot that was not operated on whose number is smooth: a position jumps.
pub(crate) fn is_smooth(measurement: Measurement) -> bool {
    !matches!(measurement.unit(), Unit::Position | Unit::Grade)
        && measurement.question() != Question::Fragment
}

#[test]
fn first_order_by_the_quarters_is_the_spread_of_ten_thousand_random_tracings() {
    assert_first_order_holds(AxisConvention::MidDiaphysealQuarters);
}

#[test]
fn first_order_by_millimetres_is_the_spread_of_ten_thousand_random_tracings() {
    assert_first_order_holds(AxisConvention::MidDiaphysealMm);
}

#[test]
fn first_order_by_the_fitted_shaft_is_the_spread_of_ten_thousand_random_tracings() {
    assert_first_order_holds(AxisConvention::ShaftFit);
}

#[test]
fn first_order_by_head_and_shaft_is_the_spread_of_ten_thousand_random_tracings() {
    assert_first_order_holds(AxisConvention::HeadShaft);
}

/// Fails unless every row's spread, and the share of draws within its interval, are what random
/// tracings show.
fn assert_first_order_holds(convention: AxisConvention) {
    let tall = Proportions::new(1.3).expect("possible");
    let mut tracings = [
        ap_tracing(MadeAngles::default()),
        lateral_tracing(30.0, 20.0, 15.0),
    ];
    put_further_ap(&mut tracings[0]);
    put_further_lateral(&mut tracings[1]);
    for tracing in &mut tracings {
        for cortices in tracing.cortices.values_mut() {
            cortices.together_sd_px = 0.5 * cortices.sd_px;
        }
    }
    let scale = calibration(0.15, tall);
    let choices = by(convention);
    let expected = worksheet(
        &both_films([&tracings[0], &tracings[1]], &scale, tall),
        &choices,
    );
    let mut tallies = [Tally::default(); Measurement::ALL.len()];
    let mut random = ChaCha8Rng::seed_from_u64(20_251_125);
    for _ in 0..DRAWS {
        let [ap, lateral] = [0, 1].map(|film: usize| redrawn(&tracings[film], tall, &mut random));
        let scale = recalibrated(&scale, &mut random);
        let drawn = worksheet(&both_films([&ap, &lateral], &scale, tall), &choices);
        for ((tally, drawn), expected) in tallies.iter_mut().zip(&drawn.rows).zip(&expected.rows) {
            if !is_smooth(drawn.measurement) {
                continue;
            }
            tally.add(number(drawn).value, number(expected).interval);
        }
    }
    for (tally, row) in tallies.iter().zip(&expected.rows) {
        if is_smooth(row.measurement) {
            let what = format!("{} by {}", row.measurement.name(), convention.identifier());
            assert_close(tally.sd() / number(row).sd, 1.0, SPREAD_TOLERANCE, &what);
            assert_close(tally.within_interval / tally.count, 0.95, 0.01, &what);
        }
    }
}

#[track_caller]
fn number(row: &Row) -> &Reading {
    row.outcome.reading().expect("a number")
}

#[test]
fn the_gradient_is_what_small_steps_of_each_point_show() {
    let tracing = ap_tracing(MadeAngles::default());
    let step = 1e-3;
    for convention in AxisConvention::OF_SHAFT {
        let scale = calibration(0.15, Proportions::SQUARE);
        let choices = by(convention);
        let value_of = |tracing: &FilmTracing| {
            let foot = both_films([tracing, tracing], &scale, Proportions::SQUARE);
            reading(&foot, &choices, Measurement::HalluxValgusAngle).value
        };
        let foot = both_films([&tracing, &tracing], &scale, Proportions::SQUARE);
        let gradient = reading(&foot, &choices, Measurement::HalluxValgusAngle).sensitivities;
        let mut checked = 0;
        for sensitivity in gradient {
            let moved = |dx: f64, dy: f64| {
                let mut moved = tracing.clone();
                let Some(point) = point_of(&mut moved, sensitivity.source) else {
                    return f64::NAN;
                };
                point.x_px += dx;
                point.y_px += dy;
                value_of(&moved)
            };
            if matches!(sensitivity.source, Source::Calibration(_)) {
                continue;
            }
            let by_x = (moved(step, 0.0) - moved(-step, 0.0)) / (2.0 * step);
            let by_y = (moved(0.0, step) - moved(0.0, -step)) / (2.0 * step);
            let what = format!("{:?} by {}", sensitivity.source, convention.identifier());
            assert_close(sensitivity.per_x, by_x, 1e-7, &what);
            assert_close(sensitivity.per_y, by_y, 1e-7, &what);
            checked += 1;
        }
        assert!(checked >= 8, "{checked} points carry two axes");
    }
}

fn point_of(tracing: &mut FilmTracing, source: Source) -> Option<&mut FilmPoint> {
    match source {
        Source::Landmark(_, landmark) => tracing
            .points
            .get_mut(&landmark)
            .map(|placed| &mut placed.at),
        Source::CortexVertex {
            bone,
            cortex,
            vertex,
            ..
        } => {
            let cortices = tracing.cortices.get_mut(&bone)?;
            [&mut cortices.one, &mut cortices.two][cortex].get_mut(vertex)
        }
        Source::Cortex { .. } | Source::Calibration(_) => None,
    }
}

#[test]
fn what_the_spread_comes_from_adds_up_and_names_the_shorter_bone_first() {
    let tracing = ap_tracing(MadeAngles::default());
    let reading = reading(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::HalluxValgusAngle,
    );
    let whole: f64 = reading
        .influences
        .iter()
        .map(|influence| influence.share)
        .sum();
    assert_close(whole, 1.0, 1e-12, "shares of the parts");
    let points: f64 = reading.sensitivities.iter().map(|point| point.share).sum();
    assert_close(points, 1.0, 1e-12, "shares of the points");
    assert_eq!(
        reading.influences[0].part,
        Part::LongBone(LongBone::ProximalPhalanx),
        "the phalanx is the shorter lever"
    );
    let names: Vec<&str> = reading
        .influences
        .iter()
        .map(|influence| influence.part.name())
        .collect();
    assert_eq!(
        names,
        ["proximal phalanx of the great toe", "first metatarsal"],
        "no other bone takes part"
    );
}

#[test]
fn a_line_fitted_to_the_shaft_repeats_better_than_two_points_the_more_so_the_more_vertices() {
    let sparse = ap_tracing(MadeAngles::default());
    let dense = with_more_vertices(&sparse, 8);
    for (tracing, at_most) in [(&sparse, 0.95), (&dense, 0.6)] {
        let foot = ap_only(tracing);
        let sd_by =
            |convention| reading(&foot, &by(convention), Measurement::IntermetatarsalAngle12).sd;
        let share = sd_by(AxisConvention::ShaftFit) / sd_by(AxisConvention::MidDiaphysealQuarters);
        assert!(share < at_most, "{share} of the spread of two points");
    }
}

/// The same cortices with each stretch cut into so many, every vertex with the spread it had.
fn with_more_vertices(tracing: &FilmTracing, cuts: u32) -> FilmTracing {
    let finer = |cortex: &[FilmPoint]| {
        cortex
            .windows(2)
            .flat_map(|ends| {
                (0..cuts).map(|cut| ends[0].toward(ends[1], f64::from(cut) / f64::from(cuts)))
            })
            .chain(cortex.last().copied())
            .collect()
    };
    let mut finer_tracing = tracing.clone();
    for cortices in finer_tracing.cortices.values_mut() {
        cortices.one = finer(&cortices.one);
        cortices.two = finer(&cortices.two);
    }
    finer_tracing
}

#[test]
fn the_worse_calibration_widens_a_length_and_no_angle() {
    let tracing = ap_tracing(MadeAngles::default());
    let [sure, unsure] = [0.0, 0.02].map(|relative_sd| Calibration {
        relative_sd,
        ..calibration(0.15, Proportions::SQUARE)
    });
    let of = |scale: &Calibration, measurement| {
        let foot = both_films([&tracing, &tracing], scale, Proportions::SQUARE);
        reading(&foot, &Choices::default(), measurement)
    };
    let length = of(&unsure, Measurement::M1Length);
    let by_points = of(&sure, Measurement::M1Length).sd;
    assert_close(
        length.sd,
        by_points.hypot(0.02 * length.value),
        1e-12,
        "points and calibration are independent",
    );
    let angles = [&sure, &unsure].map(|scale| of(scale, Measurement::HalluxValgusAngle).sd);
    assert_close(angles[0], angles[1], 0.0, "an angle needs no calibration");
}

#[test]
fn each_sesamoid_position_has_a_probability_and_they_add_up() {
    let tracing = ap_tracing(MadeAngles {
        sesamoid_share: 55.0,
        ..MadeAngles::default()
    });
    let reading = reading(
        &ap_only(&tracing),
        &Choices::default(),
        Measurement::TibialSesamoidPosition,
    );
    let names: Vec<&str> = reading.classes.iter().map(|(name, _)| *name).collect();
    assert_eq!(
        names,
        ["I", "II", "III", "IV", "V", "VI", "VII"],
        "all seven"
    );
    let whole: f64 = reading.classes.iter().map(|(_, share)| share).sum();
    assert_close(whole, 1.0, 1e-12, "one of them it is");
    assert_close(
        reading.classes[4].1,
        0.5,
        1e-9,
        "at 55 % it is V as likely as not",
    );
}

#[test]
fn a_share_beyond_a_limit_is_told_with_what_of_its_interval_is_left() {
    let read = |share: f64| {
        let tracing = ap_tracing(MadeAngles {
            sesamoid_share: share,
            ..MadeAngles::default()
        });
        reading(
            &ap_only(&tracing),
            &Choices::default(),
            Measurement::TibialSesamoidShare,
        )
    };
    let half = |reading: &Reading| TWO_SIDED_95 * reading.sd;
    let middle = read(50.0);
    let Spread::Even(told) = middle.spread() else {
        panic!("nothing cuts it: {:?}", middle.spread());
    };
    assert_close(told, half(&middle), 1e-9, "half of the interval");
    let at_limit = read(0.0);
    assert!(half(&at_limit) > 1.0, "the spread goes on beyond the limit");
    // Just beyond the limit, half of the spread and more is left on this side of it.
    for (share, sign) in [(-1.0, 1.0), (101.0, -1.0)] {
        let reading = read(share);
        let limit = share.clamp(0.0, 100.0);
        assert_close(reading.value, limit, 0.0, "the number at its limit");
        let inner = share + sign * half(&reading);
        let expected = if sign > 0.0 {
            (limit, inner)
        } else {
            (inner, limit)
        };
        let Spread::Cut(low, high) = reading.spread() else {
            panic!("{share} %: {:?}", reading.spread());
        };
        assert_close(low, expected.0, 1e-9, "lower end");
        assert_close(high, expected.1, 1e-9, "upper end");
    }
    for share in [-60.0, 160.0] {
        let reading = read(share);
        assert_eq!(reading.spread(), Spread::Beyond, "{share} %");
        assert!(reading.sd > 0.5, "no number that is known exactly");
    }
}

#[test]
fn a_tracing_without_spread_has_a_number_without_spread() {
    let mut tracing = lateral_tracing(30.0, 20.0, 15.0);
    for placed in tracing.points.values_mut() {
        placed.sd_px = 0.0;
    }
    let reading = reading(
        &lateral_only(&tracing),
        &Choices::default(),
        Measurement::CalcanealInclinationAngle,
    );
    assert_close(reading.sd, 0.0, 0.0, "no spread");
    assert_close(reading.interval.0, reading.interval.1, 0.0, "no interval");
    assert_eq!(reading.spread(), Spread::Even(0.0), "and is told so");
}

#[test]
fn the_freedom_of_the_levels_is_none_on_straight_bones_and_some_on_a_bent_one() {
    let straight = ap_tracing(MadeAngles::default());
    let mut bent = straight.clone();
    let cortices = bent.cortices.get_mut(&LongBone::M1).expect("made");
    for (vertex, place) in (0u32..).zip(cortices.one.iter_mut()) {
        place.x_px += 0.01 * f64::from(vertex).powi(3);
    }
    let scale = calibration(0.15, Proportions::SQUARE);
    let freedom = |tracing| {
        let foot = both_films([tracing, tracing], &scale, Proportions::SQUARE);
        level_freedom(
            &foot,
            &Choices::default(),
            Measurement::IntermetatarsalAngle12,
        )
        .expect("calibrated")
    };
    let (least, greatest) = freedom(&straight);
    assert_close(greatest - least, 0.0, 1e-9, "straight");
    let (least, greatest) = freedom(&bent);
    assert!(greatest - least > 0.05, "bent: {least} to {greatest}");
    let uncalibrated = level_freedom(
        &ap_only(&straight),
        &Choices::default(),
        Measurement::IntermetatarsalAngle12,
    );
    assert_eq!(
        uncalibrated, None,
        "levels in millimetres need a calibration"
    );
}

/// The first metatarsal's cortices lie off by this much in all, by this much of it together.
fn with_first_cortices(sd_px: f64, together_sd_px: f64) -> FilmTracing {
    let mut tracing = ap_tracing(MadeAngles::default());
    for placed in tracing.points.values_mut() {
        placed.sd_px = 0.0;
    }
    for (bone, cortices) in &mut tracing.cortices {
        let is_first = *bone == LongBone::M1;
        cortices.sd_px = if is_first { sd_px } else { 0.0 };
        cortices.together_sd_px = if is_first { together_sd_px } else { 0.0 };
    }
    tracing
}

#[test]
fn cortices_that_lie_off_as_a_whole_turn_no_axis_and_move_it_all_the_same() {
    let sd = |together: f64, measurement| {
        let tracing = with_first_cortices(2.0, together);
        let reading = reading(&ap_only(&tracing), &Choices::default(), measurement);
        reading.sd
    };
    let angle = Measurement::IntermetatarsalAngle12;
    let [apart, partly, together] = [0.0, 1.2, 2.0].map(|part| sd(part, angle));
    assert!(together < 1e-9, "parallel cortices shifted: {together}°");
    assert_close(
        partly,
        apart * (1.0 - 0.36_f64).sqrt(),
        1e-9,
        "what each vertex lies off by itself",
    );
    let share = Measurement::TibialSesamoidShare;
    assert!(
        sd(2.0, share) > sd(0.0, share),
        "but the whole axis lies beside the sesamoid"
    );
}

#[test]
fn no_part_of_a_spread_is_larger_than_the_whole_or_below_nothing() {
    for together in [2.1, -0.1, f64::NAN] {
        let tracing = with_first_cortices(2.0, together);
        let outcome = measure(
            &ap_only(&tracing),
            &Choices::default(),
            Measurement::HalluxValgusAngle,
        );
        assert_eq!(outcome.status(), "degenerate", "{together}: {outcome:?}");
    }
}

#[test]
fn the_proximal_points_have_their_own_spread_and_the_rest_keeps_its_own() {
    let with = |sd_px, proximal_sd_px| {
        let mut tracing = with_first_cortices(sd_px, 0.5);
        tracing
            .cortices
            .get_mut(&LongBone::M1)
            .expect("made")
            .proximal_sd_px = proximal_sd_px;
        with_more_vertices(&tracing, 4)
    };
    let of_the_head = |tracing: &FilmTracing| {
        let outcome = head_offset_px(&ap_only(tracing));
        outcome.reading().expect("a number").sd
    };
    let by_the_quarters = |tracing: &FilmTracing| {
        let choices = by(AxisConvention::MidDiaphysealQuarters);
        let angle = Measurement::IntermetatarsalAngle12;
        reading(&ap_only(tracing), &choices, angle).sd
    };
    let [small, large, mixed] =
        [(1.0, None), (9.0, None), (9.0, Some(1.0))].map(|(whole, proximal)| with(whole, proximal));
    // So close do vertices lie that both beside the most distal level, at 43 %, are proximal of 45 %.
    assert_close(
        of_the_head(&mixed),
        of_the_head(&small),
        1e-9,
        "levels of the proximal shaft only",
    );
    let [small, large, mixed] = [small, large, mixed].map(|tracing| by_the_quarters(&tracing));
    assert!(
        small < mixed && mixed < large,
        "one level of two is proximal: {small}, {mixed}, {large}"
    );
}

#[test]
fn a_spread_of_the_proximal_points_that_cannot_be_is_a_broken_tracing() {
    for proximal in [0.4, -1.0, f64::NAN, f64::INFINITY] {
        let mut tracing = with_first_cortices(2.0, 0.5);
        for cortices in tracing.cortices.values_mut() {
            cortices.proximal_sd_px = Some(proximal);
        }
        let outcome = head_offset_px(&ap_only(&tracing));
        assert_eq!(outcome.status(), "degenerate", "{proximal}: {outcome:?}");
    }
}

#[test]
fn a_class_is_as_likely_as_tracing_and_reader_together_make_it() {
    let tracing = ap_tracing(MadeAngles {
        sesamoid_share: 60.0,
        ..MadeAngles::default()
    });
    let classes = |reader_error| {
        let choices = Choices {
            reader_error,
            ..Choices::default()
        };
        reading(
            &ap_only(&tracing),
            &choices,
            Measurement::TibialSesamoidGrade,
        )
        .classes
    };
    let alone = classes(ReaderError::NONE);
    let with_reader = classes(ReaderError::default());
    assert!(
        with_reader[2].1 < alone[2].1 && with_reader[2].1 > 0.5,
        "grade 2 is less sure: {alone:?}, {with_reader:?}"
    );
    let impossible = ReaderError {
        intermetatarsal_sd_degrees: f64::NAN,
        ..ReaderError::NONE
    };
    assert!(classes(impossible).is_empty(), "nothing is said");
}
