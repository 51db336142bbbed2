//! What pydicom and highdicom read, as `tests/outside/dicom/read_objects.py` tells it.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;

#[derive(Deserialize)]
pub(super) struct Read {
    pub(super) said: BTreeMap<String, BTreeMap<String, String>>,
    pub(super) report: Report,
    pub(super) drawings: BTreeMap<String, ReadDrawing>,
    pub(super) pictures: BTreeMap<String, ReadPicture>,
    pub(super) captures: BTreeMap<String, BTreeMap<String, bool>>,
}

#[derive(Deserialize)]
pub(super) struct Report {
    pub(super) groups: Vec<Group>,
    pub(super) tracing: BTreeMap<String, Vec<Place>>,
    pub(super) library: Vec<String>,
    pub(super) evidence: Vec<String>,
    pub(super) texts: BTreeMap<String, String>,
    pub(super) highdicom: Vec<HighdicomGroup>,
}

#[derive(Deserialize)]
pub(super) struct Group {
    pub(super) tracking: String,
    pub(super) site: String,
    pub(super) laterality: String,
    pub(super) items: Vec<Item>,
}

#[derive(Deserialize)]
pub(super) struct HighdicomGroup {
    pub(super) tracking: String,
    pub(super) site: String,
    pub(super) numbers: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
pub(super) struct Item {
    pub(super) name: ReadCode,
    pub(super) kind: String,
    pub(super) value: Value,
    pub(super) properties: BTreeMap<String, Number>,
    pub(super) modifiers: BTreeMap<String, Value>,
    pub(super) places: Vec<Place>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ReadCode {
    pub(super) value: String,
    pub(super) scheme: String,
    pub(super) meaning: String,
}

#[derive(Deserialize)]
pub(super) struct Number {
    pub(super) exact: f64,
    pub(super) decimal: f64,
    pub(super) unit: String,
}

#[derive(Deserialize)]
pub(super) struct Place {
    pub(super) name: ReadCode,
    pub(super) shape: String,
    pub(super) points: Vec<f64>,
    pub(super) image: String,
}

#[derive(Deserialize)]
pub(super) struct ReadDrawing {
    pub(super) graphics: Vec<Graphic>,
    pub(super) texts: Vec<String>,
    pub(super) units: Vec<String>,
    pub(super) image: String,
    pub(super) layers: Vec<String>,
    pub(super) area: [[i32; 2]; 2],
    pub(super) window: [f64; 2],
    pub(super) shape: String,
}

#[derive(Deserialize)]
pub(super) struct Graphic {
    pub(super) shape: String,
    pub(super) points: Vec<f64>,
}

#[derive(Deserialize)]
pub(super) struct ReadPicture {
    pub(super) is_same: bool,
    pub(super) source: String,
}
