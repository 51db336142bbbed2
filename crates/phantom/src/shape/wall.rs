//! How thick a bone's cortex is, and how dense what lies within.

use nalgebra::Vector3;

use super::table::{Curve, Table};

/// Spacing of the table that walls are sampled into, in mm.
const TABLE_STEP_MM: f64 = 0.5;

/// The wall of a bone at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Wall {
    /// Share of the bone's length from its proximal end.
    pub(crate) at: f64,
    /// Thickness of the cortex in mm.
    pub(crate) cortex_mm: f64,
    /// Share of solid bone in what lies within the cortex: trabeculae near the ends, marrow at the
    /// middle of a shaft.
    pub(crate) inner_share: f64,
}

impl Wall {
    /// A cortex of `cortex_mm` around an inside of which `inner_share` is bone.
    pub(crate) const fn new(at: f64, cortex_mm: f64, inner_share: f64) -> Self {
        Self {
            at,
            cortex_mm,
            inner_share,
        }
    }
}

/// The walls along a bone, sampled densely enough to be read by linear interpolation.
#[derive(Clone, Debug)]
pub(crate) struct Walls {
    /// Cortex in mm and share of bone within.
    table: Table<2>,
    /// By which share of itself the cortex is thicker laterally, and thinner medially.
    lateral_share: f64,
}

impl Walls {
    /// Walls along `length_mm`.
    pub(crate) fn new(length_mm: f64, walls: &[Wall]) -> Self {
        let cortex = Curve::new(walls.iter().map(|wall| (wall.at, wall.cortex_mm)));
        let inner = Curve::new(walls.iter().map(|wall| (wall.at, wall.inner_share)));
        Self {
            table: Table::new(length_mm, TABLE_STEP_MM, &[cortex, inner]),
            lateral_share: 0.0,
        }
    }

    /// The same walls with the cortex thicker by a factor.
    pub(crate) fn thickened(mut self, factor: f64) -> Self {
        for row in self.table.rows_mut() {
            row[0] *= factor;
        }
        self
    }

    /// The same walls with the lateral cortex thicker than the medial one by a share of the mean.
    pub(crate) fn with_thicker_lateral_cortex(mut self, share: f64) -> Self {
        self.lateral_share = share;
        self
    }

    /// Thickness of the cortex in mm and share of solid bone within it, at a point in the bone's
    /// coordinates; beyond either end as at that end.
    pub(crate) fn at(&self, point: Vector3<f64>) -> (f64, f64) {
        let [cortex, inner] = self.table.at(point.z);
        let across = point.x.hypot(point.y).max(1e-6);
        (
            cortex * (1.0 + self.lateral_share * point.x / across),
            inner,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walls_pass_through_their_table_and_keep_beyond_its_ends() {
        let walls = Walls::new(60.0, &[Wall::new(0.0, 0.6, 0.3), Wall::new(1.0, 2.0, 0.1)]);
        for (w, expected) in [(-3.0, 0.6), (0.0, 0.6), (60.0, 2.0), (70.0, 2.0)] {
            let (cortex, _) = walls.at(Vector3::new(0.0, 0.0, w));
            assert!((cortex - expected).abs() < 0.01, "at {w}: {cortex}");
        }
    }

    #[test]
    fn the_lateral_cortex_can_be_the_thicker() {
        let walls = Walls::new(60.0, &[Wall::new(0.0, 2.0, 0.1)]).with_thicker_lateral_cortex(0.25);
        let cortex = |u: f64| walls.at(Vector3::new(u, 0.0, 30.0)).0;
        assert!((cortex(5.0) - 2.5).abs() < 1e-9, "lateral {}", cortex(5.0));
        assert!((cortex(-5.0) - 1.5).abs() < 1e-9, "medial {}", cortex(-5.0));
    }
}
