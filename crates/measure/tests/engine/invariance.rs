//! Mirroring, turning, enlarging and shifting a film, other pixel shapes, and the order in which
//! things are named change no number.

use plumbray_anatomy::{
    Calibration, FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint, Proportions,
    testing::assert_close,
};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, Outcome, TracedFilm, Unit, measure,
};
use proptest::prelude::*;

use crate::made_feet::{
    MadeAngles, ap_tracing, by, calibration, lateral_tracing, put_further_ap, put_further_lateral,
};

/// Coordinates of up to some ten thousand pixels hold twelve digits behind the point.
const TOLERANCE: f64 = 1e-7;

const MM_PER_PIXEL_WIDTH: f64 = 0.15;

/// What happens to a film of square pixels.
#[derive(Clone, Copy, Debug)]
struct Change {
    mirrored: bool,
    turn_degrees: f64,
    enlarged: f64,
    shift: [f64; 2],
    height_over_width: f64,
}

impl Change {
    fn proportions(self) -> Proportions {
        Proportions::new(self.height_over_width).expect("possible pixels")
    }

    fn calibration(self) -> Calibration {
        calibration(MM_PER_PIXEL_WIDTH / self.enlarged, self.proportions())
    }

    fn point(self, point: FilmPoint) -> FilmPoint {
        let x = if self.mirrored {
            -point.x_px
        } else {
            point.x_px
        };
        let (sine, cosine) = self.turn_degrees.to_radians().sin_cos();
        let moved = PhysicalPoint::new(
            self.shift[0] + self.enlarged * (cosine * x - sine * point.y_px),
            self.shift[1] + self.enlarged * (sine * x + cosine * point.y_px),
        );
        self.proportions().film(moved)
    }

    fn tracing(self, tracing: &FilmTracing) -> FilmTracing {
        let mut changed = tracing.clone();
        for placed in changed.points.values_mut() {
            placed.at = self.point(placed.at);
        }
        for cortices in changed.cortices.values_mut() {
            for vertex in cortices.one.iter_mut().chain(&mut cortices.two) {
                *vertex = self.point(*vertex);
            }
        }
        changed
    }
}

fn any_change() -> impl Strategy<Value = Change> {
    (
        any::<bool>(),
        -180.0..180.0f64,
        prop_oneof![Just(1.0), 0.3..20.0f64],
        [-2e4..2e4f64, -2e4..2e4f64],
        prop_oneof![Just(1.0), 0.2..5.0f64],
    )
        .prop_map(
            |(mirrored, turn_degrees, enlarged, shift, height_over_width)| Change {
                mirrored,
                turn_degrees,
                enlarged,
                shift,
                height_over_width,
            },
        )
}

/// An angle that is ordinary, or as good as none, or the wrong way round.
fn nasty_angle(largest: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -largest..largest,
        1 => Just(0.0),
        1 => -1e-9..1e-9f64,
    ]
}

/// A foot whose every point strays by some pixels from the straight bones it was made of.
fn crooked_foot() -> impl Strategy<Value = (FilmTracing, FilmTracing)> {
    let angles = (
        nasty_angle(60.0),
        nasty_angle(25.0),
        nasty_angle(30.0),
        nasty_angle(30.0),
        -20.0..120.0f64,
    )
        .prop_map(
            |(hallux_valgus, intermetatarsal, articular, interphalangeal, sesamoid_share)| {
                MadeAngles {
                    hallux_valgus,
                    intermetatarsal,
                    articular,
                    interphalangeal,
                    sesamoid_share,
                }
            },
        );
    let strays = || prop::collection::vec(prop_oneof![Just(0.0), -6.0..6.0f64], 700);
    let falls = (nasty_angle(40.0), nasty_angle(40.0), nasty_angle(40.0));
    (angles, falls, strays(), strays()).prop_map(|(angles, falls, ap_strays, lateral_strays)| {
        let (mut ap, mut lateral) = (
            ap_tracing(angles),
            lateral_tracing(falls.0, falls.1, falls.2),
        );
        put_further_ap(&mut ap);
        put_further_lateral(&mut lateral);
        (stray(ap, &ap_strays), stray(lateral, &lateral_strays))
    })
}

fn stray(mut tracing: FilmTracing, by_px: &[f64]) -> FilmTracing {
    let mut strays = by_px.iter().copied();
    let mut move_point = |point: &mut FilmPoint| {
        point.x_px += strays.next().expect("enough numbers");
        point.y_px += strays.next().expect("enough numbers");
    };
    for placed in tracing.points.values_mut() {
        move_point(&mut placed.at);
    }
    for cortices in tracing.cortices.values_mut() {
        cortices
            .one
            .iter_mut()
            .chain(&mut cortices.two)
            .for_each(&mut move_point);
    }
    tracing
}

/// One foot with the films it was read on.
struct Films {
    ap: FilmTracing,
    lateral: FilmTracing,
    calibration: Calibration,
    proportions: Proportions,
}

impl Films {
    fn plain(ap: FilmTracing, lateral: FilmTracing) -> Self {
        Self {
            ap,
            lateral,
            calibration: calibration(MM_PER_PIXEL_WIDTH, Proportions::SQUARE),
            proportions: Proportions::SQUARE,
        }
    }

    fn changed(&self, change: Change) -> Self {
        Self {
            ap: change.tracing(&self.ap),
            lateral: change.tracing(&self.lateral),
            calibration: change.calibration(),
            proportions: change.proportions(),
        }
    }

