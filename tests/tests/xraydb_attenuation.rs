//! Attenuation of every simulated material, computed once more by xraydb from its composition
//! (`tests/outside/xraydb`).

use plumbray_phantom::Material;
use plumbray_tests::answered_outside;
use serde_json::{Value, json};

/// As a share of the coefficient.
const TOLERANCE: f64 = 0.01;

/// So near an absorption edge, in keV, it matters where exactly a table puts the edge.
const EDGE_WIDTH_KEV: f64 = 0.05;

/// The K edges of iodine and of caesium in keV.
const EDGES_KEV: [f64; 2] = [33.17, 35.98];

/// From 20 to 80 keV in steps of a quarter.
fn energies_kev() -> Vec<f64> {
    (80..=320_u32).map(|step| f64::from(step) / 4.0).collect()
}

#[test]
fn every_material_weakens_as_xraydb_says() {
    let energies = energies_kev();
    let answer = computed_outside(&energies);
    for material in Material::ALL {
        let outside = answer[format!("{material:?}")]
            .as_array()
            .expect("attenuation.py answers for every material");
        assert_eq!(outside.len(), energies.len(), "{material:?}: energies");
        for (energy, outside) in energies.iter().zip(outside) {
            let is_at_edge = material == Material::CaesiumIodide
                && EDGES_KEV
                    .iter()
                    .any(|edge| (edge - energy).abs() < EDGE_WIDTH_KEV);
            if is_at_edge {
                continue;
            }
            let ours = material.mass_attenuation(*energy);
            let theirs = outside.as_f64().expect("a number");
            assert!(
                (ours / theirs - 1.0).abs() < TOLERANCE,
                "{material:?} at {energy} keV: {ours} against {theirs} cm²/g"
            );
        }
    }
}

fn computed_outside(energies: &[f64]) -> Value {
    let asked = json!({
        "energies_kev": energies,
        "materials": Material::ALL.map(|material| format!("{material:?}")),
    });
    answered_outside("xraydb/attenuation.py", &asked)
}
