//! Maps that lay one film over another, fitted once more by scikit-image (`tests/outside/scikit_image`).

use plumbray_anatomy::{PhysicalPoint, Similarity, WeightedPair};
use plumbray_tests::answered_outside;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const SEED: u64 = 20_261_128;
const MAPS: usize = 300;

/// In pixel widths, of films some thousand pixels wide.
const TOLERANCE: f64 = 1e-6;

/// So many points that two films share, laid off at random on the second one.
fn pairs(generator: &mut ChaCha8Rng) -> Vec<WeightedPair> {
    let map = Similarity::new(
        PhysicalPoint::new(
            generator.random_range(-500.0..500.0),
            generator.random_range(-500.0..500.0),
        ),
        generator.random_range(0.5..2.0),
        generator.random_range(-3.0..3.0),
        false,
    );
    let count = generator.random_range(3..30);
    let scatter = generator.random_range(0.0..20.0);
    (0..count)
        .map(|_| {
            let from = PhysicalPoint::new(
                generator.random_range(0.0..2000.0),
                generator.random_range(0.0..3000.0),
            );
            let to = map.of(from);
            let off = [scatter, scatter].map(|most| most * generator.random_range(-1.0..1.0));
            (from, PhysicalPoint::new(to.x + off[0], to.y + off[1]), 1.0)
        })
        .collect()
}

#[test]
fn maps_are_those_that_scikit_image_fits() {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let all: Vec<Vec<WeightedPair>> = (0..MAPS).map(|_| pairs(&mut generator)).collect();
    let places = |pairs: &[WeightedPair], pick: fn(&WeightedPair) -> PhysicalPoint| -> Value {
        pairs
            .iter()
            .map(|pair| json!([pick(pair).x, pick(pair).y]))
            .collect()
    };
    let question: Value = all
        .iter()
        .map(|pairs| json!({"from": places(pairs, |pair| pair.0), "to": places(pairs, |pair| pair.1)}))
        .collect();
    let answer: Vec<Vec<[f64; 2]>> = answered_outside("scikit_image/similarity.py", &question);
    assert_eq!(answer.len(), MAPS, "maps");
    for (index, (pairs, outside)) in all.iter().zip(answer).enumerate() {
        let map = Similarity::fitted(pairs, false).expect("three points and more");
        for (pair, [x, y]) in pairs.iter().zip(outside) {
            let away = (map.of(pair.0) - PhysicalPoint::new(x, y)).length();
            assert!(away < TOLERANCE, "map {index}: {away} pixel widths");
        }
    }
}