    fn foot(&self) -> Foot<'_> {
        let film = |tracing| TracedFilm {
            tracing,
            proportions: self.proportions,
            calibration: Some(&self.calibration),
        };
        Foot {
            ap: Some(film(&self.ap)),
            lateral: Some(film(&self.lateral)),
            operated: false,
        }
    }
}

/// Fails unless both feet read the same by every convention.
fn assert_same_worksheet(one: &Foot<'_>, other: &Foot<'_>) {
    for convention in AxisConvention::ALL {
        let choices = by(convention);
        for measurement in Measurement::ALL {
            if matches!(measurement.unit(), Unit::Position | Unit::Grade) {
                // A rounding error may carry the share over a limit; the share itself is compared.
                continue;
            }
            let what = format!("{} by {}", measurement.name(), convention.identifier());
            match (
                measure(one, &choices, measurement),
                measure(other, &choices, measurement),
            ) {
                (Outcome::Value(one), Outcome::Value(other)) => {
                    assert_close(other.value, one.value, TOLERANCE, &what);
                }
                (one, other) => assert_eq!(one.status(), other.status(), "{what}"),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_changed_film_reads_the_same((ap, lateral) in crooked_foot(), change in any_change()) {
        let films = Films::plain(ap, lateral);
        assert_same_worksheet(&films.foot(), &films.changed(change).foot());
    }

    #[test]
    fn it_makes_no_difference_which_cortex_is_one_and_which_is_two((ap, lateral) in crooked_foot()) {
        let films = Films::plain(ap.clone(), lateral.clone());
        let mut swapped = Films::plain(ap, lateral);
        for tracing in [&mut swapped.ap, &mut swapped.lateral] {
            for cortices in tracing.cortices.values_mut() {
                std::mem::swap(&mut cortices.one, &mut cortices.two);
            }
        }
        assert_same_worksheet(&films.foot(), &swapped.foot());
    }

    #[test]
    fn it_makes_no_difference_in_which_order_pairs_of_points_are_named(
        (ap, lateral) in crooked_foot(),
    ) {
        let films = Films::plain(ap.clone(), lateral.clone());
        let mut swapped = Films::plain(ap, lateral);
        swap_points(&mut swapped.ap, Landmark::ArticularMedial, Landmark::ArticularLateral);
        // The medial corner of the first metatarsal's base serves the adductus angles too.
        let toe = LongBone::ProximalPhalanx;
        swap_points(&mut swapped.ap, Landmark::BaseMedial(toe), Landmark::BaseLateral(toe));
        swap_points(&mut swapped.ap, Landmark::DistalMedial(toe), Landmark::DistalLateral(toe));
        for (one, other) in [
            (Landmark::FloorPosterior, Landmark::FloorAnterior),
            (Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior),
            (Landmark::TalusPosterior, Landmark::TalusAnterior),
        ] {
            swap_points(&mut swapped.lateral, one, other);
        }
        assert_same_worksheet(&films.foot(), &swapped.foot());
    }

    #[test]
    fn the_hallux_valgus_angle_is_the_sum_of_its_three_parts((ap, lateral) in crooked_foot()) {
        let films = Films::plain(ap, lateral);
        for convention in AxisConvention::OF_SHAFT {
            let value = |measurement| {
                let outcome = measure(&films.foot(), &by(convention), measurement);
                outcome.reading().map(|reading| reading.value)
            };
            let parts = [
                Measurement::DistalMetatarsalArticularAngle,
                Measurement::FirstMetatarsophalangealAngle,
                Measurement::ProximalPhalangealArticularAngle,
            ]
            .map(value);
            if let ([Some(metatarsal), Some(joint), Some(phalanx)], Some(whole)) =
                (parts, value(Measurement::HalluxValgusAngle))
            {
                // A whole turn more or less is the same angle. Two surfaces nearly square to each other are lines
                // without direction, of which either may be called the one along the toe: half a turn.
                let is_usual = [metatarsal, joint, phalanx].iter().all(|part| part.abs() < 60.0);
                let period = if is_usual { 360.0 } else { 180.0 };
                let rest = (metatarsal + joint + phalanx - whole).rem_euclid(period);
                prop_assert!(rest.min(period - rest) < 1e-9, "{parts:?} make {whole}");
            }
        }
    }

    #[test]
    fn turning_a_film_of_square_pixels_keeps_the_spread(
        (ap, lateral) in crooked_foot(),
        turn_degrees in -180.0..180.0f64,
    ) {
        let films = Films::plain(ap, lateral);
        let turned = films.changed(Change {
            mirrored: false,
            turn_degrees,
            enlarged: 1.0,
            shift: [0.0, 0.0],
            height_over_width: 1.0,
        });
        for measurement in Measurement::ALL {
            let spreads = [&films, &turned].map(|films| {
                measure(&films.foot(), &Choices::default(), measurement)
                    .reading()
                    .map(|reading| reading.sd)
            });
            if let [Some(one), Some(other)] = spreads {
                assert_close(other, one, 1e-6 * (1.0 + one), measurement.name());
            }
        }
    }
}

fn swap_points(tracing: &mut FilmTracing, one: Landmark, other: Landmark) {
    let places = [one, other].map(|landmark| tracing.points[&landmark]);
    tracing.points.insert(one, places[1]);
    tracing.points.insert(other, places[0]);
}
