//! No crate reaches up: the table of layers in `docs/architecture.md`, held to what cargo sees.

use std::collections::{BTreeMap, BTreeSet};

use cargo_metadata::{DependencyKind, Metadata, Package, PackageId};
use plumbray_tests::workspace_metadata;

/// Each crate of the workspace and its layer. A crate may use only crates of a lower layer.
const LAYERS: [(&str, u32); 16] = [
    ("plumbray-anatomy", 0),
    ("plumbray-measure", 1),
    ("plumbray-film", 1),
    ("plumbray-agreement", 1),
    ("plumbray-trace", 2),
    ("plumbray-plan", 2),
    ("plumbray-phantom", 2),
    ("plumbray-archive", 2),
    ("plumbray-proposal", 3),
    ("plumbray-study", 3),
    ("plumbray-compare", 4),
    ("plumbray-practise", 4),
    ("plumbray-validation", 5),
    ("plumbray-report", 5),
    ("plumbray-cohort", 5),
    ("plumbray", 6),
];

/// Members of the workspace that are no part of the program.
const OUTSIDE_THE_PROGRAM: [&str; 2] = ["plumbray-tests", "xtask"];

/// Crates that open windows or draw on them; only the program itself may reach any of these.
const WINDOW_CRATES: [&str; 8] = [
    "eframe",
    "egui",
    "egui-winit",
    "egui_glow",
    "glow",
    "glutin",
    "rfd",
    "winit",
];

/// Beginnings of the names of crates that know of pixels, of files or of how a document is written.
const PIXEL_AND_FILE_CRATES: [&str; 9] = [
    "csv",
    "dicom",
    "image",
    "plumbray-film",
    "png",
    "ron",
    "serde_json",
    "tempfile",
    "tiff",
];

fn layer(name: &str) -> Option<u32> {
    LAYERS
        .iter()
        .find(|(known, _)| *known == name)
        .map(|(_, layer)| *layer)
}

/// What is wrong with the layers: one sentence each.
fn complaints(metadata: &Metadata) -> Vec<String> {
    metadata
        .workspace_packages()
        .into_iter()
        .filter(|package| !OUTSIDE_THE_PROGRAM.contains(&package.name.as_str()))
        .flat_map(complaints_about)
        .collect()
}

fn complaints_about(package: &Package) -> Vec<String> {
    let Some(own) = layer(&package.name) else {
        return vec![format!(
            "{} has no layer: give it one here and in docs/architecture.md",
            package.name
        )];
    };
    package
        .dependencies
        .iter()
        .filter(|dependency| dependency.path.is_some())
        .filter_map(|dependency| {
            let allowed = match dependency.kind {
                // Tests may also use a neighbour, for example the phantom to test tracing.
                DependencyKind::Development => layer(&dependency.name)? <= own,
                _ => layer(&dependency.name)? < own,
            };
            (!allowed).then(|| {
                format!(
                    "{} (layer {own}) uses {}, which does not lie below it",
                    package.name, dependency.name
                )
            })
        })
        .collect()
}

/// The names of all crates that a package is built from, itself left out; tests' own are not counted.
fn built_from(metadata: &Metadata, name: &str) -> BTreeSet<String> {
    let resolve = metadata
        .resolve
        .as_ref()
        .expect("cargo resolved the crates");
    let edges: BTreeMap<&PackageId, Vec<&PackageId>> = resolve
        .nodes
        .iter()
        .map(|node| {
            let used = node.deps.iter().filter(|used| {
                used.dep_kinds
                    .iter()
                    .any(|kind| kind.kind != DependencyKind::Development)
            });
            (&node.id, used.map(|used| &used.pkg).collect())
        })
        .collect();
    let start = metadata
        .workspace_packages()
        .into_iter()
        .find(|package| package.name == name)
        .unwrap_or_else(|| panic!("{name} is a crate of the workspace"));

    let mut found = BTreeSet::new();
    let mut waiting = vec![&start.id];
    while let Some(package) = waiting.pop() {
        for &used in &edges[package] {
            if found.insert(used) {
                waiting.push(used);
            }
        }
    }
    found
        .into_iter()
        .map(|package| metadata[package].name.to_string())
        .collect()
}

#[test]
fn every_crate_uses_only_crates_below_it() {
    let complaints = complaints(&workspace_metadata());
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn every_layer_of_the_table_is_a_crate() {
    let metadata = workspace_metadata();
    let members: BTreeSet<&str> = metadata
        .workspace_packages()
        .into_iter()
        .map(|package| package.name.as_str())
        .collect();
    for (name, _) in LAYERS {
        assert!(
            members.contains(name),
            "{name} is in the table but not in the workspace"
        );
    }
}

#[test]
fn an_arrow_that_points_up_and_an_unknown_crate_are_noticed() {
    let mut metadata = workspace_metadata();
    for package in &mut metadata.packages {
        if package.name == "plumbray-study" {
            package.name = "plumbray-novelty".parse().expect("a name of a crate");
        }
        if package.name == "plumbray-film" {
            for dependency in &mut package.dependencies {
                if dependency.name == "plumbray-anatomy" {
                    dependency.name = "plumbray-trace".to_owned();
                }
            }
        }
    }
    let complaints = complaints(&metadata).join("\n");
    assert!(
        complaints.contains("plumbray-film (layer 1) uses plumbray-trace"),
        "the arrow from film up to trace, in: {complaints}"
    );
    assert!(
        complaints.contains("plumbray-novelty has no layer"),
        "the unknown crate, in: {complaints}"
    );
}

#[test]
fn the_engine_knows_neither_pixels_nor_files_nor_windows() {
    let metadata = workspace_metadata();
    for engine in ["plumbray-anatomy", "plumbray-measure", "plumbray-agreement"] {
        let unwanted: Vec<String> = built_from(&metadata, engine)
            .into_iter()
            .filter(|name| {
                WINDOW_CRATES.contains(&name.as_str())
                    || PIXEL_AND_FILE_CRATES
                        .iter()
                        .any(|beginning| name.starts_with(beginning))
            })
            .collect();
        assert!(
            unwanted.is_empty(),
            "{engine} is built from {}",
            unwanted.join(", ")
        );
    }
}

#[test]
fn only_the_program_opens_windows() {
    let metadata = workspace_metadata();
    for (name, _) in LAYERS.into_iter().filter(|(name, _)| *name != "plumbray") {
        let window: Vec<String> = built_from(&metadata, name)
            .into_iter()
            .filter(|used| WINDOW_CRATES.contains(&used.as_str()))
            .collect();
        assert!(
            window.is_empty(),
            "{name} is built from {}",
            window.join(", ")
        );
    }
    assert!(
        built_from(&metadata, "plumbray").contains("eframe"),
        "the program is built from eframe, or this test looks in the wrong place"
    );
}
