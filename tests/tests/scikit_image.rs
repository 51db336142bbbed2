//! Circles and ellipses through random points, fitted once more by scikit-image
//! (`tests/outside/scikit_image`).

use std::f64::consts::TAU;

use plumbray_anatomy::{PhysicalPoint, PhysicalVector, testing::assert_close};
use plumbray_tests::answered_outside;
use plumbray_trace::{Circle, Ellipse};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const SEED: u64 = 20_260_302;

/// So many circles and as many ellipses; every other one without scatter.
const SHAPES: usize = 400;

/// Of points that lie exactly on the outline: only rounding is left, as a share of the radius.
const EXACT: f64 = 1e-9;

/// Of scattered points, as a share of the radius: two searches for the same least sum of squares stop
/// within this of each other.
const SCATTERED: f64 = 1e-6;

/// Standard deviations of a circle's centre and radius, as a share of themselves.
const SPREAD: f64 = 1e-6;

#[test]
fn circles_and_ellipses_are_those_that_scikit_image_fits() {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let circles: Vec<Outline> = (0..SHAPES)
        .map(|index| Outline::random(&mut generator, 1.0, is_scattered(index)))
        .collect();
    let ellipses: Vec<Outline> = (0..SHAPES)
        .map(|index| {
            let flatness = generator.random_range(0.4..0.95);
            Outline::random(&mut generator, flatness, is_scattered(index))
        })
        .collect();
    let answer = fitted_outside(&circles, &ellipses);
    for index in 0..SHAPES {
        let tolerance = if is_scattered(index) {
            SCATTERED
        } else {
            EXACT
        };
        let name = format!("circle {index}");
        compare_circle(&name, &circles[index], &answer["circles"][index], tolerance);
        if is_scattered(index) {
            compare_spread_of_circle(&name, &circles[index], &answer["circles"][index]);
        }
        let name = format!("ellipse {index}");
        compare_ellipse(
            &name,
            &ellipses[index],
            &answer["ellipses"][index],
            tolerance,
        );
    }
}

const fn is_scattered(index: usize) -> bool {
    index % 2 == 1
}

/// Points of an arc of a circle or an ellipse.
struct Outline {
    points: Vec<PhysicalPoint>,
    /// Half the long axis.
    half: f64,
}

impl Outline {
    fn random(generator: &mut ChaCha8Rng, flatness: f64, is_scattered: bool) -> Self {
        let half = generator.random_range(5.0..300.0);
        let centre = PhysicalPoint::new(
            generator.random_range(-500.0..4000.0),
            generator.random_range(-500.0..4000.0),
        );
        let direction: f64 = generator.random_range(0.0..TAU);
        let long = PhysicalVector::new(direction.cos(), direction.sin()) * half;
        let short = long.perpendicular() * flatness;
        let first = generator.random_range(0.0..TAU);
        // Shorter arcs, scattered, no longer tell a circle well from a line.
        let arc = generator.random_range(if is_scattered { 0.4 } else { 0.2 }..1.0) * TAU;
        let count = generator.random_range(12..150_u32);
        let scatter = if is_scattered {
            0.01 * half * flatness
        } else {
            0.0
        };
        let point = |step| {
            let angle = first + arc * f64::from(step) / f64::from(count);
            let off = PhysicalVector::new(
                scatter * generator.random_range(-1.0..1.0),
                scatter * generator.random_range(-1.0..1.0),
            );
            centre + long * angle.cos() + short * angle.sin() + off
        };
        Self {
            points: (0..count).map(point).collect(),
            half,
        }
    }

    fn to_json(&self) -> Value {
        self.points
            .iter()
            .map(|point| json!([point.x, point.y]))
            .collect()
    }
}

fn fitted_outside(circles: &[Outline], ellipses: &[Outline]) -> Value {
    let question = json!({
        "circles": circles.iter().map(Outline::to_json).collect::<Value>(),
        "ellipses": ellipses.iter().map(Outline::to_json).collect::<Value>(),
    });
    answered_outside("scikit_image/fits.py", &question)
}

/// A number of the answer; not a number, and so close to nothing, where it is missing.
fn number(answer: &Value) -> f64 {
    answer.as_f64().unwrap_or(f64::NAN)
}

fn compare_circle(name: &str, outline: &Outline, outside: &Value, tolerance: f64) {
    let circle = Circle::fitted_to(&outline.points).expect("an arc tells its circle");
    let tolerance = tolerance * outline.half;
    let numbers = [
        ("x of the centre", circle.centre.x, &outside["centre"][0]),
        ("y of the centre", circle.centre.y, &outside["centre"][1]),
        ("radius", circle.radius, &outside["radius"]),
        ("rms", circle.rms, &outside["rms"]),
    ];
    for (what, ours, outside) in numbers {
        assert_close(ours, number(outside), tolerance, &format!("{name}, {what}"));
    }
    let algebraic = [0, 1, 2].map(|index| number(&outside["algebraic"][index]));
    let theirs = squared_distances(
        outline,
        PhysicalPoint::new(algebraic[0], algebraic[1]),
        algebraic[2],
    );
    let ours = squared_distances(outline, circle.centre, circle.radius);
    assert!(
        ours <= theirs + tolerance * tolerance,
        "{name}: the algebraic circle lies closer to the points, {theirs} against {ours}"
    );
}

fn squared_distances(outline: &Outline, centre: PhysicalPoint, radius: f64) -> f64 {
    let distance = |point: &PhysicalPoint| (*point - centre).length() - radius;
    outline
        .points
        .iter()
        .map(|point| distance(point).powi(2))
        .sum()
}

fn compare_spread_of_circle(name: &str, outline: &Outline, outside: &Value) {
    let circle = Circle::fitted_to(&outline.points).expect("an arc tells its circle");
    let numbers = [
        ("sd of the centre", circle.centre_sd, &outside["centre_sd"]),
        ("sd of the radius", circle.radius_sd, &outside["radius_sd"]),
    ];
    for (what, ours, outside) in numbers {
        assert_close(
            ours,
            number(outside),
            SPREAD * ours,
            &format!("{name}, {what}"),
        );
    }
}

fn compare_ellipse(name: &str, outline: &Outline, outside: &Value, tolerance: f64) {
    let ellipse = Ellipse::fitted_to(&outline.points).expect("an arc tells its ellipse");
    let (long, short) = (ellipse.long, ellipse.short);
    let half = outline.half;
    let numbers = [
        (
            "x of the centre",
            ellipse.centre.x,
            &outside["centre"][0],
            half,
        ),
        (
            "y of the centre",
            ellipse.centre.y,
            &outside["centre"][1],
            half,
        ),
        (
            "spread in x",
            long.x.powi(2) + short.x.powi(2),
            &outside["spread"][0],
            half * half,
        ),
        (
            "spread in x and y",
            long.x * long.y + short.x * short.y,
            &outside["spread"][1],
            half * half,
        ),
        (
            "spread in y",
            long.y.powi(2) + short.y.powi(2),
            &outside["spread"][2],
            half * half,
        ),
    ];
    for (what, ours, outside, size) in numbers {
        assert_close(
            ours,
            number(outside),
            tolerance * size,
            &format!("{name}, {what}"),
        );
    }
}
