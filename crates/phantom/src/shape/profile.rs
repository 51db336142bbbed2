//! How a bone's cross-section changes along its length.

use nalgebra::Vector3;

use super::table::{Curve, Table};

/// Spacing of the table that a profile is sampled into, in mm.
const TABLE_STEP_MM: f64 = 0.4;

/// The cross-section of a bone at one place: how far it reaches from the bone's axis, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Section {
    /// Share of the bone's length from its proximal end.
    pub(crate) at: f64,
    /// Reach toward medial, lateral, dorsal and plantar.
    pub(crate) reach_mm: [f64; 4],
    /// How far the middle of the section lies from the straight axis, toward lateral and dorsal.
    pub(crate) shift_mm: [f64; 2],
    /// By which share the section is wider at its dorsal side, and narrower at its plantar one, than
    /// at half height.
    pub(crate) wedge: f64,
}

impl Section {
    /// A section whose middle lies on the bone's axis.
    pub(crate) const fn new(at: f64, medial: f64, lateral: f64, dorsal: f64, plantar: f64) -> Self {
        Self {
            at,
            reach_mm: [medial, lateral, dorsal, plantar],
            shift_mm: [0.0, 0.0],
            wedge: 0.0,
        }
    }

    /// A section as wide toward medial as toward lateral.
    pub(crate) const fn even(at: f64, half_width: f64, dorsal: f64, plantar: f64) -> Self {
        Self::new(at, half_width, half_width, dorsal, plantar)
    }

    /// The same section moved off the axis.
    pub(crate) const fn shifted(mut self, lateral: f64, dorsal: f64) -> Self {
        self.shift_mm = [lateral, dorsal];
        self
    }

    /// The same section as a wedge or a prism whose edge points to plantar.
    pub(crate) const fn wedged(mut self, wedge: f64) -> Self {
        self.wedge = wedge;
        self
    }

    /// The same section with every size multiplied.
    fn scaled(mut self, scale: f64) -> Self {
        for size in self.reach_mm.iter_mut().chain(&mut self.shift_mm) {
            *size *= scale;
        }
        self
    }
}

/// Everything that a profile says about one place along a bone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Station {
    /// Reach toward medial, lateral, dorsal and plantar, in mm.
    pub(crate) reach_mm: [f64; 4],
    /// Where the middle of the section lies, toward lateral and dorsal, in mm.
    pub(crate) shift_mm: [f64; 2],
    /// By which share it is wider at its dorsal side than at half height.
    pub(crate) wedge: f64,
}

/// Sections along a bone, sampled densely enough to be read by linear interpolation.
#[derive(Clone, Debug)]
pub(crate) struct Profile {
    table: Table<7>,
}

impl Profile {
    /// A profile along `length_mm`, with every section multiplied by `scale`.
    pub(crate) fn new(length_mm: f64, scale: f64, sections: &[Section]) -> Self {
        let sections: Vec<Section> = sections
            .iter()
            .map(|section| section.scaled(scale))
            .collect();
        let curve = |read: fn(&Section) -> f64| {
            Curve::new(sections.iter().map(|section| (section.at, read(section))))
        };
        let columns = [
            curve(|section| section.reach_mm[0]),
            curve(|section| section.reach_mm[1]),
            curve(|section| section.reach_mm[2]),
            curve(|section| section.reach_mm[3]),
            curve(|section| section.shift_mm[0]),
            curve(|section| section.shift_mm[1]),
            curve(|section| section.wedge),
        ];
        Self {
            table: Table::new(length_mm, TABLE_STEP_MM, &columns),
        }
    }

    /// The bone at `w_mm` from its proximal end; beyond either end it is as at that end.
    pub(crate) fn station(&self, w_mm: f64) -> Station {
        let [medial, lateral, dorsal, plantar, across, up, wedge] = self.table.at(w_mm);
        Station {
            reach_mm: [medial, lateral, dorsal, plantar],
            shift_mm: [across, up],
            wedge,
        }
    }

