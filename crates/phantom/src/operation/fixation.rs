//! Where screws go by the usual rules.

use nalgebra::Vector3;

use super::{Operation, Screw, Screws, Thread, metal::Metal, osteotomy, osteotomy::Osteotomy};
use crate::bones::long_bone::Head;

/// From the base to where the first screw enters the medial cortex, along the metatarsal in mm: 1 to 2
/// cm distal of the tarsometatarsal joint (common practice, no source).
const FIRST_ENTRY_MM: f64 = 12.0;

/// How far the end of a screw is sunk below the cortex that it enters, in mm along the screw.
const SUNK_MM: f64 = 2.0;

/// How far under the joint surface a screw ends, in mm.
const UNDER_SURFACE_MM: f64 = 4.5;

/// Where the first screw ends in the head, as a share of the head's half width toward lateral.
const TIP_SHARE: f64 = 0.42;

/// How much higher the first screw lies than the axis and the second lower, in mm.
const APART_MM: f64 = 2.2;

/// How far medially of the first screw the second runs, in mm.
const BESIDE_MM: f64 = 3.4;

/// How finely the place where a screw enters is found along the bone, in mm.
const ENTRY_STEP_MM: f64 = 0.25;

/// The two screws of an operation, in the directions of the uncut metatarsal.
pub(crate) fn screws(operation: &Operation, cut: &Osteotomy, head: &Head) -> Vec<Screw> {
    match operation.screws {
        Screws::Absent => Vec::new(),
        Screws::Placed(screws) => screws.to_vec(),
        Screws::Usual => usual_screws(cut, head).to_vec(),
    }
}

/// The metal of an operation in its place.
pub(crate) fn metal(operation: &Operation, cut: &Osteotomy, screws: &[Screw]) -> Vec<Metal> {
    screws
        .iter()
        .map(|screw| Metal::screw(screw, &cut.level))
        .chain(
            operation
                .wire
                .iter()
                .map(|wire| Metal::wire(wire, &cut.level)),
        )
        .collect()
}

/// Two parallel screws: the first from the medial cortex of the base into the lateral part of the
/// head, by way of the lateral cortex of the shaft where the shift is large enough; the second nearer
/// to the cut.
fn usual_screws(cut: &Osteotomy, head: &Head) -> [Screw; 2] {
    let medial = |along_mm: f64| -osteotomy::half_width(&cut.shaft, &cut.level, along_mm, -1.0);
    let centre = cut
        .level
        .bone_from_foot(cut.fragment.frame.foot_from_bone(head.centre));
    let reach = |share: f64| {
        let [u, _, w] = head.radii_mm.into();
        centre.z + w * (1.0 - (share * 10.0 / u).powi(2)).sqrt() - UNDER_SURFACE_MM
    };
    let entry = Vector3::new(medial(FIRST_ENTRY_MM), APART_MM, FIRST_ENTRY_MM);
    let tip = Vector3::new(
        centre.x + TIP_SHARE * 10.0,
        centre.y + APART_MM,
        reach(TIP_SHARE),
    );
    let along = (tip - entry).normalize();
    let beside = Vector3::new(-BESIDE_MM, -2.0 * APART_MM, 0.0);
    let second_tip = tip + beside - along * SUNK_MM;
    // Back from the tip to where the second comes out of the medial cortex.
    let mut second_entry = second_tip;
    while second_entry.z > FIRST_ENTRY_MM && second_entry.x > medial(second_entry.z) {
        second_entry -= along * ENTRY_STEP_MM;
    }
    let sunk = along * SUNK_MM;
    let (entry, second_entry) = (entry + sunk, second_entry + sunk);
    let screw = |from: Vector3<f64>, to: Vector3<f64>| Screw {
        entry_mm: from.into(),
        tip_mm: to.into(),
        thread: Thread::default(),
    };
    [screw(entry, tip), screw(second_entry, second_tip)]
}