    /// The distance to a section's outline, within the plane of the section.
    ///
    /// With x and y the offsets in units of the reach on that side,
    ///
    /// ```text
    /// ρ⁴ = x⁴ + y⁴ + 2 k x² y²,   distance = (ρ − 1) / |∇ρ|
    /// ```
    ///
    /// where k is the roundness: an ellipse for k = 1, a rounded rectangle toward k = 0. Each of the four
    /// quarters has its own half-axes and still joins its neighbours smoothly.
    pub(crate) fn section_distance(&self, roundness: f64, point: Vector3<f64>) -> f64 {
        let station = self.station(point.z);
        let across = point.x - station.shift_mm[0];
        let up = point.y - station.shift_mm[1];
        let half_height = station.reach_mm[if up >= 0.0 { 2 } else { 3 }];
        let widening = 1.0 + station.wedge * (up / half_height).clamp(-1.0, 1.0);
        let half_width = station.reach_mm[usize::from(across >= 0.0)] * widening;
        let (x, y) = (across / half_width, up / half_height);
        let (x2, y2) = (x * x, y * y);
        let fourth = x2 * x2 + y2 * y2 + 2.0 * roundness * x2 * y2;
        if fourth < 1e-12 {
            return -half_width.min(half_height);
        }
        let level = fourth.sqrt().sqrt();
        let cube = level * level * level;
        let slope_across = x * (x2 + roundness * y2) / (cube * half_width);
        let slope_up = y * (y2 + roundness * x2) / (cube * half_height);
        (level - 1.0) / slope_across.hypot(slope_up)
    }

    /// The farthest that any section reaches from the axis toward each side, in mm: lateral and
    /// dorsal lows, then highs.
    pub(crate) fn extent(&self) -> ([f64; 2], [f64; 2]) {
        let mut low = [0.0_f64; 2];
        let mut high = [0.0_f64; 2];
        for row in self.table.rows() {
            let widest = 1.0 + row[6].abs();
            low[0] = low[0].min(row[4] - widest * row[0]);
            high[0] = high[0].max(row[4] + widest * row[1]);
            low[1] = low[1].min(row[5] - row[3]);
            high[1] = high[1].max(row[5] + row[2]);
        }
        (low, high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTIONS: [Section; 3] = [
        Section::even(0.0, 9.0, 7.0, 6.0),
        Section::even(0.5, 5.0, 4.0, 4.0),
        Section::even(1.0, 8.0, 6.0, 6.0),
    ];

    #[test]
    fn a_profile_passes_through_its_sections() {
        let profile = Profile::new(60.0, 1.0, &SECTIONS);
        for section in SECTIONS {
            let station = profile.station(60.0 * section.at);
            assert!(
                (station.reach_mm[0] - section.reach_mm[0]).abs() < 0.01,
                "at {}: {station:?}",
                section.at
            );
        }
    }

    #[test]
    fn a_wedge_is_wider_at_its_dorsum_than_at_its_sole() {
        let sections = [Section::even(0.0, 6.0, 5.0, 5.0).wedged(0.4)];
        let profile = Profile::new(60.0, 1.0, &sections);
        let outside =
            |u: f64, v: f64| profile.section_distance(0.2, Vector3::new(u, v, 30.0)) > 0.0;
        assert!(outside(6.01, 0.0) && !outside(5.99, 0.0), "at half height");
        assert!(!outside(6.8, 3.0), "near the dorsum");
        assert!(outside(5.2, -3.0), "near the sole");
    }

    #[test]
    fn a_profile_never_bulges_beyond_its_sections() {
        let profile = Profile::new(60.0, 1.0, &SECTIONS);
        for step in 0..=240 {
            let width = profile.station(f64::from(step) * 0.25).reach_mm[0];
            assert!((4.999..=9.001).contains(&width), "{width}");
        }
    }
}
